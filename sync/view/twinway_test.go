package view

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
)

// wayHere is how the group of a sheet was measured on the twin.
func wayHere(v jcs.Value, sheet string) jcs.Value {
	for _, g := range v.Get("groups").Items() {
		if g.Get("sheet").Text() == sheet {
			return g.Get("way")
		}
	}
	return jcs.Null()
}

// walked are the stops that Next leads to, one after the other, from the first.
func walked(s shown, asm, more string, n int) (out []string) {
	next := s.view("sheet", `{"asm":"`+asm+`",`+more+`}`).Get("next")
	for ; len(out) < n; next = s.view("point", `{"asm":"`+asm+`","at":"`+next.Get("at").Text()+`","point":"`+next.Get("point").Text()+`",`+more+`}`).Get("next") {
		out = append(out, next.Get("at").Text()+" "+next.Get("point").Text())
	}
	return out
}

func gap(n, t string) string {
	return `reading {"of":{"asm":"2117","at":"cyl.` + n + `.gap"},"cond":"found","value":{"t":"` + t + `","u":"mm"},"read_by":"maud","instrument":"S2"}`
}

const crankSheet = "Crank and bearings"

// TestTwinWay: the order, instruments, condition and counts of the demo's
// crank, measured pins first on the right engine.
func TestTwinWay(t *testing.T) {
	s := demo(t)
	v := s.view("sheet", `{"asm":"2117","walk":"twin","sheet":"`+crankSheet+`"}`)
	w := wayHere(v, crankSheet)
	for _, c := range []struct{ path, want string }{
		{"cond", "found"}, {"tools.0.key", "M1"}, {"tools.0.what", "micrometer 50–75"}, {"units.0", "mm"}, {"start_with", "M1"},
		{"steps.0.at", "pin.1.journal"}, {"steps.0.tool", "M1"}, {"steps.0.points.0.point", "a.V"}, {"steps.1.at", "pin.2.journal"}, {"also.0.cond", "machined:1"},
		{"steps.6.at", "main.1.journal"}, {"steps.6.points.0.point", "b.V"}, {"steps.6.tool", "M1 and M2"},
	} {
		if got := find(w, c.path).Text(); got != c.want {
			t.Errorf("%s is %q, want %q", c.path, got, c.want)
		}
	}
	if n := len(find(w, "steps.0.points").Items()); n != 6 || find(w, "steps.0.points.0.readings").Int64() != 1 {
		t.Errorf("%d points at the first place: %s", n, find(w, "steps.0"))
	}
	if v.Get("twin").Text() != "the right engine" || find(v, "next.at").Text() != "pin.1.journal" {
		t.Errorf("twin %q, next %s", v.Get("twin").Text(), v.Get("next"))
	}
}

// gaps are ring gaps of the left engine: from the far end, the first read three
// times, the second put right at the end, one skipped, two left out.
func gaps(t *testing.T) shown {
	s, _ := holding(t, gap("6", "0.431"), gap("6", "0.432"), gap("6", "0.433"), gap("4", "0.441"),
		`check {"of":{"asm":"2117","at":"cyl.5.gap"},"cond":"found","answer":"skipped","why":"ring broken"}`,
		gap("2", "0.451"), strings.Replace(gap("4", "0.461"), "reading", "reading@3", 1))
	return s
}

// TestTwinWalk: Next follows the order of the left engine, comes to what was
// skipped there all the same, and at the end to what was left out there.
func TestTwinWalk(t *testing.T) {
	s := gaps(t)
	got := walked(s, "2123", `"walk":"twin","sheet":"Bores and pistons"`, 5)
	want := []string{"cyl.6.gap ", "cyl.4.gap ", "cyl.5.gap ", "cyl.2.gap ", "cyl.1.gap "}
	if !slices.Equal(got, want) {
		t.Errorf("walked %q, want %q", got, want)
	}
	if got := walked(s, "2123", `"sheet":"Bores and pistons"`, 1)[0]; got == want[0] {
		t.Errorf("place by place begins at %s as well", got)
	}
}

// TestTwinSkip: the point skipped on the left is missing here, with the reason.
func TestTwinSkip(t *testing.T) {
	v := gaps(t).view("sheet", `{"asm":"2123"}`)
	w := wayHere(v, "Bores and pistons")
	steps := w.Get("steps").Items()
	if n := find(steps[len(steps)-4], "points.0.readings").Int64(); n != 3 || w.Get("start_with").Text() != "S2" {
		t.Errorf("%d readings at the first gap, beginning with %q", n, w.Get("start_with").Text())
	}
	if got := find(steps[len(steps)-2], "points.0.skipped").Text(); got != "ring broken" {
		t.Errorf("skipped there: %q", got)
	}
	places := find(v, "groups.1.places").Items()
	i := slices.IndexFunc(places, func(p jcs.Value) bool { return p.Get("at").Text() == "cyl.5.gap" })
	if x := find(places[i], "points.0"); x.Get("state").Text() != "missing" || x.Get("there").Text() != "skipped on the left: ring broken" {
		t.Errorf("here it says %s", x)
	}
}

// TestTwinWayTellsNoValue: nothing that was read on the other engine stands in
// how it was read.
func TestTwinWayTellsNoValue(t *testing.T) {
	s := gaps(t)
	looked := 0
	for asm, twin := range map[string]string{"2117": "2123", "2123": "2117"} {
		for _, g := range s.view("sheet", `{"asm":"`+asm+`","walk":"twin"}`).Get("groups").Items() {
			way := g.Get("way").String()
			for _, p := range s.st.Places {
				for _, r := range p.Readings {
					if r.Asm != twin || !strings.Contains(r.Value.Text, ".") {
						continue
					}
					looked++
					if strings.Contains(way, r.Value.Text) {
						t.Errorf("%s tells %s of %s", g.Get("sheet"), r.Value.Text, p.At)
					}
				}
			}
		}
	}
	if looked < 300 {
		t.Errorf("only %d values were looked for", looked)
	}
}
