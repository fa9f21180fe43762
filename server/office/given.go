package office

import (
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// given is what the office was told of a job since it last worked on it.
type given struct {
	parts  []stretch
	held   int  // entries in them
	unread bool // there is more, in the store alone
}

// stretch is a part of a job's timeline.
type stretch struct {
	store.Added
	entries []entry.Entry
}

// take notes entries, as long as they are fewer than one page of the store's.
func (g *given) take(added store.Added, entries []entry.Entry) {
	if g.held += len(entries); g.unread || g.held > pageEntries {
		g.unknown()
		return
	}
	g.parts = append(g.parts, stretch{added, entries})
}

func (g *given) unknown() { g.parts, g.unread = nil, true }

// follow takes up what was handed over and reports whether that was all there is. What does not follow on from what is here
// (another server stored something between, or the store was restored) has to be read.
func (w *warm) follow(g *given) bool {
	if g == nil || g.unread || w.cursor == nil {
		return false
	}
	for _, s := range g.parts {
		switch {
		case s.From == *w.cursor:
			for _, e := range s.entries {
				w.work.Set.AddEntry(e)
			}
			to := s.To
			w.cursor, w.rec = &to, nil
		case s.To.Epoch != w.cursor.Epoch || s.To.Pos > w.cursor.Pos:
			return false
		}
	}
	return true
}
