package office

import (
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// maxAhead is how many entries are worked on before they are on disk. More are a phone that comes home: what it says first
// would be worked through for nothing, and the processor is wanted for taking them in.
const maxAhead = 4

// Ahead is work on entries that are written and not yet committed: the disk takes longer to have them than the core to work
// them out. Nobody sees it before Ended(true).
type Ahead struct{ stands chan bool }

// Ahead begins to work on entries that a transaction in hand has written. It does not block; nil when it does not begin,
// because the office has other work or is at another place. Ended must be called whatever becomes of the transaction: until
// then whoever looks at this job waits. The caller must not change the entries.
func (o *Office) Ahead(ws store.WorkspaceID, job entry.JobID, added store.Added, entries []entry.Entry) *Ahead {
	if len(entries) > maxAhead || !o.free() {
		return nil
	}
	w := o.warmed(key{ws, job})
	if !w.mu.TryLock() {
		return nil
	}
	if w.cursor == nil || *w.cursor != added.From {
		w.mu.Unlock()
		return nil
	}
	a := &Ahead{make(chan bool, 1)}
	go func() {
		defer w.mu.Unlock()
		began := time.Now()
		err := w.ahead(&given{parts: []stretch{{added, entries}}})
		o.spent(time.Since(began))
		if stand := <-a.stands; !stand || err != nil {
			w.forget()
		}
	}()
	return a
}

// ahead makes the record that follows from what was handed over, and what is stored of it.
func (w *warm) ahead(g *given) error {
	made := w.work.Made()
	w.follow(g)
	rec, err := w.record()
	if err != nil || rec.made == made {
		return err
	}
	rec.body, err = rec.Body()
	return err
}

// Ended says whether the entries stand. It is called once.
func (a *Ahead) Ended(stand bool) {
	if a != nil {
		a.stands <- stand
	}
}

// free says whether the office would begin at once if something new came now.
func (o *Office) free() bool {
	_, most := o.wait()
	o.mu.Lock()
	defer o.mu.Unlock()
	return most <= 0 && !o.busy && !o.halted && len(o.queue) == 0
}

// spent adds work that was done ahead to what the office takes its rest from.
func (o *Office) spent(d time.Duration) {
	o.mu.Lock()
	o.ahead += d
	o.mu.Unlock()
}
