package office

import (
	"fmt"
	"sync"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// maxAhead is how many entries are worked on before they are on disk. More are a phone that comes home: what it says first
// would be worked through for nothing, and the processor is wanted for taking them in.
const maxAhead = 4

// Ahead is work on entries that are written and not yet committed: the disk takes longer to have them than the core to work
// them out. Nobody sees it before Ended(true): until then the record before is shown.
type Ahead struct {
	o      *Office
	k      key
	w      *warm
	before *Record
	passed bool // under the job's lock: the office was to go on from it, and could not yet

	mu                  sync.Mutex
	made, ended, stands bool
}

// Ahead begins to work on entries that a transaction in hand has written. It does not block; nil when it does not begin: there
// are many of them, the office has other work or rests, it is at another place, or the last work ahead was for nothing. Ended
// must be called once, whatever becomes of the transaction. The caller must not change the entries.
func (o *Office) Ahead(ws store.WorkspaceID, job entry.JobID, added store.Added, entries []entry.Entry) *Ahead {
	if len(entries) > maxAhead || !o.free() {
		return nil
	}
	k := key{ws, job}
	w := o.warmed(k)
	if !w.mu.TryLock() {
		return nil
	}
	if w.ahead != nil || w.rec == nil || *w.cursor != added.From {
		w.mu.Unlock()
		return nil
	}
	a := &Ahead{o: o, k: k, w: w, before: w.rec}
	w.ahead = a
	go func() {
		defer w.mu.Unlock()
		began := time.Now()
		w.workAhead(&given{parts: []stretch{{added, entries}}})
		o.spent(time.Since(began))
		if a.is(func() { a.made = true }) {
			a.settle()
		}
	}()
	return a
}

// Ended says whether the entries are known to stand. It does not wait for the work.
func (a *Ahead) Ended(stands bool) {
	if a == nil {
		return
	}
	if a.is(func() { a.ended, a.stands = true, stands }) {
		a.w.mu.Lock()
		defer a.w.mu.Unlock()
		a.settle()
	}
}

// is notes that one of the two has come, the record or the end of the transaction, and reports whether it was the second.
func (a *Ahead) is(note func()) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	note()
	return a.made && a.ended
}

// settle shows the record or throws it away. The job's lock is held. Between the commit and this another transaction may have
// been committed and handed over, which the office passed by: it comes to it again.
func (a *Ahead) settle() {
	if a.w.ahead = nil; !a.stands {
		a.w.forget()
		a.o.forNothing()
	}
	if a.passed {
		a.o.Nudge(a.k.ws, a.k.job)
	}
}

// workAhead makes the record that follows from what was handed over, and what is stored of it. A fault leaves it to the office,
// which meets it again and reports it (settleJob).
func (w *warm) workAhead(g *given) {
	defer func() {
		if fault := recover(); fault != nil {
			w.forget()
		}
	}()
	made := w.work.Made()
	w.follow(g)
	rec, err := w.record()
	if err != nil || rec.made == made {
		return
	}
	if rec.body, err = rec.Body(); err != nil {
		panic(fmt.Errorf("bug: %w", err))
	}
}

// free says whether the office would begin at once if something new came now.
func (o *Office) free() bool {
	_, most := o.wait()
	o.mu.Lock()
	defer o.mu.Unlock()
	return most <= 0 && !o.busy && !o.halted && !o.shy && len(o.queue) == 0
}

// spent adds work that was done ahead to what the office takes its rest from.
func (o *Office) spent(d time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.ahead += d
}

// forNothing ends working ahead until something stands: on a disk without room every try would cost the whole record.
func (o *Office) forNothing() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.shy, o.ahead = true, 0
}
