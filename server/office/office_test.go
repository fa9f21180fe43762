package office

import (
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/server/store/sql"
	"witnessmark/sync/entry"
	"witnessmark/testdata/demo"
)

const job = entry.JobID("0123456789abcdef0123456789abcdef")

var noon = time.Date(2031, 4, 12, 12, 0, 0, 0, time.UTC)

// desk is an office over a fresh store.
type desk struct {
	*Office
	t  *testing.T
	db *sql.DB
	ws store.WorkspaceID
}

func newDesk(t *testing.T) *desk {
	t.Helper()
	db, err := sql.OpenSQLite(t.Context(), filepath.Join(t.TempDir(), "x.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	ws, err := db.Workspace(t.Context(), "w", "00000000000000000000000000000001", noon)
	if err != nil {
		t.Fatal(err)
	}
	d := &desk{t: t, db: db, ws: ws.ID}
	d.Office = d.another()
	return d
}

// another is an office of another process on the same store.
func (d *desk) another() *Office {
	return New(Config{Store: d.db, Now: func() time.Time { return noon }, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
}

// handIn stores n notes of a new log and returns what an exchange has in hand then.
func (d *desk) handIn(log int, n int) (store.Added, []entry.Entry) {
	d.t.Helper()
	var entries []entry.Entry
	prev := ""
	for seq := 1; seq <= n; seq++ {
		raw := fmt.Appendf(nil, `{"at":"2031-04-12T10:22:31+01:00","body":{"text":"note %d"},"by":"idris","job":"%s","kind":"note","log":"%032x",%s"seq":%d,"v":1}`,
			seq, job, log, prev, seq)
		e, err := entry.Read(raw)
		if err != nil {
			d.t.Fatal(err)
		}
		entries = append(entries, e)
		prev = fmt.Sprintf(`"prev":"%s",`, e.ID)
	}
	held, err := d.db.Append(d.t.Context(), store.Handin{Workspace: d.ws, Job: job, Entries: entries, At: noon})
	if err != nil {
		d.t.Fatal(err)
	}
	return held.Added, entries
}

func (d *desk) pos() int64 {
	d.t.Helper()
	r, err := d.db.Results(d.t.Context(), d.ws, job, CoreVersion)
	if errors.Is(err, store.ErrNotFound) {
		return -1
	}
	if err != nil {
		d.t.Fatal(err)
	}
	return r.Pos
}

func TestResultsFollow(t *testing.T) {
	d := newDesk(t)
	heard := make(chan store.Note, 10)
	if err := d.db.Listen(t.Context(), func(n store.Note) { heard <- n }); err != nil {
		t.Fatal(err)
	}
	d.Start()
	defer d.Stop()
	d.handIn(1, 3)
	d.Nudge(d.ws, job)
	if err := d.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := d.pos(); got != 3 {
		t.Errorf("results at %d, want 3", got)
	}
	if n := <-heard; !n.Results || n.Pos != 3 || n.Job != job {
		t.Errorf("note %+v", n)
	}
	d.handIn(2, 2)
	d.Nudge(d.ws, job)
	if err := d.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := d.pos(); got != 5 {
		t.Errorf("results at %d, want 5", got)
	}
}

// TestStartCatchesUp: what was handed in while no office ran is worked through at the start.
func TestStartCatchesUp(t *testing.T) {
	d := newDesk(t)
	d.handIn(1, 4)
	if got := d.pos(); got != -1 {
		t.Errorf("results at %d before the start", got)
	}
	done := make(chan store.Note, 1)
	if err := d.db.Listen(t.Context(), func(n store.Note) { done <- n }); err != nil {
		t.Fatal(err)
	}
	d.Start()
	defer d.Stop()
	if n := <-done; n.Pos != 4 {
		t.Errorf("note %+v", n)
	}
}

// TestWarmEqualsCold is T27 at the office: a record brought up to date entry by entry has the digest of one made at once. The
// invented workshop has results for what was measured; its longest log comes last, one entry at a time.
func TestWarmEqualsCold(t *testing.T) {
	d := newDesk(t)
	first, last := demoEntries(t)
	digests := map[string]bool{}
	for n := range len(last) + 1 {
		batch := first
		if n > 0 {
			batch = last[n-1 : n]
		}
		if _, err := d.db.Append(t.Context(), store.Handin{Workspace: d.ws, Job: first[0].Job, Entries: batch, At: noon}); err != nil {
			t.Fatal(err)
		}
		warm, err := d.Look(t.Context(), d.ws, first[0].Job)
		if err != nil {
			t.Fatal(err)
		}
		cold, err := d.another().Look(t.Context(), d.ws, first[0].Job)
		if err != nil {
			t.Fatal(err)
		}
		digests[cold.Digest] = true
		if warm.Digest != cold.Digest || warm.Pos != cold.Pos || warm.Entries != len(first)+n {
			t.Errorf("warm %s at %d of %d entries, cold %s at %d", warm.Digest, warm.Pos, warm.Entries, cold.Digest, cold.Pos)
		}
	}
	if len(digests) < len(last)/2 {
		t.Errorf("only %d of %d entries changed a result: this shows little", len(digests), len(last))
	}
}

// demoEntries are those of the invented workshop, the last 24 readings of one log apart.
func demoEntries(t *testing.T) (first, last []entry.Entry) {
	t.Helper()
	readings := map[entry.LogID]int{}
	var longest entry.LogID
	var all []entry.Entry
	for _, raw := range demo.Lines() {
		e, err := entry.Read(raw)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, e)
		if e.Kind == "reading" {
			readings[e.Log]++
		}
		if readings[e.Log] > readings[longest] {
			longest = e.Log
		}
	}
	const apart = 24
	seen := 0
	for _, e := range all {
		if e.Log == longest && e.Kind == "reading" {
			seen++
		}
		if e.Log == longest && seen > readings[longest]-apart {
			last = append(last, e)
			continue
		}
		first = append(first, e)
	}
	return first, last
}

// TestNewEpoch: after a restore the record is made again from nothing.
func TestNewEpoch(t *testing.T) {
	d := newDesk(t)
	d.handIn(1, 3)
	before, err := d.Look(t.Context(), d.ws, job)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.db.NewEpoch(t.Context(), store.Line{At: noon, Workspace: d.ws, Action: "new epoch"}); err != nil {
		t.Fatal(err)
	}
	after, err := d.Look(t.Context(), d.ws, job)
	if err != nil || after == before || after.Digest != before.Digest || after.Entries != 3 {
		t.Errorf("after %+v, %v", after, err)
	}
}

func TestManyLook(t *testing.T) {
	d := newDesk(t)
	d.handIn(1, 3)
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			for range 5 {
				ws := d.ws
				if i%2 == 1 {
					ws = "foreign"
				}
				rec, err := d.Look(t.Context(), ws, job)
				if err != nil {
					t.Error(err)
					return
				}
				if want := 3 * (1 - i%2); rec.Entries != want {
					t.Errorf("workspace %s: %d entries, want %d", ws, rec.Entries, want)
				}
			}
		})
	}
	wg.Wait()
	for i := range 2 * maxWarm {
		d.warmed(key{d.ws, entry.JobID(fmt.Sprint(i))})
	}
	if len(d.warm) > maxWarm {
		t.Errorf("%d jobs are warm", len(d.warm))
	}
}

// TestStopReleases: Settle does not wait for an office that has stopped.
func TestStopReleases(t *testing.T) {
	d := newDesk(t)
	d.Start()
	d.Stop()
	d.Nudge(d.ws, job)
	if err := d.Settle(t.Context()); err != nil {
		t.Error(err)
	}
}
