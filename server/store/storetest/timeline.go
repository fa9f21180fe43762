package storetest

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

func testAppend(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 5, "x")
	held := b.append(t, store.Handin{Log: log[0].Log, Entries: log[:3]})
	want(t, "stored", held.Stored, 3)
	want(t, "known", held.Known, 0)
	want(t, "pos", held.Job.Pos, 3)
	want(t, "head", held.Heads[0], store.Head{Log: log[0].Log, Seq: 3, ID: log[2].ID})

	// The reply was lost: the phone sends the same again with two more (T13).
	held = b.append(t, store.Handin{Log: log[0].Log, Entries: log})
	want(t, "stored", held.Stored, 2)
	want(t, "known", held.Known, 3)
	want(t, "pos", held.Job.Pos, 5)

	// Twice in one batch is once.
	held = b.append(t, store.Handin{Log: log[0].Log, Entries: append(slices.Clone(log), log...)})
	want(t, "stored", held.Stored, 0)
	want(t, "known", held.Known, 10)

	if got := b.readAll(t, 2); !slices.Equal(got, raws(log)) {
		t.Errorf("the timeline is not the log in order: %q", got)
	}
	checkDigests(t, held.Job, log)

	empty, err := b.Append(ctx(t), store.Handin{Workspace: b.ws, Job: entry.JobID(id32("nobody")), Device: b.dev, At: noon})
	want(t, "error", err, nil)
	want(t, "empty pos", empty.Job.Pos, 0)
	_, err = b.Job(ctx(t), b.ws, entry.JobID(id32("nobody")))
	want(t, "a batch without entries makes no job", errors.Is(err, store.ErrNotFound), true)
}

// testWritten: who asks is told of what is new when it is written and nobody else can see it yet.
func testWritten(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 3, "x")
	b.append(t, store.Handin{Log: log[0].Log, Entries: log[:1]})
	var told []store.Added
	in := store.Handin{Log: log[0].Log, Entries: log, Written: func(a store.Added) {
		told = append(told, a)
		want(t, "entries seen before the commit", len(b.readAll(t, 10)), 1)
	}}
	held := b.append(t, in)
	want(t, "told", len(told), 1)
	want(t, "from", told[0].From, held.Added.From)
	want(t, "to", told[0].To, held.Added.To)
	want(t, "entries seen after it", len(b.readAll(t, 10)), 3)
	b.append(t, in) // nothing new
	want(t, "told of what was known", len(told), 1)
}

// checkDigests compares the job's digests with ones worked out here from the ids.
func checkDigests(t *testing.T, job store.Job, entries []entry.Entry) {
	t.Helper()
	var running, sum store.Digest
	for _, e := range entries {
		id, err := store.IDBytes(e.ID)
		want(t, "id", err, nil)
		running, sum = running.Next(id), sum.Plus(id)
	}
	want(t, "running digest", job.Running, running)
	want(t, "digest of the set", job.Sum, sum)
}

func testPage(t *testing.T, b *bench) {
	a, c := b.chain("a", entry.Entry{}, 6, "x"), b.chain("c", entry.Entry{}, 4, "y")
	b.append(t, store.Handin{Log: a[0].Log, Entries: a[:3]})
	b.append(t, store.Handin{Log: c[0].Log, Entries: c})
	b.append(t, store.Handin{Log: a[0].Log, Entries: a[3:]})

	q := store.PageQuery{Workspace: b.ws, Job: b.job, Limit: 100, Bytes: 1 << 20, Holds: map[entry.LogID]int64{a[0].Log: 4}}
	page, err := b.Page(ctx(t), q)
	want(t, "error", err, nil)
	want(t, "what the phone holds is left out", len(page.Entries), 6)
	want(t, "and counted in the cursor", page.Cursor.Pos, int64(10))
	want(t, "more", page.More, false)

	q.Bytes = 1
	page, err = b.Page(ctx(t), q)
	want(t, "error", err, nil)
	want(t, "one entry goes however long it is", len(page.Entries), 1)
	want(t, "more", page.More, true)

	q.Job = entry.JobID(id32("nobody"))
	page, err = b.Page(ctx(t), q)
	want(t, "error", err, nil)
	want(t, "a missing job is an empty timeline", len(page.Entries), 0)
}

