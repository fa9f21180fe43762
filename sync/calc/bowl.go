package calc

import "witnessmark/sync/quantity"

var bowlSpec = Spec{
	Name: "bowl", Version: "1", Title: "Piston bowl or head recess by burette",
	Needs: []Need{
		{"filled", "volume run in under the plate (Label the cylinder)", "volume", "item", false},
		{"depth", "how far the piston stood below the deck while it was filled (Label the cylinder)", "length", "item", true},
		{"depth", "how far the piston stood below the deck, the same for all", "length", "nominal", true},
		{"bore", "bore", "length", "nominal", true},
		{"bowl", "volume allowed", "volume", "limit", true},
	},
	Above: "filled bore",
	run:   runBowl,
}

// runBowl: V = V_filled − π/4·bore²·depth. Without a depth it is the volume
// itself, as of a recess in the head.
func runBowl(s *sheet) {
	s.caution(cautionFluid)
	filled := s.pooled("filled", "volume run in")
	if len(filled) == 0 {
		s.missing("volume run in under the plate, by burette")
	}
	depths := s.source("depth", "depth below the deck")
	bore, hasBore := s.maybe("bore", "bore")
	for _, label := range sorted(filled) {
		f := filled[label]
		depth, ok := depths.of(s, label)
		if !ok {
			s.value("volume"+suffix(label), "Volume"+ofLabel(label), f.si, f.all(), f.unit, f.dec, "bowl")
			continue
		}
		if !hasBore {
			s.missing("bore")
			return
		}
		s.bowlOf(label, f, depth, bore)
	}
}

func (s *sheet) bowlOf(label string, f, depth, bore measured) {
	a := area(bore.si)
	v := f.si - float64(a*depth.si)
	s.line("above the piston" + ofLabel(label) + ": π/4 × " + bore.text + "² × " + depth.text + " = " + quantity.FormatStep(float64(a*depth.si), f.unit, f.dec+1) + "\u2009" + f.unit.Symbol)
	s.line("bowl" + ofLabel(label) + ": " + f.text + " − that = " + quantity.FormatStep(v, f.unit, f.dec) + "\u2009" + f.unit.Symbol)
	s.line("0.02\u2009mm of depth is " + quantity.FormatStep(float64(a*2e-5), cubic, 2) + "\u2009cm³")
	if v <= 0 {
		s.missing("depth and volume that go together" + ofLabel(label) + ": above the piston there is more than was run in")
		return
	}
	s.value("volume"+suffix(label), "Bowl"+ofLabel(label), v, append(f.all(), times(depth.all(), a)...), f.unit, f.dec, "bowl")
}
