package calc

import (
	"math"
	"slices"

	"witnessmark/sync/quantity"
)

var timingSpec = Spec{
	Name: "timing", Version: "1", Title: "Injection or ignition timing, found against wanted",
	Needs: []Need{
		{"found", "crank angle found, + before top dead centre, − after; each approach", "angle", "item", true},
		{"found_rim", "distance found on the flywheel rim, + before top dead centre; each approach", "length", "item", true},
		{"found_depth", "depth of the piston found, + before top dead centre; each approach", "length", "item", true},
		{"wanted", "crank angle wanted, + before top dead centre", "angle", "nominal", true},
		{"wanted_rim", "the same as a distance on the rim", "length", "nominal", true},
		{"wanted_depth", "the same as a depth of the piston", "length", "nominal", true},
		{"diameter", "diameter of the flywheel where the tape lies", "length", "nominal", true},
		{"stroke", "stroke, for depths", "length", "nominal", true},
		{"rod", "length of the rod between centres, for depths", "length", "nominal", true},
		{"timing", "crank angle allowed", "angle", "limit", true},
		{"spread", "what the approaches may differ by, in the kind they were taken in", "any", "limit", true},
	},
	Above: "diameter stroke rod",
	Typed: "found found_rim found_depth",
	run:   runTiming,
}

const cautionTiming = cautionTurning + " Fuel off or ignition off while it is turned: an engine that is barred can fire. The mark counts from top dead centre found by the stop method on this engine."

// timingWays are the ways in which a timing is taken.
var timingWays = []struct {
	suffix, what string
}{{"", "angle"}, {"_rim", "distance on the rim"}, {"_depth", "depth of the piston"}}

// timer is what turns a way of taking a timing into degrees.
type timer struct {
	rim        measured
	c          crank
	stroke     measured
	hasRim, ok bool // a flywheel, a crank
}

// runTiming: degrees before top dead centre, from a rim distance by
// 360·x/(π·D), from a depth by the crank triangle; found less wanted is early.
func runTiming(s *sheet) {
	s.caution(cautionTiming)
	t := s.timer()
	wanted, ok := s.wantedTiming(t)
	taken, worst := false, -1.0
	for _, way := range timingWays {
		for _, g := range s.labelled("found"+way.suffix, way.what+" found") {
			taken = true
			a, parts, usable := s.inDegrees(t, way.suffix, way.what, g.measured)
			if !usable {
				continue
			}
			s.repeat(t, "found"+way.suffix, g)
			judged := *s.value(nameFor("timing", g.label), about("Timing before top dead centre", g.label), a, parts, degreeUnit, 1, "timing")
			if !ok {
				continue
			}
			line := s.early(t, g.label, a, wanted, parts)
			if off := math.Abs(a - wanted); off > worst {
				worst = off
				s.say(capital(line) + verdictWords(judged))
			}
		}
	}
	if !taken {
		s.missing("the timing found, as an angle, a distance on the rim or a depth of the piston")
	}
}

// timer reads the sizes that the ways taken need.
func (s *sheet) timer() (t timer) {
	if s.given("diameter") || s.given("found_rim") || s.given("wanted_rim") {
		t.rim, t.hasRim = s.one("diameter", "flywheel diameter")
	}
	if s.given("found_depth") || s.given("wanted_depth") {
		t.c, t.stroke, t.ok = s.crank()
	}
	return t
}

func (s *sheet) wantedTiming(t timer) (float64, bool) {
	for _, way := range timingWays {
		if !s.given("wanted" + way.suffix) {
			continue
		}
		m, ok := s.one("wanted"+way.suffix, way.what+" wanted")
		if !ok {
			return 0, false
		}
		a, _, ok := s.inDegrees(t, way.suffix, way.what, m)
		return a, ok
	}
	s.missing("the timing wanted")
	return 0, false
}

