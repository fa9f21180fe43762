package record

import (
	"cmp"
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

type placeKey struct{ key, at, point, cond string }

func (p Place) key() placeKey { return placeKey{p.Key, p.At, p.Point, p.Cond} }

func comparePlaces(x, y placeKey) int {
	return cmp.Or(cmp.Compare(x.key, y.key), cmp.Compare(x.at, y.at), cmp.Compare(x.cond, y.cond), cmp.Compare(x.point, y.point))
}

// readings puts every reading at its place: those that stand, and those struck
// through with the reason. Only readings of one condition come together.
func (b *builder) readings() {
	b.applied = map[entry.ID][]entry.ID{}
	b.standing("apply", func(_ *reconcile.Item, v jcs.Value) {
		for _, to := range v.Get("to").Texts() {
			id := entry.ID(to)
			if z := entry.ID(v.Get("zero").Text()); !slices.Contains(b.applied[id], z) {
				b.applied[id] = append(b.applied[id], z)
			}
		}
	})
	for i := range b.r.Ordered {
		it := &b.r.Ordered[i]
		if it.Says == "reading" && it.State != reconcile.Unusable {
			b.reading(it)
		}
	}
}

func (b *builder) reading(it *reconcile.Item) {
	v := it.Effective
	of := ofBody(v.Get("of"))
	r := Reading{ID: it.ID, Asm: of.Asm, Side: of.Side, Fitting: of.Fitting, By: it.By, ReadBy: v.Get("read_by").Text(), At: it.At,
		Log: it.Log, Value: value(v.Get("value")), Instrument: v.Get("instrument").Text(), Temp: optional(v.Get("temp")),
		Note: v.Get("note").Text(), Blind: v.Get("blind").IsTrue(), Waits: slices.Clone(it.Waits), NeedsNewer: it.NeedsNewer}
	if it.Origin != it.ID {
		r.Origin = it.Origin
		if o := b.r.Item(it.Origin); o != nil {
			r.By, r.At, r.Log = o.By, o.At, o.Log
		}
	}
	b.zero(&r, it, v)
	if it.State == reconcile.Covered {
		r.Struck, r.StruckBy = b.reason(it), it.CoveredBy
	} else {
		b.question(&r, it, of)
	}
	b.at(placeKey{b.owner(of), of.At, of.Point, v.Get("cond").Text()}, r)
}

// owner is whose size it is: the part named, the part that the place's sheet
// says, as the engine came with it, or the engine.
func (b *builder) owner(of Of) string {
	if of.Part != "" {
		return of.Part
	}
	if e, ok := b.s.Engine(of.Asm); ok && e.Pattern != nil {
		if pl, ok := e.Pattern.Find(of.At); ok && pl.Feature.Part != "" {
			return implicit(of.Asm, pl.Feature.Part)
		}
	}
	return of.Asm
}

// question marks a reading that is contested, by the entries or because it may
// be of another engine.
func (b *builder) question(r *Reading, it *reconcile.Item, of Of) {
	if it.Contest > 0 {
		r.Contest = string(b.r.Contests[it.Contest-1].ID)
	}
	if of.Fitting != "" && b.r.Item(of.Fitting) == nil {
		r.Waits = append(r.Waits, of.Fitting)
	}
	if why := b.wrongEngine(of, day(r.At)); why != "" {
		r.Contest = string(it.ID)
		b.contest("engine of "+string(it.ID), why, []entry.ID{it.ID}, []Of{of})
	}
}

func day(at string) string {
	if len(at) < 10 {
		return at
	}
	return at[:10]
}

// zero finds the zero check of a reading: its own, or one applied to it later.
// Two different ones applied are a contest.
func (b *builder) zero(r *Reading, it *reconcile.Item, v jcs.Value) {
	named := v.Get("zero").Text()
	later := append(slices.Clone(b.applied[it.ID]), b.applied[it.Origin]...)
	slices.Sort(later)
	later = slices.Compact(later)
	switch {
	case len(later) > 0:
		r.ZeroHow = "applied"
		r.Zero = b.zeroCheck(r, later[0])
		if len(later) > 1 && it.State == reconcile.Stands {
			r.Contest = string(it.ID)
			b.contest("zero of "+string(it.ID), "two zero checks were applied to one reading", later, []Of{ofBody(v.Get("of"))})
		}
	case named == "none":
		r.ZeroHow = "none"
	case named != "":
		r.ZeroHow = "own"
		r.Zero = b.zeroCheck(r, entry.ID(named))
	}
}

// zeroCheck follows a zero check to what stands in its place. One that has not
// arrived is waited for; one withdrawn counts no longer.
func (b *builder) zeroCheck(r *Reading, id entry.ID) *Zero {
	for range 100 {
		it := b.r.Item(id)
		switch {
		case it == nil:
			r.Waits = append(r.Waits, id)
			return nil
		case it.State == reconcile.Covered && len(it.CoveredBy) > 0:
			id = it.CoveredBy[0]
		case it.State != reconcile.Stands || it.Says != "zero":
			r.ZeroHow = "withdrawn"
			return nil
		default:
			z := zeroOf(it, it.Effective)
			return &z
		}
	}
	return nil
}

// reason says why a reading was struck: the words of whoever did it.
func (b *builder) reason(it *reconcile.Item) string {
	by := b.r.Item(it.CoveredBy[0])
	if by == nil {
		return "replaced"
	}
	why := by.Body.Get("why").Text()
	switch {
	case by.Kind == "withdraw":
		return first(why, "withdrawn")
	case by.Says == "reading" && why != "":
		return why
	case by.Says == "reading" && len(by.Over) > 1:
		return "settled by another reading"
	case by.Says == "reading":
		return first(by.Effective.Get("note").Text(), "corrected")
	}
	return "replaced"
}

func (b *builder) at(k placeKey, r Reading) {
	i, ok := b.s.places[k]
	if !ok {
		i = len(b.s.Places)
		b.s.places[k] = i
		b.s.Places = append(b.s.Places, Place{Key: k.key, At: k.at, Point: k.point, Cond: k.cond})
	}
	b.s.Places[i].Readings = append(b.s.Places[i].Readings, r)
}
