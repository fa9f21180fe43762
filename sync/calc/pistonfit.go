package calc

import "witnessmark/sync/quantity"

var pistonfitSpec = Spec{
	Name: "pistonfit", Version: "1", Title: "Piston-to-bore clearance, cold and hot",
	Needs: []Need{
		{"bore", "bore, across the thrust, at its lowest level (Label the cylinder)", "length", "item", false},
		{"skirt", "piston skirt, square to the pin (Label the cylinder)", "length", "item", false},
		{"clearance", "clearance allowed, cold", "length", "limit", true},
		{"hot", "clearance allowed, hot", "length", "limit", true},
		{"alpha_piston", "expansion of the piston", "expansion", "nominal", true},
		{"alpha_bore", "expansion of the bore", "expansion", "nominal", true},
		{"rise_piston", "piston's rise above 20 °C, in kelvin", "1", "nominal", true},
		{"rise_bore", "bore's rise above 20 °C, in kelvin", "1", "nominal", true},
	},
	Above: "bore skirt",
	run:   runPistonfit,
}

const cautionPiston = "An aluminium piston wants more than an iron one in the same bore: never carry a clearance over. Measure the skirt where the maker says, not at the crown. The maker's figure comes first."

// runPistonfit: cold = smallest bore − skirt; hot = cold − (α_piston·ΔT_piston
// − α_bore·ΔT_bore)·bore. The expansion is a line of its own.
func runPistonfit(s *sheet) {
	s.caution(cautionPiston)
	bores, skirts := s.groups("bore", "bore"), s.pooled("skirt", "skirt")
	if len(bores) == 0 {
		s.missing("bore across the thrust")
	}
	for _, label := range labelsOf(bores) {
		skirt, ok := skirts[label]
		if !ok {
			s.missing("skirt of the piston" + ofLabel(label))
			continue
		}
		least := smallest(bores, label)
		d, dec := least.si-skirt.si, min(least.dec, skirt.dec)
		u := least.unit
		parts := difference(least.measured, skirt)
		s.line("cold" + ofLabel(label) + ": " + least.text + " − " + skirt.text + " = " + quantity.FormatStep(d, u, dec) + "\u2009" + u.Symbol)
		s.value("cold"+suffix(label), "Clearance cold"+ofLabel(label), d, parts, u, dec, "clearance")
		if grown, ok := s.expansionOf(least.si, u, dec); ok {
			s.value("hot"+suffix(label), "Clearance hot"+ofLabel(label), d-grown, parts, u, dec, "hot")
		}
	}
}

func smallest(gs []group, label string) group {
	var least group
	found := false
	for _, g := range gs {
		if g.label == label && (!found || g.si < least.si) {
			least, found = g, true
		}
	}
	return least
}

// expansionOf is how much more the piston grows than its bore.
func (s *sheet) expansionOf(d float64, u quantity.Unit, dec int) (float64, bool) {
	var x [4]measured
	for i, name := range []string{"alpha_piston", "rise_piston", "alpha_bore", "rise_bore"} {
		m, ok := s.maybe(name, name)
		if !ok {
			return 0, false
		}
		x[i] = m
	}
	grown := float64(d * (float64(x[0].si*x[1].si) - float64(x[2].si*x[3].si)))
	s.line("expansion: (" + x[0].text + " × " + x[1].text + " K − " + x[2].text + " × " + x[3].text + " K) × bore = " + quantity.FormatStep(grown, u, dec) + "\u2009" + u.Symbol)
	return grown, true
}
