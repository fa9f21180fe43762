// Package storetest is the one suite that every store passes: the same promises over SQLite and PostgreSQL. It imports
// testing and is used by tests only.
package storetest

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// Open returns an empty store; the suite does not close it.
type Open func(t *testing.T) store.Store

// noon is the suite's clock.
var noon = time.Date(2031, 4, 12, 12, 0, 0, 0, time.UTC)

// Run runs the suite.
func Run(t *testing.T, open Open) {
	suites := []struct {
		name string
		run  func(t *testing.T, b *bench)
	}{
		{"Append", testAppend}, {"Written", testWritten}, {"Page", testPage}, {"Rest", testRest}, {"RestForked", testRestForked}, {"Cursor", testCursor}, {"Epoch", testEpoch}, {"Forks", testForks}, {"Gap", testGap}, {"BranchOverGap", testBranchOverGap},
		{"ParallelWriters", testParallel}, {"Lease", testLease}, {"Carried", testCarried}, {"CarriedByOther", testCarriedByOther}, {"Workspaces", testWorkspaces},
		{"Results", testResults}, {"Codes", testCodes}, {"CodeRace", testCodeRace}, {"WrongTries", testWrongTries},
		{"Secrets", testSecrets}, {"Links", testLinks}, {"Audit", testAudit}, {"Blobs", testBlobs}, {"Notes", testNotes},
		{"Server", testServer}, {"HandedIn", testHandedIn}, {"Phones", testPhones}, {"Roles", testRoles}, {"Renew", testRenew},
	}
	for _, s := range suites {
		t.Run(s.name, func(t *testing.T) { s.run(t, newBench(t, open(t))) })
	}
}

// bench is a store with one workspace and one job to work on.
type bench struct {
	store.Store
	ws  store.WorkspaceID
	job entry.JobID
	dev store.DeviceID
}

func newBench(t *testing.T, st store.Store) *bench {
	t.Helper()
	ws, err := st.Workspace(t.Context(), "workshop "+t.Name(), store.WorkspaceID(id32("ws"+t.Name())), noon)
	if err != nil {
		t.Fatalf("Workspace: %v", err)
	}
	return &bench{Store: st, ws: ws.ID, job: entry.JobID(id32("job")), dev: store.DeviceID(id32("dev"))}
}

// id32 makes a 32-digit id out of a name, the same every time.
func id32(name string) string { return idOf(name).String()[:32] }

func idOf(name string) store.Digest { return store.Digest{}.Next(nameDigest(name)) }

func nameDigest(name string) store.Digest {
	var d store.Digest
	for i := range len(name) {
		d[i%32] += name[i]
		d = d.Next(d)
	}
	return d
}

// chain makes n well-formed links of a log after seq entries, each naming the one before. twist tells branches apart.
func (b *bench) chain(log string, after entry.Entry, n int, twist string) []entry.Entry {
	var out []entry.Entry
	last := after
	for range n {
		e := entry.Entry{Job: b.job, Log: entry.LogID(id32(log)), Seq: last.Seq + 1}
		prev := ""
		if last.ID != "" {
			prev = fmt.Sprintf(`,"prev":"%s"`, last.ID)
			e.Prev = last.ID
		}
		e.Raw = fmt.Appendf(nil, `{"v":1,"job":"%s","log":"%s","seq":%d%s,"kind":"note","body":{"text":"%s"}}`, e.Job, e.Log, e.Seq, prev, twist)
		e.ID = entry.ID(nameDigest(string(e.Raw)).String())
		out = append(out, e)
		last = e
	}
	return out
}

func (b *bench) append(t *testing.T, in store.Handin) store.Held {
	t.Helper()
	in.Workspace, in.Job, in.At = b.ws, b.job, noon
	if in.Device == "" {
		in.Device = b.dev
	}
	held, err := b.Append(t.Context(), in)
	if err != nil {
		t.Fatalf("Append: %v", err)
	}
	return held
}

// readAll pages through a job and returns the raw entries in order.
func (b *bench) readAll(t *testing.T, limit int) []string {
	t.Helper()
	var all []string
	var after *store.Cursor
	for {
		page, err := b.Page(t.Context(), store.PageQuery{Workspace: b.ws, Job: b.job, After: after, Limit: limit, Bytes: 1 << 20})
		if err != nil || page.Unknown {
			t.Fatalf("Page after %+v: unknown %v, %v", after, page.Unknown, err)
		}
		for _, raw := range page.Entries {
			all = append(all, string(raw))
		}
		if !page.More {
			return all
		}
		cursor := page.Cursor
		after = &cursor
	}
}

func raws(entries []entry.Entry) []string {
	out := make([]string, 0, len(entries))
	for _, e := range entries {
		out = append(out, string(e.Raw))
	}
	return out
}

func want[T comparable](t *testing.T, what string, got, expect T) {
	t.Helper()
	if got != expect {
		t.Errorf("%s = %v, want %v", what, got, expect)
	}
}

func sameSet(t *testing.T, what string, got, expect []string) {
	t.Helper()
	got, expect = slices.Sorted(slices.Values(got)), slices.Sorted(slices.Values(expect))
	if !slices.Equal(got, expect) {
		t.Errorf("%s: got %d entries, want %d, or not the same ones", what, len(got), len(expect))
	}
}

func ctx(t *testing.T) context.Context { return t.Context() }
