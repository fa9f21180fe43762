package calc

import "witnessmark/sync/quantity"

// mixedUnits gives, for each kind of quantity whose readings are written in more
// than one unit, the unit that all of them are worked in: the one that most are
// written in; where as many are in each, the one that comes first in the list
// of units. It depends on the set of readings alone, never on their order or
// their ids. A value that is judged is shown in its limit's unit then (see
// asLimited). Kinds whose readings are all in one unit are not in it: that
// unit stays. Own decision, no source.
func mixedUnits(in Inputs) map[quantity.Dim]quantity.Unit {
	count := map[string]int{}
	kinds := map[quantity.Dim]int{}
	for _, items := range in.Items {
		for _, it := range items {
			u, ok := quantity.Lookup(it.V.Unit)
			if !ok {
				continue
			}
			if count[u.Code] == 0 {
				kinds[u.Dim]++
			}
			count[u.Code]++
		}
	}
	out := map[quantity.Dim]quantity.Unit{}
	if len(count) == len(kinds) { // one unit of each kind
		return out
	}
	for _, u := range quantity.Units() {
		best, ok := out[u.Dim]
		if kinds[u.Dim] > 1 && count[u.Code] > 0 && (!ok || count[u.Code] > count[best.Code]) {
			out[u.Dim] = u
		}
	}
	return out
}

// inOneUnit brings a reading of several units to the one that all are worked
// in; its text has both.
func (s *sheet) inOneUnit(m *measured, res float64) {
	to, ok := s.mixed[m.unit.Dim]
	if !ok || to.Code == m.unit.Code {
		return
	}
	m.unit, m.dec = to, quantity.Decimals(res, to)
	m.text += m.equals() + thin(to.Symbol)
}

// asLimited is the unit and the digits that a value is shown with: those of its
// limit where the readings are in several units, else its own.
func (s *sheet) asLimited(l Limit, u quantity.Unit, dec int) (quantity.Unit, int) {
	w := l.Max
	if w == nil {
		w = l.Min
	}
	if _, mixed := s.mixed[u.Dim]; !mixed || w == nil {
		return u, dec
	}
	to, ok := quantity.Lookup(w.Unit)
	if !ok || to.Dim != u.Dim || to.Code == u.Code {
		return u, dec
	}
	return to, quantity.Decimals(lastDigit(measured{unit: u, dec: dec}), to)
}
