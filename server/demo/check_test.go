package demo

import (
	"os"
	"slices"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

func setOf(t *testing.T, entries []entry.Entry) *reconcile.Set {
	t.Helper()
	s := reconcile.New()
	for _, e := range entries {
		s.AddEntry(e)
	}
	return s
}

// TestCompare: the check can fail. A set that lacks an entry is 'lost', a server that holds more than there are is 'doubled',
// and a set that says something else gives another digest.
func TestCompare(t *testing.T) {
	story, err := Load(os.DirFS(folder))
	if err != nil {
		t.Fatal(err)
	}
	var all []entry.Entry
	for _, l := range story.Logs {
		all = append(all, l.Entries...)
	}
	whole := setOf(t, all)
	altered := setOf(t, all)
	p2 := story.Logs[slices.IndexFunc(story.Logs, func(l Log) bool { return l.Device == "P2" })].Entries
	last, first := p2[len(p2)-1], p2[slices.IndexFunc(p2, func(e entry.Entry) bool { return e.Kind == "reading" })]
	e, err := entry.Compose(entry.Entry{
		Job: story.Job, Log: last.Log, Seq: last.Seq + 1, Prev: last.ID, At: last.At, By: Lead, Kind: "withdraw",
		Over: []entry.ID{first.ID}, Body: jcs.Obj(jcs.M("why", jcs.Str("to see whether anybody notices"))),
	})
	if err != nil {
		t.Fatal(err)
	}
	altered.AddEntry(e)
	cases := []struct {
		name          string
		sets          []*reconcile.Set
		stored        int
		lost, doubled int
		good          bool
	}{
		{"all the same", []*reconcile.Set{whole, whole}, len(all), 0, 0, true},
		{"one missing on one phone", []*reconcile.Set{whole, setOf(t, all[:len(all)-1])}, len(all) - 1, 1, 0, false},
		{"stored twice", []*reconcile.Set{whole, whole}, len(all) + 1, 0, 1, false},
		{"one holds another entry", []*reconcile.Set{altered, whole}, len(all), 0, 0, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := Compare(story, c.sets, c.stored)
			if got.Lost != c.lost || got.Good() != c.good || got.Doubled != c.doubled {
				t.Errorf("Compare = %v, good %v, want lost %d, doubled %d, good %v", got, got.Good(), c.lost, c.doubled, c.good)
			}
		})
	}
}

func TestOutcome(t *testing.T) {
	o := Outcome{Phones: 3, Entries: 9, Digests: []string{"a", "a"}}
	if got, want := o.String(), "phones=3 entries=9 lost=0 doubled=0 digests=equal"; got != want || !o.Good() {
		t.Errorf("String = %q, want %q", got, want)
	}
	o.Digests[1] = "b"
	if got, want := o.String(), "phones=3 entries=9 lost=0 doubled=0 digests=different"; got != want || o.Good() {
		t.Errorf("String = %q, want %q", got, want)
	}
	if (Outcome{}).Equal() || (Outcome{Digests: []string{""}}).Equal() {
		t.Error("no digest at all counts as equal")
	}
}
