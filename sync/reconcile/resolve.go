package reconcile

import (
	"cmp"
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// State says what became of an entry.
type State uint8

// The states of an entry.
const (
	Stands    State = iota
	Covered         // a usable entry names it in over; for ever
	Withdrawn       // a withdrawal that stands: 'nothing here'
	Unusable        // kept, shown with its reason, and without effect
)

// Item is an entry with what the set says about it.
type Item struct {
	entry.Entry
	Depth      int // the longest way back through prev, over and after
	State      State
	CoveredBy  []entry.ID // in order of id
	Why        string     // of an unusable entry: the reason
	Contest    int        // 0, or the number of its contest, from 1
	Waits      []entry.ID // what it names in over or after that has not arrived
	NeedsNewer bool       // an entry of a kind that this version does not know replaces it

	// What it says: its own kind and body, or for a restore those of the
	// entry that it brings back, which Origin names.
	Says      string
	Effective jcs.Value
	Origin    entry.ID
}

// Contest is a group of standing entries of which not all can be right.
type Contest struct {
	ID       entry.ID // the lowest member: stable as long as they are
	Register string   // the register that they set side by side, or ""
	Root     entry.ID // the entry that they all replace or move on from, or ""
	Members  []entry.ID
}

// Resolved is the meaning of a set.
type Resolved struct {
	Ordered  []*Item // by causal depth, log, position, id
	Contests []Contest
	Forks    []Fork

	at           index
	added        []*Item // beyond the meaning marked before
	mark, before *mark
}

// Item returns the item of an entry, or nil when the set does not hold it.
func (r *Resolved) Item(id entry.ID) *Item { return r.at.get(id) }

// Resolve works out the meaning of the set. It is shared and must not be
// changed. Plain entries extend the last meaning; otherwise time and memory
// grow with the number of entries.
func (s *Set) Resolve() *Resolved {
	switch {
	case s.last == nil:
		s.last = s.fromNothing()
	case len(s.fresh) > 0:
		s.last = s.extended()
	}
	s.fresh = nil
	return s.last
}

func (s *Set) fromNothing() *Resolved {
	f := newFold(s)
	f.effects()
	f.judge()
	f.cover()
	r := &Resolved{Ordered: make([]*Item, len(f.items)), Forks: s.Forks(), mark: new(mark)}
	r.at.base = make(map[entry.ID]*Item, len(f.items))
	for k := range f.items {
		r.Ordered[k] = &f.items[k]
		r.at.base[f.items[k].ID] = &f.items[k]
	}
	r.Contests = f.contests()
	return r
}

// fold is one run of Resolve. Items are in the final order throughout, so that
// every entry comes after those which it names.
type fold struct {
	items   []Item
	at      map[entry.ID]int
	over    [][]int // for each item the positions of its targets, as far as they are here
	origins [][]int // for each withdrawal that which it took away
}

func newFold(s *Set) *fold {
	depth := depths(s)
	order := make([]int32, len(s.entries))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(i, j int32) int {
		a, b := &s.entries[i], &s.entries[j]
		return cmp.Or(cmp.Compare(depth[i], depth[j]), cmp.Compare(a.Log, b.Log), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID))
	})
	f := &fold{
		items:   make([]Item, len(order)),
		at:      make(map[entry.ID]int, len(order)),
		over:    make([][]int, len(order)),
		origins: make([][]int, len(order)),
	}
	for k, i := range order {
		f.items[k] = Item{Entry: s.entries[i], Depth: depth[i]}
		f.at[s.entries[i].ID] = k
	}
	f.link()
	return f
}

func (f *fold) link() {
	for k := range f.items {
		it := &f.items[k]
		for _, id := range it.Over {
			if t, ok := f.at[id]; ok {
				f.over[k] = append(f.over[k], t)
			} else {
				it.Waits = append(it.Waits, id)
			}
		}
		for _, id := range it.After {
			if _, ok := f.at[id]; !ok {
				it.Waits = append(it.Waits, id)
			}
		}
		slices.Sort(it.Waits)
		it.Waits = slices.Compact(it.Waits)
	}
}

// depths returns for each entry the longest way back through what it names.
// An id is the hash of bytes that hold the ids it names, so there is no ring.
func depths(s *Set) []int {
	depth := make([]int, len(s.entries))
	open := make([]int32, 0, 64)
	for i := range s.entries {
		open = append(open[:0], int32(i))
		for len(open) > 0 {
			k := open[len(open)-1]
			if depth[k] == 0 {
				var missing bool
				open, missing = pushUnknown(s, depth, open, k)
				if missing {
					continue
				}
				depth[k] = 1 + deepest(s, depth, k)
			}
			open = open[:len(open)-1]
		}
	}
	return depth
}

func pushUnknown(s *Set, depth []int, open []int32, k int32) ([]int32, bool) {
	before := len(open)
	named(&s.entries[k], func(id entry.ID) {
		if j, ok := s.index[id]; ok && depth[j] == 0 {
			open = append(open, j)
		}
	})
	return open, len(open) > before
}

func deepest(s *Set, depth []int, k int32) int {
	most := 0
	named(&s.entries[k], func(id entry.ID) {
		if j, ok := s.index[id]; ok {
			most = max(most, depth[j])
		}
	})
	return most
}

func named(e *entry.Entry, visit func(entry.ID)) {
	if e.Prev != "" {
		visit(e.Prev)
	}
	for _, id := range e.Over {
		visit(id)
	}
	for _, id := range e.After {
		visit(id)
	}
}
