//go:build js

package main

import (
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
)

const coreVersion = result.CoreVersion

var jobs = map[string]*result.Work{}

func jobOf(id string) *result.Work {
	j := jobs[id]
	if j == nil {
		j = result.NewWork()
		jobs[id] = j
	}
	return j
}

func viewOf(job, name string, args jcs.Value) (jcs.Value, error) {
	j := jobOf(job)
	if name == "whatif" {
		return view.WhatIf(j, entry.JobID(job), args)
	}
	state, results := j.Now()
	return view.View(state, results, name, args)
}
