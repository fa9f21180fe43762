package calc

import (
	"math"

	"witnessmark/sync/quantity"
)

var holdSpec = Spec{
	Name: "hold", Version: "1", Title: "Pressure or vacuum hold, corrected for temperature",
	Needs: []Need{
		{"start", "gauge pressure at the start; a vacuum is below nought", "pressure", "nominal", false},
		{"end", "gauge pressure at the end", "pressure", "nominal", false},
		{"start_temp", "temperature of the thing under test at the start", "temperature", "nominal", false},
		{"end_temp", "temperature of the thing under test at the end", "temperature", "nominal", false},
		{"time", "how long it was held", "time", "nominal", false},
		{"volume", "volume of the air or gas shut in", "volume", "nominal", true},
		{"p_atm", "atmosphere on the day", "pressure", "nominal", true},
		{"resolution", "one step of the gauge, where it is coarser than the digits written", "pressure", "nominal", true},
		{"kind", "'vacuum' when the readings are of a vacuum without a minus sign", "", "option", true},
		{"asked", "pressure that the limit asks the test to be made at", "pressure", "nominal", true},
		{"asked_time", "time that the limit asks for", "time", "nominal", true},
		{"loss", "largest real loss over the test", "pressure", "limit", true},
		{"rate", "largest real loss a minute", "fall", "limit", true},
		{"leak", "largest leak as free air", "flow", "limit", true},
	},
	Above: "time volume p_atm resolution",
	run:   runHold,
}

const cautionHold = "Air under pressure stores a burst: keep to the maker's test pressure, stand aside of plugs and covers, vent slowly before anything is loosened. Blank the gauge and test it by itself first. The maker's manual comes before any figure here."

// holding is a hold test at work, SI, gauge.
type holding struct {
	p1, p2, t1, t2 measured
	air            float64
	sign           float64 // 1; −1 for a vacuum, whose loss is a rise
	dec            int
}

// runHold: the gas shut in keeps p/T, absolute: expected = (p1 + p_atm)·T2/T1
// − p_atm with T in kelvin (law of Gay-Lussac); what it reads below that is
// lost. Free air leaked: V·Δp/(p_atm·t).
func runHold(s *sheet) {
	s.caution(cautionHold)
	h, ok := s.holding()
	if !ok {
		return
	}
	u := h.p1.unit
	expect := float64((h.p1.si+h.air)*h.t2.si)/h.t1.si - h.air
	s.line("expected from temperature alone: (" + quantity.FormatStep(h.p1.si, u, h.dec) + " + " + quantity.FormatStep(h.air, u, h.dec) + ") × " +
		quantity.Fixed(h.t2.si, 2) + " ÷ " + quantity.Fixed(h.t1.si, 2) + " − " + quantity.FormatStep(h.air, u, h.dec) + " = " + figureIn(expect, u, h.dec))
	parts := h.parts()
	s.value("expected", "Expected from temperature alone", expect, parts, u, h.dec, "")
	loss := float64(h.sign * (expect - h.p2.si))
	s.line("real loss: " + h.lossWords(expect) + " = " + figureIn(loss, u, h.dec))
	at := len(s.Vals)
	s.provable(s.value("loss", "Real loss", loss, parts, u, h.dec, "loss"))
	s.allowedEnd(h, expect)
	if t, ok := s.oneRead("time", "how long it was held"); ok {
		s.holdRates(h, loss, parts, t)
	}
	asked := s.asAsked()
	s.says(asked + h.sentence(s.Vals[at], loss, expect) + s.otherLimits("loss"))
}

func (s *sheet) holding() (holding, bool) {
	p1, ok1 := s.oneRead("start", "pressure at the start")
	p2, ok2 := s.oneRead("end", "pressure at the end")
	t1, ok3 := s.oneRead("start_temp", "temperature at the start")
	t2, ok4 := s.oneRead("end_temp", "temperature at the end")
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return holding{}, false
	}
	h := holding{p1: p1, p2: p2, t1: t1, t2: t2, sign: 1, dec: min(p1.dec, p2.decIn(p1.unit))}
	if p1.si < 0 || s.in.Opts["kind"] == "vacuum" {
		h.sign = -1
	}
	if s.in.Opts["kind"] == "vacuum" {
		h.p1.si, h.p2.si = -math.Abs(p1.si), -math.Abs(p2.si)
	}
	s.gaugeStep(&h.p1, &h.p2)
	h.air = s.atmosphere(p1.unit)
	if h.p1.si+h.air <= 0 || h.p2.si+h.air <= 0 {
		s.missing("pressure: less than no air at all cannot be; the vacuum is larger than the atmosphere of " + figureIn(h.air, p1.unit, 3) + ". Write it again")
		return h, false
	}
	return h, true
}

