package api

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"witnessmark/server/office"
	"witnessmark/server/store"
	"witnessmark/server/store/sql"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// brittle is a store whose transaction ends after its entries were written.
type brittle struct {
	store.Store
	end func() error
}

func (b brittle) Append(ctx context.Context, in store.Handin) (store.Held, error) {
	written := in.Written
	in.Written = func(a store.Added) {
		written(a)
		if err := b.end(); err != nil {
			panic(err) // the store undoes what it has begun
		}
	}
	return b.Store.Append(ctx, in)
}

// TestAppendEnds: however a transaction ends, the office is free for the next, and shows what stands.
func TestAppendEnds(t *testing.T) {
	now := func() time.Time { return time.Date(2031, 4, 12, 9, 0, 0, 0, time.UTC) }
	db, err := sql.OpenSQLite(t.Context(), filepath.Join(t.TempDir(), "x.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	ws, err := db.Workspace(t.Context(), "w", store.WorkspaceID(strings.Repeat("1", 32)), now())
	if err != nil {
		t.Fatal(err)
	}
	var fault error
	st := brittle{db, func() error { return fault }}
	rooms := office.New(office.Config{Store: st, Now: now, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	s := &server{Config: Config{Store: st, Office: rooms, Now: now}}
	job := entry.JobID(strings.Repeat("2", 32))
	dev := store.Device{ID: store.DeviceID(strings.Repeat("3", 32)), Workspace: ws.ID, Role: store.RoleFitter}
	var last entry.Entry
	standing := 0
	for i, ends := range []error{nil, nil, errors.New("the disk is gone"), nil, errors.New("again"), nil} {
		e, err := entry.Compose(entry.Entry{Job: job, Log: entry.LogID(strings.Repeat("4", 32)), Seq: last.Seq + 1, Prev: last.ID,
			At: "2031-04-12T10:22:31+01:00", By: "idris", Kind: "note", Body: jcs.Obj(jcs.M("text", jcs.Str(strings.Repeat("n", i+1))))})
		if err != nil {
			t.Fatal(err)
		}
		fault = ends
		func() {
			defer func() {
				if got := recover(); got != nil && got != ends {
					panic(got)
				}
			}()
			_, err = s.append(t.Context(), job, dev, exchangeIn{entries: []entry.Entry{e}})
		}()
		if err != nil {
			t.Fatal(err)
		}
		if ends == nil {
			last = e
			standing++
		}
		rec, err := rooms.Look(t.Context(), ws.ID, job)
		if err != nil || rec.Entries != standing {
			t.Fatalf("after entry %d: %d entries, %v, want %d", i, rec.Entries, err, standing)
		}
	}
}
