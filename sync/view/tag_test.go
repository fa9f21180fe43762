package view

import (
	"errors"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// TestCheck: published numbers whose check character is by ISO/IEC 7064, MOD
// 37,36: the release identifier that its handbook prints, and identifiers of
// ISO 15706 as printed.
func TestCheck(t *testing.T) {
	for tag, want := range map[string]string{
		"A1-2425G-ABC1234002": "M", "0000-0000-D07A-0090": "Q", "0000-0001-8947-0000": "8", "1881-66C7-3420-6541": "Y",
		"0000-0001-8947-0000-0000-0000": "D", "0000-0000-D07A-0090-0000-0000": "X", "1881-66C7-3420-6541-9F3A-0245": "O", "": "", "– ": "",
	} {
		if got := Check(tag); got != want {
			t.Errorf("Check(%s) = %q, want %q", tag, got, want)
		}
	}
	if Check("gk-7") != Check("GK 7") || Check("Größe 7") != Check("GROSSE7") {
		t.Error("case, hyphens and accents must not count")
	}
}

// TestCheckTellsMistypings: every single wrong character of every tag of the
// demo is told, and nearly every swap of two neighbours.
func TestCheckTellsMistypings(t *testing.T) {
	s := demo(t)
	v := viewer{st: s.st, rs: s.rs}
	swaps, missed := 0, 0
	for _, c := range v.codes() {
		typed := c.bare + c.check
		for i := range len(typed) {
			for k := range len(checkLetters) {
				if typed[i] != checkLetters[k] && passes(typed[:i]+checkLetters[k:k+1]+typed[i+1:]) {
					t.Errorf("%s: a wrong character at %d passes", c.text(), i)
				}
			}
			if i > 0 && typed[i] != typed[i-1] {
				swaps++
				if passes(typed[:i-1] + typed[i:i+1] + typed[i-1:i] + typed[i+1:]) {
					missed++
				}
			}
		}
	}
	if swaps < 1000 || missed*100 > swaps {
		t.Errorf("%d of %d swaps are missed", missed, swaps)
	}
}

func passes(typed string) bool { return Check(typed[:len(typed)-1]) == typed[len(typed)-1:] }

func TestTypedTag(t *testing.T) {
	s := demo(t)
	for _, c := range []struct{ name, q, first, trouble string }{
		{"as printed", "GK-9-2-" + Check("GK-9-2"), "2117 part GK-9-2", ""},
		{"small, without hyphens", strings.ToLower("gk92" + Check("GK-9-2")), "2117 part GK-9-2", ""},
		{"an engine", "2117-G", "2117 engine 2117 seventeen", ""},
		{"a place", "2123.pin.4.journal-" + Check("2123.pin.4.journal"), "2123 place big-end pin 4 · journal", ""},
		{"a place as it is printed", "2123 pin 4 journal-" + Check("2123.pin.4.journal"), "2123 place big-end pin 4 · journal", ""},
		{"a wrong check character", "2117-H", "", "The tag 2117 ends in G, not in H: one character is off. Read the tag again."},
		{"a part of the same beginning is no mistyping", "GK-9-1", "part GK-9-1", ""},
		{"a wrong character within", "R-0037-" + Check("R-0031"), "part R-0031", "No tag reads so: one character is off. Read the tag again; this may be meant."},
		{"two swapped", "SH-2132-" + Check("SH-2123"), "part SH-2123", "No tag reads so: one character is off. Read the tag again; this may be meant."},
		{"a good tag of something not fetched", "ZX-55-" + Check("ZX-55"), "", "The tag is typed right, but nothing on this phone has it. Fetch what is new; it may also be of another job."},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := s.search(c.q)
			if got := v.Get("trouble").Text(); got != c.trouble {
				t.Errorf("trouble %q, want %q", got, c.trouble)
			}
			if got := finds(v); c.first != "" && (len(got) == 0 || !strings.HasPrefix(got[0], c.first)) {
				t.Errorf("%q finds %q", c.q, got)
			}
		})
	}
}

func TestScannedTag(t *testing.T) {
	s := demo(t)
	for _, c := range []struct{ name, args, open, says string }{
		{"an engine", `{"asm":"2123"}`, `{"asm":"2123","screen":"engine"}`, "right · position B"},
		{"a place", `{"asm":"2123","at":"pin.4.journal"}`, `{"asm":"2123","at":"pin.4.journal","screen":"point"}`, ""},
		{"a joint", `{"asm":"2117","at":"head"}`, `{"asm":"2117","joint":"head","screen":"tighten"}`, ""},
		{"a liner that is fitted", `{"part":"L-3"}`, `{"asm":"2123","at":"cyl.3.liner","screen":"point"}`, "fitted · in 2123 twenty-three"},
		{"a gasket that is fitted", `{"part":"GK-9-2"}`, `{"asm":"2117","screen":"engine"}`, "fitted · in 2117 seventeen"},
		{"a part that is spent", `{"part":"GK-9-1"}`, `null`, "scrapped"},
		{"a stand with nothing on it", `{"stand":"stand 7"}`, `null`, "nothing stands here now"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := s.view("tag", c.args)
			if got := v.Get("open").String(); got != c.open {
				t.Errorf("it opens %s, want %s", got, c.open)
			}
			if got := v.Get("says").Text(); c.says != "" && got != c.says {
				t.Errorf("it says %q", got)
			}
		})
	}
	for _, args := range []string{`{"asm":"9"}`, `{"asm":"2117","at":"main.99.journal"}`, `{"part":"ZZ"}`, `{}`} {
		a, err := jcs.Parse([]byte(args))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := View(s.st, s.rs, "tag", a); !errors.Is(err, ErrNoTag) {
			t.Errorf("%s: %v", args, err)
		}
	}
}

// TestTagFollowsTheMove: one tag, two sides: where it leads is looked up.
func TestTagFollowsTheMove(t *testing.T) {
	s := demo(t)
	const args = `{"asm":"2117","at":"main.3.journal"}`
	before := find(s.view("tag", args), "engines.0.where").Text()
	for i := range s.st.Engines {
		e := &s.st.Engines[i]
		e.Fit = record.Fitting{Side: map[string]string{"2117": "right", "2123": "left"}[e.Serial]}
	}
	if after := find(s.view("tag", args), "engines.0.where").Text(); before != "left · position A" || after != "right · position B" {
		t.Errorf("%q, then %q", before, after)
	}
}

// TestTagSheet: every engine, place, joint and part has one tag; none names a side.
func TestTagSheet(t *testing.T) {
	v := demo(t).view("tags", `{}`)
	seen := map[string]bool{}
	for _, g := range v.Get("groups").Items() {
		for _, tag := range g.Get("tags").Items() {
			code := tag.Get("code").Text()
			if seen[code] {
				t.Errorf("%s twice", code)
			}
			seen[code] = true
			if s := strings.ToLower(tag.String()); strings.Contains(s, "left") || strings.Contains(s, "position") {
				t.Errorf("it names a side: %s", s)
			}
			if strings.ContainsAny(code+tag.Get("words").Text()+tag.Get("under").Text(), ".·•") {
				t.Errorf("a dot stands on it, as a punch mark does: %s", tag)
			}
		}
	}
	for _, want := range []string{"2117-G", "2123-K", "GK-7-V", "2117 main 3 journal-" + Check("2117main3journal"), "2123 head-" + Check("2123head")} {
		if !seen[want] {
			t.Errorf("there is no tag %s among %d", want, len(seen))
		}
	}
}
