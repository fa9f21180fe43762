package record

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/reconcile"
)

// HoldTest is a pressure or vacuum that is held for a time: its start, and the
// ends that name it. One of them counts; two that differ are contested.
type HoldTest struct {
	ID, Origin         entry.ID // the start; Origin: the entry that a restore brought back
	Of                 Of
	Test               string // what is held, in words; "" while the start has not arrived
	Pressure           quantity.Written
	Temp, Wait, Volume *quantity.Written
	Gauge              string
	Vacuum             bool
	Again              []entry.ID // the tests that it does over
	By, At, Note       string
	Log                entry.LogID
	Ends               []HoldEnd
	Fate
}

// HoldEnd is the end of a hold test.
type HoldEnd struct {
	ID, Origin          entry.ID
	Of                  Of
	Pressure, Elapsed   quantity.Written
	Temp, Counted       *quantity.Written
	Clock, By, At, Note string
	Fate
}

// Fate is what became of an entry.
type Fate struct {
	Struck     string // why it no longer counts, or ""
	StruckBy   []entry.ID
	Contest    string // the contest that it is in, by id, or ""
	Waits      []entry.ID
	NeedsNewer bool
}

// End returns the end that counts, and false while there is none. Of several
// that are contested it is the first.
func (t *HoldTest) End() (*HoldEnd, bool) {
	i := slices.IndexFunc(t.Ends, func(e HoldEnd) bool { return e.Struck == "" })
	if i < 0 {
		return nil, false
	}
	return &t.Ends[i], true
}

// Hold returns the hold test of that start, or the one that stands in its place.
func (s *State) Hold(start entry.ID) (*HoldTest, bool) {
	find := func(id entry.ID) int {
		return slices.IndexFunc(s.Holds, func(t HoldTest) bool { return t.ID == id })
	}
	i := find(start)
	if i < 0 || s.Holds[i].Struck != "" {
		for _, h := range s.built.heads(start) {
			if k := find(h.ID); k >= 0 {
				return &s.Holds[k], true
			}
		}
	}
	if i < 0 {
		return nil, false
	}
	return &s.Holds[i], true
}

// holds gathers the hold tests, each with its ends.
func (b *builder) holds() {
	at := map[entry.ID]int{}
	b.eachHold(false, func(it *reconcile.Item) {
		at[it.ID] = len(b.s.Holds)
		b.s.Holds = append(b.s.Holds, b.holdStart(it))
	})
	b.eachHold(true, func(it *reconcile.Item) { b.holdEnd(it, at) })
	for i := range b.s.Holds {
		b.oneEnd(&b.s.Holds[i])
	}
}

func (b *builder) eachHold(ends bool, visit func(*reconcile.Item)) {
	for i := range b.r.Ordered {
		it := b.r.Ordered[i]
		if it.Says == "hold-test" && it.State != reconcile.Unusable && isHoldEnd(it) == ends {
			visit(it)
		}
	}
}

func isHoldEnd(it *reconcile.Item) bool { return !it.Effective.Get("start").IsNull() }

func (b *builder) holdStart(it *reconcile.Item) HoldTest {
	v := it.Effective
	t := HoldTest{ID: it.ID, Of: ofBody(v.Get("of")), Test: v.Get("test").Text(), Pressure: value(v.Get("pressure")), Temp: optional(v.Get("temp")),
		Wait: optional(v.Get("wait")), Volume: optional(v.Get("volume")), Gauge: v.Get("gauge").Text(), Vacuum: v.Get("vacuum").IsTrue(),
		By: it.By, At: it.At, Note: v.Get("note").Text(), Log: it.Log}
	for _, id := range v.Get("again").Texts() {
		t.Again = append(t.Again, entry.ID(id))
	}
	if o := b.origin(it); o != nil {
		t.Origin, t.By, t.At, t.Log = o.ID, o.By, o.At, o.Log
	}
	t.Fate = b.fate(it, t.Of, t.At)
	if _, ok := b.s.Engine(t.Of.Asm); !ok && t.Struck == "" {
		out := bad(it, "nobody has entered an engine "+t.Of.Asm+" yet")
		out.Of = t.Of
		b.s.Unusable = append(b.s.Unusable, out)
	}
	return t
}

// origin is the entry that a restore brought back; nil for any other.
func (b *builder) origin(it *reconcile.Item) *reconcile.Item {
	if it.Origin == it.ID {
		return nil
	}
	return b.r.Item(it.Origin)
}

func (b *builder) fate(it *reconcile.Item, of Of, at string) Fate {
	f := Fate{Waits: slices.Clone(it.Waits), NeedsNewer: it.NeedsNewer}
	if of.Fitting != "" && b.r.Item(of.Fitting) == nil {
		f.Waits = append(f.Waits, of.Fitting)
	}
	slices.Sort(f.Waits)
	f.Waits = slices.Compact(f.Waits)
	if it.State != reconcile.Covered {
		f.Contest = b.question(it, of, at)
		return f
	}
	f.Struck, f.StruckBy = "corrected", it.CoveredBy
	if by := b.r.Item(it.CoveredBy[0]); by != nil && by.Kind == "withdraw" {
		f.Struck = first(by.Body.Get("why").Text(), "withdrawn")
	}
	return f
}

