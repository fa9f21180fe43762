package calc

import (
	"math"
	"strings"

	"witnessmark/sync/quantity"
)

var depthSpec = Spec{
	Name: "depth", Version: "1", Title: "Crank angle and piston depth below top dead centre",
	Needs: []Need{
		{"stroke", "stroke", "length", "nominal", false},
		{"rod", "length of the rod between centres", "length", "nominal", false},
		{"angle", "crank angles from top dead centre, several by label", "angle", "item", true},
		{"depth", "depths of the piston below its highest place, several by label", "length", "item", true},
	},
	Above: "stroke rod",
	Typed: "angle depth",
	run:   runDepth,
}

// crank is a crank and rod: r the throw, l the rod between centres; the pin
// runs on the line of the crank's centre.
type crank struct{ r, l float64 }

// drop is the depth below top dead centre: r(1−cos θ) + l − √(l² − r² sin²θ),
// both differences written so that small angles keep their digits.
func (c crank) drop(deg float64) float64 {
	half := quantity.Sin(deg / 2)
	x := float64(c.r * quantity.Sin(deg))
	x2 := float64(x * x)
	return float64(2*c.r*float64(half*half)) + x2/(c.l+math.Sqrt(math.Max(0, float64(c.l*c.l)-x2)))
}

// turned is the angle, 0 to 180°, at a depth d: the law of cosines in the
// triangle of throw, rod and the pin's height p = r + l − d, cos θ = (r² + p² −
// l²)/(2rp), put as tan²(θ/2) = (1−cos θ)/(1+cos θ) = d(2l−d)/((2r−d)(2r+2l−d)).
func (c crank) turned(d float64) float64 {
	d = math.Max(0, math.Min(2*c.r, d))
	below := float64((float64(2*c.r) - d) * (float64(2*(c.r+c.l)) - d))
	if below <= 0 {
		return 180
	}
	return 2 * quantity.Atan(math.Sqrt(float64(d*(float64(2*c.l)-d))/below))
}

// runDepth gives the depth at each angle and the angle at each depth.
func runDepth(s *sheet) {
	s.caution(cautionTurning)
	angles := s.labelled("angle", "crank angle")
	depths := s.labelled("depth", "depth")
	c, stroke, ok := s.crank()
	if !ok {
		return
	}
	if len(angles)+len(depths) == 0 {
		s.missing("a crank angle or a depth of the piston")
	}
	var says []string
	for _, g := range angles {
		says = append(says, s.depthAt(c, stroke, g)...)
	}
	for _, g := range depths {
		says = append(says, s.angleAt(c, stroke, g)...)
	}
	if len(says) > 0 {
		s.say(capital(strings.Join(says, "; ")))
	}
}

// crank reads stroke and rod, which must be able to go round.
func (s *sheet) crank() (c crank, stroke measured, ok bool) {
	stroke, ok1 := s.one("stroke", "stroke")
	rod, ok2 := s.one("rod", "rod between centres")
	if !ok1 || !ok2 {
		return c, stroke, false
	}
	c = crank{stroke.si / 2, rod.si}
	if c.l <= c.r {
		s.missing("rod: " + rod.text + " is no longer than the throw, half of " + stroke.text + "; write both again")
		return c, stroke, false
	}
	return c, stroke, true
}

func (s *sheet) depthAt(c crank, stroke measured, g group) []string {
	if math.Abs(g.si) > twoTurns {
		s.beyond("crank angle", g)
		return nil
	}
	d := c.drop(g.si)
	u, dec := stroke.unit, digitsFor(1e-5, stroke.unit)
	v := s.value(nameFor("depth", g.label), about("Piston below its highest place", g.label), d, bySlope(g.measured, c.drop), u, dec, "")
	r, l := quantity.FormatStep(c.r, u, dec), quantity.FormatStep(c.l, u, dec)
	s.line(about("depth", g.label) + " at " + degreesOf(g.measured) + ": " + r + " × (1 − " + quantity.Fixed(quantity.Cos(g.si), 5) + ") + " + l +
		" − √(" + l + "² − " + r + "² × " + quantity.Fixed(quantity.Sin(g.si), 5) + "²) = " + v.Text + "\u2009" + u.Symbol)
	return []string{about("at "+degreesOf(g.measured)+" from top dead centre", g.label) + " the piston is " + v.Text + "\u2009" + u.Symbol + " down"}
}

func (s *sheet) angleAt(c crank, stroke measured, g group) []string {
	if g.si < 0 || g.si > 2*c.r {
		s.missing(about("depth", g.label) + ": " + g.text + " is not within the stroke of " + stroke.text + "; write it again")
		return nil
	}
	a := c.turned(g.si)
	v := s.value(nameFor("angle", g.label), about("Crank angle from top dead centre", g.label), a, bySlope(g.measured, c.turned), degreeUnit, 2, "")
	u, dec := g.unit, digitsFor(1e-5, g.unit)
	p := quantity.FormatStep(c.r+c.l-g.si, u, dec)
	r, l := quantity.FormatStep(c.r, u, dec), quantity.FormatStep(c.l, u, dec)
	s.line(about("angle", g.label) + " at " + text(g.measured, g.dec) + "\u2009" + u.Symbol + ": pin " + p + " above the crank's centre; cos = (" + r + "² + " + p + "² − " + l +
		"²) ÷ (2 × " + r + " × " + p + ") = " + quantity.Fixed(quantity.Cos(a), 5) + ": " + v.Text + "° before or after")
	s.line("there, " + quantity.FormatStep(1e-5, u, dec) + "\u2009" + u.Symbol + " of depth is " + quantity.Fixed(c.turned(g.si+1e-5)-a, 2) + "° of crank")
	return []string{about("a depth of "+text(g.measured, g.dec)+"\u2009"+u.Symbol, g.label) + " is " + v.Text + "° before or after top dead centre"}
}

// bySlope is what a reading's uncertainty does to a function of it, by the
// difference over its own width (JCGM 100:2008, 5.1.3, note 2).
func bySlope(m measured, f func(float64) float64) []quantity.Part {
	u, _ := quantity.Combine(m.all())
	if u == 0 {
		return nil
	}
	return times(m.all(), (f(m.si+u)-f(m.si-u))/float64(2*u))
}
