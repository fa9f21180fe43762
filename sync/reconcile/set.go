// Package reconcile says what a set of entries means: which stand, which are
// covered, which contest each other, where a log was forked. All of it is a
// function of the set; the order of arrival, doubled lines and clocks never
// change it (design, I3).
package reconcile

import (
	"cmp"
	"slices"

	"witnessmark/sync/entry"
)

// Set is a set of entries of one job that only grows. The zero value is not
// ready; use New.
type Set struct {
	entries []entry.Entry
	index   map[entry.ID]int32
	sum     [32]byte
	growth
}

// New makes an empty set.
func New() *Set {
	return &Set{index: map[entry.ID]int32{}, growth: growth{tails: map[entry.LogID]tail{}, named: map[entry.ID]struct{}{}}}
}

// Add reads one entry as sent and puts it in. It reports whether it was new;
// the error is one of entry.Read. raw must not be changed afterwards.
func (s *Set) Add(raw []byte) (bool, error) {
	e, err := entry.Read(raw)
	if err != nil {
		return false, err
	}
	return s.AddEntry(e), nil
}

// AddEntry puts in an entry that was read already, and reports whether it was new.
func (s *Set) AddEntry(e entry.Entry) bool {
	if _, ok := s.index[e.ID]; ok {
		return false
	}
	s.index[e.ID] = int32(len(s.entries))
	s.entries = append(s.entries, e)
	s.sum = plus(s.sum, e.ID.Bytes())
	s.note(int32(len(s.entries) - 1))
	return true
}

// Copy returns a set of the same entries that grows on its own.
func (s *Set) Copy() *Set {
	out := New()
	for _, e := range s.entries {
		out.AddEntry(e)
	}
	return out
}

// Len returns how many entries the set holds.
func (s *Set) Len() int { return len(s.entries) }

// Has reports whether the set holds that entry.
func (s *Set) Has(id entry.ID) bool {
	_, ok := s.index[id]
	return ok
}

// Get returns an entry of the set.
func (s *Set) Get(id entry.ID) (entry.Entry, bool) {
	i, ok := s.index[id]
	if !ok {
		return entry.Entry{}, false
	}
	return s.entries[i], true
}

// Digest returns the sum of all ids, read as big-endian numbers, modulo 2^256:
// two sets are equal if their digests are, and it takes no sorting. It guards
// against accidents; against a forger each id is checked by itself.
func (s *Set) Digest() [32]byte { return s.sum }

func plus(a, b [32]byte) (sum [32]byte) {
	carry := 0
	for i := 31; i >= 0; i-- {
		n := int(a[i]) + int(b[i]) + carry
		sum[i], carry = byte(n), n>>8
	}
	return sum
}

// Head is where a device log has got to.
type Head struct {
	Log  entry.LogID
	Seq  int64
	ID   entry.ID   // the entry at Seq; of several, the lowest id
	Tips []entry.ID // of a forked log: every entry that none follows
}

// Fork is a position of a log at which two entries claim to stand: a phone was
// restored or copied. Both count; the device writes on in a new log.
type Fork struct {
	Log entry.LogID
	Seq int64
	IDs []entry.ID
}

// Heads returns the head of every log, by log.
func (s *Set) Heads() []Head {
	order := s.byLog()
	followed := make([]bool, len(s.entries))
	for i := range s.entries {
		if j, ok := s.index[s.entries[i].Prev]; ok {
			followed[j] = true
		}
	}
	var heads []Head
	for _, run := range split(order, func(i, j int32) bool { return s.entries[i].Log == s.entries[j].Log }) {
		heads = append(heads, s.head(run, followed))
	}
	return heads
}

// head makes the head of one log from its entries in order of (seq, id).
func (s *Set) head(run []int32, followed []bool) Head {
	last := s.entries[run[len(run)-1]]
	h := Head{Log: last.Log, Seq: last.Seq}
	forked := false
	for k, i := range run {
		e := s.entries[i]
		if k > 0 && s.entries[run[k-1]].Seq == e.Seq {
			forked = true
		}
		if e.Seq == h.Seq && h.ID == "" {
			h.ID = e.ID
		}
		if !followed[i] {
			h.Tips = append(h.Tips, e.ID)
		}
	}
	if !forked {
		h.Tips = nil
	}
	return h
}

// Forks returns every position that two entries claim, by log and position.
func (s *Set) Forks() []Fork {
	var forks []Fork
	same := func(i, j int32) bool {
		a, b := &s.entries[i], &s.entries[j]
		return a.Log == b.Log && a.Seq == b.Seq
	}
	for _, run := range split(s.byLog(), same) {
		if len(run) < 2 {
			continue
		}
		f := Fork{Log: s.entries[run[0]].Log, Seq: s.entries[run[0]].Seq}
		for _, i := range run {
			f.IDs = append(f.IDs, s.entries[i].ID)
		}
		forks = append(forks, f)
	}
	return forks
}

func (s *Set) byLog() []int32 {
	order := make([]int32, len(s.entries))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(i, j int32) int {
		a, b := &s.entries[i], &s.entries[j]
		return cmp.Or(cmp.Compare(a.Log, b.Log), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID))
	})
	return order
}

// split cuts a list into runs of neighbours that belong together.
func split(list []int32, together func(i, j int32) bool) [][]int32 {
	var runs [][]int32
	from := 0
	for k := 1; k <= len(list); k++ {
		if k == len(list) || !together(list[k-1], list[k]) {
			runs = append(runs, list[from:k])
			from = k
		}
	}
	return runs
}
