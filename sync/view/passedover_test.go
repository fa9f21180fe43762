package view

import (
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// TestTightenedAgainHalfWay: a round after the first heat that was begun is
// the pass that is open, and what it passed over is said at once.
func TestTightenedAgainHalfWay(t *testing.T) {
	p := newPen(t)
	p.takeBack(func(e entry.Entry) bool {
		return e.Kind == "tighten" && e.Body.Get("of").Get("asm").Text() == "2117" && e.Body.Get("pass").Int64() == 4
	})
	look := func() jcs.Value {
		v, err := View(p.state(), nil, "tighten", jcs.Obj(jcs.M("asm", jcs.Str("2117")), jcs.M("joint", jcs.Str("head")), jcs.M("cond", jcs.Str("built"))))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	before := look()
	if before.Get("next").Text() != "" {
		t.Fatalf("the scenario's head is not tightened: next is %s", before.Get("next"))
	}
	if got, want := before.Get("after_heat").Text(), "After the first run, cold: tighten again, one nut at a time, and note how far each moved."; got != want {
		t.Errorf("after the heat: %q, want %q", got, want)
	}
	passes := len(before.Get("passes").Items())
	order := before.Get("passes").Items()[0].Get("done").Texts()
	p.write("tighten", `{"of":{"asm":"2117","at":"head"},"cond":"built","pass":4,"fasteners":["14"],"torque":{"t":"130","u":"N.m"},"thread":"oiled","tool":"W2"}`)
	now := look()
	if got := now.Get("pass").Int64(); got != 4 || now.Get("next").Text() == "" {
		t.Errorf("open is pass %d, next %q, of %d fasteners and %d passes before", got, now.Get("next").Text(), len(order), passes)
	}
	if r := now.String(); !strings.Contains(r, "Passed over: ") || !strings.Contains(r, " before 14.") {
		t.Errorf("nothing is said of what was passed over: %s", now.Get("passes"))
	}
}