// testRest: who has handed in what follows its cursor, and holds it, is told no more than where it stands now, and nothing
// that it lacks is passed over.
func testRest(t *testing.T, b *bench) {
	a, c := b.chain("a", entry.Entry{}, 6, "x"), b.chain("c", entry.Entry{}, 5, "y")
	b.append(t, store.Handin{Log: a[0].Log, Entries: a[:2]})
	b.append(t, store.Handin{Log: c[0].Log, Entries: c[:3]})
	all := store.PageQuery{Workspace: b.ws, Job: b.job, Limit: 100, Bytes: 1 << 20}
	before, err := b.Page(ctx(t), all)
	want(t, "error", err, nil)
	held := b.append(t, store.Handin{Log: a[0].Log, Entries: append(a[2:4:4], c[3])})
	after, err := b.Page(ctx(t), all)
	want(t, "error", err, nil)
	want(t, "from", held.Added.From, before.Cursor)
	want(t, "to", held.Added.To, after.Cursor)
	b.append(t, store.Handin{Log: c[0].Log, Entries: c[4:]}) // somebody else comes between
	both := map[entry.LogID]int64{a[0].Log: 4, c[0].Log: 4}
	start := store.Cursor{Epoch: before.Cursor.Epoch}
	for _, s := range []struct {
		name  string
		after *store.Cursor
		holds map[entry.LogID]int64
		ok    bool
	}{
		{"all of it", &before.Cursor, both, true},
		{"one log only", &before.Cursor, map[entry.LogID]int64{a[0].Log: 4}, false},
		{"not to its end", &before.Cursor, map[entry.LogID]int64{a[0].Log: 3, c[0].Log: 4}, false},
		{"nothing", &before.Cursor, nil, false},
		{"from the beginning", &start, both, false},
		{"no cursor", nil, both, false},
		{"another history's cursor", &store.Cursor{Epoch: start.Epoch, Pos: 5, Digest: held.Added.To.Digest}, both, false},
		{"from after what came between", &after.Cursor, both, false},
	} {
		page, ok := held.Rest(s.after, s.holds)
		want(t, s.name, ok, s.ok)
		want(t, s.name+": entries", len(page.Entries), 0)
		if ok {
			want(t, s.name+": cursor", page.Cursor, held.Added.To)
		}
	}
	again := b.append(t, store.Handin{Log: a[0].Log, Entries: a[2:4]})
	_, ok := again.Rest(&before.Cursor, both)
	want(t, "nothing new: what lies between is read", ok, false)
}

// testRestForked: holding a log up to a number does not say which branch.
func testRestForked(t *testing.T, b *bench) {
	a := b.chain("a", entry.Entry{}, 3, "x")
	other := b.chain("a", a[0], 2, "z")
	b.append(t, store.Handin{Log: a[0].Log, Entries: a})
	before, err := b.Page(ctx(t), store.PageQuery{Workspace: b.ws, Job: b.job, Limit: 100, Bytes: 1 << 20})
	want(t, "error", err, nil)
	held := b.append(t, store.Handin{Log: a[0].Log, Entries: other})
	_, ok := held.Rest(&before.Cursor, map[entry.LogID]int64{a[0].Log: 3})
	want(t, "forked", ok, false)
}

func testCursor(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 4, "x")
	b.append(t, store.Handin{Log: log[0].Log, Entries: log})
	page, err := b.Page(ctx(t), store.PageQuery{Workspace: b.ws, Job: b.job, Limit: 2, Bytes: 1 << 20})
	want(t, "error", err, nil)
	good := page.Cursor
	want(t, "pos", good.Pos, int64(2))
	start := store.Cursor{Epoch: good.Epoch}
	cases := []struct {
		name    string
		cursor  store.Cursor
		unknown bool
	}{
		{"as given", good, false},
		{"the beginning", start, false},
		{"other digest", store.Cursor{Epoch: good.Epoch, Pos: 2, Digest: good.Digest.Next(good.Digest)}, true},
		{"other epoch", store.Cursor{Epoch: "0123", Pos: 2, Digest: good.Digest}, true},
		{"beyond the end", store.Cursor{Epoch: good.Epoch, Pos: 5, Digest: good.Digest}, true},
		{"before the beginning", store.Cursor{Epoch: good.Epoch, Pos: -1, Digest: good.Digest}, true},
		{"beginning with a digest", store.Cursor{Epoch: good.Epoch, Digest: good.Digest}, true},
		{"right digest, other place", store.Cursor{Epoch: good.Epoch, Pos: 3, Digest: good.Digest}, true},
	}
	for _, c := range cases {
		page, err := b.Page(ctx(t), store.PageQuery{Workspace: b.ws, Job: b.job, After: &c.cursor, Limit: 9, Bytes: 1 << 20})
		want(t, c.name+": error", err, nil)
		want(t, c.name+": unknown", page.Unknown, c.unknown)
		if c.unknown {
			want(t, c.name+": cursor", page.Cursor, start)
			want(t, c.name+": entries", len(page.Entries), 0)
			want(t, c.name+": more", page.More, true)
		}
	}
}

