package record

import (
	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
)

// News is an entry that somebody has not seen yet.
type News struct {
	ID       entry.ID
	Kind, By string
	Of       Of
	Key      string // of a part its tag, of a step of a snag the snag; ""
}

// After lists what stands and is beyond what was seen of each log, in the
// record's order. What a forked log holds twice counts as seen with the first.
func (s *State) After(seen func(entry.LogID) int64) []News {
	ends := map[entry.LogID]int64{}
	for _, l := range s.Logs {
		ends[l.Log] = seen(l.Log)
	}
	var out []News
	for _, it := range s.resolved.Ordered {
		if it.Seq <= ends[it.Log] || it.State != reconcile.Stands || it.Kind == "log" {
			continue
		}
		v := it.Effective
		n := News{ID: it.ID, Kind: first(it.Says, it.Kind), By: it.By, Of: ofBody(v.Get("of"))}
		switch n.Kind {
		case "part":
			n.Key = v.Get("part").Text()
		case "snag":
			n.Key = first(v.Get("snag").Text(), string(it.ID))
			if raised := s.resolved.Item(entry.ID(n.Key)); raised != nil {
				n.Of = ofBody(raised.Effective.Get("of"))
			}
		}
		out = append(out, n)
	}
	return out
}
