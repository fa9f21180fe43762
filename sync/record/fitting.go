package record

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
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
		for _, m := range v.Get("moves").Items() {
			b.moves[it.ID] = append(b.moves[it.ID], move{m.Get("asm").Text(), m.Get("side").Text(), m.Get("place").Text()})
		}
	})
	b.standing("fitting", func(it *reconcile.Item, v jcs.Value) {
		for _, before := range b.after(it) {
			for _, m := range b.moves[it.ID] {
				b.end(before, m.asm, v.Get("day").Text())
			}
		}
	})
	history, open := b.histories()
	for i := range b.s.Engines {
		b.engineFits(&b.s.Engines[i], history[b.s.Engines[i].Serial], open[b.s.Engines[i].Serial])
	}
	b.twoOnOneSide(open)
}

// after lists what stands of the entries that a move or a part's step ends.
// One that was corrected since is ended in its corrected form; what a restore
// brings back ends what it ended before.
func (b *builder) after(it *reconcile.Item) []entry.ID {
	names := slices.Clone(it.After)
	if o := b.r.Item(it.Origin); o != nil && o.ID != it.ID {
		names = append(names, o.After...)
	}
	var out []entry.ID
	for _, id := range names {
		for _, h := range b.heads(id) {
			if h.ID != it.ID {
				out = append(out, h.ID)
			}
		}
	}
	return out
}

// heads lists what stands in place of an entry, in order of id: itself, or what
// covers it at any depth, a withdrawal among them. It is nil when the entry has
// not arrived.
func (b *builder) heads(id entry.ID) []*reconcile.Item {
	if it := b.r.Item(id); it == nil {
		return nil
	} else if it.State != reconcile.Covered {
		return []*reconcile.Item{it}
	}
	var out []*reconcile.Item
	seen := map[entry.ID]bool{}
	open := []entry.ID{id}
	for len(open) > 0 {
		id, open = open[len(open)-1], open[:len(open)-1]
		it := b.r.Item(id)
		if it == nil || seen[id] {
			continue
		}
		seen[id] = true
		if it.State != reconcile.Covered {
			out = append(out, it)
		}
		open = append(open, it.CoveredBy...)
	}
	order.By(out, byID)
	return out
}

// end notes the first day on which a move was ended for an engine.
func (b *builder) end(fitting entry.ID, asm, day string) {
	k := endKey{fitting, asm}
	if old, ok := b.ended[k]; !ok || day < old {
		b.ended[k] = day
	}
}

// histories gathers the moves of every engine, and those of them that no other
// move ended.
func (b *builder) histories() (all, open map[string][]Fitting) {
	all, open = map[string][]Fitting{}, map[string][]Fitting{}
	b.standing("fitting", func(it *reconcile.Item, v jcs.Value) {
		for _, m := range b.moves[it.ID] {
			f := Fitting{ID: it.ID, Side: m.side, Place: m.place, Day: v.Get("day").Text(), Ended: b.ended[endKey{it.ID, m.asm}]}
			all[m.asm] = append(all[m.asm], f)
			if f.Ended == "" {
				open[m.asm] = append(open[m.asm], f)
			}
		}
	})
	return all, open
}

// engineFits sets where an engine is. Two places at once are a contest; the
// first is shown meanwhile.
func (b *builder) engineFits(e *Engine, history, now []Fitting) {
	e.History = history
	if len(now) == 0 {
		return
	}
	e.Fit = now[0]
	var ids []entry.ID
	elsewhere := false
	for _, f := range now {
		ids = append(ids, f.ID)
		elsewhere = elsewhere || f.Side != e.Fit.Side || f.Place != e.Fit.Place
		e.Contested = e.Contested || b.r.Item(f.ID).Contest > 0
	}
	if elsewhere {
		e.Contested = true
		b.contest("fitting/"+e.Serial, "where is "+e.Serial+"? Two moves do not know of each other", ids, []Of{{Asm: e.Serial}})
	}
}

// twoOnOneSide: two engines cannot be on one side.
func (b *builder) twoOnOneSide(open map[string][]Fitting) {
	for _, side := range []string{"left", "right"} {
		var ids []entry.ID
		var places []Of
		var on []*Engine
		for i := range b.s.Engines {
			e := &b.s.Engines[i]
			k := slices.IndexFunc(open[e.Serial], func(f Fitting) bool { return f.Side == side })
			if k >= 0 {
				on, ids = append(on, e), append(ids, open[e.Serial][k].ID)
				places = append(places, Of{Asm: e.Serial, Side: side})
			}
		}
		if len(on) < 2 {
			continue
		}
		why := "two engines on the " + side + ":"
		for _, e := range on {
			e.Contested = true
			why += " " + e.Serial
		}
		b.contest("side/"+side, why, ids, places)
	}
}

// wrongEngine says why an entry may be of another engine than it says: it was
// made on a move that had ended, or its side is not the one of that move. Of
// several corrections of one move it is enough that one bears the entry out.
func (b *builder) wrongEngine(of Of, day string) string {
	if of.Fitting == "" {
		return ""
	}
	why := ""
	for _, h := range b.heads(of.Fitting) {
		w := b.against(h, of, day)
		if w == "" {
			return ""
		}
		why = first(why, w)
	}
	return why
}

func (b *builder) against(fitting *reconcile.Item, of Of, day string) string {
	ms, ok := b.moves[fitting.ID]
	if !ok {
		return "which engine? The move that it rests on was taken back"
	}
	i := slices.IndexFunc(ms, func(m move) bool { return m.asm == of.Asm })
	switch {
	case i < 0:
		return "which engine? The move that it rests on did not move " + of.Asm
	case ms[i].side != of.Side && of.Side == "":
		return "which engine? It was shown as not fitted, and " + of.Asm + " was on the " + ms[i].side
	case ms[i].side != of.Side:
		return "which engine? It was shown on the " + of.Side + ", and " + of.Asm + " was not there"
	}
	if end := b.ended[endKey{fitting.ID, of.Asm}]; end != "" && day > end {
		return "which engine? It was made after " + of.Asm + " had been moved, on " + end
	}
	return ""
}
