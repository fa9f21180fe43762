package record

import (
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
