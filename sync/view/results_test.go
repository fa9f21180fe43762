package view

import (
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"

	story "witnessmark/testdata/demo"
)

// TestLinesStand: while the demo's entries come in, the list of results that is asked for again and again, and keeps the lines
// of what stands, is the list made from nothing.
func TestLinesStand(t *testing.T) {
	work, changed, last := result.NewWork(), 0, ""
	for i, line := range story.Lines() {
		if _, err := work.Set.Add(line); err != nil {
			t.Fatal(err)
		}
		if i%3 != 0 {
			continue
		}
		got := listOf(t, work)
		st := record.Build(work.Set.Resolve())
		want, err := View(st, result.All(st), "results", jcs.Null())
		if err != nil {
			t.Fatal(err)
		}
		if got != want.String() {
			t.Fatalf("after %d entries the list is\n%s\nand from nothing\n%s", i+1, got, want)
		}
		if got != last {
			changed++
		}
		last = got
	}
	if changed < 30 {
		t.Errorf("too tame: the list changed %d times", changed)
	}
}

func listOf(t *testing.T, work *result.Work) string {
	t.Helper()
	st, results := work.Now()
	v, err := View(st, results, "results", jcs.Null())
	if err != nil {
		t.Fatal(err)
	}
	return v.String()
}