// gaugeStep widens two readings to the step of their gauge.
func (s *sheet) gaugeStep(readings ...*measured) {
	r, ok := s.maybeRead("resolution", "one step of the gauge")
	if !ok {
		return
	}
	for _, m := range readings {
		if r.si > lastDigit(*m) {
			m.own = append(m.own, quantity.Part{What: "step of the gauge", U: quantity.Resolution(r.si)})
		}
	}
}

// parts: one gauge reads both pressures, so that its own error cancels but for
// its steps; a degree counts as (p1 + p_atm)/T.
func (h holding) parts() []quantity.Part {
	return append(difference(h.p1, h.p2), times(difference(h.t1, h.t2), (h.p1.si+h.air)/h.t1.si)...)
}

func (h holding) lossWords(expect float64) string {
	a, b := quantity.FormatStep(expect, h.p1.unit, h.dec), quantity.FormatStep(h.p2.si, h.p1.unit, h.dec)
	if h.sign < 0 {
		return b + " − (" + a + ")"
	}
	return a + " − " + b
}

// allowedEnd is the reading at the end that just keeps the limit of the loss.
func (s *sheet) allowedEnd(h holding, expect float64) {
	l, ok := s.in.Limits["loss"]
	if !ok || !l.Accepted || l.Max == nil {
		return
	}
	if _, hi, _, why := bounds(l, h.p1.unit); why == "" {
		end := expect - float64(h.sign*hi)
		s.value("allowed", "Reading at the end that just keeps the limit", end, nil, h.p1.unit, h.dec, "")
	}
}

// provable: a limit that is finer than the readings can tell is not proven by
// them, however they read.
func (s *sheet) provable(v *Val) *Val {
	if v.Limit == nil || v.Limit.Max == nil || v.Verdict != Within {
		return v
	}
	if q, err := quantity.Parse(*v.Limit.Max); err == nil && v.U > q.SI {
		v.Verdict, v.Close = NotProven, false
		s.line("the readings tell ± " + v.UText + "; a limit of " + v.Limit.Max.String() + " is finer than that: not proven")
	}
	return v
}

// holdRates adds the loss a minute and, with the volume, the leak as free air.
func (s *sheet) holdRates(h holding, loss float64, parts []quantity.Part, t measured) {
	u := fallUnit(h.p1.unit)
	dec := h.dec + 1
	if h.p1.unit.Code != "bar" && h.p1.unit.Code != "psi" && h.p1.unit.Code != "kPa" {
		dec = 5
	}
	rate := loss / t.si
	s.line("a minute: " + figureIn(loss, h.p1.unit, h.dec) + " ÷ " + shownAs(t, t.dec) + " = " + figureIn(rate, u, dec))
	s.provable(s.value("rate", "Real loss a minute", rate, times(parts, 1/t.si), u, dec, "rate"))
	v, ok := s.maybeRead("volume", "volume of the air shut in")
	if !ok {
		return
	}
	flow := mustUnit("cm3/min")
	k := float64(v.si/h.air) / t.si
	s.line("as free air: " + shownAs(v, v.dec) + " × " + figureIn(loss, h.p1.unit, h.dec) + " ÷ (" + figureIn(h.air, h.p1.unit, 3) + " × " +
		shownAs(t, t.dec) + ") = " + figureIn(float64(k*loss), flow, 1))
	leak := append(times(parts, k), scaled(v, loss/float64(h.air*t.si))...)
	s.provable(s.value("leak", "Leak as free air", float64(k*loss), leak, flow, 1, "leak"))
}

// fallUnit is the unit a minute that goes with a gauge's.
func fallUnit(u quantity.Unit) quantity.Unit {
	switch u.Code {
	case "psi", "kPa":
		return mustUnit(u.Code + "/min")
	}
	return mustUnit("bar/min")
}

func (h holding) sentence(v Val, loss, expect float64) string {
	u := h.p1.unit
	cooled := figureIn(math.Abs(h.p1.si-expect), u, h.dec)
	switch {
	case math.Abs(loss) <= v.U:
		return "No loss that these readings can tell: " + figureIn(loss, u, h.dec) + " ± " + v.UText + " after " + cooled + " for temperature" + ruling(v) + "."
	case loss < 0:
		return "It reads " + figureIn(-loss, u, h.dec) + " better than temperature explains: the start was not settled, or a thermometer is not on the metal. Hold it again."
	case h.sign < 0:
		return "Air comes in: " + figureIn(loss, u, h.dec) + " of vacuum lost, apart from " + cooled + " for temperature" + ruling(v) + "."
	}
	return "It leaks: " + figureIn(loss, u, h.dec) + " lost, apart from " + cooled + " for temperature" + ruling(v) + "."
}