func testEpoch(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 2, "x")
	b.append(t, store.Handin{Log: log[0].Log, Entries: log})
	page, err := b.Page(ctx(t), store.PageQuery{Workspace: b.ws, Job: b.job, Limit: 9, Bytes: 1 << 20})
	want(t, "error", err, nil)
	for range 2 { // none is the one before it
		want(t, "error", b.NewEpoch(ctx(t), store.Line{At: noon, Workspace: b.ws, Action: "new epoch"}), nil)
		old, err := b.Page(ctx(t), store.PageQuery{Workspace: b.ws, Job: b.job, After: &page.Cursor, Limit: 9, Bytes: 1 << 20})
		want(t, "error", err, nil)
		want(t, "a cursor of the old epoch is unknown", old.Unknown, true)
		page, err = b.Page(ctx(t), store.PageQuery{Workspace: b.ws, Job: b.job, Limit: 9, Bytes: 1 << 20})
		want(t, "error", err, nil)
	}
}

// testForks: another id at the same log and number is stored and reported, never refused (T10).
func testForks(t *testing.T, b *bench) {
	trunk := b.chain("a", entry.Entry{}, 2, "trunk")
	left, right := b.chain("a", trunk[1], 3, "left"), b.chain("a", trunk[1], 1, "right")
	log := trunk[0].Log
	b.append(t, store.Handin{Log: log, Entries: append(slices.Clone(trunk), left...)})
	held := b.append(t, store.Handin{Log: log, Entries: right})
	want(t, "stored", held.Stored, 1)
	want(t, "forks reported", len(held.Forked), 1)
	want(t, "the fork", held.Forked[0], store.Tip{Log: log, Seq: 3, ID: right[0].ID})
	want(t, "head goes on", held.Heads[0].Seq, int64(5))
	want(t, "head says so", held.Heads[0].Forked, true)
	wantTips := []store.Tip{{Log: log, Seq: 3, ID: right[0].ID}, {Log: log, Seq: 5, ID: left[2].ID}}
	if !slices.Equal(held.Tips, wantTips) {
		t.Errorf("tips = %v, want %v", held.Tips, wantTips)
	}
	// Holding a forked log up to a number does not say which branch: nothing of it is left out.
	page, err := b.Page(ctx(t), store.PageQuery{Workspace: b.ws, Job: b.job, Limit: 9, Bytes: 1 << 20, Holds: map[entry.LogID]int64{log: 5}})
	want(t, "error", err, nil)
	want(t, "entries", len(page.Entries), 6)

	held = b.append(t, store.Handin{Log: log, Entries: right})
	want(t, "a fork is reported once", len(held.Forked), 0)
}

// testBranchOverGap: of two branches one has arrived only in part, because the rest was lost with a server that was put back.
// No number is there twice, and still the log is forked: an entry follows another than the one before it.
func testBranchOverGap(t *testing.T, b *bench) {
	trunk := b.chain("a", entry.Entry{}, 2, "trunk")
	left, right := b.chain("a", trunk[1], 1, "left"), b.chain("a", trunk[1], 3, "right")
	log := trunk[0].Log
	for _, rest := range [][]entry.Entry{right[1:2], right[2:]} {
		b.append(t, store.Handin{Log: log, Entries: rest})
	}
	held := b.append(t, store.Handin{Log: log, Entries: append(slices.Clone(trunk), left...)})
	want(t, "head goes on", held.Heads[0].Seq, int64(5))
	want(t, "head says so", held.Heads[0].Forked, true)

	other := b.chain("b", entry.Entry{}, 1, "one")
	follows := b.chain("b", trunk[0], 1, "of another")
	held = b.append(t, store.Handin{Log: other[0].Log, Entries: append(other, follows...)})
	want(t, "in one batch", held.Heads[1].Forked, true)
}

