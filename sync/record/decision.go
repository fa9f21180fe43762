package record

import (
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

func decisionOf(it *reconcile.Item) Decision {
	v := it.Effective
	d := Decision{ID: it.ID, Decide: v.Get("decide").Text(), Asm: v.Get("asm").Texts(), Chosen: v.Get("chosen").String(), Rests: rests(v),
		Inputs: v.Get("inputs").Texts(), Why: v.Get("why").Text(), By: it.By, At: it.At, Contested: it.Contest > 0,
		Open: v.Get("open").Text(), Original: v.Get("original").IsTrue(), Alternatives: v.Get("alternatives").Text(), Consent: v.Get("consent").Text()}
	if w := v.Get("work"); !w.IsNull() {
		d.Work = &Work{To: w.Get("to").Text(), Note: w.Get("note").Text()}
		for _, l := range w.Get("lines").Items() {
			d.Work.Lines = append(d.Work.Lines, WorkLine{l.Get("what").Text(), l.Get("size").Text(), l.Get("tol").Text(), l.Get("at").Text()})
		}
	}
	return d
}

// rests are the results that a decision or a signature rests on, as they were.
func rests(v jcs.Value) []Rest {
	var out []Rest
	for _, r := range v.Get("rests").Items() {
		x := Rest{Result: r.Get("result").Text(), Verdict: r.Get("verdict").Text(), Says: r.Get("says").Text()}
		for _, val := range r.Get("vals").Items() {
			x.Vals = append(x.Vals, RestVal{val.Get("name").Text(), val.Get("label").Text(), val.Get("text").Text(), val.Get("unit").Text(), val.Get("choice").IsTrue()})
		}
		out = append(out, x)
	}
	return out
}

// Decision returns the decision of that entry while it stands.
func (s *State) Decision(id string) (*Decision, bool) {
	for i := range s.Decisions {
		if string(s.Decisions[i].ID) == id {
			return &s.Decisions[i], true
		}
	}
	return nil, false
}

func (d Decision) json() jcs.Value {
	work := jcs.Null()
	if d.Work != nil {
		work = jcs.Obj(str("to", d.Work.To), str("note", d.Work.Note), list("lines", d.Work.Lines, func(l WorkLine) jcs.Value {
			return jcs.Obj(str("what", l.What), str("size", l.Size), str("tol", l.Tol), str("at", l.At))
		}))
	}
	return jcs.Obj(id("id", d.ID), str("decide", d.Decide), texts("asm", d.Asm), str("chosen", d.Chosen), texts("inputs", d.Inputs), str("why", d.Why),
		str("by", d.By), str("at", d.At), flag("contested", d.Contested), list("rests", d.Rests, Rest.json), str("open", d.Open), flag("original", d.Original),
		str("alternatives", d.Alternatives), str("consent", d.Consent), jcs.M("work", work))
}

func (r Rest) json() jcs.Value {
	return jcs.Obj(str("result", r.Result), str("verdict", r.Verdict), str("says", r.Says), some("vals", r.Vals, func(v RestVal) jcs.Value {
		return jcs.Obj(str("name", v.Name), str("label", v.Label), str("text", v.Text), str("unit", v.Unit), flag("choice", v.Choice))
	}))
}
