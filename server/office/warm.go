package office

import (
	"context"
	"fmt"
	"sync"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
)

// CoreVersion names the core that results are made with.
const CoreVersion = result.CoreVersion

// Record is a job at a position: what its entries say and what follows from them.
type Record struct {
	State   *record.State
	Results []result.Res
	Pos     int64
	Digest  string // of Results
	Entries int
	made    int    // which making of the results these are
	body    []byte // if it was made already
}

// Title is the job's title as the entries say it; "" if none does.
func (r *Record) Title() string { return r.State.Job.Title }

// View is one screen's view model, as the phone's own core would make it.
func (r *Record) View(name string, args jcs.Value) (jcs.Value, error) {
	return view.View(r.State, r.Results, name, args)
}

// aboutLine is about how many bytes a result takes in a list.
const aboutLine = 384

// Body is the results as JSON.
func (r *Record) Body() ([]byte, error) {
	if r.body != nil {
		return r.body, nil
	}
	v, err := r.View("results", jcs.Null())
	if err != nil {
		return nil, fmt.Errorf("view results: %w", err)
	}
	return v.Append(make([]byte, 0, aboutLine*(1+len(r.Results)))), nil
}

// warm is a job in memory: its entries and the record last made of them.
type warm struct {
	mu     sync.Mutex
	work   *result.Work
	cursor *store.Cursor
	rec    *Record
	ahead  *Ahead // work on what does not stand yet: then cursor and rec are not to be shown
	saved  int    // the making of the results that the store has
	used   int64  // under the office's lock
}

func newWarm() *warm { return &warm{work: result.NewWork()} }

// forget starts it from nothing.
func (w *warm) forget() {
	w.work.Clear()
	w.cursor, w.rec = nil, nil
}

// catchUp reads what is new. A cursor that the store does not know (it was restored) starts it from nothing.
func (w *warm) catchUp(ctx context.Context, st store.Timeline, ws store.WorkspaceID, job entry.JobID) error {
	for {
		page, err := st.Page(ctx, store.PageQuery{Workspace: ws, Job: job, After: w.cursor, Limit: pageEntries, Bytes: pageBytes})
		if err != nil {
			return err
		}
		if page.Unknown {
			w.forget()
			continue
		}
		for _, raw := range page.Entries {
			// Only well-formed links are stored, so this cannot happen with the core that stored them.
			if _, err := w.work.Set.Add(raw); err != nil {
				return fmt.Errorf("stored entry: %w", err)
			}
			w.rec = nil
		}
		cursor := page.Cursor
		w.cursor = &cursor
		if !page.More {
			return nil
		}
	}
}

// record makes the record unless it is made. A panic in the core is this program's fault, not the entries': it ends this
// job's results and is reported, and the server goes on taking entries in.
func (w *warm) record() (rec *Record, err error) {
	if w.rec != nil {
		return w.rec, nil
	}
	defer func() {
		if fault := recover(); fault != nil {
			w.work.Forget()
			rec, err = nil, fmt.Errorf("bug: the core stopped: %v", fault)
		}
	}()
	state, results := w.work.Now()
	w.rec = &Record{State: state, Results: results, Pos: w.cursor.Pos, Digest: w.work.Digest(), Entries: w.work.Set.Len(), made: w.work.Made()}
	return w.rec, nil
}