// testGap: a head never hides a hole, so the phone sends again from there (T12).
func testGap(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 5, "x")
	held := b.append(t, store.Handin{Log: log[0].Log, Entries: []entry.Entry{log[0], log[3], log[4]}})
	want(t, "stored", held.Stored, 3)
	want(t, "head", held.Heads[0].Seq, int64(1))
	held = b.append(t, store.Handin{Log: log[0].Log, Entries: log[1:3]})
	want(t, "head", held.Heads[0], store.Head{Log: log[0].Log, Seq: 5, ID: log[4].ID})
	only := b.chain("b", entry.Entry{Seq: 6, ID: log[0].ID}, 1, "late")
	held = b.append(t, store.Handin{Log: only[0].Log, Entries: only})
	for _, h := range held.Heads {
		if h.Log == only[0].Log {
			want(t, "head of a log without its beginning", h.Seq, int64(0))
		}
	}
	// More of the same log, still without its beginning, and then the beginning.
	parts := b.chain("c", entry.Entry{}, 3, "y")
	for i, seq := range map[int]int64{2: 0, 1: 0} {
		held = b.append(t, store.Handin{Log: parts[i].Log, Entries: parts[i : i+1]})
		wantHead(t, held, parts[i].Log, seq)
	}
	held = b.append(t, store.Handin{Log: parts[0].Log, Entries: parts[:1]})
	wantHead(t, held, parts[0].Log, 3)
}

func wantHead(t *testing.T, held store.Held, log entry.LogID, seq int64) {
	t.Helper()
	for _, h := range held.Heads {
		if h.Log == log {
			want(t, "head", h.Seq, seq)
		}
	}
}

// testParallel is T19: 32 writers, one paging reader, each entry exactly once.
func testParallel(t *testing.T, b *bench) {
	const writers, each, batch = 32, 20, 5
	logs := make([][]entry.Entry, writers)
	var all []string
	for i := range logs {
		logs[i] = b.chain(fmt.Sprintf("w%d", i), entry.Entry{}, each, "x")
		all = append(all, raws(logs[i])...)
	}
	var wg sync.WaitGroup
	for _, log := range logs {
		wg.Go(func() {
			for i := 0; i < each; i += batch {
				_, err := b.Append(ctx(t), store.Handin{Workspace: b.ws, Job: b.job, Device: b.dev, Log: log[0].Log, Entries: log[i : i+batch], At: noon})
				if err != nil {
					t.Errorf("Append: %v", err)
					return
				}
			}
		})
	}
	done := make(chan struct{})
	go func() { wg.Wait(); close(done) }()
	sameSet(t, "read while they wrote", b.follow(t, done, len(all)), all)
	held, err := b.Held(ctx(t), b.ws, b.job)
	want(t, "error", err, nil)
	want(t, "positions without a gap", held.Job.Pos, int64(len(all)))
	want(t, "heads", len(held.Heads), writers)
	for _, h := range held.Heads {
		want(t, "head", h.Seq, int64(each))
	}
}

// follow pages on while others write, until they are done and the timeline ends.
func (b *bench) follow(t *testing.T, done <-chan struct{}, most int) []string {
	var seen []string
	var after *store.Cursor
	for len(seen) <= most {
		finished := false
		select {
		case <-done:
			finished = true
		default:
		}
		page, err := b.Page(ctx(t), store.PageQuery{Workspace: b.ws, Job: b.job, After: after, Limit: 17, Bytes: 1 << 20})
		if err != nil || page.Unknown {
			t.Fatalf("Page: unknown %v, %v", page.Unknown, err)
		}
		for _, raw := range page.Entries {
			seen = append(seen, string(raw))
		}
		cursor := page.Cursor
		after = &cursor
		if finished && !page.More {
			return seen
		}
	}
	t.Errorf("more entries read than written")
	return seen
}

