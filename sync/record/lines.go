package record

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
)

// Line is one entry in the list of all, with what became of it.
type Line struct {
	ID                  entry.ID
	Log                 entry.LogID
	Seq                 int64
	Kind, Words, By, At string
	State, Why          string     // State: stands, replaced, taken back, not usable; Why of what is not usable
	CoveredBy           []entry.ID // in order of id
}

// Lines lists every entry of the job in the record's own order, so that whatever a print says can be traced to one of them.
func (s *State) Lines() []Line {
	out := make([]Line, 0, len(s.resolved.Ordered))
	for _, it := range s.resolved.Ordered {
		kind := first(it.Says, it.Kind)
		if it.Kind == "withdraw" || it.Kind == "restore" {
			kind = it.Kind
		}
		out = append(out, Line{ID: it.ID, Log: it.Log, Seq: it.Seq, Kind: kind, Words: words(kind, it), By: it.By, At: it.At,
			State: becameOf(it), Why: it.Why, CoveredBy: it.CoveredBy})
	}
	return out
}

// EverNamed lists the people with every other name that an entry ever gave one of them: a name that was put right still stands
// in what was written before. No pair of key and name comes twice.
func (s *State) EverNamed() []Person {
	out := slices.Clone(s.People)
	if s.resolved == nil {
		return out
	}
	for _, it := range s.resolved.Ordered {
		p := personOf(it)
		known := func(o Person) bool { return o.Key == p.Key && o.Name == p.Name }
		if it.Says == "person" && !slices.ContainsFunc(out, known) {
			out = append(out, p)
		}
	}
	return out
}

func becameOf(it *reconcile.Item) string {
	switch it.State {
	case reconcile.Covered:
		return "replaced"
	case reconcile.Withdrawn:
		return "taken back"
	case reconcile.Unusable:
		return "not usable"
	}
	return "stands"
}
