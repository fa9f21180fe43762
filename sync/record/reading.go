package record

import (
	"cmp"
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/reconcile"
)

type placeKey struct{ key, at, point, cond string }

func (p Place) key() placeKey { return placeKey{p.Key, p.At, p.Point, p.Cond} }

func comparePlaces(x, y placeKey) int {
	return cmp.Or(cmp.Compare(x.key, y.key), cmp.Compare(x.at, y.at), cmp.Compare(x.cond, y.cond), cmp.Compare(x.point, y.point))
}

// application is a zero check that an apply entry brings to a reading.
type application struct {
	zero entry.ID
	by   *reconcile.Item
}

// readings puts every reading at its place: those that stand, and those struck
// through with the reason. Only readings of one condition come together.
func (b *builder) readings() {
	b.applied = map[entry.ID][]application{}
	b.standing("apply", func(it *reconcile.Item, v jcs.Value) {
		for _, to := range v.Get("to").Texts() {
			b.applied[entry.ID(to)] = append(b.applied[entry.ID(to)], application{entry.ID(v.Get("zero").Text()), it})
		}
	})
	said := map[echo]entry.ID{}
	for i := range b.r.Ordered {
		it := b.r.Ordered[i]
		if it.Says == "reading" && it.State != reconcile.Unusable {
			b.reading(it, said)
		}
	}
	b.places = nil
	order.By(b.s.Places, func(x, y Place) int { return comparePlaces(x.key(), y.key()) })
}

func (b *builder) reading(it *reconcile.Item, said map[echo]entry.ID) {
	k, r := b.read(it, said)
	b.at(k, r)
}

// read makes a reading of an entry and says at which place it belongs.
func (b *builder) read(it *reconcile.Item, said map[echo]entry.ID) (placeKey, Reading) {
	v := it.Effective
	of := ofBody(v.Get("of"))
	r := Reading{ID: it.ID, Asm: of.Asm, Side: of.Side, Fitting: of.Fitting, By: it.By, ReadBy: v.Get("read_by").Text(), At: it.At,
		Log: it.Log, Depth: it.Depth, Value: value(v.Get("value")), Instrument: v.Get("instrument").Text(), Temp: optional(v.Get("temp")),
		Note: v.Get("note").Text(), When: v.Get("when").Text(), Blind: v.Get("blind").IsTrue(), Waits: slices.Clone(it.Waits), NeedsNewer: it.NeedsNewer}
	if it.Origin != it.ID {
		r.Origin = it.Origin
		if o := b.r.Item(it.Origin); o != nil {
			r.By, r.At, r.Log, r.Depth = o.By, o.At, o.Log, o.Depth
		}
	}
	doubt := b.zero(&r, it, v)
	if of.Fitting != "" && b.r.Item(of.Fitting) == nil {
		r.Waits = append(r.Waits, of.Fitting)
	}
	twin := b.twin(it, said)
	switch {
	case it.State == reconcile.Covered:
		r.Struck, r.StruckBy = b.reason(it), it.CoveredBy
	case twin != "":
		r.Struck, r.StruckBy = "said twice: the same stands already", []entry.ID{twin}
	default:
		r.Contest = first(b.question(it, of, doneOn(v, r.At)), doubt)
	}
	slices.Sort(r.Waits)
	r.Waits = slices.Compact(r.Waits)
	return placeKey{b.owner(of), of.At, of.Point, v.Get("cond").Text()}, r
}

// echo is a thing said in place of an earlier entry.
type echo struct {
	over entry.ID
	body string
}

