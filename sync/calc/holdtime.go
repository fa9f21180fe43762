package calc

import (
	"math"

	"witnessmark/sync/quantity"
)

var holdtimeSpec = Spec{
	Name: "holdtime", Version: "1", Title: "How long to hold before a gauge can prove the tightness wanted",
	Needs: []Need{
		{"resolution", "one step of the gauge", "pressure", "nominal", false},
		{"rate", "loss a minute that is still allowed, where it is stated so", "fall", "nominal", true},
		{"loss", "loss that is still allowed", "pressure", "nominal", true},
		{"loss_time", "the time over which that loss is allowed", "time", "nominal", true},
		{"steps", "steps of the gauge that the allowed loss shall be, where a number is wanted", "1", "nominal", true},
		{"start", "gauge pressure of the test, for what a degree does", "pressure", "nominal", true},
		{"start_temp", "temperature of the thing under test", "temperature", "nominal", true},
		{"p_atm", "atmosphere on the day", "pressure", "nominal", true},
		{"time", "the time there is, to see what it can prove", "time", "nominal", true},
	},
	Above: "resolution rate loss loss_time steps p_atm time",
	run:   runHoldtime,
}

// runHoldtime: both readings lie anywhere within half a step (JCGM 100,
// F.2.2.1), so their difference is uncertain by U = k·r·√(2/12); the loss
// allowed must be that large before the gauge can prove it: t = U/rate. With a
// number of steps wanted, t = steps·r/rate.
func runHoldtime(s *sheet) {
	s.caution(cautionHold)
	r, ok1 := s.oneRead("resolution", "one step of the gauge")
	rate, ok2 := s.tightness()
	if !ok1 || !ok2 {
		return
	}
	tell := expanded([]quantity.Part{{What: "resolution", U: quantity.Resolution(r.si)}, {What: "resolution", U: quantity.Resolution(r.si)}})
	fall := fallUnit(r.unit)
	s.line("two readings of this gauge tell a difference of " + figureIn(tell, r.unit, r.dec+2) + " and more; allowed: " + figureIn(rate, fall, 5))
	least := s.waiting("least", "Hold at least", tell, rate, r.unit, r.dec)
	if n, ok := s.maybeRead("steps", "steps wanted"); ok {
		least = s.waiting("wanted", "Hold for "+text(n, n.dec)+" steps", float64(n.si*r.si), rate, r.unit, r.dec)
	} else {
		s.line("a loss of ten steps is easy to read (common practice, no source): " + figureIn(10*r.si/rate, minutes, 1))
	}
	s.says("Hold for " + figureIn(up(least), minutes, 0) + " at least: in less, this gauge cannot show the loss that is allowed." + s.degree(rate, r))
	if t, ok := s.maybeRead("time", "the time there is"); ok {
		s.line("in " + shownAs(t, t.dec) + " it proves " + figureIn(tell, r.unit, r.dec+2) + " ÷ " + shownAs(t, t.dec) + " = " + figureIn(tell/t.si, fall, 5) + " and worse")
		s.value("provable", "Smallest loss a minute that the time can prove", tell/t.si, nil, fall, 5, "")
	}
}

// tightness is the loss in a second that is still allowed.
func (s *sheet) tightness() (float64, bool) {
	if m, ok := s.maybeRead("rate", "loss a minute allowed"); ok {
		return m.si, true
	}
	loss, ok1 := s.maybeRead("loss", "loss allowed")
	t, ok2 := s.maybeRead("loss_time", "over what time")
	if !ok1 || !ok2 {
		s.missing("the loss that is allowed: a minute, or over a time")
		return 0, false
	}
	return loss.si / t.si, true
}

func (s *sheet) waiting(name, label string, drop, rate float64, u quantity.Unit, dec int) float64 {
	t := drop / rate
	s.line(label + ": " + figureIn(drop, u, dec+2) + " ÷ " + figureIn(rate, fallUnit(u), 5) + " = " + figureIn(t, minutes, 1))
	s.value(name, label, t, nil, minutes, 1, "")
	return t
}

// up is a time in whole minutes, never less.
func up(t float64) float64 { return float64(math.Floor(t/60+0.999) * 60) }

// degree says what one degree does beside the leak: (p + p_atm)/T.
func (s *sheet) degree(rate float64, r measured) string {
	if !s.given("start") || !s.given("start_temp") {
		s.line("what a degree does is not worked out: the pressure and the temperature of the test are not given")
		return ""
	}
	p, ok1 := s.oneRead("start", "pressure of the test")
	t, ok2 := s.oneRead("start_temp", "temperature of the test")
	if !ok1 || !ok2 {
		return ""
	}
	air := s.atmosphere(p.unit)
	if p.si+air <= 0 {
		s.missing("pressure of the test: less than no air at all cannot be. Write it again")
		return ""
	}
	one := (p.si + air) / t.si
	s.line("one degree: (" + quantity.FormatStep(p.si, p.unit, p.dec) + " + " + quantity.FormatStep(air, p.unit, 3) + ") ÷ " + quantity.Fixed(t.si, 2) +
		" = " + figureIn(one, p.unit, 4) + ", as much as " + figureIn(one/rate, minutes, 1) + " of the loss allowed")
	s.value("degree", "What one degree of cooling looks like", one, nil, p.unit, max(r.dec+1, 4), "")
	return " One degree of cooling looks like " + figureIn(one/rate, minutes, 1) + " of it: note the temperature at both ends."
}
