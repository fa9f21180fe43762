package view

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"

	story "witnessmark/testdata/demo"
)

// finds are the lines of an answer, best first within each engine, as "2123 place main bearing 3 · journal".
func finds(v jcs.Value) []string {
	var out []string
	for _, g := range v.Get("groups").Items() {
		for _, l := range g.Get("lines").Items() {
			out = append(out, said(l))
		}
	}
	return out
}

func said(l jcs.Value) string {
	return strings.TrimSpace(strings.Join(l.Get("asm").Texts(), "+") + " " + l.Get("kind").Text() + " " + l.Get("title").Text())
}

func (s shown) search(q string) jcs.Value {
	return s.view("search", jcs.Obj(jcs.M("q", jcs.Str(q)), jcs.M("me", jcs.Str("idris"))).String())
}

func TestSearch(t *testing.T) {
	s := demo(t)
	for _, c := range []struct {
		name, q string
		first   string // the best of its group
		opens   string
		not     string // must not be among the finds
	}{
		{"by number, of both engines", "main 3", "2117 place main bearing 3 · journal", `{"asm":"2117","at":"main.3.journal","screen":"point"}`, "main bearing 2"},
		{"words in any order, a serial", "liner 2123", "2123 place cylinder 1 · liner bore", `{"asm":"2123","at":"cyl.1.liner","screen":"point"}`, "2117 place"},
		{"the spoken name", "twenty-three pin 4 journal", "2123 place big-end pin 4 · journal", "", "2117"},
		{"a valve as it is said", "exhaust valve 2", "2117 place valve E2 · valve to piston by clay", "", "E3"},
		{"a valve as it is stamped", "e2", "2117 place valve E2 · valve to piston by clay", "", "E3"},
		{"capitals and accents", "CRÁNK flöat", "2117 place crank · end float", "", ""},
		{"beginnings of words", "gask fre thick 2123", "2123 place head gasket · free thickness", "", ""},
		{"a machinist's number", "Lunt pin 3", "2117 place big-end pin 4 · journal", `{"asm":"2117","at":"pin.4.journal","screen":"point"}`, "place big-end pin 3"},
		{"a machinist's number, as it is said", "mr lunt's pin 1 2123", "2123 place big-end pin 6 · journal", "", "place big-end pin 1"},
		{"a joint", "2123 cylinder head studs", "2123 fasteners cylinder head", `{"asm":"2123","joint":"head","screen":"tighten"}`, ""},
		{"a part by its tag", "gk-9-2", "2117 part GK-9-2, head gasket of lot GK-9", `{"screen":"t","t":"GK-9-2"}`, "GK-9-3"},
		{"a part without leading noughts", "r 31", "part R-0031, original liner 3 of 2123", "", ""},
		{"a part by its words", "half shells 2123", "part SH-2123, 12 + 2 half shells for the pins of 2123", "", ""},
		{"a person", "pell", "person Pell Oakes", `{"screen":"job"}`, ""},
		{"an instrument", "bore gauge", "instrument B1, bore gauge 50–160, set in a micrometer", "", ""},
		{"a note by its text", "offered refused trusted", "2117 note W1 offered for the 50 N·m pass and refused: it is trusted from 70.", `{"asm":"2117","joint":"head","screen":"tighten"}`, ""},
		{"a photo by its caption", "photo pin 4", "2123 photo The score on pin 4", "", ""},
		{"a decision by its reason", "decision grind six pins", "2123 decision undersize: D1: grind all six pins 0.50 undersize; the smallest reading is 61.768 on pin 4. Mains stay standard.", "", ""},
		{"a result", "clearance main 7 2117", "2117 result main bearing 7 · running clearance, as found", `{"id":"clearance/2117/main.7/found","screen":"result"}`, ""},
		{"a stand", "stand 1", "stand stand 1", `{"s":"stand 1","screen":"t"}`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := s.search(c.q)
			got := finds(v)
			g := slices.IndexFunc(v.Get("groups").Items(), func(g jcs.Value) bool { return strings.HasPrefix(said(find(g, "lines.0")), c.first) })
			if g < 0 {
				t.Fatalf("%q finds %q", c.q, got)
			}
			if open := find(v, "groups."+strconv.Itoa(g)+".lines.0.open").String(); c.opens != "" && open != c.opens {
				t.Errorf("it opens %s, want %s", open, c.opens)
			}
			for _, line := range got {
				if c.not != "" && strings.Contains(line, c.not) {
					t.Errorf("%q finds %q too", c.q, line)
				}
			}
		})
	}
}

