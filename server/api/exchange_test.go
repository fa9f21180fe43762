package api

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http/httptest"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"witnessmark/schema"
	"witnessmark/server/handin"
	"witnessmark/server/office"
	"witnessmark/server/store"
	"witnessmark/server/store/sql"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// brittle is a store whose transaction may end badly after its entries were written.
type brittle struct {
	store.Store
	ends string
}

var errDisk = errors.New("the disk is gone")

func (b *brittle) Append(ctx context.Context, in store.Handin) (held store.Held, err error) {
	written := in.Written
	in.Written = func(a store.Added) {
		if written != nil {
			written(a)
		}
		if b.ends == "fails" || b.ends == "stops" {
			panic(errDisk) // the store undoes what it has begun
		}
	}
	defer func() {
		if b.ends == "fails" {
			_ = recover()
			err = errDisk
		}
	}()
	held, err = b.Store.Append(ctx, in)
	if b.ends == "in doubt" {
		return store.Held{}, errDisk // it stands, and nobody was told
	}
	return held, err
}

// TestAppendEnds: however a transaction ends, the results that stand are those of the entries that stand.
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
	st, log := &brittle{Store: db}, slog.New(slog.NewTextHandler(io.Discard, nil))
	rooms := office.New(office.Config{Store: st, Now: now, Log: log})
	rooms.Start()
	defer rooms.Stop()
	s := &server{Config: Config{Store: st, Office: rooms, Now: now, Log: log}}
	job := entry.JobID(strings.Repeat("2", 32))
	dev := store.Device{ID: store.DeviceID(strings.Repeat("3", 32)), Workspace: ws.ID, Role: store.RoleLead}
	var last entry.Entry // of those that stand
	for i, ends := range []string{"well", "fails", "well", "well", "stops", "fails", "well", "in doubt", "again", "well", "in doubt", "again, by its file", "well"} {
		next := last
		if !strings.HasPrefix(ends, "again") { // else the one in doubt is handed in once more
			next = titled(t, job, last, fmt.Sprintf("title %d, which %s", i, ends))
		}
		st.ends = ends
		func() {
			defer func() {
				if got := recover(); got != nil && got != errDisk {
					panic(got)
				}
			}()
			var err error
			if ends == "again, by its file" {
				f := handin.File{Head: handin.Head{Job: job}, Entries: []entry.Entry{next}}
				var got handin.Taken
				got, err = f.Into(t.Context(), handin.Take{Workspace: ws.ID, By: dev.ID, At: now(), Store: st})
				s.afterFile(httptest.NewRequest("POST", "/", nil), who{device: dev}, f, got)
			} else {
				_, err = s.handIn(t.Context(), job, dev, exchangeIn{entries: []entry.Entry{next}})
			}
			if err != nil && !errors.Is(err, errDisk) {
				t.Fatal(err)
			}
		}()
		if ends != "fails" && ends != "stops" {
			last = next
		}
		if ends == "in doubt" {
			continue
		}
		if err := rooms.Settle(t.Context()); err != nil {
			t.Fatal(err)
		}
		got, err := db.Results(t.Context(), ws.ID, job, office.CoreVersion)
		if want := last.Body.Get("title").Text(); err != nil || got.Title != want || got.Pos != last.Seq {
			t.Errorf("%d, %s: results of %q at %d, %v; %q stands at %d", i, ends, got.Title, got.Pos, err, want, last.Seq)
		}
	}
}

// titled is the entry after another that gives the job its title.
func titled(t *testing.T, job entry.JobID, last entry.Entry, title string) entry.Entry {
	t.Helper()
	e := entry.Entry{Job: job, Log: entry.LogID(strings.Repeat("4", 32)), Seq: last.Seq + 1, Prev: last.ID, At: "2031-04-12T10:22:31+01:00",
		By: "idris", Kind: "job", Body: jcs.Obj(jcs.M("title", jcs.Str(title)), jcs.M("vehicle", jcs.Str("x")))}
	if last.ID != "" {
		e.Over = []entry.ID{last.ID}
	}
	e, err := entry.Compose(e)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// TestHeadsDescribed: openapi.yaml has every member of both heads of an exchange, and no other.
func TestHeadsDescribed(t *testing.T) {
	for name, head := range map[string]any{"ExchangeHead": requestHead{}, "ExchangeReply": replyHead{}} {
		_, text, _ := strings.Cut(schema.OpenAPI, "\n    "+name+":\n")
		described := map[string]bool{}
		for _, line := range strings.Split(text, "\n") {
			if !strings.HasPrefix(line, "      ") {
				break
			}
			if member := regexp.MustCompile(`^ {8}(\w+):`).FindStringSubmatch(line); member != nil {
				described[member[1]] = true
			}
		}
		kind := reflect.TypeOf(head)
		for i := range kind.NumField() {
			member, _, _ := strings.Cut(kind.Field(i).Tag.Get("json"), ",")
			if !described[member] {
				t.Errorf("%s lacks %s", name, member)
			}
			delete(described, member)
		}
		if len(described) > 0 {
			t.Errorf("%s has %v, which the server does not know", name, described)
		}
	}
}
