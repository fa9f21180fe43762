package jcs

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"pgregory.net/rapid"
)

func TestCanonical(t *testing.T) {
	deep := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	for _, c := range []struct {
		name, in, out string
		err           error
	}{
		// RFC 8785, section 3.2.2.2: the text of its worked example.
		{"escapes of RFC 8785", `{"string":"\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/"}`, `{"string":"€$\u000f\nA'B\"\\\\\"/"}`, nil},
		// RFC 8785, section 3.2.3: names in the order of UTF-16 code units.
		{"order of RFC 8785", `{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One","\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}`,
			"{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"\u00f6\":\"Latin Small Letter O With Diaeresis\",\"\u20ac\":\"Euro Sign\",\"\U0001f600\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}", nil},
		// RFC 8785, section 3.2.4 (literals) and white space.
		{"literals and space", " [ null , true,\tfalse ] \n", `[null,true,false]`, nil},
		{"whole numbers", `[0,-1,9007199254740991]`, `[0,-1,9007199254740991]`, nil},
		{"a number not whole is kept", `[1.5,1e3,9007199254740993,-0]`, `[1.5,1e3,9007199254740993,-0]`, nil},
		{"doubled name, apart", `{"a":1,"b":2,"a":3}`, "", ErrDuplicate},
		{"doubled name, escaped", `{"a":1,"\u0061":3}`, "", ErrDuplicate},
		{"half a surrogate pair", `"\ud83d"`, "", ErrEncoding},
		{"surrogates the wrong way round", `"\ude00\ud83d"`, "", ErrEncoding},
		{"invalid UTF-8", "\"\xff\"", "", ErrEncoding},
		{"deep enough", deep(MaxDepth), deep(MaxDepth), nil},
		{"too deep", deep(MaxDepth + 1), "", ErrDepth},
		{"leading zero", `01`, "", ErrSyntax},
		{"bare minus", `-`, "", ErrSyntax},
		{"something behind", `{} {}`, "", ErrSyntax},
		{"open text", `"abc`, "", ErrSyntax},
		{"control character", "\"a\nb\"", "", ErrSyntax},
		{"comma at the end", `[1,]`, "", ErrSyntax},
		{"nothing", ``, "", ErrSyntax},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, err := Parse([]byte(c.in))
			if !errors.Is(err, c.err) {
				t.Fatalf("error %v, want %v", err, c.err)
			}
			if d, _ := Read([]byte(c.in)); err == nil && d.Canonical != (c.in == c.out) {
				t.Errorf("canonical is %v", d.Canonical)
			}
			if err == nil && v.String() != c.out {
				t.Errorf("got  %s\nwant %s", v.String(), c.out)
			}
		})
	}
}

func TestObjPutsInOrder(t *testing.T) {
	v := Obj(M("b", Int(1)), M("a", Null()), M("c", Str("x")), M("b", Int(2)), M("aa", Bool(true)))
	if got, want := v.String(), `{"aa":true,"b":2,"c":"x"}`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got, want := v.With("aa", Arr(Str("y"))).Without("b").String(), `{"aa":["y"],"c":"x"}`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	for text, whole := range map[string]bool{"[1,-2]": true, "[1.5]": false, `{"a":[1e3]}`: false, "-0": false} {
		if d, err := Read([]byte(text)); err != nil || d.Whole != whole {
			t.Errorf("%s: whole %v, %v", text, d.Whole, err)
		}
	}
}

// TestObjOrder holds Obj, of few members and of many, against the standard library's sort over UTF-16 code units (RFC 8785,
// section 3.2.3): of two with one name the later counts.
func TestObjOrder(t *testing.T) {
	units := func(s string) []uint16 { return utf16.Encode([]rune(s)) }
	rapid.Check(t, func(t *rapid.T) {
		keys := rapid.SliceOfN(rapid.StringOfN(rapid.RuneFrom([]rune("ab\uffee\U0001f600")), 0, 3, -1), 0, 3*fewMembers).Draw(t, "keys")
		var members []Member
		last := map[string]int64{}
		for i, key := range keys {
			members = append(members, M(key, Int(int64(i))))
			last[key] = int64(i)
		}
		want := slices.SortedFunc(maps.Keys(last), func(a, b string) int { return slices.Compare(units(a), units(b)) })
		got := Obj(members...).Members()
		if len(got) != len(want) {
			t.Fatalf("%d members of %d names", len(got), len(want))
		}
		for i, m := range got {
			if m.Key != want[i] || m.Val.Int64() != last[m.Key] {
				t.Fatalf("member %d is %q: %d, want %q: %d", i, m.Key, m.Val.Int64(), want[i], last[want[i]])
			}
		}
	})
}

// anyValue draws documents of every shape.
func anyValue(depth int) *rapid.Generator[Value] {
	text := rapid.Custom(func(t *rapid.T) Value { return Str(rapid.String().Draw(t, "text")) })
	leaf := rapid.OneOf(text,
		rapid.Map(rapid.Int64Range(-maxInt, maxInt), Int),
		rapid.Map(rapid.Bool(), Bool),
		rapid.Just(Null()))
	if depth == 0 {
		return leaf
	}
	kids := rapid.SliceOfN(rapid.Deferred(func() *rapid.Generator[Value] { return anyValue(depth - 1) }), 0, 4)
	return rapid.OneOf(leaf,
		rapid.Map(kids, func(items []Value) Value { return Arr(items...) }),
		rapid.Custom(func(t *rapid.T) Value {
			var members []Member
			for _, v := range kids.Draw(t, "kids") {
				members = append(members, M(rapid.String().Draw(t, "key"), v))
			}
			return Obj(members...)
		}))
}

// TestRoundTrip holds the codec against the standard library's reader: what is
// written is read back equal by both, and writing it again changes no byte.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anyValue(3).Draw(t, "value")
		raw := v.Append(nil)
		if !json.Valid(raw) {
			t.Fatalf("the standard library refuses %s", raw)
		}
		back, err := Parse(raw)
		if err != nil {
			t.Fatal(err)
		}
		if !Equal(v, back) || back.String() != string(raw) {
			t.Fatalf("%s came back as %s", raw, back.String())
		}
	})
}

// TestOrder holds compareKeys against the definition, on UTF-16 code units.
func TestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.String().Draw(t, "a"), rapid.String().Draw(t, "b")
		want := slices.Compare(utf16.Encode([]rune(a)), utf16.Encode([]rune(b)))
		if got := compareKeys(a, b); sign(got) != want {
			t.Fatalf("%q against %q: %d, want %d", a, b, got, want)
		}
	})
}

func sign(n int) int {
	switch {
	case n < 0:
		return -1
	case n > 0:
		return 1
	}
	return 0
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{`{"a":[1,"x",null]}`, `"\ud83d\ude00"`, `[1.5e3]`, `{"b":{},"a":[]}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		v, err := Parse(b)
		if err != nil {
			return
		}
		if !json.Valid(b) {
			t.Fatalf("read what the standard library refuses: %q", b)
		}
		if d, _ := Read(b); d.Canonical != (v.String() == string(b)) {
			t.Fatalf("%q: canonical %v, and is written %q", b, d.Canonical, v.String())
		}
		again, err := Parse(v.Append(nil))
		if err != nil || !Equal(v, again) {
			t.Fatalf("%q does not come back: %v", b, err)
		}
	})
}
