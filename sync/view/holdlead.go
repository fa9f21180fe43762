package view

import (
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// openHold is a stage whose hold point does not hold: not signed yet, or signed and no longer true.
type openHold struct {
	stage      record.Stage
	state      holdState
	key, words string
}

// openHolds are those of an engine, or of the pair, in the order of the plan.
func (v *viewer) openHolds(es []*record.Engine, pair bool) []openHold {
	var out []openHold
	for _, s := range v.st.Stages {
		if s.Pair != pair || s.Hold == nil {
			continue
		}
		state := v.stateOfHold(s.Hold, es)
		if key, words := state.state(); key != "signed" && key != "conceded" {
			out = append(out, openHold{s, state, key, words})
		}
	}
	return out
}

// holdLead is what the plan has for the lead's list: the hold points that were signed and no longer hold, for a reason of
// their own, and, of each engine and of the pair, the first that is not signed yet with the one that comes after it.
func (v *viewer) holdLead() (again, now []jcs.Value) {
	add := func(es []*record.Engine, pair bool) {
		var next []openHold
		for _, h := range v.openHolds(es, pair) {
			switch {
			case h.key == "broken" && h.state.ownReason():
				again = append(again, v.stageLine(h, es, h.state.wants()))
			case h.key == "open" || h.key == "met":
				next = append(next, h)
			}
		}
		if len(next) == 0 {
			return
		}
		says := next[0].state.wants()
		if len(next) > 1 {
			says = strings.TrimSpace(says + " After it: " + holdWords(next[1].stage.Hold) + ".")
		}
		now = append(now, v.stageLine(next[0], es, says))
	}
	both := v.inOrder()
	for _, e := range both {
		add([]*record.Engine{e}, false)
	}
	if len(both) > 1 {
		add(both, true)
	}
	return again, now
}

func (v *viewer) stageLine(h openHold, es []*record.Engine, says string) jcs.Value {
	asm := ""
	if !h.stage.Pair {
		asm = es[0].Serial
	}
	return v.leadLine(serials(es)+" · "+h.stage.Title, strings.TrimSpace(holdWords(h.stage.Hold)+". "+says), h.words, asm, jcs.Obj(str("screen", "stages")))
}

func holdWords(h *record.Hold) string { return h.Key + ", " + h.Title }

// ownReason: something changed or is to do here, and not only at an earlier hold point, which is said by itself.
func (s holdState) ownReason() bool { return len(s.changed) > 0 || len(s.todo) > s.behind }

// wants says what keeps a hold point from being met or from holding on, "" for nothing.
func (s holdState) wants() string {
	var todo []string
	for _, t := range s.todo {
		todo = append(todo, t.words)
	}
	return strings.TrimSpace(firstOf("Changed since it was signed", s.changed) + " " + firstOf("To do", todo))
}

// firstOf says the first of several things and how many more there are.
func firstOf(what string, all []string) string {
	switch len(all) {
	case 0:
		return ""
	case 1:
		return what + ": " + all[0] + "."
	}
	return what + ": " + all[0] + "; and " + counted(len(all)-1, "thing more", "things more") + "."
}
