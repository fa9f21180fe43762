package sql_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/server/store/sql"
	"witnessmark/sync/entry"
)

// handsIn is a writer of one log that sends again what was not acknowledged.
type handsIn struct {
	db           *sql.DB
	ws           store.WorkspaceID
	log          entry.LogID
	last         entry.Entry
	waits        []entry.Entry
	acknowledged []string
}

const restartJob = entry.JobID("0123456789abcdef0123456789abcdef")

func (h *handsIn) once(ctx context.Context) bool {
	if h.waits == nil {
		prev := ""
		if h.last.Seq > 0 {
			prev = fmt.Sprintf(`,"prev":"%s"`, h.last.ID)
		}
		raw := fmt.Appendf(nil, `{"v":1,"job":"%s","log":"%s","seq":%d%s,"kind":"note","body":{"text":"x"}}`, restartJob, h.log, h.last.Seq+1, prev)
		e, err := entry.Read(raw)
		if err != nil {
			panic("bug: " + err.Error())
		}
		h.last, h.waits = e, []entry.Entry{e}
	}
	_, err := h.db.Append(ctx, store.Handin{Workspace: h.ws, Job: restartJob, Device: "d", Log: h.log, Entries: h.waits, At: time.Unix(0, 0)})
	if err != nil {
		return false
	}
	h.acknowledged = append(h.acknowledged, string(h.waits[0].Raw))
	h.waits = nil
	return true
}

// TestPostgresRestarted is T32 and T58: PostgreSQL crashes and comes back, twice, in the middle of hand-ins. What was
// acknowledged is there, once; the same open store goes on; whoever listens is told that notes may be missing.
func TestPostgresRestarted(t *testing.T) {
	if os.Getenv(envSkip) == "1" {
		t.Skip(envSkip + "=1: PostgreSQL left out by request (2026-11)")
	}
	const seed, crashes, writers = 7, 2, 4
	own := &cluster{}
	if err := own.launch(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := own.stop(); err != nil {
			t.Error(err)
		}
	})
	db := openPostgres(t, own.url)
	ws, err := db.Workspace(t.Context(), "w", "91ab91ab91ab91ab91ab91ab91ab91ab", time.Unix(0, 0))
	if err != nil {
		t.Fatal(err)
	}
	lost := make(chan struct{}, 100)
	err = db.Listen(t.Context(), func(n store.Note) {
		if n.Lost {
			lost <- struct{}{}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(seed, seed))
	all := make([]*handsIn, writers)
	for i := range all {
		all[i] = &handsIn{db: db, ws: ws.ID, log: entry.LogID(fmt.Sprintf("%032x", i+1))}
	}
	for range crashes {
		crashUnder(t, all, int64(1+rng.IntN(60)), func() { own.crash(t) })
		<-lost
	}
	held := map[string]int{}
	page, err := db.Page(t.Context(), store.PageQuery{Workspace: ws.ID, Job: restartJob, Limit: 100_000, Bytes: 1 << 30})
	if err != nil || page.More {
		t.Fatalf("read all: %v, more %v", err, page.More)
	}
	for _, raw := range page.Entries {
		if held[string(raw)]++; held[string(raw)] > 1 {
			t.Errorf("twice: %s", raw)
		}
	}
	n := 0
	for _, h := range all {
		for _, raw := range h.acknowledged {
			if n++; held[raw] == 0 {
				t.Errorf("seed %d: lost: %s", seed, raw)
			}
		}
	}
	if n < crashes*writers {
		t.Errorf("only %d were acknowledged: the test shows nothing", n)
	}
}

// crashUnder lets all write; whoever gets the n-th acknowledgement crashes the database in the middle of what the others do.
// When it is back each writes until it gets one through.
func crashUnder(t *testing.T, all []*handsIn, n int64, crash func()) {
	t.Helper()
	var acks atomic.Int64
	back := make(chan struct{})
	fall := sync.OnceFunc(func() {
		crash()
		close(back)
	})
	var done sync.WaitGroup
	for _, h := range all {
		done.Go(func() {
			for acks.Load() < n {
				if !h.once(t.Context()) {
					if acks.Load() < n {
						t.Error("refused while the database was well")
						fall()
					}
					break
				}
				if acks.Add(1) == n {
					fall()
				}
			}
			<-back
			for tries := 0; !h.once(t.Context()); tries++ { // the pool finds its dead connections one by one
				if tries > 100 {
					t.Error("the store does not come back to its database")
					return
				}
			}
		})
	}
	done.Wait()
}
