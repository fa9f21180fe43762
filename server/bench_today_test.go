package main

import (
	"strings"
	"time"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
	story "witnessmark/testdata/demo"
)

// today measures what the lead waits for on Monday: after one more reading, on
// the demo with its plan and 100,000 readings more, the list of today and the
// hold points of both engines, beside the taking in of that one reading.
func (b *benchRun) today() {
	const others = 100_000
	w := result.NewWork()
	for _, line := range story.Lines() {
		_, err := w.Set.Add(line)
		b.must(err)
	}
	own, err := entry.Compose(b.more(0, "f", "2117", entry.Entry{}))
	b.must(err)
	w.Set.AddEntry(own)
	last := entry.Entry{}
	for i := range others {
		e, err := entry.Compose(b.spread(i, last))
		b.must(err)
		last = e
		w.Set.AddEntry(e)
	}
	w.Now()
	var fold, lead, holds []time.Duration
	for i := range 31 {
		d := b.more(i+1, "f", "2117", own)
		e, err := entry.Compose(d)
		b.must(err)
		own = e
		began := time.Now()
		w.Set.AddEntry(e)
		st, rs := w.Now()
		fold = append(fold, time.Since(began))
		lead = append(lead, b.looked(st, rs, "lead"))
		holds = append(holds, b.looked(st, rs, "stages"))
	}
	b.line("\nToday and the hold points, on the demo and %d readings more", others)
	b.line("  one reading taken in       %8.2f ms", ms(middle(fold)))
	b.line("  today's list after it      %8.2f ms   %.1f times that", ms(middle(lead)), middle(lead).Seconds()/middle(fold).Seconds())
	b.line("  hold points after it       %8.2f ms   %.1f times that", ms(middle(holds)), middle(holds).Seconds()/middle(fold).Seconds())
}

func (b *benchRun) looked(st *record.State, rs []result.Res, name string) time.Duration {
	began := time.Now()
	_, err := view.View(st, rs, name, jcs.Obj())
	b.must(err)
	return time.Since(began)
}

// spread is a log of readings over the main and pin journals of engine 2123.
func (b *benchRun) spread(i int, last entry.Entry) entry.Entry {
	places := []string{"main.1", "main.2", "main.3", "main.4", "main.5", "main.6", "pin.1", "pin.2", "pin.3", "pin.4", "pin.5", "pin.6"}
	d := b.more(i, "e", "2123", last)
	if i > 0 {
		of := d.Body.Get("of").With("at", jcs.Str(places[i%len(places)]+".journal"))
		d.Body = d.Body.With("of", of)
		if strings.HasPrefix(places[i%len(places)], "pin") {
			d.Body = d.Body.With("value", jcs.Obj(jcs.M("t", jcs.Str("61.980")), jcs.M("u", jcs.Str("mm"))))
		}
	}
	return d
}
