package storetest

import (
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// testHandedIn is T6: what a phone that has lost its store can be told about what it was.
func testHandedIn(t *testing.T, b *bench) {
	first, second, other := b.chain("a", entry.Entry{}, 3, "x"), b.chain("b", entry.Entry{}, 2, "y"), b.chain("c", entry.Entry{}, 4, "z")
	put := func(log []entry.Entry, dev store.DeviceID, lease, next string, at time.Time) {
		_, err := b.Append(ctx(t), store.Handin{
			Workspace: b.ws, Job: b.job, Device: dev, Log: log[0].Log, Lease: store.Lease{Current: lease, Next: next}, Entries: log, At: at,
		})
		want(t, "error", err, nil)
	}
	two := store.DeviceID(id32("dev two"))
	put(first, b.dev, "a0", "a1", noon)
	put(other, two, "c0", "c1", noon)
	put(second, b.dev, "b0", "b1", noon.Add(time.Hour))
	put(first[:1], b.dev, "a1", "a2", noon.Add(2*time.Hour)) // nothing new, but the phone was here

	logs, err := b.HandedIn(ctx(t), b.ws, b.dev)
	want(t, "error", err, nil)
	want(t, "its own logs alone", len(logs), 2)
	want(t, "the older one", logs[0], store.HandedLog{Job: b.job, Head: store.Head{Log: second[0].Log, Seq: 2, ID: second[1].ID}, At: noon.Add(time.Hour)})
	want(t, "the one written last", logs[1], store.HandedLog{Job: b.job, Head: store.Head{Log: first[0].Log, Seq: 3, ID: first[2].ID}, At: noon.Add(2 * time.Hour)})

	elsewhere, err := b.Workspace(ctx(t), "another "+t.Name(), store.WorkspaceID(id32("another"+t.Name())), noon)
	want(t, "error", err, nil)
	logs, err = b.HandedIn(ctx(t), elsewhere.ID, b.dev)
	want(t, "error", err, nil)
	want(t, "nothing of another workspace", len(logs), 0)
}
