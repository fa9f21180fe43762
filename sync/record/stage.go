package record

import (
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

// stages gathers the plan of the job and the hold points signed. While two
// plans are contested the first is shown.
func (b *builder) stages() {
	b.standing("stages", func(it *reconcile.Item, v jcs.Value) {
		if b.s.Plan != "" {
			return
		}
		b.s.Plan = it.ID
		for _, s := range v.Get("stages").Items() {
			b.s.Stages = append(b.s.Stages, stageOf(s))
		}
	})
	b.standing("sign", func(it *reconcile.Item, v jcs.Value) {
		s := Sign{ID: it.ID, Hold: v.Get("hold").Text(), Asm: v.Get("asm").Texts(), Why: v.Get("why").Text(), Says: v.Get("says").Text(), How: v.Get("how").Text(), By: it.By, At: it.At, Contested: it.Contest > 0}
		s.Rests = rests(v)
		b.s.Signs = append(b.s.Signs, s)
	})
}

func stageOf(v jcs.Value) Stage {
	s := Stage{Key: v.Get("key").Text(), Title: v.Get("title").Text(), Pair: v.Get("pair").IsTrue()}
	h := v.Get("hold")
	if h.IsNull() {
		return s
	}
	s.Hold = &Hold{Key: h.Get("key").Text(), Title: h.Get("title").Text()}
	for _, w := range h.Get("wants").Items() {
		s.Hold.Wants = append(s.Hold.Wants, Want{w.Get("what").Text(), w.Get("of").Text()})
	}
	return s
}

func (s Stage) json() jcs.Value {
	hold := jcs.Null()
	if s.Hold != nil {
		hold = s.Hold.json()
	}
	return jcs.Obj(str("key", s.Key), str("title", s.Title), flag("pair", s.Pair), jcs.M("hold", hold))
}

func (h *Hold) json() jcs.Value {
	return jcs.Obj(str("key", h.Key), str("title", h.Title), list("wants", h.Wants, func(w Want) jcs.Value {
		return jcs.Obj(str("what", w.What), str("of", w.Of))
	}))
}

func (s Sign) json() jcs.Value {
	return jcs.Obj(id("id", s.ID), str("hold", s.Hold), texts("asm", s.Asm), str("why", s.Why), str("says", s.Says), str("how", s.How), str("by", s.By), str("at", s.At), flag("contested", s.Contested),
		list("rests", s.Rests, Rest.json))
}
