package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// stages shows how far both engines are: every stage, its hold point, and what
// that still waits for, as things to do. A job without a plan gets the draft
// of a common one.
func (v *viewer) stages() jcs.Value {
	var engines []jcs.Value
	both := v.inOrder()
	for _, e := range both {
		var own []jcs.Value
		for _, s := range v.st.Stages {
			if !s.Pair {
				own = append(own, v.stage(s, []*record.Engine{e}))
			}
		}
		engines = append(engines, jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("stages", jcs.Arr(own...))))
	}
	var pair []jcs.Value
	for _, s := range v.st.Stages {
		if s.Pair {
			pair = append(pair, v.stage(s, both))
		}
	}
	draft := jcs.Null()
	if len(v.st.Stages) == 0 && len(both) > 0 && both[0].Pattern != nil {
		draft = jcs.Obj(str("kind", "stages"), jcs.M("body", jcs.Obj(jcs.M("stages", commonPlan(both[0].Pattern)))))
	}
	return jcs.Obj(jcs.M("engines", jcs.Arr(engines...)), jcs.M("pair", jcs.Arr(pair...)), jcs.M("draft", draft))
}

func (v *viewer) stage(s record.Stage, es []*record.Engine) jcs.Value {
	hold := jcs.Null()
	if s.Hold != nil {
		hold = v.holdPoint(s.Hold, es)
	}
	return jcs.Obj(str("key", s.Key), str("title", s.Title), jcs.M("hold", hold))
}

// holdState is a hold point of one engine, or of the pair.
type holdState struct {
	todo    []todo
	behind  int      // how many of them are earlier hold points
	changed []string // results that are not what they were when it was signed
	free    bool     // no condition is set that it waits for
	sign    *record.Sign
}

// todo is one thing that keeps a hold point from being met.
type todo struct {
	words string
	open  jcs.Value
}

func (v *viewer) stateOfHold(h *record.Hold, es []*record.Engine) holdState {
	s := holdState{free: len(h.Wants) == 0}
	for _, w := range h.Wants {
		if w.What == "matched" {
			s.todo = append(s.todo, v.unmatched(es)...)
			continue
		}
		if w.What == "signed" {
			earlier := v.unsigned(w.Of, es)
			s.todo, s.behind = append(s.todo, earlier...), s.behind+len(earlier)
			continue
		}
		for _, e := range es {
			s.todo = append(s.todo, v.want(w, e)...)
		}
	}
	if s.sign = v.signOf(h.Key, es); s.sign != nil {
		for _, r := range s.sign.Rests {
			if now := v.find(r.Result); now == nil || string(now.Verdict) != r.Verdict {
				s.changed = append(s.changed, v.changedWords(r))
			}
		}
	}
	return s
}

func (v *viewer) changedWords(r record.Rest) string {
	now := v.find(r.Result)
	if now == nil {
		return r.Result + " is gone"
	}
	return now.Asm + " · " + now.Words + " was " + word(calc.Verdict(r.Verdict), false) + ", now " + word(now.Verdict, now.Close)
}

// state in a word. What was signed without a concession holds as long as what
// it rests on says the same and nothing new is wanting.
func (s holdState) state() (key, words string) {
	switch {
	case s.sign == nil && s.free:
		return "met", "nothing is set that it waits for"
	case s.sign == nil && len(s.todo) == 0:
		return "met", "ready to sign"
	case s.sign == nil && len(s.todo) == 1:
		return "open", "one thing to do"
	case s.sign == nil:
		return "open", strconv.Itoa(len(s.todo)) + " things to do"
	case s.sign.Contested:
		return "contested", "signed twice, not alike"
	case len(s.changed) > 0 || len(s.todo) > 0 && s.sign.Why == "":
		return "broken", "signed, and no longer holds"
	case s.sign.Why != "":
		if s.sign.Before() {
			return "conceded", record.DoneBefore
		}
		return "conceded", "signed, with a concession"
	}
	return "signed", "signed"
}

func (v *viewer) holdPoint(h *record.Hold, es []*record.Engine) jcs.Value {
	s := v.stateOfHold(h, es)
	key, words := s.state()
	signed, draft, before := jcs.Null(), jcs.Null(), jcs.Null()
	if s.sign != nil {
		signed = jcs.Obj(str("id", string(s.sign.ID)), text("by", v.person(s.sign.By)), text("at", s.sign.At), str("why", s.sign.Reason()), flag("before", s.sign.Before()))
	}
	if key != "signed" && key != "conceded" {
		draft = v.signDraft(h, es)
	}
	if key == "open" && len(s.todo) > 0 || key == "met" && !proves(h) {
		before = beforeDraft(draft)
	}
	return jcs.Obj(str("key", h.Key), str("title", h.Title), str("state", key), str("word", words), jcs.M("signed", signed), jcs.M("changed", jcs.Strs(s.changed)),
		list("todo", s.todo, func(t todo) jcs.Value { return jcs.Obj(text("words", t.words), jcs.M("open", t.open)) }), jcs.M("draft", draft), jcs.M("before", before))
}

// proves reports whether a hold point waits for anything that this record holds itself. One that only waits for signatures is
// ready to be signed at once, also by somebody who came when it was long over and saw nothing of it.
func proves(h *record.Hold) bool {
	return slices.ContainsFunc(h.Wants, func(w record.Want) bool { return w.What != "signed" })
}

// beforeDraft signs a hold point for what was done before the record began: who says so, and how that is known, is asked
// before it is written. It rests on nothing, since nothing was seen.
func beforeDraft(draft jcs.Value) jcs.Value {
	return draft.With("body", draft.Get("body").With("rests", jcs.Arr()).With("why", jcs.Str(record.DoneBefore)))
}

// signDraft rests on every result that the hold point looks at, as it is now.
func (v *viewer) signDraft(h *record.Hold, es []*record.Engine) jcs.Value {
	var asm, over []string
	var rests []jcs.Value
	for _, e := range es {
		asm = append(asm, e.Serial)
		for i := range v.rs {
			if r := &v.rs[i]; v.looksAt(h, e, r.Asm, r.Sheet) && v.latest(r.ID) {
				rests = append(rests, jcs.Obj(str("result", r.ID), text("verdict", string(r.Verdict))))
			}
		}
	}
	for _, s := range v.st.Signs {
		if s.Hold == h.Key && sameEngines(s.Asm, es) {
			over = append(over, string(s.ID))
		}
	}
	return jcs.Obj(str("kind", "sign"), jcs.M("over", jcs.Strs(over)),
		jcs.M("body", jcs.Obj(str("hold", h.Key), jcs.M("asm", jcs.Strs(asm)), jcs.M("rests", jcs.Arr(rests...)))))
}

func (v *viewer) looksAt(h *record.Hold, e *record.Engine, asm, sheet string) bool {
	return slices.Contains(strings.Split(asm, "+"), e.Serial) &&
		slices.ContainsFunc(h.Wants, func(w record.Want) bool { return w.What == "within" && w.Of == sheet })
}

// signOf is the signature that stands; of several the first is shown and they
// are contested.
func (v *viewer) signOf(hold string, es []*record.Engine) *record.Sign {
	for i := range v.st.Signs {
		if s := &v.st.Signs[i]; s.Hold == hold && sameEngines(s.Asm, es) {
			return s
		}
	}
	return nil
}

func sameEngines(asm []string, es []*record.Engine) bool {
	return len(asm) == len(es) && !slices.ContainsFunc(es, func(e *record.Engine) bool { return !slices.Contains(asm, e.Serial) })
}
