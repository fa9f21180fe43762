package record

import (
	"cmp"
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
	"witnessmark/sync/reconcile"
)

// Run is an engine on a stand, or both uncoupled, from the start to the stop.
type Run struct {
	ID, Origin    entry.ID // the start; Origin: the entry that a restore brought back
	Of            []Of     // one engine, or both
	Title         string   // what kind of run; "" while its start has not arrived
	Stand, Fluids string
	NotFitted     []string
	Most          *quantity.Written // the longest that it may run
	Checks        []RunCheck
	Posts         []RunPost
	Hold          string     // the hold point that lets it run, or ""
	Release       []entry.ID // the signatures that stood for it
	Before        []entry.ID // earlier runs, to lay beside it
	By, At        string
	Log           entry.LogID
	Lines         []RunLine // by the time since the start
	Fate
}

// RunCheck is a line of the run card as it was answered.
type RunCheck struct{ Check, Answer string }

// RunPost is who stands where.
type RunPost struct{ Post, Who string }

// RunLine is one thing that was logged of a run.
type RunLine struct {
	ID, Origin    entry.ID
	Of            Of
	Does          string // sample, samples, event, stop
	Elapsed       quantity.Written
	MS            int64             // Elapsed in milliseconds
	What          string            // the gauge, of a sample
	Value         *quantity.Written // nil for what was only seen
	Seen          string            // seen, in band; "" for a figure alone
	Later         bool              // the figure was filled in afterwards
	Station       string            // the speed that is held
	Round         int               // of a matching; 0 outside one
	Swapped       bool              // with the tachometers changed over
	Instrument    string
	Event, Words  string // of an event; of a stop Words is why
	Block         *Block // of samples
	Clock, By, At string
	Log           entry.LogID
	Fate
}

// Adjust is something that was moved on an engine.
type Adjust struct {
	ID          entry.ID
	Of          Of
	What, Way   string
	Turned      *quantity.Written
	Run         entry.ID
	Round       int
	Why, By, At string
	Contest     string
}

// Engines are the serials of a run, as its start names them.
func (r *Run) Engines() []string {
	var out []string
	for _, of := range r.Of {
		out = append(out, of.Asm)
	}
	return out
}

// Has reports whether an engine takes part in a run.
func (r *Run) Has(asm string) bool {
	return slices.ContainsFunc(r.Of, func(of Of) bool { return of.Asm == asm })
}

// Stop returns the earliest stop of an engine that stands.
func (r *Run) Stop(asm string) (*RunLine, bool) {
	return r.find(func(l *RunLine) bool { return l.Does == "stop" && l.Of.Asm == asm })
}

// Event returns the first event of that name of an engine that stands.
func (r *Run) Event(asm, name string) (*RunLine, bool) {
	return r.find(func(l *RunLine) bool { return l.Does == "event" && l.Event == name && l.Of.Asm == asm })
}

func (r *Run) find(is func(*RunLine) bool) (*RunLine, bool) {
	for i := range r.Lines {
		if l := &r.Lines[i]; l.Struck == "" && is(l) {
			return l, true
		}
	}
	return nil, false
}

// Run returns the run of that start, or the one that stands in its place.
func (s *State) Run(start entry.ID) (*Run, bool) {
	i := s.runAt(start)
	if i < 0 || s.Runs[i].Struck != "" {
		for _, h := range s.built.heads(start) {
			if k := s.runAt(h.ID); k >= 0 {
				return &s.Runs[k], true
			}
		}
	}
	if i < 0 {
		return nil, false
	}
	return &s.Runs[i], true
}

func (s *State) runAt(id entry.ID) int {
	return slices.IndexFunc(s.Runs, func(r Run) bool { return r.ID == id })
}

// runs gathers the runs, each with what was logged of it.
func (b *builder) runs() {
	b.eachRun(true, func(it *reconcile.Item) { b.s.Runs = append(b.s.Runs, b.runStart(it)) })
	b.eachRun(false, b.runLine)
	for i := range b.s.Runs {
		order.By(b.s.Runs[i].Lines, b.compareLines)
	}
	b.standing("adjust", func(it *reconcile.Item, _ jcs.Value) { b.s.Adjusts = append(b.s.Adjusts, b.adjustOf(it)) })
}

func (b *builder) eachRun(starts bool, visit func(*reconcile.Item)) {
	for i := range b.r.Ordered {
		it := b.r.Ordered[i]
		if it.Says == "run" && it.State != reconcile.Unusable && isRunStart(it) == starts {
			visit(it)
		}
	}
}

func isRunStart(it *reconcile.Item) bool { return it.Effective.Get("does").Text() == "start" }

func (b *builder) compareLines(x, y RunLine) int {
	return cmp.Or(cmp.Compare(x.MS, y.MS), reconcile.Compare(b.r.Item(x.ID), b.r.Item(y.ID)))
}

