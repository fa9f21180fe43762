//go:build js

package main

import (
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
)

const coreVersion = result.CoreVersion

// job is the entries of a job with what was worked out of them.
type job struct {
	set     *reconcile.Set
	state   *record.State // nil until asked for after a change
	results []result.Res
	digest  string
}

var jobs = map[string]*job{}

func jobOf(id string) *job {
	j := jobs[id]
	if j == nil {
		j = &job{set: reconcile.New()}
		jobs[id] = j
	}
	return j
}

func (j *job) changed() { j.state, j.results, j.digest = nil, nil, "" }

func (j *job) work() {
	if j.state == nil {
		j.state = record.Build(j.set.Resolve())
		j.results = result.All(j.state)
	}
}

func (j *job) view(name string, args jcs.Value) (jcs.Value, error) {
	j.work()
	return view.View(j.state, j.results, name, args)
}

func (j *job) resultsDigest() string {
	j.work()
	if j.digest == "" {
		j.digest = result.Digest(j.results)
	}
	return j.digest
}
