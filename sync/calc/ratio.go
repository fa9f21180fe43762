package calc

import (
	"math"
	"slices"

	"witnessmark/sync/quantity"
)

var chamberNeeds = []Need{
	{"bore", "bore", "length", "nominal", false},
	{"stroke", "stroke", "length", "nominal", false},
	{"bowl", "piston bowl by burette, a cylinder or an engine", "volume", "item", true},
	{"recess", "head recess by burette, a cylinder or an engine", "volume", "item", true},
	{"protrusion", "piston protrusion, each cylinder, + above the deck", "length", "item", false},
	{"compressed", "gasket thickness under full torque, an engine, several spots", "length", "item", true},
	{"gasket_bore", "opening of the gasket's fire ring, an engine", "length", "item", true},
	{"cylinders", "the cylinders wanted, as 2117/1, separated by spaces", "", "option", true},
}

var ratioSpec = Spec{
	Name: "ratio", Version: "3", Title: "Compression ratio, each cylinder",
	Needs: append(slices.Clone(chamberNeeds),
		Need{"ratio", "compression ratio allowed", "1", "limit", true},
		Need{"spread", "spread over an engine's cylinders allowed", "1", "limit", true},
		Need{"intake_closes", "intake closes, degrees after bottom dead centre", "angle", "nominal", true},
		Need{"rod", "connecting rod, centre to centre", "length", "nominal", true}),
	Above: "bore stroke gasket_bore compressed bowl rod",
	Typed: "bowl recess protrusion compressed gasket_bore",
	run:   runRatio,
}

const cautionFluid = "Take all fluid out before the engine is turned: liquid in a cylinder bends rods. No petrol or alcohol near a heater. Old sandwich gaskets hold asbestos: wet it, bag it, do not brush, blow or sand."

// runRatio: CR = 1 + V_s/V_c with V_c = bowl + recess + π/4·opening²·t −
// π/4·bore²·protrusion. The gasket's own opening counts, and its thickness
// under torque.
func runRatio(s *sheet) {
	s.caution(cautionFluid)
	g, ok := s.geometry()
	cs := s.chambers(true)
	if !ok {
		return
	}
	cs = slices.DeleteFunc(cs, func(c chamber) bool { return !s.hasRoom(g, c) })
	for _, engine := range engines(cs) {
		var own []chamber
		for _, c := range cs {
			if c.engine == engine {
				own = append(own, c)
			}
		}
		s.ratios(g, engine, own)
	}
}

func engines(cs []chamber) []string {
	var out []string
	for _, c := range cs {
		if !slices.Contains(out, c.engine) {
			out = append(out, c.engine)
		}
	}
	return out
}

// hasRoom refuses a chamber that would have no volume left.
func (s *sheet) hasRoom(g geometry, c chamber) bool {
	if c.fixed(g)+float64(area(c.opening.si)*c.squeeze.si) > 0 {
		return true
	}
	s.missing("volumes that can be, " + cylinderWords(c.label) + ": the piston's protrusion, " + c.protrusion.text + ", takes more than bowl, recess and gasket have")
	return false
}

// spreadParts are what the difference of two cylinders' ratios is uncertain by.
// A volume that was read once for both is in neither.
func spreadParts(g geometry, a, b chamber, slope float64) []quantity.Part {
	parts := times(difference(a.protrusion, b.protrusion), float64(g.bore.si*slope))
	for _, v := range []struct {
		a, b measured
		k    float64
	}{{a.bowl, b.bowl, 1}, {a.recess, b.recess, 1}, {a.squeeze, b.squeeze, area(a.opening.si)}} {
		if v.a.si != v.b.si {
			parts = append(parts, times(difference(v.a, v.b), float64(v.k*slope))...)
		}
	}
	return parts
}

