package calc

import (
	"math"
	"slices"

	"witnessmark/sync/quantity"
)

// Chart is what a result looks like over the quantity that is to be chosen. It
// is drawn, never decided on.
type Chart struct {
	XName, XUnit string
	Lo, Hi       float64 // ends of the x axis, in XUnit
	From, To     float64 // the window; From above To when there is none
	Best         float64
	Marks        []Mark
	Panels       []Panel
}

// Mark is a value on the x axis, as a gasket on trial.
type Mark struct {
	Name string
	X    float64
}

// Panel is one quantity over x with its limits; NaN for an end without one.
type Panel struct {
	YName, YUnit string
	Min, Max     float64
	Lines        []Curve
}

// Curve is one engine's line, straight between its points and broken where Y is
// NaN. Style is how it is drawn: solid, dashed, thin or limit, with its points;
// "" by turns.
type Curve struct {
	Name    string
	Style   string
	X, Y    []float64
	Sampled bool // many points: drawn as a line alone, thinned to what can be seen
	Points  bool // the points alone
}

const steps = 24

// chart draws mean ratio and least bump clearance of each engine.
func (s *sheet) chart(g geometry, cs []chamber, all []bound, from, to float64) {
	lo, hi := span(all, from/100, to/100)
	c := &Chart{XName: "t", XUnit: "mm", From: from / 100, To: to / 100, Best: math.Floor((from+to)/2) / 100}
	if from > to {
		c.Best = math.NaN()
	}
	squeezed := s.pooled("compressed", "compressed gasket thickness")
	for _, e := range sortedKeys(squeezed) {
		t := squeezed[e].si * 1000
		c.Marks = append(c.Marks, Mark{"on trial, " + e, t})
		lo, hi = math.Min(lo, t), math.Max(hi, t)
	}
	c.Lo, c.Hi = math.Floor(float64(lo*10)-0.5)/10, math.Ceil(float64(hi*10)+0.5)/10
	ratio := Panel{YName: "ε", YUnit: "1", Min: math.NaN(), Max: math.NaN()}
	bump := Panel{YName: "gap", YUnit: "mm", Min: math.NaN(), Max: math.NaN()}
	s.ends(&ratio, "ratio", ratio1, 1)
	s.ends(&bump, "bump", mustUnit("mm"), 1000)
	for _, e := range engines(cs) {
		fixed, opening, proud := averages(g, cs, e)
		r, b := Curve{Name: e}, Curve{Name: e}
		for i := range steps + 1 {
			x := c.Lo + float64((c.Hi-c.Lo)*float64(i))/steps
			r.X, b.X = append(r.X, x), append(b.X, x)
			r.Y = append(r.Y, 1+g.swept.si/(fixed+float64(area(opening)*x)/1000))
			b.Y = append(b.Y, x-float64(proud*1000))
		}
		ratio.Lines, bump.Lines = append(ratio.Lines, r), append(bump.Lines, b)
	}
	c.Panels = []Panel{ratio, bump}
	s.Chart = c
}

func (s *sheet) ends(p *Panel, name string, u quantity.Unit, scale float64) {
	l, ok := s.in.Limits[name]
	if !ok || !l.Accepted {
		return
	}
	lo, hi, _, why := bounds(l, u)
	if why != "" {
		return
	}
	if !infinite(lo) {
		p.Min = lo * scale
	}
	if !infinite(hi) {
		p.Max = hi * scale
	}
}

// averages returns an engine's mean fixed volume and its gasket's opening, and
// the largest protrusion, which leaves the least gap.
func averages(g geometry, cs []chamber, engine string) (fixed, opening, proud float64) {
	n := 0.0
	for _, c := range cs {
		if c.engine != engine {
			continue
		}
		n++
		fixed += c.fixed(g)
		opening = c.opening.si
		if n == 1 || c.protrusion.si > proud {
			proud = c.protrusion.si
		}
	}
	return fixed / n, opening, proud
}

// span is where the bounds lie, mm, as far as half a millimetre from the
// window: one that is far off would squeeze the rest of the drawing.
func span(all []bound, from, to float64) (lo, hi float64) {
	lo, hi = math.Min(from, to), math.Max(from, to)
	for _, b := range all {
		t := b.t * 1000
		if t > from-0.5 && t < to+0.5 {
			lo, hi = math.Min(lo, t), math.Max(hi, t)
		}
	}
	return lo, hi
}

func sortedKeys(m map[string]measured) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