// TestFold: what stands on paper, on the block and on a foreign keyboard reads alike.
func TestFold(t *testing.T) {
	for in, want := range map[string]string{
		"": " ", "main bearing 3 · journal": " main bearing 3 journal ", "E2": " e 2 ", "R-0031": " r 31 ", "0.50": " 0 50 ", "007b00": " 7 b 0 ",
		"Größe µm": " grosse um ", "Cra\u0301nk": " crank ", "Łódź Æ": " lodz ae ", "втулка 3": " втулка 3 ", "12°–14°": " 12 14 ",
	} {
		if got := string(fold(nil, in)); got != want {
			t.Errorf("fold(%q) = %q, want %q", in, got, want)
		}
	}
}

// TestSearchSaysWhoseNumber: a find by a machinist's number says both numbers.
func TestSearchSaysWhoseNumber(t *testing.T) {
	v := demo(t).search("lunt pin 3")
	if got := find(v, "groups.0.lines.0.says").Text(); got != "our pin 4 is Mr Lunt's pin 3" {
		t.Error(got)
	}
}

// TestSearchGroups: the left engine stands first, every place has its engine,
// no more than forty are shown, and it says how many there are.
func TestSearchGroups(t *testing.T) {
	s := demo(t)
	v := s.search("journal")
	if find(v, "groups.0.engines.0.side").Text() != "left" || find(v, "groups.1.engines.0.side").Text() != "right" {
		t.Errorf("groups: %s", v.Get("groups"))
	}
	if got := v.Get("count").Int64(); got != MaxFound || !strings.HasPrefix(v.Get("says").Text(), "40 of ") {
		t.Errorf("%d, %s", got, v.Get("says"))
	}
	if l, r := len(find(v, "groups.0.lines").Items()), len(find(v, "groups.1.lines").Items()); l < 12 || r < 12 {
		t.Errorf("one engine crowds the other out: %d left, %d right", l, r)
	}
	for _, q := range []string{"2", "a", "head", "mr", "of"} {
		for _, g := range s.search(q).Get("groups").Items() {
			for _, l := range g.Get("lines").Items() {
				if k := l.Get("kind").Text(); (k == "place" || k == "fasteners" || k == "engine") && len(l.Get("asm").Texts()) != 1 {
					t.Errorf("%q: %s", q, l)
				}
			}
		}
	}
	if v = s.search("no such thing at all"); v.Get("count").Int64() != 0 || v.Get("says").Text() == "" {
		t.Errorf("%s", v)
	}
}

// TestRecent: with nothing typed the phone's own places come back, each with its engine.
func TestRecent(t *testing.T) {
	v := demo(t).view("search", `{"q":" ","recent":[{"asm":"2123","at":"pin.4.journal"},{"asm":"2117","at":"head"},{"asm":"9","at":"main.1.journal"},{"asm":"2123","at":"no.such"}]}`)
	if got := strings.Join(finds(v), ", "); got != "2117 fasteners cylinder head, 2123 place big-end pin 4 · journal" {
		t.Error(got)
	}
}

// TestSearchReasons: why something was struck is found, and opens its place.
func TestSearchReasons(t *testing.T) {
	v := demo(t).view("search", `{"q":"finger-tight caps"}`)
	i := slices.IndexFunc(finds(v), func(f string) bool { return strings.Contains(f, "the caps had been only finger-tight") })
	if i < 0 || find(v, "groups.0.lines.0.open.screen").Text() != "point" {
		t.Errorf("%v", finds(v))
	}
}