// testLease is T11: the next lease goes on, the same pair again is a retry, anything else is a second phone.
func testLease(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 4, "x")
	steps := []struct {
		name  string
		lease store.Lease
		clone bool
	}{
		{"first", store.Lease{Current: "a0", Next: "a1"}, false},
		{"first again, the reply was lost", store.Lease{Current: "a0", Next: "a1"}, false},
		{"next", store.Lease{Current: "a1", Next: "a2"}, false},
		{"a copy from before", store.Lease{Current: "a1", Next: "b2"}, true},
		{"the phone itself goes on", store.Lease{Current: "a2", Next: "a3"}, false},
		{"an old copy", store.Lease{Current: "a0", Next: "a1"}, true},
		{"a lease of nobody", store.Lease{Current: "c0", Next: "c1"}, true},
		{"none sent", store.Lease{}, false},
	}
	for i, s := range steps {
		held := b.append(t, store.Handin{Log: log[0].Log, Lease: s.lease, Entries: log[:1+i%4]})
		want(t, s.name+": clone", held.Clone, s.clone)
		want(t, s.name+": its entries are stored all the same", held.Job.Pos >= int64(1+i%4), true)
	}
	// Every third reply lost for a thousand exchanges opens no log.
	current := "a3"
	for i := range 1000 {
		next := fmt.Sprintf("n%d", i)
		for try := 0; try == 0 || (i%3 == 0 && try < 2); try++ {
			held := b.append(t, store.Handin{Log: log[0].Log, Lease: store.Lease{Current: current, Next: next}})
			if held.Clone {
				t.Fatalf("exchange %d, try %d: taken for a second phone", i, try)
			}
		}
		current = next
		if testing.Short() && i > 50 {
			break
		}
	}
}

// testCarried: entries of other phones' logs are taken from any phone (T21).
func testCarried(t *testing.T, b *bench) {
	mine, other := b.chain("mine", entry.Entry{}, 2, "x"), b.chain("other", entry.Entry{}, 3, "y")
	held := b.append(t, store.Handin{Log: mine[0].Log, Lease: store.Lease{Current: "a0", Next: "a1"}, Entries: append(slices.Clone(mine), other...)})
	want(t, "stored", held.Stored, 5)
	want(t, "heads", len(held.Heads), 2)
	wantCarried(t, held, store.Carried{Log: other[0].Log, Count: 3})
	again := b.append(t, store.Handin{Log: mine[0].Log, Entries: append(slices.Clone(mine), other...)})
	wantCarried(t, again)
}

// testCarriedByOther: whoever adds to a log that another device writes is found, also when it says that the log is its own.
func testCarriedByOther(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 5, "x")
	b.append(t, store.Handin{Log: log[0].Log, Lease: store.Lease{Current: "a0", Next: "a1"}, Entries: log[:2]})
	other, code := store.DeviceID(id32("another")), store.Lease{Current: "b0", Next: "b1"}
	wantCarried(t, b.append(t, store.Handin{Log: log[0].Log, Lease: store.Lease{Current: "a1", Next: "a2"}, Entries: log[2:3]}))
	own := b.chain("b", entry.Entry{}, 1, "y")
	for i, says := range []store.Handin{{Log: own[0].Log, Lease: code}, {Log: log[0].Log}} {
		says.Device, says.Entries = other, log[3+i:4+i]
		wantCarried(t, b.append(t, says), store.Carried{Log: log[0].Log, Count: 1, Writer: b.dev})
	}
}

func wantCarried(t *testing.T, held store.Held, expect ...store.Carried) {
	t.Helper()
	if !slices.Equal(held.Carried, expect) {
		t.Errorf("carried %v, want %v", held.Carried, expect)
	}
}

