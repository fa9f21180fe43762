package calc

import (
	"math"
	"slices"

	"witnessmark/sync/quantity"
)

var linkageSpec = Spec{
	Name: "linkage", Version: "1", Title: "Throttle linkage: output angles, lost motion and pins, left against right",
	Needs: []Need{
		{"lever", "driving lever, pivot to pin, each engine", "length", "item", true},
		{"rod", "rod, pin to pin", "length", "item", true},
		{"output", "driven lever, pivot to pin", "length", "item", true},
		{"centres", "from pivot to pivot", "length", "item", true},
		{"angle", "driving lever from the line of the pivots, at idle, mid and full", "angle", "item", true},
		{"lost", "lost motion at the pump", "length", "item", true},
		{"pin", "governor pin from the end of its slot, at each station", "length", "item", true},
		{"wanted", "driven angle wanted, to get the rod", "angle", "nominal", true},
		{"at", "the point at which it is wanted; mid when left out", "", "option", true},
		{"branch", "'crossed' when the rod crosses the line of the pivots", "", "option", true},
		{"angles", "difference of the driven angles", "angle", "limit", true},
		{"lost", "lost motion allowed", "length", "limit", true},
		{"pin", "difference of the pins in their slots", "length", "limit", true},
	},
	Above: "lever rod output centres",
	run:   runLinkage,
}

const cautionLinkage = "With a rod off, the engine can run away: work on it still, and start with a hand at the stop, the fuel lever free of the rod. The maker's linkage settings come before any figure here."

// bars is a linkage of four bars at one position: lengths in m, angle in
// degrees.
type bars struct{ a, b, c, d, angle float64 }

// runLinkage solves each engine's linkage by the triangle of driven lever, rod
// and the line from the driven pivot to the driving pin.
func runLinkage(s *sheet) {
	s.caution(cautionLinkage)
	known := map[string]map[string]measured{}
	for _, n := range [][2]string{{"lever", "driving lever"}, {"rod", "rod"}, {"output", "driven lever"}, {"centres", "pivot to pivot"}} {
		known[n[0]] = s.pooled(n[0], n[1])
	}
	var turned []group
	for _, g := range s.groups("angle", "driving angle") {
		if s.driven(known, &g) {
			turned = append(turned, g)
		}
	}
	s.linkagePair("angle", "Driven angle", turned, "angles")
	s.linkagePair("lost", "Lost motion", s.plainValues("lost", "Lost motion", "lost"), "")
	if pins := s.plainValues("pin", "Pin in its slot", ""); len(pins) > 0 {
		s.line("one twin-engine handbook wants the governor pins within 1/16 in of the same place (TM 55-1905-217-12, of another engine)")
		s.linkagePair("pin", "Pin in its slot", pins, "pin")
	}
	if len(s.Vals) == 0 && len(s.Missing) == 0 {
		s.missing("lengths and angles of the linkage, the lost motion, or the pins in their slots")
	}
}

// driven works out one engine at one position and puts its driven angle into g.
func (s *sheet) driven(known map[string]map[string]measured, g *group) bool {
	where := label("", g.label) + atStation(g.point)
	var in [4]measured
	for i, n := range []string{"lever", "rod", "output", "centres"} {
		m, ok := known[n][g.label]
		if !ok {
			if m, ok = known[n][""]; !ok {
				s.missing(n + where)
				return false
			}
		}
		in[i] = m
	}
	crossed := s.in.Opts["branch"] == "crossed"
	p := bars{in[0].si, in[1].si, in[2].si, in[3].si, g.si}
	out, mu, ok := p.solve(crossed)
	if !ok {
		s.missing("linkage" + where + ": rod and levers do not meet at that angle; write the lengths again")
		return false
	}
	s.line("driven angle" + where + ": driving pin to driven pivot " + figureIn(p.reach(), in[0].unit, in[0].dec+1) + ", driven lever at " + figureIn(out, g.unit, g.dec+1))
	parts := p.parts(in, g.measured, crossed)
	s.value(oilName("angle", g.label, g.point), "Driven angle"+where, out, parts, g.unit, g.dec+1, "")
	s.value(oilName("square", g.label, g.point), "Angle of rod and driven lever"+where, mu, nil, g.unit, g.dec+1, "")
	if g.point == "mid" {
		s.line("at mid-travel rod and lever stand at " + figureIn(mu, g.unit, g.dec+1) + "; one twin-engine handbook wants 90° (TM 55-1905-217-12, of another engine)")
	}
	s.rodWanted(p, in, g, crossed, where)
	g.si, g.own, g.tool, g.zero, g.toolU, g.zeroU, g.dec = out, parts, "", "", 0, 0, g.dec+1
	return true
}

