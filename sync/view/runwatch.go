package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// alarm is a limit that what was typed breaks, or an event that stops a run.
type alarm struct {
	of          string // the gauge or the event
	title, says string
	drill       string
	ms          int64
	id          string // the line that raised it
	until       int64  // of what sampled by itself: how long it lasted, ms since the start
	high        bool   // the higher the worse
	worst       float64
	worstText   string
}

// watch is what is known of one engine of a run, from what was logged.
type watch struct {
	v        *viewer
	e        *record.Engine
	run      *record.Run
	fired    int64 // ms; -1 before
	stopped  int64 // ms; -1 before
	base     int64 // since when the reading schedule counts: firing, or the last change of station
	station  string
	hot      bool
	seen     bool // oil pressure has shown
	band     bool // and has been in its band
	last     map[string]*record.RunLine
	lastAny  int64
	first    *had      // the first oil pressure at this station
	cold     *had      // the first coolant of the run
	coldAt   int64     // when that was, ms
	warmed   bool      // and it has risen since
	warmest  *had      // the warmest coolant at this station
	speed    speedRead // the last speed at this station
	standing []*alarm
	raised   []*alarm
	kept     map[string][]bound // by gauge, what it must keep now; empty after a change
	bounds   map[string]*bound  // by name, as far as they were asked for; nil for none
	open     map[string]*alarm  // by gauge: what samples by itself has raised, until it is inside again
}

// watched goes through the lines of an engine in the order of their times, and
// through what sampled by itself row by row among them.
func (v *viewer) watched(e *record.Engine, r *record.Run) *watch {
	if w, ok := v.watches[watchKey{r, e.Serial}]; ok {
		return w
	}
	w := &watch{v: v, e: e, run: r, fired: -1, stopped: -1, last: map[string]*record.RunLine{}, lastAny: -1, open: map[string]*alarm{}, kept: map[string][]bound{}, bounds: map[string]*bound{}}
	blocks := map[*record.RunLine]*rows{}
	for _, m := range moments(r, e.Serial) {
		switch {
		case m.row < 0:
			w.line(m.line)
		default:
			if blocks[m.line] == nil {
				blocks[m.line] = rowsOf(m.line)
			}
			w.row(blocks[m.line], m)
		}
	}
	if v.watches == nil {
		v.watches = map[watchKey]*watch{}
	}
	v.watches[watchKey{r, e.Serial}] = w
	return w
}

type watchKey struct {
	run *record.Run
	asm string
}

func (w *watch) line(l *record.RunLine) {
	switch l.Does {
	case "sample":
		w.lastAny = l.MS
		var q *quantity.Q
		if l.Value != nil {
			q = parsed(l.Value)
		}
		w.sample(l, q)
	case "event":
		w.event(l)
	case "stop":
		if w.stopped < 0 {
			w.neverWarmed(l)
			w.stopped, w.standing = l.MS, nil
		}
	}
}

func (w *watch) event(l *record.RunLine) {
	clear(w.kept)
	switch l.Event {
	case "fired":
		if w.fired < 0 {
			w.fired, w.base = l.MS, l.MS
		}
	case "station":
		w.station, w.base, w.first, w.warmest, w.speed = l.Station, l.MS, nil, nil, speedRead{}
	case "lever":
		w.speed = speedRead{}
	case "going on":
		w.standing = nil
	}
	e := findEvent(l.Event)
	if e.drill == "" {
		return
	}
	title := e.words
	if l.Words != "" {
		title += ": " + l.Words
	}
	w.raise(alarm{of: l.Event, title: title, says: "logged by " + w.v.person(l.By), drill: e.drill, ms: l.MS, id: string(l.ID)})
}

// sample takes a reading; q is what it says, nil for what was only seen.
func (w *watch) sample(l *record.RunLine, q *quantity.Q) {
	w.last[l.What] = l
	hot, band := w.hot, w.band
	switch l.What {
	case "oil.pressure":
		w.pressure(l, q)
	case "coolant":
		if b, ok := w.bound("run.hot"); ok && b.lo != nil && w.fired >= 0 && q != nil {
			w.hot = q.Unit.Dim == b.lo.Unit.Dim && fine(q.SI) >= fine(b.lo.SI)
		}
		w.warms(l, q)
	}
	if w.hot != hot || w.band != band {
		clear(w.kept)
	}
	w.judge(l, q)
}

