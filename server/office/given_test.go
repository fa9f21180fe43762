package office

import (
	"context"
	"io"
	"log/slog"
	"testing"
	"time"

	"witnessmark/server/store"
)

// reads is a store that counts how often the entries of a job are read.
type reads struct {
	store.Store
	pages int
}

func (r *reads) Page(ctx context.Context, q store.PageQuery) (store.Page, error) {
	r.pages++
	return r.Store.Page(ctx, q)
}

// TestHanded: what an exchange hands over is worked out as if it had been read, and read when it cannot be all.
func TestHanded(t *testing.T) {
	for _, c := range []struct {
		name string
		told func(d *desk)
		read bool
	}{
		{"one batch", func(d *desk) { d.hand(2, 3) }, false},
		{"batch after batch", func(d *desk) { d.hand(2, 3); d.hand(3, 2) }, false},
		{"one that a look has read already", func(d *desk) {
			added, entries := d.handIn(2, 3)
			d.look()
			d.Handed(d.ws, job, added, entries)
		}, false},
		{"one that nobody told of between", func(d *desk) { d.handIn(2, 3); d.hand(3, 2) }, true},
		{"one that came before in the store and is told of after", func(d *desk) {
			first, entries := d.handIn(2, 3)
			d.hand(3, 2)
			d.Handed(d.ws, job, first, entries)
		}, true},
		{"a nudge beside it", func(d *desk) { d.handIn(2, 3); d.Nudge(d.ws, job); d.hand(3, 2) }, true},
		{"more than a page", func(d *desk) {
			for log := range 5 {
				d.hand(log+2, pageEntries/4)
			}
		}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDesk(t)
			counted := &reads{Store: d.db}
			d.Office = New(Config{Store: counted, Now: func() time.Time { return noon }, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
			d.handIn(1, 2)
			d.look()
			c.told(d)
			before := counted.pages
			d.work()
			if got := counted.pages > before; got != c.read {
				t.Errorf("the store was read: %v, want %v", got, c.read)
			}
			want, err := d.another().Look(t.Context(), d.ws, job)
			if err != nil {
				t.Fatal(err)
			}
			if got := d.pos(); got != want.Pos {
				t.Errorf("results at %d, the entries end at %d", got, want.Pos)
			}
			if got := d.look(); got.Entries != want.Entries || got.State.Digest() != want.State.Digest() {
				t.Errorf("%d entries, %d when read from the store", got.Entries, want.Entries)
			}
		})
	}
}

// hand stores n notes of a new log and hands them over.
func (d *desk) hand(log, n int) {
	added, entries := d.handIn(log, n)
	d.Handed(d.ws, job, added, entries)
}

func (d *desk) look() *Record {
	d.t.Helper()
	rec, err := d.Look(d.t.Context(), d.ws, job)
	if err != nil {
		d.t.Fatal(err)
	}
	return rec
}
