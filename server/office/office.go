// Package office runs the core after each exchange, keeps the records of the jobs in use warm and stores their results.
//
// It works behind the acknowledgement: an exchange is answered when its entries are on disk, and never waits for a result. A few
// entries are worked on while the disk takes them, and shown to nobody until it has them.
// Results are a cache keyed by job and core version with the position they were made at; they only go forwards, and can be
// thrown away at any time. A fault in a calculation stops that job's results, never the taking in of entries.
package office

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

const (
	// brief is work that is over before anybody could have asked for it.
	brief = time.Millisecond
	// maxWarm is how many jobs are kept in memory; about 1 kB an entry.
	maxWarm = 32
	// One page read from the store while catching up.
	pageEntries = 2000
	pageBytes   = 8 << 20
)

// Config says what an office works with.
type Config struct {
	Store interface {
		store.Timeline
		store.Notes
	}
	Now func() time.Time
	Log *slog.Logger
	// Quiet is how long the office waits for more before it works: a phone that comes home hands in batch after batch, and
	// each would be worked through from the beginning. 0 does not wait.
	Quiet time.Duration
}

// mostQuiet is how many times Quiet it waits at most.
const mostQuiet = 8

// key names a job of a workspace.
type key struct {
	ws  store.WorkspaceID
	job entry.JobID
}

// Office works through jobs, one at a time; beside that a few entries ahead.
type Office struct {
	cfg    Config
	ctx    context.Context
	cancel context.CancelFunc
	wake   chan struct{} // holds one token
	hurry  chan struct{} // holds one token: somebody waits in Settle
	done   chan struct{}

	mu     sync.Mutex
	queue  []key // waiting, each once
	given  map[key]*given
	busy   bool
	idle   chan struct{} // closed and renewed when the queue runs empty
	warm   map[key]*warm
	uses   int64
	halted bool
	last   time.Time     // when it last ended work; after a rest the next entry is worked through at once
	took   time.Duration // that work
	ahead  time.Duration // work done ahead since
	shy    bool          // the last work ahead was for nothing
}

// New returns an office that has not started.
func New(cfg Config) *Office {
	ctx, cancel := context.WithCancel(context.Background())
	return &Office{
		cfg: cfg, ctx: ctx, cancel: cancel, wake: make(chan struct{}, 1), hurry: make(chan struct{}, 1), done: make(chan struct{}),
		idle: make(chan struct{}), warm: map[key]*warm{}, given: map[key]*given{},
	}
}

// Start begins to work, first on the jobs whose results are behind their entries.
func (o *Office) Start() {
	go func() {
		defer close(o.done)
		o.catchUp()
		for {
			select {
			case <-o.ctx.Done():
				return
			case <-o.wake:
				o.pause()
				began := time.Now()
				o.work()
				o.worked(time.Since(began))
			}
		}
	}()
}

// worked notes the end of work.
func (o *Office) worked(took time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.last, o.took, o.ahead = time.Now(), took+o.ahead, 0
}

// pause waits before work on something new.
func (o *Office) pause() { o.lull(o.wait()) }

// wait says how long nothing new must have come before the office works, and how long it waits for that at most: by how long
// ago the last work ended and how long it took. While entries stream in the office takes half of a processor's time at
// most over a while, and a third when its work is long.
func (o *Office) wait() (quiet, most time.Duration) {
	o.mu.Lock()
	rested, took := time.Since(o.last), o.took
	o.mu.Unlock()
	switch quiet = max(o.cfg.Quiet, 2*took); {
	case o.cfg.Quiet == 0:
		return 0, 0
	case took <= brief:
		return took - rested, took - rested
	case rested < mostQuiet*quiet:
		return quiet, mostQuiet * quiet
	}
	return 0, 0
}

// lull returns when nothing new has come for a while or the most time is over, or somebody waits.
func (o *Office) lull(pause, longest time.Duration) {
	if longest <= 0 {
		return
	}
	quiet, most := time.NewTimer(pause), time.NewTimer(longest)
	defer quiet.Stop()
	defer most.Stop()
	for {
		select {
		case <-o.wake:
			quiet.Reset(pause)
		case <-quiet.C:
			return
		case <-most.C:
			return
		case <-o.hurry:
			return
		case <-o.ctx.Done():
			return
		}
	}
}

// Stop ends the work after the job in hand. It must have been started.
func (o *Office) Stop() {
	o.cancel()
	<-o.done
	o.mu.Lock()
	defer o.mu.Unlock()
	o.halted = true
	o.rest()
}

// Nudge says that a job has new entries. It never blocks.
func (o *Office) Nudge(ws store.WorkspaceID, job entry.JobID) {
	o.queued(key{ws, job}, func(g *given) { g.unknown() })
}

// Handed is Nudge by one who has the new entries in hand: what follows on from what the office has need not be read from the
// store again. The caller must not change them.
func (o *Office) Handed(ws store.WorkspaceID, job entry.JobID, added store.Added, entries []entry.Entry) {
	o.queued(key{ws, job}, func(g *given) { g.take(added, entries); o.shy = false })
}