// reach is the distance from the driving pin to the driven pivot.
func (p bars) reach() float64 {
	x, y := float64(p.a*quantity.Cos(p.angle))-p.d, float64(p.a*quantity.Sin(p.angle))
	return math.Sqrt(float64(x*x) + float64(y*y))
}

// solve is the driven angle, and the angle between rod and driven lever.
func (p bars) solve(crossed bool) (out, mu float64, ok bool) {
	x, y := float64(p.a*quantity.Cos(p.angle))-p.d, float64(p.a*quantity.Sin(p.angle))
	f := p.reach()
	if f == 0 {
		return 0, 0, false
	}
	at, ok1 := cornerAngle(p.c, f, p.b)
	mu, ok2 := cornerAngle(p.b, p.c, f)
	if !ok1 || !ok2 {
		return 0, 0, false
	}
	if crossed {
		at = -at
	}
	return within180(direction(x, y) - at), mu, true
}

// cornerAngle is the angle between sides a and b of a triangle whose third
// side is c (law of cosines).
func cornerAngle(a, b, c float64) (float64, bool) {
	k := (float64(a*a) + float64(b*b) - float64(c*c)) / float64(2*a*b)
	if !(k >= -1 && k <= 1) {
		return 0, false
	}
	return direction(k, math.Sqrt(1-float64(k*k))), true
}

// direction is the angle of a point seen from nought, in degrees.
func direction(x, y float64) float64 {
	switch {
	case x > 0:
		return quantity.Atan(y / x)
	case x < 0 && y >= 0:
		return 180 + quantity.Atan(y/x)
	case x < 0:
		return quantity.Atan(y/x) - 180
	case y < 0:
		return -90
	}
	return 90
}

func within180(deg float64) float64 {
	switch {
	case deg > 180:
		return deg - 360
	case deg <= -180:
		return deg + 360
	}
	return deg
}

// parts takes each input a little to either side to see what the driven angle
// does.
func (p bars) parts(in [4]measured, angle measured, crossed bool) []quantity.Part {
	var out []quantity.Part
	for i, m := range append(slices.Clone(in[:]), angle) {
		h := float64(1e-6 * math.Max(math.Abs(m.si), 1e-3))
		lo, hi := p, p
		*lo.input(i) -= h
		*hi.input(i) += h
		a, _, ok1 := lo.solve(crossed)
		b, _, ok2 := hi.solve(crossed)
		if ok1 && ok2 {
			out = append(out, scaled(m, within180(b-a)/(2*h))...)
		}
	}
	return out
}

func (p *bars) input(i int) *float64 {
	return []*float64{&p.a, &p.b, &p.c, &p.d, &p.angle}[i]
}

// rodWanted is the way back: the rod that gives the driven angle wanted.
func (s *sheet) rodWanted(p bars, in [4]measured, g *group, crossed bool, where string) {
	at := s.in.Opts["at"]
	if at == "" {
		at = "mid"
	}
	if g.point != at {
		return
	}
	want, ok := s.maybeRead("wanted", "driven angle wanted")
	if !ok {
		return
	}
	x := p.d + float64(p.c*quantity.Cos(want.si)) - float64(p.a*quantity.Cos(p.angle))
	y := float64(p.c*quantity.Sin(want.si)) - float64(p.a*quantity.Sin(p.angle))
	rod := math.Sqrt(float64(x*x) + float64(y*y))
	s.line("rod for " + shownAs(want, want.dec) + where + ": pin to pin " + figureIn(rod, in[1].unit, in[1].dec) + ", now " + text(in[1], in[1].dec))
	s.value(ofEngine("rod", g.label), "Rod for the angle wanted"+where, rod, nil, in[1].unit, in[1].dec, "")
}

// plainValues are readings as they stand, each judged by itself.
func (s *sheet) plainValues(name, what, limit string) []group {
	gs := s.groups(name, what)
	for _, g := range gs {
		s.value(oilName(name, g.label, g.point), what+label("", g.label)+atStation(g.point), g.si, g.all(), g.unit, g.dec, limit)
	}
	return gs
}

// linkagePair compares two engines at the same points.
func (s *sheet) linkagePair(name, what string, gs []group, limit string) {
	for _, a := range gs {
		for _, b := range gs {
			if a.point != b.point || a.label >= b.label {
				continue
			}
			dec := min(a.dec, b.measured.decIn(a.unit))
			v := s.value(oilName("difference."+name, "", a.point), what+atStation(a.point)+", "+b.label+" less "+a.label, b.si-a.si, difference(a.measured, b.measured), a.unit, dec, "")
			s.line(v.Label + ": " + figureIn(v.SI, a.unit, dec))
			if l, ok := s.in.Limits[limit]; ok && limit != "" {
				s.judgeSize(v, l, a.unit, dec)
			}
		}
	}
}