// testWorkspaces is T55: what is another workspace's looks like nothing.
func testWorkspaces(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 2, "x")
	b.append(t, store.Handin{Log: log[0].Log, Entries: log})
	other, err := b.Workspace(ctx(t), "other "+t.Name(), store.WorkspaceID(id32("other"+t.Name())), noon)
	want(t, "error", err, nil)
	_, err = b.Job(ctx(t), other.ID, b.job)
	want(t, "foreign job", errors.Is(err, store.ErrNotFound), true)
	held, err := b.Held(ctx(t), other.ID, b.job)
	want(t, "error", err, nil)
	want(t, "foreign heads", len(held.Heads), 0)
	page, err := b.Page(ctx(t), store.PageQuery{Workspace: other.ID, Job: b.job, Limit: 9, Bytes: 9})
	want(t, "error", err, nil)
	want(t, "foreign entries", len(page.Entries), 0)
	jobs, err := b.Jobs(ctx(t), other.ID)
	want(t, "error", err, nil)
	want(t, "foreign jobs", len(jobs), 0)
	want(t, "foreign jobs counted", held.Jobs, 0)
	nothing := store.Handin{Workspace: other.ID, Job: b.job, Device: b.dev, At: noon}
	held, err = b.Append(ctx(t), nothing)
	want(t, "error", err, nil)
	want(t, "jobs counted without one", held.Jobs, 0)
	// The same job id in two workspaces is two jobs.
	held, err = b.Append(ctx(t), store.Handin{Workspace: other.ID, Job: b.job, Device: b.dev, Log: log[0].Log, Entries: log[:1], At: noon})
	want(t, "error", err, nil)
	want(t, "own timeline", held.Job.Pos, int64(1))
	want(t, "own jobs counted", held.Jobs, 1)
	next := nothing
	next.Job, next.Log, next.Entries = entry.JobID(id32("next")), log[0].Log, log[:1]
	held, err = b.Append(ctx(t), next)
	want(t, "error", err, nil)
	want(t, "the job that was begun counts", held.Jobs, 2)
	again, err := b.Workspace(ctx(t), "other "+t.Name(), store.WorkspaceID(id32("third")), noon)
	want(t, "error", err, nil)
	want(t, "a name is one workspace", again.ID, other.ID)
}

func testResults(t *testing.T, b *bench) {
	log := b.chain("a", entry.Entry{}, 2, "x")
	r := store.Results{Workspace: b.ws, Job: b.job, Core: "1", Pos: 2, Digest: "d2", Title: "two engines", Body: []byte(`{"n":2}`), At: noon}
	_, err := b.SaveResults(ctx(t), r)
	want(t, "results of no job", errors.Is(err, store.ErrNotFound), true)
	b.append(t, store.Handin{Log: log[0].Log, Entries: log})
	_, err = b.Results(ctx(t), b.ws, b.job, "1")
	want(t, "none yet", errors.Is(err, store.ErrNotFound), true)
	for _, step := range []struct {
		pos   int64
		saved bool
	}{{2, true}, {1, false}, {2, false}, {3, true}} {
		r.Pos, r.Digest = step.pos, fmt.Sprintf("d%d", step.pos)
		saved, err := b.SaveResults(ctx(t), r)
		want(t, "error", err, nil)
		want(t, fmt.Sprintf("saved at %d", step.pos), saved, step.saved)
	}
	got, err := b.Results(ctx(t), b.ws, b.job, "1")
	want(t, "error", err, nil)
	want(t, "digest", got.Digest, "d3")
	want(t, "body", string(got.Body), `{"n":2}`)
	for _, step := range []struct {
		name   string
		pos    int64
		digest string
		saved  bool
	}{{"another digest needs its body", 4, "d4", false}, {"not backwards", 2, "d3", false}, {"the same reach further", 5, "d3", true}} {
		r.Pos, r.Digest, r.Body = step.pos, step.digest, nil
		saved, err := b.SaveResults(ctx(t), r)
		want(t, "error", err, nil)
		want(t, step.name, saved, step.saved)
	}
	got, err = b.Results(ctx(t), b.ws, b.job, "1")
	want(t, "error", err, nil)
	want(t, "body kept", string(got.Body), `{"n":2}`)
	mark, err := b.ResultsMark(ctx(t), b.ws, b.job, "1")
	want(t, "error", err, nil)
	want(t, "mark", mark, store.Mark{Pos: 5, Digest: "d3"})
	held := b.append(t, store.Handin{Core: "1"})
	want(t, "mark told with a hand-in", *held.Mark, mark)
	held = b.append(t, store.Handin{Core: "2"})
	want(t, "no mark of another core", held.Mark == nil, true)
	held = b.append(t, store.Handin{})
	want(t, "no mark unasked", held.Mark == nil, true)
	job, err := b.Job(ctx(t), b.ws, b.job)
	want(t, "error", err, nil)
	want(t, "title", job.Title, "two engines")
	_, err = b.Results(ctx(t), b.ws, b.job, "2")
	want(t, "another core's", errors.Is(err, store.ErrNotFound), true)
	all, err := b.AllJobs(ctx(t))
	want(t, "error", err, nil)
	want(t, "listed", slices.ContainsFunc(all, func(j store.JobOf) bool { return j.Workspace == b.ws && j.ID == b.job }), true)
}