// twin finds a standing reading that replaces the same entry, at any depth, and
// says the same: two phones corrected it alike, and it is one reading, not two.
func (b *builder) twin(it *reconcile.Item, said map[echo]entry.ID) entry.ID {
	if it.State != reconcile.Stands || len(it.Over) == 0 {
		return ""
	}
	body := it.Effective.Without("why").String()
	twin := it.ID
	seen := map[entry.ID]bool{}
	for open := slices.Clone(it.Over); len(open) > 0; {
		id := open[len(open)-1]
		open = open[:len(open)-1]
		if seen[id] {
			continue
		}
		seen[id] = true
		if other, ok := said[echo{id, body}]; ok {
			twin = other
			break
		}
		if t := b.r.Item(id); t != nil {
			open = append(open, t.Over...)
		}
	}
	for id := range seen {
		said[echo{id, body}] = twin
	}
	if twin == it.ID {
		return ""
	}
	return twin
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

// question returns the contest that an entry is in, or "": by the entries, or
// because it may be of another engine or another crank than it says.
func (b *builder) question(it *reconcile.Item, of Of, at string) string {
	c := b.contestOf(it)
	if b.saidAgain(it) {
		return c
	}
	at = b.firstDay(it, of, day(at))
	if why := b.wrongEngine(of, at); why != "" {
		c = first(c, b.contest("engine of "+string(it.ID), why, []entry.ID{it.ID}, []Of{of}))
	}
	if why := b.wrongCrank(of, b.owner(of), at); why != "" {
		c = first(c, b.contest("crank of "+string(it.ID), why, []entry.ID{it.ID}, []Of{of}))
	}
	return c
}

// saidAgain: an entry that repeats word for word what it replaces is somebody's
// answer to the question whether that was right.
func (b *builder) saidAgain(it *reconcile.Item) bool {
	return slices.ContainsFunc(it.Over, func(id entry.ID) bool {
		t := b.r.Item(id)
		return t != nil && t.Says == it.Says && entry.SameSaying(t.Effective, it.Effective)
	})
}

// firstDay is the day on which a thing was done that was only written down
// better since: the first of the entries that this one corrects, as long as
// they rest on the same move.
func (b *builder) firstDay(it *reconcile.Item, of Of, first string) string {
	seen := map[entry.ID]bool{}
	for open := slices.Clone(it.Over); len(open) > 0; {
		t := b.r.Item(open[len(open)-1])
		open = open[:len(open)-1]
		if t == nil || seen[t.ID] {
			continue
		}
		seen[t.ID] = true
		open = append(open, t.Over...)
		if was := ofBody(t.Effective.Get("of")); t.Says == it.Says && was.Asm == of.Asm && was.Fitting == of.Fitting {
			first = min(first, day(doneOn(t.Effective, t.At)))
		}
	}
	return first
}

// doneOn is when a thing was done: the day that its entry states, or when it was written; "" where it only says in words
// that this was another day, from which nothing follows.
func doneOn(body jcs.Value, at string) string {
	switch when := body.Get("when").Text(); {
	case when == "":
		return at
	case entry.IsDay(when):
		return when
	}
	return ""
}

func day(at string) string {
	if len(at) < 10 {
		return at
	}
	return at[:10]
}

// zero finds the zero check of a reading: its own, or one applied to it later.
// It returns the contest that the check is in, or "". Two different ones
// applied are a contest of the entries that applied them.
func (b *builder) zero(r *Reading, it *reconcile.Item, v jcs.Value) string {
	named := v.Get("zero").Text()
	later := b.applied[it.ID]
	if it.Origin != it.ID {
		later = append(slices.Clone(later), b.applied[it.Origin]...)
	}
	switch {
	case len(later) > 0:
		r.ZeroHow = "applied"
		return b.zeroApplied(r, it, later)
	case named == "none":
		r.ZeroHow = "none"
	case named != "":
		r.ZeroHow = "own"
		z, doubt := b.zeroCheck(r, entry.ID(named))
		r.Zero = z
		if z == nil && len(b.heads(entry.ID(named))) > 0 {
			r.ZeroHow = "withdrawn"
		}
		return doubt
	}
	return ""
}

func (b *builder) zeroApplied(r *Reading, it *reconcile.Item, later []application) string {
	doubt, differ, arrived := "", false, false
	var ids []entry.ID
	for _, a := range later {
		z, d := b.zeroCheck(r, a.zero)
		doubt = first(doubt, first(b.contestOf(a.by), d))
		arrived = arrived || len(b.heads(a.zero)) > 0
		ids = append(ids, a.by.ID)
		if z == nil {
			continue
		}
		differ = differ || r.Zero != nil && (r.Zero.Bar != z.Bar || r.Zero.Read != z.Read || r.Zero.Instrument != z.Instrument)
		if r.Zero == nil {
			r.Zero = z
		}
	}
	if r.Zero == nil && arrived {
		r.ZeroHow = "withdrawn"
	}
	if differ && it.State == reconcile.Stands {
		doubt = first(doubt, b.contest("zero of "+string(it.ID), "two different zero checks were applied to one reading", ids, []Of{ofBody(it.Effective.Get("of"))}))
	}
	return doubt
}

// zeroCheck follows a zero check to what stands in its place, and returns the
// contest that this is in. One that has not arrived is waited for; one taken
// back counts no longer.
func (b *builder) zeroCheck(r *Reading, id entry.ID) (*Zero, string) {
	heads := b.heads(id)
	if len(heads) == 0 {
		r.Waits = append(r.Waits, id)
	}
	for _, it := range heads {
		if it.State == reconcile.Stands && it.Says == "zero" {
			z := zeroOf(it, it.Effective)
			return &z, b.contestOf(it)
		}
	}
	return nil, ""
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
	i, ok := b.places[k]
	if !ok {
		i = len(b.s.Places)
		b.places[k] = i
		b.s.Places = append(b.s.Places, Place{Key: k.key, At: k.at, Point: k.point, Cond: k.cond})
	}
	b.s.Places[i].Readings = append(b.s.Places[i].Readings, r)
}
