package record

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
)

// Spot is where something was read: whose size, which place and in which
// condition; with none, in which conditions it was read at all.
type Spot struct{ Key, At, Cond string }

// Extend returns the state of a job whose set has grown from s's by entries
// that each say one thing about itself, and the spots where they read
// something. It shares what has not changed with s and leaves s as it is, but
// for what lies behind the ends of its lists. It reports false when the state
// must be built from nothing.
func (s *State) Extend(r *reconcile.Resolved) (*State, []Spot, bool) {
	added, ok := r.Beyond(s.resolved)
	if !ok || len(added) > 1+len(r.Ordered)/8 {
		return nil, nil, false
	}
	if len(added) == 0 {
		return s, nil, true
	}
	b, next := *s.built, *s
	b.r, b.s = r, &next
	next.resolved, next.built, next.Entries = r, &b, len(r.Ordered)
	next.Logs, next.Places = slices.Clone(s.Logs), slices.Clone(s.Places)
	next.Contests, next.Unusable = slices.Clip(s.Contests), slices.Clip(s.Unusable)
	var touched []Spot
	for _, it := range added {
		spots, ok := b.extend(it)
		if !ok {
			return nil, nil, false
		}
		for _, spot := range spots {
			if !slices.Contains(touched, spot) {
				touched = append(touched, spot)
			}
		}
	}
	return &next, touched, true
}

// extend takes up one entry, as readings and remarks would.
func (b *builder) extend(it *reconcile.Item) ([]Spot, bool) {
	k := slices.IndexFunc(b.s.Logs, func(l Log) bool { return l.Log == it.Log })
	if k < 0 {
		return nil, false
	}
	b.s.Logs[k].Entries++
	b.s.Logs[k].Last = max(b.s.Logs[k].Last, it.Seq)
	if slices.Contains(placed, it.Says) && b.strayOf(it.Effective) != "" {
		return nil, false
	}
	switch it.Says {
	case "reading":
		return b.extendReading(it)
	case "run":
		return b.extendRun(it)
	case "note":
		b.s.Notes = inserted(b.r, b.s.Notes, noteOf(it), func(n *Note) entry.ID { return n.ID })
		return nil, true
	case "photo":
		b.s.Photos = inserted(b.r, b.s.Photos, photoOf(it), func(p *Photo) entry.ID { return p.ID })
		return nil, true
	case "voice":
		b.s.Voices = inserted(b.r, b.s.Voices, voiceOf(it), func(v *Voice) entry.ID { return v.ID })
		return nil, true
	case "mark":
		b.s.Marks = inserted(b.r, b.s.Marks, b.markOf(it), func(m *Mark) entry.ID { return m.ID })
		return nil, true
	}
	return nil, false
}

// extendReading puts a reading at its place. One that raises a question, may
// answer a wish for a check reading, or has no place on a sheet changes more
// than its place.
func (b *builder) extendReading(it *reconcile.Item) ([]Spot, bool) {
	asked := len(b.s.Contests)
	k, reading := b.read(it, map[echo]entry.ID{})
	if reading.Blind || b.stray(reading.Asm, k.at) != "" || len(b.s.Contests) != asked || reading.Contest != "" {
		return nil, false
	}
	i, ok := slices.BinarySearchFunc(b.s.Places, k, func(p Place, k placeKey) int { return comparePlaces(p.key(), k) })
	spots := []Spot{{k.key, k.at, k.cond}}
	if !ok {
		if !slices.Contains(b.s.Conditions(k.key, k.at), k.cond) {
			spots = append(spots, Spot{Key: k.key, At: k.at})
		}
		b.s.Places = slices.Insert(b.s.Places, i, Place{Key: k.key, At: k.at, Point: k.point, Cond: k.cond})
	}
	p := &b.s.Places[i]
	p.Readings = inserted(b.r, p.Readings, reading, func(r Reading) entry.ID { return r.ID })
	return spots, true
}

// inserted returns a list in the order of the entries with one more. The list
// it was given stays as it is up to its end; only one meaning follows the one
// that it is of, so what is written behind its end is always the same.
func inserted[T any](r *reconcile.Resolved, list []T, x T, id func(T) entry.ID) []T {
	k := len(list)
	for k > 0 && r.Before(id(x), id(list[k-1])) {
		k--
	}
	if k == len(list) {
		return append(list, x)
	}
	out := make([]T, 0, len(list)+1)
	return append(append(append(out, list[:k]...), x), list[k:]...)
}
