package calc

import (
	"slices"

	"witnessmark/sync/quantity"
)

var pistonfitSpec = Spec{
	Name: "pistonfit", Version: "3", Title: "Piston-to-bore clearance, cold and hot",
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
	Gaps:  "clearance hot",
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
	for _, label := range sorted(skirts) {
		if !slices.Contains(labelsOf(bores), label) {
			s.missing("bore of the cylinder" + ofLabel(label))
		}
	}
	grows, hot := s.expansionOf()
	for _, label := range labelsOf(bores) {
		skirt, ok := skirts[label]
		if !ok {
			s.missing("skirt of the piston" + ofLabel(label))
			continue
		}
		least := smallest(bores, label)
		d, dec := least.si-skirt.si, min(least.dec, skirt.decIn(least.unit))
		u := least.unit
		parts := difference(least.measured, skirt)
		s.line("cold" + ofLabel(label) + ": " + least.text + " − " + skirt.text + " = " + quantity.FormatStep(d, u, dec) + "\u2009" + u.Symbol)
		s.value("cold"+suffix(label), "Clearance cold"+ofLabel(label), d, parts, u, dec, "clearance")
		if hot {
			grown := float64(least.si * grows)
			s.line("grows" + ofLabel(label) + ": (expansion × rise of the piston − that of the bore) × bore = " + quantity.FormatStep(grown, u, dec+1) + "\u2009" + u.Symbol)
			s.value("hot"+suffix(label), "Clearance hot"+ofLabel(label), d-grown, parts, u, dec, "hot")
			if d < grown {
				s.caution("Hot, the skirt is larger than the bore" + ofLabel(label) + ": it seizes.")
			}
		}
	}
}

// smallest is the least reading of a cylinder's bore.
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

// expansionOf is how much more the piston grows than its bore. What is given
// of it, or asked for by a limit, must be given whole.
func (s *sheet) expansionOf() (float64, bool) {
	of := [][2]string{{"alpha_piston", "expansion of the piston"}, {"rise_piston", "the piston's rise in kelvin"},
		{"alpha_bore", "expansion of the bore"}, {"rise_bore", "the bore's rise in kelvin"}}
	_, asked := s.in.Limits["hot"]
	if !asked && !slices.ContainsFunc(of, func(n [2]string) bool { return s.given(n[0]) }) {
		return 0, false
	}
	var x [4]measured
	all := true
	for i, n := range of {
		m, ok := s.one(n[0], n[1])
		x[i], all = m, all && ok
	}
	return float64(x[0].si*x[1].si) - float64(x[2].si*x[3].si), all
}
