package calc

import (
	"cmp"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

var warmupSpec = Spec{
	Name: "warmup", Version: "1", Title: "Warming up: rate, time to reach, rise across the engine",
	Needs: []Need{
		{"outlet", "coolant outlet; the point is the time in minutes, as 12.5", "temperature", "item", false},
		{"inlet", "coolant inlet at the same times", "temperature", "item", true},
		{"reach", "temperature to be reached", "temperature", "nominal", true},
		{"at", "time at which the temperature is wanted", "time", "nominal", true},
		{"time_unit", "unit of the times, min when left out", "", "option", true},
		{"outlet", "outlet temperature allowed", "temperature", "limit", true},
		{"rise", "rise across the engine, as a difference", "temperature", "limit", true},
		{"rate", "rise in one minute, as a difference", "temperature", "limit", true},
		{"fall", "fall from one reading to the next, as a difference", "temperature", "limit", true},
	},
	run: runWarmup,
}

const cautionWarm = "Never open a hot cap. A sudden cold reading may be a bulb without water round it, and the engine hotter than ever: idle or stop, then look. The maker's temperatures come before any figure here."

// warm is one temperature at one time, s.
type warm struct {
	t float64
	measured
}

// runWarmup works on temperatures against time; differences are judged as
// differences, whatever nought their scale has.
func runWarmup(s *sheet) {
	s.caution(cautionWarm)
	out, in := s.warming("outlet", "outlet"), s.warming("inlet", "inlet")
	if len(out) == 0 {
		s.missing("outlet temperature at a time")
		return
	}
	hot := out[0]
	for _, w := range out {
		if w.si > hot.si {
			hot = w
		}
	}
	s.degrees("outlet", "Highest outlet temperature", hot.measured, "outlet")
	fell := s.sudden(out)
	s.across(out, in)
	if len(out) < 2 {
		s.line("one reading gives no rate")
		return
	}
	first, last := out[0], out[len(out)-1]
	s.warmRate("rate", "Rise in one minute, on the whole", first, last, "rate")
	s.warmRate("rate_now", "Rise in one minute, between the last two", out[len(out)-2], last, "")
	s.reach(out)
	s.atTime(out)
	if rise := last.si - first.si; last.t-first.t >= 600 && rise <= expanded(difference(first.measured, last.measured)) {
		s.line("no warming that this thermometer tells in " + figureIn(last.t-first.t, minutes, 0) + ": thermostat, or a bulb without water")
	}
	s.saysWorst(fell)
}

// warming reads a row of temperatures, in the order of their times.
func (s *sheet) warming(name, what string) []warm {
	unit := "min"
	if u := s.in.Opts["time_unit"]; u != "" {
		unit = u
	}
	var out []warm
	for _, it := range s.in.Items[name] {
		t, err := quantity.Parse(quantity.Written{Text: it.Point, Unit: unit})
		if err != nil || t.Unit.Dim != quantity.Time {
			s.missing("the time of a reading at the " + what + ": '" + it.Point + "' is no time; write minutes as 12.5")
			continue
		}
		if m, ok := s.read(it, what+" at "+it.Point+"\u2009"+t.Unit.Symbol); ok {
			out = append(out, warm{t.SI, m})
		}
	}
	order.By(out, func(a, b warm) int { return cmp.Compare(a.t, b.t) })
	return out
}

// degrees adds a temperature itself; a difference goes through step.
func (s *sheet) degrees(name, label string, m measured, limit string) {
	v := s.value(name, label, m.si, m.all(), m.unit, m.dec, "")
	v.Text = text(m, m.dec)
	l, ok := s.in.Limits[limit]
	if !ok {
		return
	}
	s.judge(v, l, m.unit, m.dec)
	if lo, hi, _, why := bounds(l, m.unit); why == "" {
		v.Glyph = glyph(m.unit.From(lo), m.unit.From(hi), m.unit.From(m.si), m.unit.FromStep(v.U))
	}
}

// step adds a difference of temperatures. Its limit, "5 °C", is a difference
// too, so both are taken from the nought of the limit's scale.
func (s *sheet) step(name, label string, d float64, parts []quantity.Part, u quantity.Unit, dec int, limit string) {
	v := s.value(name, label, d, parts, u, dec, "")
	l, ok := s.in.Limits[limit]
	if !ok {
		return
	}
	scale := u
	for _, end := range []*quantity.Written{l.Min, l.Max} {
		if end == nil {
			continue
		}
		if found, ok := quantity.Lookup(end.Unit); ok && found.Dim == quantity.Temperature {
			scale = found
		}
	}
	if l.Min != nil && l.Max != nil && l.Min.Unit != l.Max.Unit {
		s.missing("limit " + l.Name + ": both ends in one unit")
		return
	}
	judged := *v
	judged.SI = scale.SI(scale.FromStep(d))
	s.judge(&judged, l, scale, dec)
	v.Verdict, v.Close, v.Limit = judged.Verdict, judged.Close, judged.Limit
	if lo, hi, _, why := bounds(l, scale); why == "" {
		v.Glyph = glyph(scale.From(lo), scale.From(hi), scale.FromStep(d), scale.FromStep(v.U))
	}
}

// sudden is the largest fall from one reading to the next.
func (s *sheet) sudden(out []warm) string {
	fall, at := 0.0, 0
	for i := 1; i < len(out); i++ {
		if d := out[i-1].si - out[i].si; d > fall {
			fall, at = d, i
		}
	}
	if at == 0 {
		return ""
	}
	a, b := out[at-1].measured, out[at].measured
	parts := difference(a, b)
	s.step("fall", "Largest fall from one reading to the next", fall, parts, b.unit, min(a.decIn(b.unit), b.dec), "fall")
	if fall <= expanded(parts) {
		return ""
	}
	words := "It falls by " + figureIn(fall, b.unit, min(a.decIn(b.unit), b.dec)) + " at " + figureIn(out[at].t, minutes, 1) + ": the bulb may be dry and the engine hot; do not take it for a cool engine."
	s.line(words)
	return " " + words
}

// across is the largest rise from inlet to outlet at one time.
func (s *sheet) across(out, in []warm) {
	most, ok := warm{}, false
	var from warm
	for _, o := range out {
		for _, i := range in {
			if o.t == i.t && (!ok || o.si-i.si > most.si-from.si) {
				most, from, ok = o, i, true
			}
		}
	}
	if !ok {
		if len(in) > 0 {
			s.missing("inlet and outlet at one time")
		}
		return
	}
	dec := min(most.dec, from.decIn(most.unit))
	s.line("rise across the engine at " + figureIn(most.t, minutes, 1) + ": " + text(most.measured, dec) + " − " + quantity.Format(from.si, most.unit, dec) + " = " + figureIn(most.si-from.si, most.unit, dec))
	s.step("rise", "Largest rise across the engine", most.si-from.si, difference(most.measured, from.measured), most.unit, dec, "rise")
}

func (s *sheet) warmRate(name, what string, a, b warm, limit string) {
	if b.t <= a.t {
		s.missing("two readings at two times; both are at " + figureIn(a.t, minutes, 1))
		return
	}
	k := 60 / (b.t - a.t)
	rate := float64((b.si - a.si) * k)
	s.line(what + ": (" + text(b.measured, b.dec) + " − " + quantity.Format(a.si, b.unit, a.dec) + ") ÷ " + figureIn(b.t-a.t, minutes, 1) + " = " + figureIn(rate, b.unit, b.dec+1))
	s.step(name, what, rate, times(difference(a.measured, b.measured), k), b.unit, b.dec+1, limit)
}

// reach is when a temperature was reached, or will be at the last rate.
func (s *sheet) reach(out []warm) {
	want, ok := s.maybeRead("reach", "temperature to be reached")
	if !ok {
		return
	}
	for i := 1; i < len(out); i++ {
		a, b := out[i-1], out[i]
		if a.si <= want.si && want.si <= b.si && b.si > a.si {
			t := a.t + float64((b.t-a.t)*(want.si-a.si))/(b.si-a.si)
			s.line(shownAs(want, want.dec) + " was reached at " + figureIn(t, minutes, 1) + ", between the readings at " + figureIn(a.t, minutes, 1) + " and " + figureIn(b.t, minutes, 1))
			s.value("reached", "Time at which it was reached", t, nil, minutes, 1, "")
			return
		}
	}
	a, b := out[len(out)-2], out[len(out)-1]
	if want.si < out[0].si || b.si <= a.si || b.t <= a.t {
		s.line(shownAs(want, want.dec) + ": not reached, and it is not rising towards it")
		return
	}
	t := b.t + float64((b.t-a.t)*(want.si-b.si))/(b.si-a.si)
	s.line(shownAs(want, want.dec) + " will be reached at " + figureIn(t, minutes, 1) + " at the last rate; warming slows down, so rather later")
	s.value("reach", "Time at which it will be reached, at the last rate", t, nil, minutes, 1, "")
}

// atTime is the way back: the temperature at a time between two readings.
func (s *sheet) atTime(out []warm) {
	at, ok := s.maybeRead("at", "time")
	if !ok {
		return
	}
	for i := 1; i < len(out); i++ {
		a, b := out[i-1], out[i]
		if a.t <= at.si && at.si <= b.t && b.t > a.t {
			m := b.measured
			m.si = a.si + float64((b.si-a.si)*(at.si-a.t))/(b.t-a.t)
			s.line("at " + shownAs(at, at.dec) + ": " + shownAs(m, m.dec))
			s.degrees("at", "Temperature at that time", m, "")
			return
		}
	}
	s.missing("readings before and after " + shownAs(at, at.dec))
}