// TestSearchIsBlind: nothing that is found lets somebody see what the others
// read where a check reading was asked of him.
func TestSearchIsBlind(t *testing.T) {
	s := demo(t)
	for me, want := range map[string]string{"pell": "hidden until your check reading is kept", "maud": "too close to call"} {
		v := s.view("search", `{"q":"main bearing 7 running clearance 2117","me":"`+me+`"}`)
		if got := find(v, "groups.0.lines.0.says").Text(); got != want {
			t.Errorf("%s sees %q, want %q", me, got, want)
		}
		if strings.Contains(v.String(), "74.9") {
			t.Errorf("%s sees a figure: %s", me, v)
		}
	}
}

// listed is the demo's job with places on the type sheet that no drawing shows.
func listed(t *testing.T) shown {
	t.Helper()
	s := demo(t)
	for i := range s.st.Engines {
		e := &s.st.Engines[i]
		more := []jcs.Value{feature("tank.level", "coolant tank · level mark", 0), feature("coupling.N.bolt", "coupling {n} · bolt hole", 2), feature("clutch.N.travel", "clutch {n} · free travel", 1)}
		sheet := e.Pattern.JSON()
		p, err := pattern.Parse(sheet.With("features", jcs.Arr(append(sheet.Get("features").Items(), more...)...)))
		if err != nil {
			t.Fatal(err)
		}
		e.Pattern = p
	}
	return s
}

func feature(at, words string, n int64) jcs.Value {
	count := jcs.Null()
	if n > 0 {
		count = jcs.Int(n)
	}
	return jcs.Obj(str("at", at), str("words", words), str("sheet", "Away from the engine"), str("unit", "mm"), str("shape", "list"), jcs.M("count", count))
}

// TestPlacesNotDrawn: what no drawing shows is in the list, on the sheet, found
// by search, has a tag, and its point opens.
func TestPlacesNotDrawn(t *testing.T) {
	s := listed(t)
	v := s.view("engine", `{"asm":"2123"}`)
	for at, q := range map[string]string{"tank.level": "coolant tank 2123", "coupling.2.bolt": "right coupling 2 hole", "clutch.1.travel": "clutch 1 2123", "rod.3.side": "2123 pin 3 side float"} {
		if strings.Contains(v.Get("svg").Text(), `data-place="`+at+`"`) {
			t.Errorf("%s is drawn; this test is of what is not", at)
		}
		if !strings.Contains(v.Get("places").String(), `"at":"`+at+`"`) {
			t.Errorf("%s is not in the list", at)
		}
		if !strings.Contains(s.view("sheet", `{"asm":"2123"}`).String(), `"at":"`+at+`"`) {
			t.Errorf("%s is not on a sheet", at)
		}
		open := find(s.search(q), "groups.0.lines.0.open")
		if open.Get("at").Text() != at || open.Get("asm").Text() != "2123" {
			t.Errorf("%q opens %s", q, open)
		}
		if find(s.view("point", open.String()), "engine.asm").Text() != "2123" {
			t.Errorf("%s does not open", at)
		}
		if !strings.Contains(s.view("tags", `{}`).String(), `"p":"`+at+`"`) {
			t.Errorf("%s has no tag", at)
		}
	}
}

// BenchmarkSearch: a keystroke over a job of 20 000 entries, most of them notes.
func BenchmarkSearch(b *testing.B) {
	set := reconcile.New()
	for _, line := range story.Lines() {
		if _, err := set.Add(line); err != nil {
			b.Fatal(err)
		}
	}
	st := record.Build(set.Resolve())
	rs := result.All(st)
	for i := range 20_000 - st.Entries {
		n := strconv.Itoa(i)
		st.Notes = append(st.Notes, &record.Note{ID: entry.ID(n), Of: record.Of{Asm: "2123", At: "cyl.2.liner"}, By: "idris", At: "2027-03-06T10:00:00+01:00",
			Text: "Sheet " + n + ": wiped, measured twice, the lamp moved; the second reading stands, the first was on the burr by the bolt."})
	}
	for _, q := range []string{"m", "main 3", "lunt pin 3", "burr sheet 1999"} {
		b.Run(strings.ReplaceAll(q, " ", "_"), func(b *testing.B) {
			args := jcs.Obj(jcs.M("q", jcs.Str(q)))
			for b.Loop() {
				if v, err := View(st, rs, "search", args); err != nil || v.Get("count").Int64() == 0 {
					b.Fatal(v, err)
				}
			}
		})
	}
}