// inDegrees brings a timing to degrees before top dead centre.
func (s *sheet) inDegrees(t timer, suffix, what string, m measured) (a float64, parts []quantity.Part, ok bool) {
	switch {
	case suffix == "_rim" && t.hasRim:
		a = m.si / arc(t.rim.si, 1)
		parts = append(times(m.all(), 1/arc(t.rim.si, 1)), times(t.rim.all(), a/t.rim.si)...)
	case suffix == "_depth" && t.ok && math.Abs(m.si) <= 2*t.c.r:
		a, parts = t.signed(m.si), bySlope(m, t.signed)
	case suffix == "_depth" && t.ok:
		s.missing(what + ": " + m.text + " is not within the stroke of " + t.stroke.text + "; write it again")
		return 0, nil, false
	case suffix == "":
		a, parts = m.si, m.all()
	default: // the size that is missing has been listed
		return 0, nil, false
	}
	if math.Abs(a) > 180 {
		s.missing(what + ": " + m.text + " is more than half a turn from top dead centre; write it again")
		return 0, nil, false
	}
	if suffix != "" {
		s.line(what + ": " + text(m, m.dec) + "\u2009" + m.unit.Symbol + " is " + sideOfTop(a))
	}
	return a, parts, true
}

// signed is the angle at a depth, with the depth's sign for its side of the top.
func (t timer) signed(d float64) float64 {
	if d < 0 {
		return -t.c.turned(-d)
	}
	return t.c.turned(d)
}

func sideOfTop(a float64) string {
	if quantity.Quantise(a, 1) < 0 {
		return quantity.Fixed(-a, 1) + "° after top dead centre"
	}
	return quantity.Fixed(a, 1) + "° before top dead centre"
}

// early adds found less wanted and what that is on the rim, and says it.
func (s *sheet) early(t timer, label string, a, wanted float64, parts []quantity.Part) string {
	off := a - wanted
	s.value(nameFor("early", label), about("Found less wanted, + early", label), off, parts, degreeUnit, 1, "")
	word, to := "right", ""
	switch n := quantity.Quantise(off, 1); {
	case n > 0:
		word, to = "early", "later"
	case n < 0:
		word, to = "late", "sooner"
	}
	line := about("timing", label) + ": found " + sideOfTop(a) + ", wanted " + sideOfTop(wanted) + ": " + word
	if to != "" {
		line += " by " + quantity.Fixed(math.Abs(off), 1) + "°"
	}
	if to != "" && t.hasRim {
		u := t.rim.unit
		v := s.value(nameFor("move", label), about("To move on the rim", label), arc(t.rim.si, math.Abs(off)), times(parts, arc(t.rim.si, 1)), u, digitsFor(1e-4, u), "")
		line += "; move it " + v.Text + "\u2009" + u.Symbol + " on the rim, to come " + to
	}
	s.line(line + "; at a pump or distributor that turns at half speed " + quantity.Fixed(math.Abs(off)/2, 1) + "°")
	return line
}

// repeat adds what several approaches to one mark differ by.
func (s *sheet) repeat(t timer, name string, g group) {
	var x []float64
	for _, it := range s.in.Items[name] {
		if q, err := quantity.Parse(it.V); err == nil && it.Label == g.label {
			x = append(x, q.SI)
		}
	}
	if len(x) < 2 {
		s.line(about("one approach only", g.label) + ": come to the mark again, from the same side, to see how well it repeats")
		return
	}
	lo, hi := slices.Min(x), slices.Max(x)
	line := about("approaches", g.label) + ": " + quantity.Fixed(float64(len(x)), 0) + ", from " + quantity.FormatStep(lo, g.unit, g.dec) + " to " +
		quantity.FormatStep(hi, g.unit, g.dec) + ": they differ by " + quantity.FormatStep(hi-lo, g.unit, g.dec) + "\u2009" + g.unit.Symbol
	if name == "found_rim" {
		line += ", " + quantity.Fixed((hi-lo)/arc(t.rim.si, 1), 2) + "°"
	}
	s.line(line)
	s.value(nameFor("spread", g.label), about("Difference of the approaches", g.label), hi-lo, nil, g.unit, g.dec, "spread")
}
