package office

import (
	"context"
	"fmt"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// NoSuchDay is for a day on whose evening a job cannot have stood. Why says what is wrong with it and which would do.
type NoSuchDay struct{ Why string }

func (n NoSuchDay) Error() string { return n.Why }

// eastmost is how far the zone where a day begins first is ahead of UTC: a phone there may be in tomorrow already.
const eastmost = 14 * time.Hour

// Stood returns the record of a job as it stood on the evening of a day (2031-04-12): of the entries that had been written by
// then, as the phones' clocks said. It is worked out from nothing and not kept.
//
// Errors: NoSuchDay; store.ErrNotFound for a job that nobody has handed in.
func (o *Office) Stood(ctx context.Context, ws store.WorkspaceID, job entry.JobID, day string) (rec *Record, err error) {
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		return nil, NoSuchDay{"that is no day: write it as in 2031-04-12"}
	}
	by := writtenBy{day: day, set: reconcile.New()}
	pos, err := by.read(ctx, o.cfg.Store, ws, job)
	if err != nil {
		return nil, fmt.Errorf("read entries: %w", err)
	}
	if err := by.fits(o.cfg.Now()); err != nil {
		return nil, err
	}
	defer func() {
		if fault := recover(); fault != nil { // as in warm.record: this job's fault, not the server's end
			rec, err = nil, fmt.Errorf("bug: the core stopped: %v", fault)
		}
	}()
	st := record.Build(by.set.Resolve())
	rs := result.All(st)
	return &Record{State: st, Results: rs, Pos: pos, Digest: result.Digest(rs), Entries: by.set.Len()}, nil
}

// writtenBy collects the entries that were written by the evening of a day.
type writtenBy struct {
	day           string
	set           *reconcile.Set
	first, newest string // days of any entry; "" while there is none
}

// read goes through a job's timeline and returns its end.
func (b *writtenBy) read(ctx context.Context, st store.Timeline, ws store.WorkspaceID, job entry.JobID) (int64, error) {
	q := store.PageQuery{Workspace: ws, Job: job, Limit: pageEntries, Bytes: pageBytes}
	for {
		page, err := st.Page(ctx, q)
		if err != nil {
			return 0, err
		}
		if page.Unknown { // the server was restored meanwhile
			b.set, q.After = reconcile.New(), nil
			continue
		}
		for _, raw := range page.Entries {
			if err := b.add(raw); err != nil {
				return 0, err
			}
		}
		if !page.More {
			return page.Cursor.Pos, nil
		}
		q.After = &page.Cursor
	}
}

func (b *writtenBy) add(raw []byte) error {
	e, err := entry.Read(raw)
	if err != nil {
		return fmt.Errorf("stored entry: %w", err)
	}
	if len(e.At) < len(b.day) {
		return nil
	}
	on := e.At[:len(b.day)]
	if b.first == "" || on < b.first {
		b.first = on
	}
	b.newest = max(b.newest, on)
	if on <= b.day {
		b.set.AddEntry(e)
	}
	return nil
}

// fits says whether the job can have stood on that evening: not before its first entry, not after today. What a phone whose
// clock was ahead has written counts as come.
func (b *writtenBy) fits(now time.Time) error {
	switch {
	case b.first == "":
		return store.ErrNotFound
	case b.day > max(now.UTC().Add(eastmost).Format(time.DateOnly), b.newest):
		return NoSuchDay{b.day + " has not come yet; the newest entry is of " + b.newest + ": choose that day or an earlier one"}
	case b.set.Len() == 0:
		return NoSuchDay{"nothing had been written by the evening of " + b.day + "; the first entry is of " + b.first + ": choose that day or a later one"}
	}
	return nil
}
