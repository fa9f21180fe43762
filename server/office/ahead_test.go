package office

import (
	"testing"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// TestAhead: work that began before the commit is there when the entries stand, and is as if it had never been when they do
// not; who looks meanwhile waits for the one or the other.
func TestAhead(t *testing.T) {
	first, last := demoEntries(t)
	look := func(d *desk) { d.seen(first[0].Job) }
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
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDesk(t)
			counted := &reads{Store: d.db}
			d.cfg.Store = counted
			d.exchange(first, nil, true)
			c.before(d)
			looked := make(chan *Record, 1)
			before := counted.pages
			begun, added := d.exchange(last[:c.batch], func() {
				go func() { looked <- d.seen(first[0].Job) }()
			}, c.stands)
			if begun != c.begins {
				t.Errorf("begun: %v, want %v", begun, c.begins)
			}
			if saw := <-looked; begun && saw.Entries != d.cold(first[0].Job).Entries {
				t.Error("a look meanwhile saw what does not stand")
			}
			if c.stands {
				d.Handed(d.ws, first[0].Job, added, last[:c.batch])
				d.work()
			}
			if begun && c.stands && counted.pages-before > 1 { // the look's own
				t.Errorf("the entries were read %d times", counted.pages-before)
			}
			d.same(first[0].Job)
			d.exchange(last, nil, true) // and it goes on from here
			d.same(first[0].Job)
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
	}()
	held, err := d.db.Append(d.t.Context(), store.Handin{Workspace: d.ws, Job: entries[0].Job, Entries: entries, At: noon, Written: func(a store.Added) {
		if ahead, added = d.Ahead(d.ws, entries[0].Job, a, entries), a; ahead != nil {
			begun = true
		}
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

// untold stores an entry as another server on the same store does.
func (d *desk) untold(entries []entry.Entry) {
	d.t.Helper()
	if _, err := d.db.Append(d.t.Context(), store.Handin{Workspace: d.ws, Job: entries[0].Job, Entries: entries, At: noon}); err != nil {
		d.t.Fatal(err)
	}
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
