package result

import (
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
)

// Work is a job's entries with what they come to, kept up to date by what is
// new in them: a reading costs what it touches, not what the job holds.
type Work struct {
	Set    *reconcile.Set
	state  *record.State
	res    *Results
	digest string
	made   int
}

// Made counts how often results were made: while it stays, they stay.
func (w *Work) Made() int { return w.made }

// NewWork begins with no entries.
func NewWork() *Work { return &Work{Set: reconcile.New()} }

// Now returns the record and the results of the entries as they are. Both are
// shared: they stay as they are when more comes, and must not be changed.
func (w *Work) Now() (*record.State, []Res) {
	resolved := w.Set.Resolve()
	if w.state == nil {
		w.fromNothing(resolved)
		return w.state, w.res.All
	}
	next, spots, ok := w.state.Extend(resolved)
	switch {
	case !ok:
		w.fromNothing(resolved)
	case len(spots) > 0:
		w.res, w.state, w.digest = w.res.Extend(next, spots), next, ""
		w.made++
	default:
		w.state = next
	}
	return w.state, w.res.All
}

func (w *Work) fromNothing(r *reconcile.Resolved) {
	w.state = record.Build(r)
	w.res, w.digest = From(w.state), ""
	w.made++
}

// Digest is the digest of the results of the entries as they are.
func (w *Work) Digest() string {
	_, all := w.Now()
	if w.digest == "" {
		w.digest = Digest(all)
	}
	return w.digest
}

// Clear drops the entries too. The makings are counted on: those to come are
// others than those before.
func (w *Work) Clear() { *w = Work{Set: reconcile.New(), made: w.made} }

// Forget drops what was worked out, so that it is done from nothing next time.
func (w *Work) Forget() { w.state, w.res, w.digest = nil, nil, "" }
