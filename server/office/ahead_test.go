package office

import (
	"fmt"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
	"witnessmark/sync/result"
)

// TestAhead: work that began before the commit is there when the entries stand, and is as if it had never been when they do
// not; who looks meanwhile sees what stands and does not wait for the disk.
func TestAhead(t *testing.T) {
	first, last := demoEntries(t)
	job := first[0].Job
	look := func(d *desk) { d.seen(job) }
	for _, c := range []struct {
		name   string
		before func(d *desk)
		batch  int
		stands bool
		begins bool
	}{
		{"one that stands", look, 1, true, true},
		{"as many as are worked on", look, maxAhead, true, true},
		{"one that does not stand", look, 1, false, true},
		{"many that do not stand", look, maxAhead, false, true},
		{"more than are worked on", look, maxAhead + 1, true, false},
		{"nothing to go on from", func(*desk) {}, 1, true, false},
		{"a place that the office does not know", func(d *desk) { look(d); d.untold(last[:1]) }, 2, true, false},
		{"other work waits", func(d *desk) { look(d); d.Nudge(d.ws, "another") }, 1, true, false},
		{"the last was for nothing", func(d *desk) { look(d); d.exchange(last[:1], nil, false); look(d) }, 1, true, false},
		{"one has stood since", func(d *desk) {
			look(d)
			d.exchange(last[:1], nil, false)
			_, added := d.exchange(last[:1], nil, true)
			d.Handed(d.ws, job, added, last[:1])
			d.work()
		}, 2, true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDesk(t)
			d.exchange(first, nil, true)
			c.before(d)
			stood := d.cold(job).Entries
			begun, added := d.exchange(last[:c.batch], func() {
				if saw := d.seen(job).Entries; saw != stood {
					t.Errorf("a look meanwhile saw %d entries, %d stood", saw, stood)
				}
			}, c.stands)
			if begun != c.begins {
				t.Fatalf("begun: %v, want %v", begun, c.begins)
			}
			ahead := d.warmed(key{d.ws, job}).rec
			if c.stands {
				d.Handed(d.ws, job, added, last[:c.batch])
				d.work()
			}
			d.same(job)
			// The results that are stored and shown are those that were made ahead.
			if c.begins && c.stands && (ahead != d.seen(job) || ahead.body == nil) {
				t.Error("the work was done anew")
			}
			d.exchange(last, nil, true) // and it goes on from here
			d.same(job)
		})
	}
}

// TestAheadUndone: another entry that comes to the place of one that does not stand is not taken for it.
func TestAheadUndone(t *testing.T) {
	first, last := demoEntries(t)
	job := first[0].Job
	d := newDesk(t)
	d.exchange(first, nil, true)
	d.seen(job)
	if begun, _ := d.exchange(last[:1], nil, false); !begun {
		t.Fatal("no work was begun")
	}
	_, added := d.exchange(last[1:2], nil, true)
	d.Handed(d.ws, job, added, last[1:2])
	d.work()
	stored, err := d.db.Results(t.Context(), d.ws, job, CoreVersion)
	if err != nil {
		t.Fatal(err)
	}
	if cold := d.cold(job); stored.Digest != cold.Digest || stored.Pos != cold.Pos {
		t.Error("the results stored are not those of what stands")
	}
	d.same(job)
}

// TestAheadPassed: what is handed over between a commit and word of it, by another that came after, is worked out too.
func TestAheadPassed(t *testing.T) {
	first, last := demoEntries(t)
	job := first[0].Job
	for _, told := range []bool{true, false} { // false: the commit stood, and its phone heard of an error
		t.Run(fmt.Sprint("told of it: ", told), func(t *testing.T) {
			d := newDesk(t)
			d.exchange(first, nil, true)
			d.seen(job)
			var ahead *Ahead
			held, err := d.db.Append(t.Context(), store.Handin{Workspace: d.ws, Job: job, Entries: last[:1], At: noon, Written: func(a store.Added) {
				ahead = d.Ahead(d.ws, job, a, last[:1])
			}})
			if err != nil || ahead == nil {
				t.Fatal(ahead, err)
			}
			d.Handed(d.ws, job, d.untold(last[1:2]), last[1:2])
			d.work()
			ahead.Ended(told)
			if told {
				d.Handed(d.ws, job, held.Added, last[:1])
			}
			d.settled(job)
			d.work()
			if stored, err := d.db.Results(t.Context(), d.ws, job, CoreVersion); err != nil || stored.Pos != d.cold(job).Pos {
				t.Errorf("results at %d, %v; the entries end at %d", stored.Pos, err, d.cold(job).Pos)
			}
		})
	}
}