func (b *builder) runStart(it *reconcile.Item) Run {
	v := it.Effective
	get := func(name string) string { return v.Get(name).Text() }
	r := Run{ID: it.ID, Of: []Of{ofBody(v.Get("of"))}, Title: get("title"), Stand: get("stand"), Fluids: get("fluids"), NotFitted: v.Get("not_fitted").Texts(),
		Most: optional(v.Get("most")), Hold: get("hold"), Release: idsOf(v.Get("release")), Before: idsOf(v.Get("before")), By: it.By, At: it.At, Log: it.Log}
	if with := v.Get("with"); !with.IsNull() && with.Get("asm").Text() != r.Of[0].Asm {
		r.Of = append(r.Of, ofBody(with))
	}
	for _, c := range v.Get("checks").Items() {
		r.Checks = append(r.Checks, RunCheck{c.Get("check").Text(), c.Get("answer").Text()})
	}
	for _, p := range v.Get("posts").Items() {
		r.Posts = append(r.Posts, RunPost{p.Get("post").Text(), p.Get("who").Text()})
	}
	if o := b.origin(it); o != nil {
		r.Origin, r.By, r.At, r.Log = o.ID, o.By, o.At, o.Log
	}
	for _, of := range r.Of {
		f := b.fate(it, of, r.At)
		f.Contest, f.Waits = first(r.Contest, f.Contest), append(f.Waits, r.Waits...)
		slices.Sort(f.Waits)
		f.Waits = slices.Compact(f.Waits)
		r.Fate = f
		if _, ok := b.s.Engine(of.Asm); !ok && r.Struck == "" {
			out := bad(it, "nobody has entered an engine "+of.Asm+" yet")
			out.Of = of
			b.s.Unusable = append(b.s.Unusable, out)
		}
	}
	return r
}

func idsOf(v jcs.Value) []entry.ID {
	var out []entry.ID
	for _, t := range v.Texts() {
		out = append(out, entry.ID(t))
	}
	return out
}

// runLine puts a line to its run, or to what stands in the place of its start.
// One that has overtaken its start waits for it, so that it is seen.
func (b *builder) runLine(it *reconcile.Item) {
	start := entry.ID(it.Effective.Get("run").Text())
	l, ok := b.readLine(it)
	if !ok {
		return
	}
	runs := b.runsOf(start)
	switch {
	case len(runs) == 0 && b.r.Item(start) == nil:
		runs = []int{len(b.s.Runs)}
		b.s.Runs = append(b.s.Runs, Run{ID: start, Of: []Of{l.Of}, Fate: Fate{Waits: []entry.ID{start}}})
	case len(runs) == 0 && l.Struck == "":
		out := bad(it, "what it is logged for is no run")
		out.Of = l.Of
		b.s.Unusable = append(b.s.Unusable, out)
	}
	for _, i := range runs {
		b.putLine(it, &b.s.Runs[i], l)
	}
}

func (b *builder) putLine(it *reconcile.Item, r *Run, l RunLine) {
	switch {
	case r.Has(l.Of.Asm):
	case r.Title == "": // its start has not arrived: each line says whose engine it is of
		r.Of = append(r.Of, l.Of)
	case l.Struck == "" && !b.saidAgain(it):
		why := "which engine? The run is of " + r.Of[0].Asm + ", and this was logged of " + l.Of.Asm
		l.Contest = first(l.Contest, b.contest("engine of "+string(it.ID), why, []entry.ID{it.ID}, []Of{r.Of[0], l.Of}))
	}
	r.Lines = append(r.Lines, l)
}

func (b *builder) readLine(it *reconcile.Item) (RunLine, bool) {
	v := it.Effective
	get := func(name string) string { return v.Get(name).Text() }
	l := RunLine{ID: it.ID, Of: ofBody(v.Get("of")), Does: get("does"), Elapsed: value(v.Get("elapsed")), What: get("what"), Value: optional(v.Get("value")),
		Seen: get("seen"), Later: v.Get("later").IsTrue(), Station: get("station"), Round: int(v.Get("round").Int64()), Swapped: v.Get("swapped").IsTrue(),
		Instrument: get("instrument"), Event: get("event"), Words: first(get("words"), get("why")), Clock: get("clock"), By: it.By, At: it.At, Log: it.Log}
	q, err := quantity.Parse(l.Elapsed)
	if err != nil || q.Unit.Dim != quantity.Time || q.SI < 0 || q.SI > longestRun {
		out := bad(it, "'"+l.Elapsed.String()+"' is no time since the start")
		b.s.Unusable = append(b.s.Unusable, out)
		return l, false
	}
	l.MS = int64(quantity.Quantise(q.SI*1000, 0))
	if l.Does == "samples" {
		why := ""
		if l.Block, why = blockOf(v); why != "" {
			b.s.Unusable = append(b.s.Unusable, bad(it, why))
			return l, false
		}
	}
	if o := b.origin(it); o != nil {
		l.Origin, l.By, l.At, l.Log = o.ID, o.By, o.At, o.Log
	}
	l.Fate = b.fate(it, l.Of, l.At)
	return l, true
}

