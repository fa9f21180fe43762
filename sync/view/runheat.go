package view

import (
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// had is a value that a later one is held against.
type had struct {
	value quantity.Written
	q     quantity.Q
}

// warms notes that the coolant has begun to rise: by a step of its figure, or
// that it was hot to begin with.
func (w *watch) warms(l *record.RunLine, q *quantity.Q) {
	if q == nil || w.warmed {
		return
	}
	if w.cold == nil {
		w.cold, w.coldAt = &had{*l.Value, *q}, l.MS
	}
	first := w.cold.q
	w.warmed = w.hot || first.Unit.Dim == q.Unit.Dim && fine(q.SI) >= fine(first.SI+max(first.Res, q.Res))
	if by, b, ok := w.warmBy(); ok && w.warmed && l.MS > by {
		w.raise(alarm{of: "run.warming", title: "Coolant warmed late", says: "at " + clockWords(l.MS) + "; " + b.limit.Max.String() + " allowed: '" + b.limit.Words + "'", drill: "slower", ms: l.MS, id: string(l.ID)})
	}
}

// warmBy is when the coolant must have begun to rise: so long after firing, or
// after somebody first read it, as one reading alone shows no rise.
func (w *watch) warmBy() (int64, bound, bool) {
	b, ok := w.bound("run.warming")
	if !ok || b.hi == nil || w.fired < 0 {
		return 0, b, false
	}
	since := w.fired
	if w.cold != nil {
		since = max(since, w.coldAt)
	}
	return since + ms(b.hi.SI), b, true
}

// neverWarmed puts it into what was raised when a run ends cold after its time.
func (w *watch) neverWarmed(stop *record.RunLine) {
	if by, b, ok := w.warmBy(); ok && !w.warmed && stop.MS > by {
		w.raise(alarm{of: "run.warming", title: "Coolant did not warm", says: w.coldSays(b), drill: "slower", ms: by, id: string(stop.ID)})
	}
}

func (w *watch) coldSays(b bound) string {
	read := "nobody has read it, "
	if w.cold != nil {
		read = "no more than " + w.cold.value.String() + " was read, "
	}
	return read + "and " + b.limit.Max.String() + " are over: '" + b.limit.Words + "'. Thermostat, pump, or the gauge"
}

// cooled: the warmest coolant at a station, less the one now, against what it
// may fall; at one speed nothing should cool it.
func (w *watch) cooled(l *record.RunLine, q quantity.Q, before *alarm) {
	if w.station == "" {
		return
	}
	if w.warmest == nil || w.warmest.q.SI < q.SI {
		w.warmest = &had{*l.Value, q}
		return
	}
	b, ok := w.bound("run.coolant.fall")
	if !ok || b.hi == nil || b.hi.Unit.Dim != quantity.Temperature || fine(w.warmest.q.SI-q.SI) <= fine(b.hi.SI-b.hi.Unit.SI(0)) { // the limit is a difference
		return
	}
	w.goesOn(before, l, q, alarm{of: l.What, title: "Coolant falls: " + w.warmest.value.String() + ", now " + l.Value.String(),
		says: limitSays(b.limit) + " at one speed: '" + b.limit.Words + "'. Thermostat, pump, or water lost", drill: "slower", ms: l.MS, id: string(l.ID)})
}

// speedRead is a speed as it was read; its value is zero for none.
type speedRead struct {
	had
	instrument string
	round      int
}

// surged: two speeds read one after the other, with one instrument and no lever
// moved between them, against how far they may swing.
func (w *watch) surged(l *record.RunLine, q quantity.Q, before *alarm) {
	was := w.speed
	w.speed = speedRead{had{*l.Value, q}, l.Instrument, l.Round}
	if w.station == "" || was.value.IsZero() || was.instrument != l.Instrument || was.round != l.Round {
		return
	}
	b, ok := w.bound("run.surge")
	if !ok || b.hi == nil || was.q.Unit.Dim != b.hi.Unit.Dim || q.Unit.Dim != b.hi.Unit.Dim || fine(max(q.SI-was.q.SI, was.q.SI-q.SI)) <= fine(b.hi.SI) {
		return
	}
	w.goesOn(before, l, q, alarm{of: l.What, title: "It hunts: " + was.value.String() + ", then " + l.Value.String(),
		says: limitSays(b.limit) + " from one reading to the next: '" + b.limit.Words + "'", drill: "slower", ms: l.MS, id: string(l.ID), high: true})
}

// deadlines are what must have been logged by a time, with what is done once it is over.
func (w *watch) deadlines() []jcs.Value {
	var out []jcs.Value
	add := func(at int64, title, says, drill string) {
		out = append(out, jcs.Obj(num("at_s", int(at/1000)), text("title", title), text("says", says), jcs.M("drill", drillJSON(drill))))
	}
	if w.stopped >= 0 || w.fired < 0 {
		return nil
	}
	over := func(limit string, known bool, title string) {
		if b, ok := w.bound(limit); ok && b.hi != nil && !known {
			add(w.fired+ms(b.hi.SI), title, b.limit.Max.String()+" after firing are over: '"+b.limit.Words+"'", "stop")
		}
	}
	if w.station == "" {
		over("run.seen", w.seen, "No oil pressure was seen")
		over("run.band.by", w.band, "Oil pressure is not in its band")
	}
	if by, b, ok := w.warmBy(); ok && !w.warmed {
		add(by, "Coolant does not warm", w.coldSays(b), "slower")
	}
	if q := parsed(w.run.Most); q != nil && q.Unit.Dim == quantity.Time {
		without := ""
		if len(w.run.NotFitted) > 0 {
			without = ", as it has no " + strings.Join(w.run.NotFitted, ", no ")
		}
		add(w.fired+ms(q.SI), "Its time is over", "it may run "+w.run.Most.String()+without, "stop")
	}
	return out
}