// holdEnd puts an end to its start, or to what stands in the start's place. An
// end that has overtaken its start waits for it, so that it is seen.
func (b *builder) holdEnd(it *reconcile.Item, at map[entry.ID]int) {
	start := entry.ID(it.Effective.Get("start").Text())
	e := b.readEnd(it)
	tests := b.testsOf(start, at)
	switch {
	case len(tests) == 0 && b.r.Item(start) == nil:
		tests, at[start] = []int{len(b.s.Holds)}, len(b.s.Holds)
		b.s.Holds = append(b.s.Holds, HoldTest{ID: start, Of: e.Of, Fate: Fate{Waits: []entry.ID{start}}})
	case len(tests) == 0 && e.Struck == "":
		out := bad(it, "what it ends is no hold test")
		out.Of = e.Of
		b.s.Unusable = append(b.s.Unusable, out)
	}
	for _, i := range tests {
		t := &b.s.Holds[i]
		if e.Struck == "" && t.Of.Asm != e.Of.Asm && !b.saidAgain(it) {
			why := "which engine? The hold test was begun on " + t.Of.Asm + " and ended on " + e.Of.Asm
			e.Contest = first(e.Contest, b.contest("engine of "+string(it.ID), why, []entry.ID{it.ID}, []Of{t.Of, e.Of}))
		}
		t.Ends = append(t.Ends, e)
	}
}

func (b *builder) readEnd(it *reconcile.Item) HoldEnd {
	v := it.Effective
	e := HoldEnd{ID: it.ID, Of: ofBody(v.Get("of")), Pressure: value(v.Get("pressure")), Temp: optional(v.Get("temp")), Elapsed: value(v.Get("elapsed")),
		Counted: optional(v.Get("counted")), Clock: v.Get("clock").Text(), By: it.By, At: it.At, Note: v.Get("note").Text()}
	if o := b.origin(it); o != nil {
		e.Origin, e.By, e.At = o.ID, o.By, o.At
	}
	e.Fate = b.fate(it, e.Of, e.At)
	return e
}

// testsOf finds what an end ends: the starts that stand in place of the one
// that it names, else that one itself, struck as it is.
func (b *builder) testsOf(start entry.ID, at map[entry.ID]int) []int {
	var out []int
	for _, h := range b.heads(start) {
		if i, ok := at[h.ID]; ok && h.State == reconcile.Stands {
			out = append(out, i)
		}
	}
	if i, ok := at[start]; ok && len(out) == 0 {
		out = append(out, i)
	}
	return out
}

// oneEnd strikes ends that say what another says already, and contests those
// that differ.
func (b *builder) oneEnd(t *HoldTest) {
	var open []*HoldEnd
	for i := range t.Ends {
		e := &t.Ends[i]
		if e.Struck != "" {
			continue
		}
		if k := slices.IndexFunc(open, func(o *HoldEnd) bool { return b.sameEnd(o.ID, e.ID) }); k >= 0 {
			e.Struck, e.StruckBy = "said twice: the same stands already", []entry.ID{open[k].ID}
			continue
		}
		open = append(open, e)
	}
	if len(open) < 2 || b.oneContest(open) {
		return
	}
	var ids []entry.ID
	var places []Of
	for _, e := range open {
		ids, places = append(ids, e.ID), joined(places, []Of{e.Of})
	}
	c := b.contest("hold-test/"+string(t.ID), "a hold test has two ends that do not know of each other", ids, places)
	for _, e := range open {
		e.Contest = first(e.Contest, c)
	}
}

// sameEnd: the start that they name may have been corrected in between.
func (b *builder) sameEnd(x, y entry.ID) bool {
	said := func(id entry.ID) jcs.Value { return b.r.Item(id).Effective.Without("start") }
	return entry.SameSaying(said(x), said(y))
}

func (b *builder) oneContest(ends []*HoldEnd) bool {
	return ends[0].Contest != "" && !slices.ContainsFunc(ends, func(e *HoldEnd) bool { return e.Contest != ends[0].Contest })
}

func (f Fate) members() []jcs.Member {
	return []jcs.Member{str("struck", f.Struck), ids("struck_by", f.StruckBy), str("contest", f.Contest), ids("waits", f.Waits), flag("needs_newer", f.NeedsNewer)}
}

func (t HoldTest) json() jcs.Value {
	return jcs.Obj(append(t.members(), id("id", t.ID), id("origin", t.Origin), jcs.M("of", t.Of.JSON()), str("test", t.Test), val("pressure", t.Pressure),
		opt("temp", t.Temp), opt("wait", t.Wait), opt("volume", t.Volume), str("gauge", t.Gauge), flag("vacuum", t.Vacuum), ids("again", t.Again),
		str("by", t.By), str("at", t.At), str("log", string(t.Log)), str("note", t.Note), list("ends", t.Ends, HoldEnd.json))...)
}

func (e HoldEnd) json() jcs.Value {
	return jcs.Obj(append(e.members(), id("id", e.ID), id("origin", e.Origin), jcs.M("of", e.Of.JSON()), val("pressure", e.Pressure), opt("temp", e.Temp),
		val("elapsed", e.Elapsed), opt("counted", e.Counted), str("clock", e.Clock), str("by", e.By), str("at", e.At), str("note", e.Note))...)
}
