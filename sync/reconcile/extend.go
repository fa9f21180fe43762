package reconcile

import (
	"cmp"
	"maps"
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// Nearly every entry is plain: the next of its log, about itself alone, and
// named by nobody before it came. Such a one changes nothing that the others
// mean, so the meaning of the set is extended by it. Everything else is worked
// out from nothing. The property tests hold one against the other.

// tail is the last entry of a log.
type tail struct {
	seq int64
	id  entry.ID
}

// growth is what the set remembers to tell plain entries from others.
type growth struct {
	tails map[entry.LogID]tail
	named map[entry.ID]struct{} // ids that entries name and that had not arrived then
	last  *Resolved             // of the entries before fresh; nil: work out from nothing
	fresh []int32               // plain entries since then
}

// note takes up a new entry.
func (s *Set) note(i int32) {
	e := &s.entries[i]
	plain := s.last != nil && s.isPlain(e)
	if t, ok := s.tails[e.Log]; !ok || e.Seq > t.seq {
		s.tails[e.Log] = tail{e.Seq, e.ID}
	}
	s.noteNamed(e)
	if plain {
		s.fresh = append(s.fresh, i)
		return
	}
	s.last, s.fresh = nil, nil
}

func (s *Set) isPlain(e *entry.Entry) bool {
	t := s.tails[e.Log]
	_, named := s.named[e.ID]
	return !named && e.Prev != "" && t.id == e.Prev && t.seq == e.Seq-1 && e.Bad == "" && e.Known() &&
		len(e.Over) == 0 && len(e.After) == 0 && e.Kind != "withdraw" && e.Kind != "restore" &&
		entry.Register(*e) == "" && s.entries[s.index[e.Prev]].Job == e.Job
}

// noteNamed keeps every id that the entry names, in its envelope or anywhere in
// its body, and that is not here yet.
func (s *Set) noteNamed(e *entry.Entry) {
	keep := func(id entry.ID) {
		if _, ok := s.index[id]; !ok {
			s.named[id] = struct{}{}
		}
	}
	named(e, keep)
	eachText(e.Body, func(t string) {
		if len(t) == 64 {
			keep(entry.ID(t))
		}
	})
}

// eachText visits every text of a value, to any depth.
func eachText(v jcs.Value, visit func(string)) {
	switch v.Kind() {
	case jcs.KindText:
		visit(v.Text())
	case jcs.KindArray:
		for _, x := range v.Items() {
			eachText(x, visit)
		}
	case jcs.KindObject:
		for _, m := range v.Members() {
			eachText(m.Val, visit)
		}
	}
}

// extended is the meaning of the set from its last one and plain entries.
func (s *Set) extended() *Resolved {
	old := s.last
	r := &Resolved{Contests: old.Contests, Forks: old.Forks, at: old.at.clone(), mark: new(mark), before: old.mark}
	for _, i := range s.fresh {
		e := s.entries[i]
		it := &Item{Entry: e, Depth: r.Item(e.Prev).Depth + 1, Says: e.Kind, Effective: e.Body, Origin: e.ID}
		r.at.more[e.ID] = it
		r.added = append(r.added, it)
	}
	slices.SortFunc(r.added, Compare)
	r.Ordered = merged(old.Ordered, r.added)
	r.at.settle()
	return r
}

// Compare orders items as a resolved set does.
func Compare(a, b *Item) int {
	return cmp.Or(cmp.Compare(a.Depth, b.Depth), cmp.Compare(a.Log, b.Log), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID))
}

// merged puts b's items among a's. What comes behind all of a is written behind
// its end: a meaning is gone on from once, by the set that has it last.
func merged(a, b []*Item) []*Item {
	if len(a) == 0 || Compare(a[len(a)-1], b[0]) < 0 {
		return append(a, b...)
	}
	out := make([]*Item, 0, len(a)+len(b))
	for _, it := range b {
		k, _ := slices.BinarySearchFunc(a, it, Compare)
		out = append(append(out, a[:k]...), it)
		a = a[k:]
	}
	return append(out, a...)
}

// mark tells one meaning from another without keeping it in memory.
type mark struct{ _ byte }

// Beyond returns what r holds that old does not, in order, when r is old and
// plain entries; false when it was worked out from nothing.
func (r *Resolved) Beyond(old *Resolved) ([]*Item, bool) {
	if r == old {
		return nil, true
	}
	return r.added, old != nil && r.before == old.mark
}

// Before reports whether an item comes before another in the order of r.
func (r *Resolved) Before(a, b entry.ID) bool { return Compare(r.Item(a), r.Item(b)) < 0 }

// index finds items by id: a large part that is shared between meanings, and
// a small one of its own.
type index struct{ base, more map[entry.ID]*Item }

// mostMore bounds the part that every extension copies.
const mostMore = 256

func (x index) get(id entry.ID) *Item {
	if it, ok := x.more[id]; ok {
		return it
	}
	return x.base[id]
}

func (x index) clone() index {
	more := make(map[entry.ID]*Item, len(x.more)+1)
	maps.Copy(more, x.more)
	return index{x.base, more}
}

// settle makes one large part of both when the small one has grown.
func (x *index) settle() {
	if len(x.more) <= mostMore {
		return
	}
	base := make(map[entry.ID]*Item, len(x.base)+len(x.more))
	maps.Copy(base, x.base)
	maps.Copy(base, x.more)
	*x = index{base: base}
}