// TestAheadFault: a fault of the core while a transaction is in hand disturbs neither it nor what follows.
func TestAheadFault(t *testing.T) {
	first, last := demoEntries(t)
	d := newDesk(t)
	d.exchange(first, nil, true)
	d.seen(first[0].Job)
	w := d.warmed(key{d.ws, first[0].Job})
	w.work = &result.Work{} // whatever is added to it stops the core
	if begun, _ := d.exchange(last[:1], nil, true); !begun {
		t.Fatal("no work was begun")
	}
	d.same(first[0].Job)
	w.work, w.rec = &result.Work{}, nil // and one that the office meets itself ends no server
	_, added := d.exchange(last[1:2], nil, true)
	d.Handed(d.ws, first[0].Job, added, last[1:2])
	d.work()
	d.same(first[0].Job)
}

// TestRest: after work the office rests, so that it leaves the processor to those who hand in; work ahead counts.
func TestRest(t *testing.T) {
	const quiet, hour = 20 * time.Millisecond, time.Hour
	for _, c := range []struct {
		name        string
		quiet       time.Duration
		took, ahead time.Duration
		ago         time.Duration // when that ended
		waits, most time.Duration // 0 is at once
	}{
		{"without a quiet time it never waits", 0, hour, hour, 0, 0, 0},
		{"nothing before", quiet, 0, 0, 2 * hour, 0, 0},
		{"brief work", quiet, brief / 2, 0, hour, 0, 0},
		{"long work, long ago", quiet, hour, 0, 100 * hour, 0, 0},
		{"long work just now", quiet, quiet, 0, 0, 2 * quiet, 2 * mostQuiet * quiet},
		{"work just over brief", quiet, 2 * brief, 0, 0, quiet, mostQuiet * quiet},
		{"brief work with long work ahead of it", quiet, brief / 2, hour, 0, 2*hour + brief, mostQuiet * (2*hour + brief)},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDesk(t)
			d.cfg.Quiet = c.quiet
			d.spent(c.ahead)
			d.worked(c.took)
			d.last = d.last.Add(-c.ago)
			waits, most := d.wait()
			if max(waits, 0) != c.waits || max(most, 0) != c.most {
				t.Errorf("waits %v and %v at most, want %v and %v", waits, most, c.waits, c.most)
			}
			if d.free() != (c.most == 0) {
				t.Errorf("free: %v", d.free())
			}
		})
	}
	d := newDesk(t)
	d.cfg.Quiet = quiet
	d.worked(brief)
	if waits, _ := d.wait(); waits > brief {
		t.Errorf("after brief work it waits %v", waits)
	}
}

// exchange stores entries as an exchange does, with the office at work meanwhile. What is not to stand fails by a panic after
// it was written.
func (d *desk) exchange(entries []entry.Entry, meanwhile func(), stands bool) (begun bool, added store.Added) {
	d.t.Helper()
	var ahead *Ahead
	ended := false
	defer func() {
		ahead.Ended(ended)
		if !stands {
			_ = recover()
		}
		d.settled(entries[0].Job)
	}()
	held, err := d.db.Append(d.t.Context(), store.Handin{Workspace: d.ws, Job: entries[0].Job, Entries: entries, At: noon, Written: func(a store.Added) {
		ahead, added = d.Ahead(d.ws, entries[0].Job, a, entries), a
		begun = ahead != nil
		if meanwhile != nil {
			meanwhile()
		}
		if !stands {
			panic("the transaction ends here")
		}
	}})
	if err != nil {
		d.t.Fatal(held, err)
	}
	ended = true
	return begun, added
}

// settled returns when work ahead is shown or thrown away: it holds the job until then.
func (d *desk) settled(job entry.JobID) {
	w := d.warmed(key{d.ws, job})
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.ahead != nil {
		d.t.Error("work ahead has not ended with its transaction")
	}
}

// untold stores an entry as another server on the same store does.
func (d *desk) untold(entries []entry.Entry) store.Added {
	d.t.Helper()
	held, err := d.db.Append(d.t.Context(), store.Handin{Workspace: d.ws, Job: entries[0].Job, Entries: entries, At: noon})
	if err != nil {
		d.t.Fatal(err)
	}
	return held.Added
}

// seen is the record as the office shows it.
func (d *desk) seen(job entry.JobID) *Record {
	d.t.Helper()
	rec, err := d.Look(d.t.Context(), d.ws, job)
	if err != nil {
		d.t.Error(err)
		return &Record{}
	}
	return rec
}

// cold is the record made from nothing.
func (d *desk) cold(job entry.JobID) *Record {
	d.t.Helper()
	rec, err := d.another().Look(d.t.Context(), d.ws, job)
	if err != nil {
		d.t.Fatal(err)
	}
	return rec
}

// same: record and results are those made from nothing.
func (d *desk) same(job entry.JobID) {
	d.t.Helper()
	warm, cold := d.seen(job), d.cold(job)
	if warm.Entries != cold.Entries || warm.Pos != cold.Pos || warm.Digest != cold.Digest || warm.State.Digest() != cold.State.Digest() {
		d.t.Errorf("%d entries at %d, from nothing %d at %d", warm.Entries, warm.Pos, cold.Entries, cold.Pos)
	}
	body, err := warm.Body()
	if want, _ := cold.Body(); err != nil || string(body) != string(want) {
		d.t.Error("other results than from nothing", err)
	}
}
