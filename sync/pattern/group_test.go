package pattern

import (
	"strings"
	"testing"
)

// TestGroups: what is counted in one go, and where a place stands in it.
func TestGroups(t *testing.T) {
	p := theDemo(t)
	var got []string
	for _, g := range p.Groups() {
		got = append(got, g.Key+" "+g.Word+" "+g.Each[0]+"–"+g.Each[len(g.Each)-1])
	}
	want := "main main bearing 1–7; pin big-end pin 1–6; cyl cylinder 1–6; valve.E exhaust valve E1–E6; valve.I inlet valve I1–I6; injector injector 1–6; head.stud cylinder head stud 1–26"
	if strings.Join(got, "; ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "; "), want)
	}
	for _, c := range []struct{ at, key, ours string }{
		{"main.3.journal", "main", "3"}, {"rod.4.side", "pin", "4"}, {"valve.I2.clay", "valve.I", "I2"}, {"head.stud.14", "head.stud", "14"},
		{"head.stud.99", "", ""}, {"crank.float", "", ""}, {"main.9.journal", "", ""},
	} {
		if g, n, ok := p.GroupOf(c.at); g.Key != c.key || n != c.ours || ok != (c.key != "") {
			t.Errorf("GroupOf(%s) = %s %s %v, want %s %s", c.at, g.Key, n, ok, c.key, c.ours)
		}
	}
}

// TestHas: places, joints, fasteners and what places are of.
func TestHas(t *testing.T) {
	p := theDemo(t)
	for at, want := range map[string]bool{"main.3.journal": true, "main.3": true, "main": true, "main.8": false, "main.3.bush": false, "crank.float": true, "crank": true, "gasket": true, "gasket.glue": false,
		"head": true, "head.stud.14": true, "head.stud.99": false, "valve.E1.clay": true, "valve.E9": false, "sump": false, "main.3.journal.b": false} {
		if got := p.Has(at); got != want {
			t.Errorf("Has(%s) = %v", at, got)
		}
	}
}
