package result

import (
	"slices"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/record"
)

// Results is every result of a record, with what it takes to go on from them.
type Results struct {
	All    []Res // by ID
	pieces []piece
	twice  bool // two pieces made a result of one ID
}

// From works out every result from nothing.
func From(st *record.State) *Results {
	b := &binder{st: st}
	for i := range st.Engines {
		b.engine(&st.Engines[i])
		b.piece(func(b *binder) { b.holds(&b.st.Engines[i]) })
		b.piece(func(b *binder) { b.runs(&b.st.Engines[i]) })
	}
	b.piece(func(b *binder) { b.pairs() })
	b.gaskets()
	b.twins()
	rs := &Results{pieces: b.pieces}
	rs.gather()
	return rs
}

// gather puts the results of all pieces in order; of two with one ID the
// first counts.
func (rs *Results) gather() {
	rs.All = nil
	for _, p := range rs.pieces {
		rs.All = append(rs.All, p.out...)
	}
	order.By(rs.All, func(x, y Res) int { return strings.Compare(x.ID, y.ID) })
	n := len(rs.All)
	rs.All = slices.CompactFunc(rs.All, func(x, y Res) bool { return x.ID == y.ID })
	rs.twice = len(rs.All) < n
}

// Extend returns the results of a state that record.State.Extend made of the
// one before, with readings at these spots. What looked at none of them is
// kept. rs stays as it is.
func (rs *Results) Extend(st *record.State, spots []record.Spot) *Results {
	next := &Results{slices.Clone(rs.All), slices.Clone(rs.pieces), rs.twice}
	same := !rs.twice
	for i := range next.pieces {
		p := &next.pieces[i]
		if !slices.ContainsFunc(spots, func(s record.Spot) bool { return p.spots[s] }) {
			continue
		}
		b := &binder{st: st, before: p, spots: spots}
		b.piece(p.do)
		same = same && next.replace(p.out, b.pieces[0].out)
		*p = b.pieces[0]
	}
	if !same {
		next.gather()
	}
	return next
}

// replace puts the new results of a piece where its old ones are; false when
// they are not the same ones.
func (rs *Results) replace(old, now []Res) bool {
	if !slices.EqualFunc(old, now, func(x, y Res) bool { return x.ID == y.ID }) {
		return false
	}
	for _, r := range now {
		i, _ := slices.BinarySearchFunc(rs.All, r.ID, func(x Res, id string) int { return strings.Compare(x.ID, id) })
		rs.All[i] = r
	}
	return true
}
