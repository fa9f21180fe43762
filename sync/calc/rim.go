package calc

import (
	"math"
	"strings"

	"witnessmark/sync/quantity"
)

var rimSpec = Spec{
	Name: "rim", Version: "1", Title: "Degrees and distance on the flywheel rim",
	Needs: []Need{
		{"diameter", "diameter of the flywheel where the tape lies", "length", "nominal", false},
		{"degrees", "crank degrees to be set out, several by label", "angle", "item", true},
		{"distance", "distances found along the rim, several by label", "length", "item", true},
	},
	Above: "diameter",
	Typed: "degrees distance",
	run:   runRim,
}

// runRim: distance = π·D·degrees/360 along the rim (the circumference shared
// out over a turn), and the other way round.
func runRim(s *sheet) {
	s.caution(cautionTurning)
	degrees := s.labelled("degrees", "angle")
	distances := s.labelled("distance", "distance")
	d, ok := s.one("diameter", "flywheel diameter")
	if !ok {
		return
	}
	u := d.unit
	one := arc(d.si, 1)
	s.line("one degree: π × " + text(d, d.dec) + " ÷ 360 = " + quantity.FormatStep(one, u, digitsFor(1e-7, u)) + "\u2009" + u.Symbol +
		"; one " + u.Symbol + " of rim is " + quantity.Fixed(u.Step(1)/one, 4) + "°")
	s.value("per_degree", "One degree on the rim", one, times(d.all(), quantity.Pi/360), u, digitsFor(1e-7, u), "")
	var says []string
	for _, g := range degrees {
		says = append(says, s.rimDistance(d, g))
	}
	for _, g := range distances {
		says = append(says, s.rimDegrees(d, g))
	}
	s.say("On a rim of " + text(d, d.dec) + "\u2009" + u.Symbol + " one degree is " + s.Vals[0].Text + "\u2009" + u.Symbol + strings.Join(says, ""))
}

// rimDistance: an angle to be set out is taken as it is written, not as a
// reading, so only the wheel's size makes the distance uncertain.
func (s *sheet) rimDistance(d measured, g group) string {
	if math.Abs(g.si) > twoTurns {
		return s.beyond("angle", g)
	}
	v := s.value(nameFor("distance", g.label), about("Distance on the rim", g.label), arc(d.si, g.si), times(d.all(), arc(1, g.si)), d.unit, digitsFor(1e-4, d.unit), "")
	says := degreesOf(g.measured) + " is " + v.Text + "\u2009" + d.unit.Symbol
	s.line(about("on the rim", g.label) + ": π × " + text(d, d.dec) + " × " + quantity.Fixed(g.si, 2) + " ÷ 360: " + says)
	return "; " + says
}

func (s *sheet) rimDegrees(d measured, g group) string {
	a := g.si / arc(d.si, 1)
	if math.Abs(a) > twoTurns {
		return s.beyond("distance", g)
	}
	parts := append(times(d.all(), a/d.si), times(g.all(), 1/arc(d.si, 1))...)
	v := s.value(nameFor("degrees", g.label), about("Angle", g.label), a, parts, degreeUnit, 1, "")
	says := text(g.measured, g.dec) + "\u2009" + g.unit.Symbol + " is " + v.Text + "°"
	s.line(about("angle", g.label) + ": 360 × " + text(g.measured, g.dec) + " ÷ (π × " + quantity.Format(d.si, g.unit, digitsFor(1e-4, g.unit)) + "): " + says)
	return "; " + says
}
