package view

import (
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"

	story "witnessmark/testdata/demo"
)

// desk is the invented job on which drafts are kept one after the other, each
// worked out on what stands.
type desk struct {
	t    *testing.T
	set  *reconcile.Set
	last entry.Entry
}

func atDesk(t *testing.T) *desk {
	t.Helper()
	d := &desk{t: t, set: reconcile.New()}
	for _, line := range story.Lines() {
		e, err := entry.Read(line)
		if err != nil {
			t.Fatal(err)
		}
		d.set.AddEntry(e)
		d.last.Job = e.Job
	}
	d.last.Log = entry.LogID(strings.Repeat("8", 32))
	d.write("log", jcs.Obj(jcs.M("device", jcs.Str("own")), jcs.M("name", jcs.Str("P8")), jcs.M("of", jcs.Str("maud"))), nil)
	return d
}

func (d *desk) write(kind string, body jcs.Value, over []string) {
	d.t.Helper()
	var covers []entry.ID
	for _, id := range over {
		covers = append(covers, entry.ID(id))
	}
	e, err := entry.Compose(entry.Entry{Job: d.last.Job, Log: d.last.Log, Seq: d.last.Seq + 1, Prev: d.last.ID, At: "2027-04-20T10:00:00+00:00", By: "maud", Kind: kind, Body: body, Over: covers})
	if err != nil {
		d.t.Fatal(err)
	}
	d.set.AddEntry(e)
	d.last = e
}

func (d *desk) now() shown {
	st := record.Build(d.set.Resolve())
	return shown{d.t, st, result.All(st)}
}

// keep keeps what a screen drafts.
func (d *desk) keep(view, args string) {
	d.t.Helper()
	draft := d.now().view(view, args).Get("draft")
	if draft.IsNull() {
		d.t.Fatalf("nothing to keep of %s %s: %s", view, args, d.now().view(view, args))
	}
	d.write(draft.Get("kind").Text(), draft.Get("body"), draft.Get("over").Texts())
}
