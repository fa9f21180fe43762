package view

import (
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// undone keeps what the view says takes an entry back.
func undone(t *testing.T, p *pen, id entry.ID) jcs.Value {
	t.Helper()
	v, err := View(p.state(), nil, "undo", jcs.Obj(jcs.M("id", jcs.Str(string(id)))))
	if err != nil {
		t.Fatal(err)
	}
	if !v.IsNull() {
		var over []entry.ID
		for _, o := range v.Get("over").Texts() {
			over = append(over, entry.ID(o))
		}
		p.write(v.Get("kind").Text(), v.Get("body").String(), over...)
	}
	return v
}

// TestUndo: what is undone gives back what it had taken the place of; what was
// new is taken back; what settled two readings is not undone in passing.
func TestUndo(t *testing.T) {
	p := newPen(t)
	read := func(text string, over ...entry.ID) entry.ID {
		return p.write("reading", `{"of":{"asm":"2117","at":"main.1.journal","point":"b.V","part":"2117:crank"},"cond":"found","value":{"t":"`+text+`","u":"mm"},"read_by":"pell"}`, over...)
	}
	stands := func() (out []string) {
		for _, r := range p.state().At("2117:crank", "main.1.journal", "b.V", "found") {
			if r.Struck == "" {
				out = append(out, r.Value.Text+" "+r.ReadBy)
			}
		}
		return out
	}
	first := read("74.973")
	second := read("74.976", first)
	if v := undone(t, p, second); v.Get("back").Text() != "74.973\u2009mm" {
		t.Errorf("says %s", v)
	}
	if got := stands(); len(got) != 1 || got[0] != "74.973 pell" {
		t.Errorf("a correction undone: %q stands, want the reading before, of who took it", got)
	}
	a, b := read("74.90"), read("74.91")
	undone(t, p, b)
	if got := stands(); len(got) != 2 {
		t.Errorf("a new reading undone: %q stands", got)
	}
	ruled := read("74.97", a, b)
	if v := undone(t, p, ruled); !v.IsNull() {
		t.Errorf("a settlement is undone by %s", v)
	}
}

// TestUndoDecision: a decision that took the place of another gives it back.
func TestUndoDecision(t *testing.T) {
	p := newPen(t)
	ds := p.state().Decisions
	d := ds[len(ds)-1]
	was, _ := p.state().Saying(d.ID)
	now := p.write("decision", was.Body.With("why", jcs.Str("another one")).String(), d.ID)
	undone(t, p, now)
	for _, x := range p.state().Decisions {
		if x.Decide == d.Decide {
			if got, _ := p.state().Saying(x.ID); got.Body.String() != was.Body.String() {
				t.Errorf("after the undoing it says %s, before %s", got.Body, was.Body)
			}
			return
		}
	}
	t.Error("no decision of it is left")
}