// ratios adds an engine's ratio from its mean protrusion, then each cylinder's.
func (s *sheet) ratios(g geometry, engine string, cs []chamber) {
	whole := cs[0]
	whole.label = engine
	x := make([]float64, len(cs))
	for i, c := range cs {
		x[i] = c.protrusion.si
	}
	whole.protrusion.si = quantity.Mean(x)
	if len(cs) > 1 {
		s.effective(g, engine, s.ratio(g, whole, "Ratio, "+engine+" (mean)", true))
	}
	lo, hi := 0, 0
	var all []float64
	for i, c := range cs {
		r := s.ratio(g, c, "Ratio, "+cylinderWords(c.label), len(cs) == 1)
		all = append(all, r)
		if r < all[lo] {
			lo = i
		}
		if r > all[hi] {
			hi = i
		}
	}
	if len(cs) > 1 {
		slope := float64((all[hi]-1)*(all[hi]-1)) / g.swept.si // dCR/dVc = Vs/Vc²
		s.value("spread."+engine, "Spread, "+engine, all[hi]-all[lo], spreadParts(g, cs[hi], cs[lo], slope), ratio1, 2, "spread")
		s.line("lowest: " + cylinderWords(cs[lo].label) + ", " + quantity.Fixed(all[lo], 2) + "; highest: " +
			cylinderWords(cs[hi].label) + ", " + quantity.Fixed(all[hi], 2) + "; spread " + quantity.Fixed(all[hi]-all[lo], 2))
	}
}

// ratio works out one chamber; the full working is written for one of them.
func (s *sheet) ratio(g geometry, c chamber, label string, full bool) float64 {
	a := area(c.opening.si)
	gasket := float64(a * c.squeeze.si)
	clear := c.fixed(g) + gasket
	r := 1 + g.swept.si/clear
	slope := g.swept.si / float64(clear*clear)
	if full {
		s.line("gasket volume: π/4 × " + text(c.opening, c.opening.dec) + "² × " + text(c.squeeze, c.squeeze.dec) + " = " +
			quantity.FormatStep(gasket, cubic, 2) + "\u2009cm³")
		s.line("clearance volume: " + volume(c.bowl.si) + " + " + volume(c.recess.si) + " + " + volume(gasket) + " − " +
			volume(float64(g.bore.si*c.protrusion.si)) + " = " + volume(clear) + "\u2009cm³")
		s.line("one tenth of a millimetre of gasket changes the ratio by " + quantity.Fixed(float64(slope*a)*1e-4, 2) +
			", one thou by " + quantity.Fixed(float64(slope*a)*2.54e-5, 3) + ", one cm³ by " + quantity.Fixed(slope*1e-6, 3))
	}
	s.line(label + ": 1 + " + volume(g.swept.si) + " ÷ " + volume(clear) + " = " + quantity.Fixed(r, 2))
	parts := times(append(c.fixedParts(g), c.gasketParts()...), slope)
	s.value("ratio."+c.label, label, r, parts, ratio1, 2, "ratio")
	return r
}

// effective adds the ratio from where the intake closes: of the stroke only
// what the piston still has to rise counts (from memory).
func (s *sheet) effective(g geometry, engine string, full float64) {
	if !s.given("intake_closes") && !s.given("rod") {
		return
	}
	closes, ok1 := s.maybe("intake_closes", "intake closes after bottom dead centre")
	rod, ok2 := s.maybe("rod", "connecting rod, centre to centre")
	stroke, ok3 := s.maybe("stroke", "stroke")
	if !ok1 || !ok2 || !ok3 {
		return
	}
	if rod.si <= stroke.si/2 || closes.si < 0 || closes.si > 120 {
		s.missing("a rod longer than the crank's throw, and an intake that closes 0 to 120° after bottom dead centre")
		return
	}
	left := crank{stroke.si / 2, rod.si}.drop(180 + closes.si)
	part := left / stroke.si
	r := 1 + float64((full-1)*part)
	s.line("piston's way left when the intake closes: " + quantity.FormatStep(left, stroke.unit, stroke.dec) + " of " + stroke.text +
		"; effective ratio 1 + (" + quantity.Fixed(full, 2) + " − 1) × " + quantity.Fixed(part, 3) + " = " + quantity.Fixed(r, 2))
	s.value("effective."+engine, "Effective ratio, "+engine, r, nil, ratio1, 2, "")
}

func volume(si float64) string { return quantity.FormatStep(si, cubic, 2) }

func infinite(x float64) bool { return math.IsInf(x, 0) }
