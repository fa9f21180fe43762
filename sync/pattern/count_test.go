package pattern

import (
	"strings"
	"testing"
)

func edits(lines ...string) []Edit {
	var out []Edit
	for _, l := range lines {
		key, text, _ := strings.Cut(l, "=")
		out = append(out, Edit{key, text})
	}
	return out
}

// TestCounts: how many there are is changed, what stays keeps what was said of it, and what is new comes as its neighbours.
func TestCounts(t *testing.T) {
	for _, c := range []struct {
		name   string
		edits  []Edit
		fields map[string]string
		wrong  string
	}{
		{"a cylinder goes, and what hangs on it", edits("cylinders=5"), map[string]string{"cylinders": "5", "mains": "6", "firing": "", "valves": "E I",
			"feature|main.N.journal|each": "1 2 3 4 5 6", "feature|pin.N.journal|each": "1 2 3 4 5", "feature|cyl.N.liner|each": "1 2 3 4 5", "feature|rod.N.side|each": "1 2 3 4 5",
			"feature|valve.N.clay|each": "E1 I1 I2 E2 E3 I3 I4 E4 E5 I5", "feature|injector.N.opening|each": "1 2 3 4 5", "studs": "26"}, ""},
		{"two more cylinders", edits("cylinders=8"), map[string]string{"mains": "9", "feature|cyl.N.liner|each": "1 2 3 4 5 6 7 8", "feature|valve.N.clay|each": "E1 I1 I2 E2 E3 I3 I4 E4 E5 I5 I6 E6 E7 I7 I8 E8",
			"feature|pin.N.journal|points": "a.V a.H b.V b.H c.V c.H"}, ""},
		{"mains of their own number", edits("cylinders=4", "mains=3"), map[string]string{"mains": "3", "feature|main.N.shell|each": "1 2 3", "feature|cyl.N.bowl|each": "1 2 3 4"}, ""},
		{"whatever was typed first", edits("mains=3", "firing=1-3-4-2", "cylinders=4"), map[string]string{"mains": "3", "firing": "1 3 4 2"}, ""},
		{"mains one more than cylinders", edits("mains="), map[string]string{"mains": "7"}, ""},
		{"a row that was changed by hand", edits("feature|cyl.N.bowl|each=6 5 4 3 2 1", "feature|cyl.N.bowl|words=cylinder {n} · dish", "cylinders=5"),
			map[string]string{"feature|cyl.N.bowl|words": "cylinder {n} · dish"}, ""},
		{"valves the other way round", edits("valves=I E"), map[string]string{"valves": "I E", "feature|valve.N.clay|each": "I1 E1 E2 I2 I3 E3 E4 I4 I5 E5 E6 I6"}, ""},
		{"four valves, by name", edits("valves=A1 B1 C1 D1 A2 B2 C2 D2 A3 B3 C3 D3 A4 B4 C4 D4", "cylinders=4"), map[string]string{"feature|valve.N.clay|each": "A1 B1 C1 D1 A2 B2 C2 D2 A3 B3 C3 D3 A4 B4 C4 D4"}, ""},
		{"no valves", edits("valves="), map[string]string{"valves": "", "feature|valve.N.clay|each": "(none)"}, ""},
		{"a valve too few", edits("valves=E1 I1 E2"), map[string]string{"valves": "E I"}, "two letters, as E I"},
		{"fewer studs, laid out as the form does", edits("studs=22"), map[string]string{"studs": "22", "joint|head|order": "6 17 7 18 5 16 8 19 4 15 9 20 3 14 10 21 2 13 11 22 1 12", "joint|head|12|y": "800", "joint|head|thread": "oiled"}, ""},
		{"another row of studs", edits("studs=27", "stud_rows=3"), map[string]string{"studs": "27", "stud_rows": "3", "joint|head|10|y": "500"}, ""},
		{"studs placed by hand stay", edits("joint|head|14|y=900", "studs=26"), map[string]string{"joint|head|14|y": "900"}, ""},
		{"no cylinders", edits("cylinders=0"), map[string]string{"cylinders": "6"}, "a whole number from 1 to 16"},
		{"cylinders in words", edits("cylinders=six"), map[string]string{"cylinders": "6"}, "a whole number from 1 to 16"},
		{"too many mains", edits("mains=40"), map[string]string{"mains": "7"}, "a whole number from 1 to 17"},
		{"too many rows", edits("stud_rows=9"), map[string]string{"stud_rows": "2"}, "a whole number from 1 to 8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			now, wrong := theDemo(t).With(c.edits)
			for key, want := range c.fields {
				if got := fieldOf(now, key); got != want {
					t.Errorf("%s says %q, want %q", key, got, want)
				}
			}
			if (len(wrong) > 0) != (c.wrong != "") || len(wrong) > 0 && !strings.Contains(wrong[0].Says, c.wrong) {
				t.Errorf("wrong: %v, want '… %s …'", wrong, c.wrong)
			}
		})
	}
}