// bound is an accepted limit of this engine, looked up once.
func (w *watch) bound(name string) (bound, bool) {
	b, known := w.bounds[name]
	if !known {
		if got, ok := w.v.bound(w.e, name); ok {
			b = &got
		}
		w.bounds[name] = b
	}
	if b == nil {
		return bound{}, false
	}
	return *b, true
}

// pressure is what a sample of it says about the first seconds.
func (w *watch) pressure(l *record.RunLine, q *quantity.Q) {
	shows, inBand := l.Seen != "", l.Seen == "in band"
	if l.Value != nil {
		shows = q != nil && fine(q.Hi()) > 0
		b, ok := w.bound("run.band")
		inBand = shows && (!ok || b.breaks(*q) == "")
	}
	w.late("run.seen", "Oil pressure came late", &w.seen, shows, l)
	w.late("run.band.by", "Oil pressure came into its band late", &w.band, inBand, l)
}

// late notes what came, and raises an alarm when it came after its time.
func (w *watch) late(limit, title string, known *bool, now bool, l *record.RunLine) {
	if *known || !now {
		return
	}
	*known = true
	b, ok := w.bound(limit)
	if !ok || b.hi == nil || w.fired < 0 || l.MS-w.fired <= ms(b.hi.SI) {
		return
	}
	w.raise(alarm{of: limit, title: title, says: clockWords(l.MS-w.fired) + " after firing; " + b.limit.Max.String() + " allowed", drill: "stop", ms: l.MS, id: string(l.ID)})
}

func ms(s float64) int64 { return int64(quantity.Quantise(s*1000, 0)) }

// judge holds a value against what the state of the engine asks for.
func (w *watch) judge(l *record.RunLine, q *quantity.Q) {
	if l.Value == nil || w.stopped >= 0 {
		return
	}
	before := w.open[l.What]
	w.open[l.What] = nil
	w.standing = slices.DeleteFunc(w.standing, func(a *alarm) bool { return a.of == l.What && a != before })
	if q != nil {
		w.hold(l, *q, before)
	}
	if before != nil && w.open[l.What] != before {
		w.standing = slices.DeleteFunc(w.standing, func(a *alarm) bool { return a == before })
	}
}

// hold raises the first alarm that a value gives.
func (w *watch) hold(l *record.RunLine, q quantity.Q, before *alarm) {
	for _, b := range w.asked(l.What) {
		if limit := b.breaks(q); limit != "" {
			w.goesOn(before, l, q, alarm{of: l.What, title: gaugeWords(l.What) + " " + l.Value.String(), says: limit + " " + w.stateWords() + ": '" + b.limit.Words + "'",
				drill: w.drillOf(l.What), ms: l.MS, id: string(l.ID), high: strings.HasPrefix(limit, "at most")})
			return
		}
	}
	switch l.What {
	case "oil.pressure":
		w.fallen(l, q, before)
	case "coolant":
		w.cooled(l, q, before)
	case "speed":
		w.surged(l, q, before)
	}
}

// goesOn raises an alarm; of a gauge that samples by itself it raises one for
// as long as the same lasts, and says how bad it became.
func (w *watch) goesOn(before *alarm, l *record.RunLine, q quantity.Q, a alarm) {
	if l.Block == nil {
		w.raise(a)
		return
	}
	if before == nil || before.says != a.says {
		before = w.raise(a)
		before.worst, before.worstText = q.SI, l.Value.String()
	}
	before.until = l.MS
	if q.SI != before.worst && a.high == (q.SI > before.worst) {
		before.worst, before.worstText = q.SI, l.Value.String()
	}
	w.open[l.What] = before
}

// asked are the limits that a gauge must keep in the state that the engine is in.
func (w *watch) asked(what string) []bound {
	if out, ok := w.kept[what]; ok {
		return out
	}
	out := w.limits(what)
	w.kept[what] = out
	return out
}

func (w *watch) limits(what string) []bound {
	var out []bound
	add := func(names ...string) {
		for _, n := range names {
			if b, ok := w.bound(n); ok {
				out = append(out, b)
				return
			}
		}
	}
	switch {
	case what != "oil.pressure":
		add("run." + what)
	case w.fired < 0: // cranking: there is nothing to keep yet
	case w.station == "":
		if w.band {
			add("run.band")
		}
	default:
		add(result.StationLimit(w.station), "oilpressure.min")
		if w.hot {
			add("oilpressure.min.hot")
		}
	}
	return out
}