func (o *Office) queued(k key, note func(*given)) {
	o.mu.Lock()
	if !slices.Contains(o.queue, k) {
		o.queue = append(o.queue, k)
	}
	g := o.given[k]
	if g == nil {
		g = &given{}
		o.given[k] = g
	}
	note(g)
	o.mu.Unlock()
	select {
	case o.wake <- struct{}{}:
	default:
	}
}

// Settle returns when everything nudged before has been worked through, or the office has stopped. What is being worked on ahead
// counts from Ended on.
func (o *Office) Settle(ctx context.Context) error {
	for {
		o.mu.Lock()
		free, idle := o.halted || (len(o.queue) == 0 && !o.busy), o.idle
		o.mu.Unlock()
		if free {
			return nil
		}
		select {
		case o.hurry <- struct{}{}:
		default:
		}
		select {
		case <-idle:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// rest tells those who wait in Settle to look again. The lock is held.
func (o *Office) rest() {
	close(o.idle)
	o.idle = make(chan struct{})
}

func (o *Office) catchUp() {
	jobs, err := o.cfg.Store.AllJobs(o.ctx)
	if err != nil {
		o.cfg.Log.Error("office: list jobs", "err", err)
		return
	}
	for _, j := range jobs {
		r, err := o.cfg.Store.ResultsMark(o.ctx, j.Workspace, j.ID, CoreVersion)
		if errors.Is(err, store.ErrNotFound) || (err == nil && r.Pos < j.Pos) {
			o.Nudge(j.Workspace, j.ID)
		}
	}
}

func (o *Office) work() {
	for {
		k, g, ok := o.next()
		if !ok {
			return
		}
		if err := o.settleJob(k, g); err != nil && !errors.Is(err, context.Canceled) {
			o.cfg.Log.Error("office: work out results", "job", k.job, "err", err)
		}
	}
}

func (o *Office) next() (key, *given, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.queue) == 0 || o.ctx.Err() != nil {
		o.busy = false
		o.rest()
		return key{}, nil, false
	}
	k := o.queue[0]
	g := o.given[k]
	delete(o.given, k)
	o.queue = o.queue[1:]
	o.busy = true
	return k, g, true
}

// settleJob brings a job's record up to date and stores what came out. A fault of the core, wherever it is met, ends this job's
// results and not the server.
func (o *Office) settleJob(k key, g *given) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			w := o.warmed(k)
			w.mu.Lock()
			defer w.mu.Unlock()
			w.forget()
			err = fmt.Errorf("bug: the core stopped: %v", fault)
		}
	}()
	rec, err := o.look(o.ctx, k, g)
	if err != nil {
		return err
	}
	saved, err := o.save(k, rec)
	if err != nil || !saved {
		return err
	}
	return o.cfg.Store.Publish(o.ctx, store.Note{Workspace: k.ws, Job: k.job, Pos: rec.Pos, Results: true})
}

// save stores the results, or only how far they reach when the store has them already.
func (o *Office) save(k key, rec *Record) (saved bool, err error) {
	w := o.warmed(k)
	r := store.Results{Workspace: k.ws, Job: k.job, Core: CoreVersion, Pos: rec.Pos, Digest: rec.Digest, Title: rec.Title(), At: o.cfg.Now()}
	if w.saved == rec.made {
		if saved, err = o.cfg.Store.SaveResults(o.ctx, r); saved || err != nil {
			return saved, err
		}
	}
	if r.Body, err = rec.Body(); err != nil {
		return false, err
	}
	if saved, err = o.cfg.Store.SaveResults(o.ctx, r); saved {
		w.saved = rec.made
	}
	return saved, err
}

// Look returns the record of a job as its entries stand now. The caller must not change it. A job that nobody has handed in
// is an empty record.
func (o *Office) Look(ctx context.Context, ws store.WorkspaceID, job entry.JobID) (*Record, error) {
	return o.look(ctx, key{ws, job}, nil)
}

// look is Look by one who may know what is new.
func (o *Office) look(ctx context.Context, k key, g *given) (*Record, error) {
	w := o.warmed(k)
	w.mu.Lock()
	defer w.mu.Unlock()
	if a := w.ahead; a != nil {
		a.passed = a.passed || g != nil
		return a.before, nil
	}
	if !w.follow(g) {
		if err := w.catchUp(ctx, o.cfg.Store, k.ws, k.job); err != nil {
			return nil, fmt.Errorf("bring record up to date: %w", err)
		}
	}
	return w.record()
}

// warmed returns the job's place in memory, making room by forgetting the one that was used longest ago.
func (o *Office) warmed(k key) *warm {
	o.mu.Lock()
	defer o.mu.Unlock()
	w := o.warm[k]
	if w == nil {
		w = newWarm()
		o.warm[k] = w
	}
	o.uses++
	w.used = o.uses
	if len(o.warm) > maxWarm {
		o.forgetOldest()
	}
	return w
}

func (o *Office) forgetOldest() {
	keys := make([]key, 0, len(o.warm))
	for k := range o.warm {
		keys = append(keys, k)
	}
	oldest := slices.MinFunc(keys, func(a, b key) int { return cmp.Compare(o.warm[a].used, o.warm[b].used) })
	delete(o.warm, oldest)
}
