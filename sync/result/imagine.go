package result

import (
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/record"
)

// Imagine works out the job as it would be with entries that nobody has
// written: on a copy, so that w stays as it is and nothing is kept. The drafts
// need a kind, a body, who would write it and what they take the place of.
func (w *Work) Imagine(job entry.JobID, drafts []entry.Entry) (*record.State, []Res, error) {
	set := w.Set.Copy()
	var last entry.Entry
	for _, d := range drafts {
		d.Job, d.Log, d.Seq, d.Prev, d.At = job, entry.LogID(strings.Repeat("f", 32)), last.Seq+1, last.ID, "2000-01-01T00:00:00Z"
		made, err := entry.Compose(d)
		if err != nil {
			return nil, nil, err
		}
		set.AddEntry(made)
		last = made
	}
	st := record.Build(set.Resolve())
	return st, All(st), nil
}