// longestRun bounds the time since a start, in seconds: a year.
const longestRun = 366 * 86400

// runsOf finds the runs that a line is of: the starts that stand in place of
// the one that it names, else that one itself, struck as it is.
func (b *builder) runsOf(start entry.ID) []int {
	var out []int
	for _, h := range b.heads(start) {
		if i := b.s.runAt(h.ID); i >= 0 && h.State == reconcile.Stands {
			out = append(out, i)
		}
	}
	if i := b.s.runAt(start); i >= 0 && len(out) == 0 {
		out = append(out, i)
	}
	return out
}

func (b *builder) adjustOf(it *reconcile.Item) Adjust {
	v := it.Effective
	a := Adjust{ID: it.ID, Of: ofBody(v.Get("of")), What: v.Get("what").Text(), Way: v.Get("way").Text(), Turned: optional(v.Get("turned")),
		Run: entry.ID(v.Get("run").Text()), Round: int(v.Get("round").Int64()), Why: v.Get("why").Text(), By: it.By, At: it.At}
	a.Contest = b.question(it, a.Of, a.At)
	return a
}

// extendRun takes up one entry of a run as runs would: a start that nobody
// named before, or a line of a run that stands.
func (b *builder) extendRun(it *reconcile.Item) ([]Spot, bool) {
	asked, bad := len(b.s.Contests), len(b.s.Unusable)
	if slices.ContainsFunc(b.s.Runs, func(r Run) bool { return r.Title == "" }) {
		return nil, false
	}
	if isRunStart(it) {
		r := b.runStart(it)
		b.s.Runs = inserted(b.r, b.s.Runs, r, func(r Run) entry.ID { return r.ID })
		return nil, len(b.s.Contests) == asked && len(b.s.Unusable) == bad
	}
	l, ok := b.readLine(it)
	i := b.s.runAt(entry.ID(it.Effective.Get("run").Text()))
	if !ok || i < 0 || b.s.Runs[i].Struck != "" || !b.s.Runs[i].Has(l.Of.Asm) || len(b.s.Contests) != asked || len(b.s.Unusable) != bad {
		return nil, false
	}
	b.s.Runs = slices.Clone(b.s.Runs)
	r := &b.s.Runs[i]
	k, _ := slices.BinarySearchFunc(r.Lines, l, b.compareLines)
	r.Lines = slices.Insert(slices.Clone(r.Lines), k, l)
	return []Spot{RunSpot(l.Of.Asm)}, true
}

// RunSpot is where whoever reads the runs of an engine has looked.
func RunSpot(asm string) Spot { return Spot{Key: asm, At: "run"} }

func (r Run) json() jcs.Value {
	return jcs.Obj(append(r.members(), id("id", r.ID), id("origin", r.Origin), list("of", r.Of, Of.JSON), str("title", r.Title), str("stand", r.Stand),
		str("fluids", r.Fluids), texts("not_fitted", r.NotFitted), opt("most", r.Most), list("checks", r.Checks, RunCheck.json), list("posts", r.Posts, RunPost.json),
		str("hold", r.Hold), ids("release", r.Release), ids("before", r.Before), str("by", r.By), str("at", r.At), str("log", string(r.Log)), list("lines", r.Lines, RunLine.json))...)
}

func (c RunCheck) json() jcs.Value { return jcs.Obj(str("check", c.Check), str("answer", c.Answer)) }

func (p RunPost) json() jcs.Value { return jcs.Obj(str("post", p.Post), str("who", p.Who)) }

func (l RunLine) json() jcs.Value {
	return jcs.Obj(append(l.members(), id("id", l.ID), id("origin", l.Origin), jcs.M("of", l.Of.JSON()), str("does", l.Does), val("elapsed", l.Elapsed), str("what", l.What),
		opt("value", l.Value), str("seen", l.Seen), flag("later", l.Later), str("station", l.Station), num("round", l.Round), flag("swapped", l.Swapped),
		str("instrument", l.Instrument), jcs.M("block", l.Block.json()), str("event", l.Event), str("words", l.Words), str("clock", l.Clock), str("by", l.By), str("at", l.At), str("log", string(l.Log)))...)
}

func (a Adjust) json() jcs.Value {
	return jcs.Obj(id("id", a.ID), jcs.M("of", a.Of.JSON()), str("what", a.What), str("way", a.Way), opt("turned", a.Turned), id("run", a.Run),
		num("round", a.Round), str("why", a.Why), str("by", a.By), str("at", a.At), str("contest", a.Contest))
}