// TestCountsByHand: an edit that was kept before the counts change stays, and studs that were moved are not laid out anew.
func TestCountsByHand(t *testing.T) {
	p, wrong := theDemo(t).With(edits("joint|head|14|y=900", "nominal|bore=107.02", "feature|cyl.N.gap|each=2 4", "feature|cyl.N.bowl|each=6 5 4 3 2 1"))
	if len(wrong) > 0 {
		t.Fatal(wrong)
	}
	for _, c := range []struct{ name, edit, key, want string }{
		{"studs behind the last", "studs=28", "joint|head|14|y", "900"}, {"their order goes on", "studs=27", "joint|head|order", fieldOf(p, "joint|head|order") + " 27"},
		{"the last goes", "studs=25", "joint|head|26|x", "(none)"}, {"a size", "cylinders=5", "nominal|bore", "107.02\u2009mm"},
		{"a row of some gets no others", "cylinders=8", "feature|cyl.N.gap|each", "2 4"}, {"and loses its own", "cylinders=3", "feature|cyl.N.gap|each", "2"},
		{"the order of a walk", "cylinders=7", "feature|cyl.N.bowl|each", "6 5 4 3 2 1 7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			now, wrong := p.With(edits(c.edit))
			if got := fieldOf(now, c.key); got != c.want || len(wrong) > 0 {
				t.Errorf("%s says %q, want %q; %v", c.key, got, c.want, wrong)
			}
		})
	}
	if _, wrong := p.With(edits("stud_rows=4")); len(wrong) != 1 || !strings.Contains(wrong[0].Says, "placed by hand") {
		t.Errorf("rows of studs placed by hand: %v", wrong)
	}
	short, _ := theDemo(t).With(edits("valves=A1 B1 A2 B2 A3 B3 A4 B4 A5 B5 A6 B6"))
	if _, wrong := short.With(edits("cylinders=8")); len(wrong) != 1 || wrong[0].Key != "valves" {
		t.Errorf("names are not guessed: %v", wrong)
	}
}

// TestCountsBack: whatever the counts were in between, the sheet with its first ones again is the sheet as it was, but for the
// firing order, which is never guessed.
func TestCountsBack(t *testing.T) {
	p := theDemo(t)
	for _, between := range [][]Edit{edits("cylinders=5"), edits("cylinders=1"), edits("cylinders=16"), edits("mains=3"), edits("cylinders=4", "mains=3"), edits("studs=22"), edits("studs=10", "stud_rows=1"), edits("valves=I E")} {
		there, wrong := p.With(between)
		if len(wrong) > 0 {
			t.Fatal(between, wrong)
		}
		back, wrong := there.With(edits("cylinders=6", "mains=7", "valves=E I", "studs=26", "stud_rows=2", "firing=1 5 3 6 2 4"))
		if len(wrong) > 0 || back.JSON().String() != p.JSON().String() {
			t.Errorf("%v and back: %v\n%v", between, wrong, p.Changes(back))
		}
	}
}

// TestCountsFromNothing: what a sheet had none of comes as the small form makes it.
func TestCountsFromNothing(t *testing.T) {
	small := Inline{Name: "T2", End1: "fan", End2: "flywheel", Cylinders: 2}
	p, err := Parse(small.Sheet())
	if err != nil {
		t.Fatal(err)
	}
	now, wrong := p.With(edits("valves=E I", "studs=10", "cylinders=4"))
	small.Valves, small.Studs, small.Cylinders = "E I", 10, 4
	want, err := Parse(small.Sheet())
	if err != nil || len(wrong) > 0 || now.File("") != want.File("") {
		t.Errorf("%v %v\n%v", err, wrong, want.Changes(now))
	}
}

// TestCountChanges: a changed count is one line, and not one for every row that follows it.
func TestCountChanges(t *testing.T) {
	p := theDemo(t)
	now, _ := p.With(edits("cylinders=5", "feature|cyl.N.gap|each=1 2"))
	var got []string
	for _, c := range p.Changes(now) {
		got = append(got, strings.TrimSpace(c.Of+" "+c.Label))
	}
	if want := "Firing order, Cylinders, Main bearings, " + "cylinder · ring gap" + " Numbered"; strings.Join(got, ", ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, ", "), want)
	}
}

// TestStudMoved: a stud moved by hand is said by its own line, and not as other rows.
func TestStudMoved(t *testing.T) {
	p := theDemo(t)
	now, _ := p.With(edits("joint|head|14|y=900"))
	got := p.Changes(now)
	if len(got) != 2 || got[0] != (Change{"", "Rows of head studs", "2", "by hand"}) || got[1] != (Change{"cylinder head, 14", "Across it", "800", "900"}) {
		t.Errorf("%+v", got)
	}
}
