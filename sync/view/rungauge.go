package view

import (
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// runGauge is something that is read while an engine runs.
type runGauge struct {
	what, words, unit string
	first             bool // stands on the screen from the beginning
}

// runGauges are those of a bench as a rule (common practice, no source).
var runGauges = []runGauge{
	{"oil.pressure", "Oil pressure", "bar", true},
	{"coolant", "Coolant out", "degC", true},
	{"speed", "Speed", "rpm", true},
	{"oil.temp", "Oil temperature", "degC", false},
	{"coolant.in", "Coolant in", "degC", false},
	{"crankcase", "Crankcase pressure", "mmH2O", false},
	{"fuel.pressure", "Fuel pressure", "bar", false},
	{"depression", "Depression at the governor", "mmH2O", false},
	{"exhaust", "Exhaust, hottest cylinder", "degC", false},
	{"cranking", "Cranking speed", "rpm", false},
}

func gaugeWords(what string) string {
	for _, g := range runGauges {
		if g.what == what {
			return g.words
		}
	}
	return what
}

// runEvent is something that happens, told with one tap. One that stops has
// its own drill.
type runEvent struct {
	event, words string
	drill        string // "", stop, runaway, fire
	where        bool   // asks where, after it is saved
}

var runEvents = []runEvent{
	{"fired", "Fired", "", false},
	{"smoke white", "Smoke, white", "", false},
	{"smoke blue", "Smoke, blue", "", false},
	{"smoke black", "Smoke, black", "", false},
	{"smoke gone", "Smoke gone", "", false},
	{"hunting", "Hunting", "", false},
	{"lever", "Lever moved", "", false},
	{"leak", "Leak", "stop", true},
	{"knock", "Knock", "stop", false},
	{"flew off", "Something flew off", "stop", false},
	{"shouted", "Somebody shouts stop", "stop", false},
	{"breather", "Breather puffs", "stop", false},
	{"runs away", "Speed runs away", "runaway", false},
	{"fire", "Fire", "fire", false},
}

// leakPlaces are where an engine leaks as a rule; anything else can be written.
var leakPlaces = []string{"fuel return union", "high-pressure pipe", "injection pump", "fuel filter", "oil filter", "oil pipe", "rocker cover", "sump joint",
	"crank seal", "head joint", "water pump", "hose", "exhaust joint"}

// fault reports whether an event is something to put right.
func (e runEvent) fault() bool { return e.where || e.drill != "" && e.event != "shouted" }

func findEvent(name string) runEvent {
	for _, e := range runEvents {
		if e.event == name {
			return e
		}
	}
	return runEvent{event: name, words: name}
}

// drills are what is done at once, in order (common practice of benches; the
// offshore rules ask for an air shut-off for the runaway). The words are short:
// they are read at a glance.
var drills = map[string][]string{
	"stop":    {"Fuel lever to stop", "Still turning: air shut-off", "Stand clear of flywheel and sides"},
	"slower":  {"Lever back: a speed slower, or idle", "Not right in two minutes: fuel lever to stop", "Stand clear of flywheel and sides"},
	"runaway": {"Fuel off, tank too", "Air off: the plate on the intake", "Out of the line of flywheel and sides"},
	"fire":    {"Fuel off, tank too", "Air off", "Extinguisher from the way out; call the brigade"},
}

// after says what must not be done once it stands.
var drillAfter = map[string]string{
	"stop":    "Do not start again before the cause is found. Crankcase doors stay shut while it is hot.",
	"slower":  "No faster again before the cause is found.",
	"runaway": "Do not start again. Do not load it to slow it down. Rack, pump oil, intake oil and breather are looked at first.",
	"fire":    "Everybody out before anything is saved. No water jet on oil or fuel.",
}

// drillLine stands under every screen of a run.
const drillLine = "fuel off · air off · stand clear"

const runKnows = "This phone knows only what was typed into it. It stops nothing and watches nothing: silence is not safety, and beside a running diesel nobody hears it. Whoever sees something wrong stops the engine, without asking."

var runCautions = []string{
	"A diesel is stopped by its fuel or by its air, and either may fail: both are tried before it is started, by the hand that will use them. Nobody stands in line with the flywheel; a rag or a hand at the intake is drawn in. " +
		"Exhaust is led outside, doors open; ears covered; guards on; nothing loose worn. Fewer than four people: no run. " +
		"The maker's manual, the rules of the place and the word of whoever is responsible there come before anything here.",
}

// runCheck is a line of the run card, read aloud and answered.
type runCheck struct{ key, words string }

// cardLines are those of a bench card as a rule (common practice, no source;
// ears: health and safety rules on noise).
var cardLines = []runCheck{
	{"tools", "Tools and rags counted; barring tool out, seen by two"},
	{"oil", "Oil level; primed until the gauge shows pressure"},
	{"coolant", "Coolant filled, bled, drain taps shut"},
	{"fuel", "Fuel bled; shut-off at the tank worked by hand; lever tried from full travel, engine still"},
	{"air", "Air shut-off: plate tried on this intake, in the stop hand's reach"},
	{"exhaust", "Exhaust led outside, doors open"},
	{"guards", "Guards on fan, belts, couplings; nothing loose worn"},
	{"ears", "Ears covered inside the line; hand signals agreed"},
	{"extinguisher", "Extinguishers in their place, fire watch named"},
	{"gauges", "Gauges read nothing with the engine still"},
	{"stop", "Stop rehearsed: anybody may call it; where a telephone works is known"},
}

var runPosts = []string{"run supervisor", "stop hand", "reader", "fire watch"}

// unitIn is the unit in which a gauge was last read in a run, else in the job.
func (v *viewer) unitIn(r *record.Run, g runGauge) quantity.Unit {
	for k := len(r.Lines) - 1; k >= 0; k-- {
		if l := &r.Lines[k]; l.What == g.what && l.Value != nil && l.Struck == "" {
			if u, ok := quantity.Lookup(l.Value.Unit); ok {
				return u
			}
		}
	}
	for k := range r.Lines {
		if l := &r.Lines[k]; l.Block != nil && l.Struck == "" {
			for _, c := range l.Block.Columns {
				if u, ok := quantity.Lookup(c.Unit); ok && c.What == g.what {
					return u
				}
			}
		}
	}
	u, _ := quantity.Lookup(v.gaugeUnit(g))
	return u
}

// gaugeUnit is the unit in which a gauge was last read in this job.
func (v *viewer) gaugeUnit(g runGauge) string {
	for i := len(v.st.Runs) - 1; i >= 0; i-- {
		lines := v.st.Runs[i].Lines
		for k := len(lines) - 1; k >= 0; k-- {
			if l := &lines[k]; l.What == g.what && l.Value != nil && l.Struck == "" {
				if u, ok := quantity.Lookup(l.Value.Unit); ok {
					return u.Code
				}
			}
		}
	}
	return g.unit
}

func (v *viewer) gauge(g runGauge) jcs.Value {
	return jcs.Obj(text("what", g.what), text("words", g.words), text("unit", v.gaugeUnit(g)), flag("first", g.first), jcs.M("units", jcs.Arr(unitsOf(g.dim())...)))
}

func (g runGauge) dim() quantity.Dim {
	u, _ := quantity.Lookup(g.unit)
	return u.Dim
}

func eventJSON(e runEvent) jcs.Value {
	return jcs.Obj(text("event", e.event), text("words", e.words), str("drill", e.drill), flag("where", e.where))
}

func drillJSON(key string) jcs.Value {
	word := "STOP"
	if key == "slower" {
		word = "SLOWER"
	}
	return jcs.Obj(text("word", word), jcs.M("steps", jcs.Strs(drills[key])), text("after", drillAfter[key]))
}

// bound is a limit of a run that judges: accepted, and readable.
type bound struct {
	limit  record.Limit
	lo, hi *quantity.Q
}

func (v *viewer) bound(e *record.Engine, name string) (bound, bool) {
	l, ok := v.st.Limit(name, e.Serial, e.Type)
	if !ok || !v.st.Accepted(l) {
		return bound{}, false
	}
	b := bound{limit: l, lo: parsed(l.Min), hi: parsed(l.Max)}
	return b, b.lo != nil || b.hi != nil
}

func parsed(w *quantity.Written) *quantity.Q {
	if w == nil {
		return nil
	}
	q, err := quantity.Parse(*w)
	if err != nil {
		return nil
	}
	return &q
}

// fine keeps a conversion's last bits out of a comparison: a millionth of the
// base unit.
func fine(x float64) float64 { return quantity.Quantise(x, 6) }

// breaks says how a value breaks a limit, in words; "" when it does not. Of a
// value between two the worse end counts.
func (b bound) breaks(q quantity.Q) string {
	switch {
	case b.lo != nil && b.lo.Unit.Dim == q.Unit.Dim && fine(q.Lo()) < fine(b.lo.SI):
		return "at least " + b.limit.Min.String()
	case b.hi != nil && b.hi.Unit.Dim == q.Unit.Dim && fine(q.Hi()) > fine(b.hi.SI):
		return "at most " + b.limit.Max.String()
	}
	return ""
}