// fallen: the first pressure at a station, less the one now, against what it
// may fall; a fall at one speed is heat, dilution or a bearing.
func (w *watch) fallen(l *record.RunLine, q quantity.Q, before *alarm) {
	if w.station == "" {
		return
	}
	if w.first == nil {
		w.first = &had{*l.Value, q}
		return
	}
	b, ok := w.bound("oilpressure.fall")
	if !ok || b.hi == nil || fine(w.first.q.SI-q.Lo()) <= fine(b.hi.SI) {
		return
	}
	w.goesOn(before, l, q, alarm{of: l.What, title: "Oil pressure falls: " + w.first.value.String() + ", now " + l.Value.String(),
		says: limitSays(b.limit) + " at one speed: '" + b.limit.Words + "'", drill: "stop", ms: l.MS, id: string(l.ID)})
}

func (w *watch) drillOf(what string) string {
	if what == "speed" {
		return "runaway"
	}
	return "stop"
}

func (w *watch) raise(a alarm) *alarm {
	p := &a
	w.raised = append(w.raised, p)
	if w.stopped < 0 {
		w.standing = append(w.standing, p)
	}
	return p
}

// words says an alarm's limit, and of what lasted how long and how bad.
func (a *alarm) words() string {
	if a.until <= a.ms {
		return a.says
	}
	return a.says + "; until " + clockWords(a.until) + ", " + a.worstText + " at the worst"
}

// state is where the engine is, as a word for the page to go by.
func (w *watch) state() string {
	switch {
	case w.stopped >= 0:
		return "stopped"
	case w.fired < 0:
		return "cranking"
	case w.station == "":
		return "starting"
	}
	return "running"
}

func (w *watch) stateWords() string {
	hot := ""
	if w.hot {
		hot = ", hot"
	}
	switch w.state() {
	case "cranking":
		return "before firing"
	case "starting":
		return "while starting"
	case "stopped":
		return "stopped"
	}
	return "at " + result.StationWords(w.station) + hot
}

// schedule is how often the gauges are read: tight after firing and after a
// change of speed, looser later (common practice, no source).
var schedule = []struct{ until, every int64 }{{60, 15}, {180, 30}, {600, 60}, {1800, 120}, {1 << 40, 300}}

// due is when the gauges are read next, and how long that is after the last
// time, in seconds; false once it has stopped or before it has fired.
func (w *watch) due() (at, every int64, ok bool) {
	if w.stopped >= 0 || w.fired < 0 {
		return 0, 0, false
	}
	last := max(w.base, w.lastAny)
	for _, s := range schedule {
		if (last-w.base)/1000 < s.until {
			return last/1000 + s.every, s.every, true
		}
	}
	return 0, 0, false
}

// clockWords is a time since the start as it stands in a log: 3:05, 1:02:07.
func clockWords(ms int64) string {
	s := ms / 1000
	two := func(n int64) string {
		if n < 10 {
			return "0" + strconv.FormatInt(n, 10)
		}
		return strconv.FormatInt(n, 10)
	}
	if s < 3600 {
		return strconv.FormatInt(s/60, 10) + ":" + two(s%60)
	}
	return strconv.FormatInt(s/3600, 10) + ":" + two(s/60%60) + ":" + two(s%60)
}

// ranFor is how long an engine ran, ms: from firing to the stop; -1 while it runs
// or when nobody logged that it fired.
func ranFor(r *record.Run, asm string) int64 {
	fired, ok1 := r.Event(asm, "fired")
	stop, ok2 := r.Stop(asm)
	if !ok1 || !ok2 || stop.MS < fired.MS {
		return -1
	}
	return stop.MS - fired.MS
}

// ranWords is a running time in words.
func ranWords(ms int64) string {
	s := ms / 1000
	if s < 60 {
		return strconv.FormatInt(s, 10) + "\u2009s"
	}
	out := strconv.FormatInt(s/60%60, 10) + "\u2009min"
	if s >= 3600 {
		return strconv.FormatInt(s/3600, 10) + "\u2009h " + out
	}
	return out
}
