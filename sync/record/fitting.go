package record

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

// move is one engine's part of a fitting.
type move struct{ asm, side, place string }

type endKey struct {
	fitting entry.ID
	asm     string
}

// fittings works out where each engine is, where it was, and which moves
// stand against each other.
func (b *builder) fittings() {
	b.moves = map[entry.ID][]move{}
	b.ended = map[endKey]string{}
	b.standing("fitting", func(it *reconcile.Item, v jcs.Value) {
		var ms []move
		for _, m := range v.Get("moves").Items() {
			ms = append(ms, move{m.Get("asm").Text(), m.Get("side").Text(), m.Get("place").Text()})
		}
		b.moves[it.ID] = ms
	})
	b.standing("fitting", func(it *reconcile.Item, v jcs.Value) {
		for _, m := range b.moves[it.ID] {
			for _, before := range it.After {
				b.end(before, m.asm, v.Get("day").Text())
			}
		}
	})
	for i := range b.s.Engines {
		b.engineFits(&b.s.Engines[i])
	}
	b.twoOnOneSide()
}

// end notes the first day on which a move was ended for an engine.
func (b *builder) end(fitting entry.ID, asm, day string) {
	k := endKey{fitting, asm}
	if old, ok := b.ended[k]; !ok || day < old {
		b.ended[k] = day
	}
}

// engineFits gathers an engine's moves. Those that none ended are where it is
// now; more than one of them is a contest.
func (b *builder) engineFits(e *Engine) {
	var now []Fitting
	b.standing("fitting", func(it *reconcile.Item, v jcs.Value) {
		for _, m := range b.moves[it.ID] {
			if m.asm != e.Serial {
				continue
			}
			f := Fitting{ID: it.ID, Side: m.side, Place: m.place, Day: v.Get("day").Text(), Ended: b.ended[endKey{it.ID, m.asm}]}
			e.History = append(e.History, f)
			if f.Ended == "" {
				now = append(now, f)
			}
			if it.Contest > 0 && f.Ended == "" {
				e.Contested = true
			}
		}
	})
	if len(now) == 0 {
		return
	}
	e.Fit = now[0]
	if len(now) > 1 {
		e.Contested = true
		var ids []entry.ID
		for _, f := range now {
			ids = append(ids, f.ID)
		}
		b.contest("fitting/"+e.Serial, "where is "+e.Serial+"? Two moves do not know of each other", ids, []Of{{Asm: e.Serial}})
	}
}

// twoOnOneSide: two engines cannot be on one side.
func (b *builder) twoOnOneSide() {
	for i := range b.s.Engines {
		for j := i + 1; j < len(b.s.Engines); j++ {
			x, y := &b.s.Engines[i], &b.s.Engines[j]
			if x.Fit.Side == "" || x.Fit.Side != y.Fit.Side {
				continue
			}
			x.Contested, y.Contested = true, true
			b.contest("side/"+x.Fit.Side, "two engines on the "+x.Fit.Side+": "+x.Serial+" and "+y.Serial,
				[]entry.ID{x.Fit.ID, y.Fit.ID}, []Of{{Asm: x.Serial, Side: x.Fit.Side}, {Asm: y.Serial, Side: y.Fit.Side}})
		}
	}
}

// contest lists a question that the record itself found, once.
func (b *builder) contest(register, why string, members []entry.ID, places []Of) {
	slices.Sort(members)
	members = slices.Compact(members)
	for _, c := range b.s.Contests {
		if c.Register == register && slices.Equal(c.Members, members) {
			return
		}
	}
	b.s.Contests = append(b.s.Contests, Contest{ID: members[0], Register: register, Why: why, Members: members, Places: places})
}

// wrongEngine says why a reading may be of another engine than it says: it was
// made on a move that had ended, or its side is not the one of that move.
func (b *builder) wrongEngine(of Of, day string) string {
	if of.Fitting == "" {
		return ""
	}
	ms, ok := b.moves[of.Fitting]
	if !ok {
		return ""
	}
	i := slices.IndexFunc(ms, func(m move) bool { return m.asm == of.Asm })
	switch {
	case i < 0:
		return "which engine? The move that it rests on did not move " + of.Asm
	case ms[i].side != of.Side:
		return "which engine? It was shown on the " + of.Side + ", and " + of.Asm + " was not there"
	}
	if end := b.ended[endKey{of.Fitting, of.Asm}]; end != "" && day > end {
		return "which engine? It was made after " + of.Asm + " had been moved, on " + end
	}
	return ""
}
