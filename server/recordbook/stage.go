package recordbook

import (
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/view"
)

// stages are the stages of one engine, or of both together, as the plan has them.
type stages struct {
	Of  string
	All []stage
}

// stage is one stage with its hold point, if it ends in one, and whoever signed it.
type stage struct {
	Title, Hold, Says, Word string
	By, When, Why           string
	Left                    []string // what changed since it was signed, and what it waits for
	E                       ref
	Signed                  bool
}

// plan is the plan of the job with its signatures, engine by engine and then of both; nil without one.
func (m *maker) plan() []stages {
	v, err := view.View(m.st, m.rs, "stages", jcs.Null())
	if err != nil {
		panic("bug: the stages: " + err.Error())
	}
	if len(m.st.Stages) == 0 {
		return nil
	}
	var out []stages
	var both []string
	add := func(asm, of string, list jcs.Value) {
		if len(list.Items()) == 0 || !m.concerns(asm) {
			return
		}
		g := stages{Of: of}
		for _, s := range list.Items() {
			g.All = append(g.All, m.stage(s))
		}
		out = append(out, g)
	}
	for _, e := range v.Get("engines").Items() {
		asm := e.Get("engine").Get("asm").Text()
		both = append(both, asm)
		add(asm, asm, e.Get("stages"))
	}
	add(strings.Join(both, "+"), "Both engines together", v.Get("pair"))
	return out
}

func (m *maker) stage(v jcs.Value) stage {
	h := v.Get("hold")
	out := stage{Title: m.text(v.Get("title").Text()), Hold: h.Get("key").Text(), Says: m.text(h.Get("title").Text()), Word: h.Get("word").Text()}
	if s, ok := m.sign(h.Get("signed").Get("id").Text()); ok {
		out.Signed, out.By, out.When, out.Why, out.E = true, m.who.Person(s.By), when(s.At), m.text(s.Reason()), m.ref(s.ID)
	}
	if out.Why == record.DoneBefore {
		out.Why = "" // the word says it
	}
	if state := h.Get("state").Text(); state == "signed" || state == "conceded" {
		return out
	}
	for _, c := range h.Get("changed").Texts() {
		out.Left = append(out.Left, m.text(c))
	}
	for _, t := range h.Get("todo").Items() {
		out.Left = append(out.Left, m.text(t.Get("words").Text()))
	}
	return out
}

func (m *maker) sign(id string) (record.Sign, bool) {
	for _, s := range m.st.Signs {
		if s.ID == entry.ID(id) {
			return s, true
		}
	}
	return record.Sign{}, false
}
