package calc

import "witnessmark/sync/quantity"

var sideclearanceSpec = Spec{
	Name: "sideclearance", Version: "2", Title: "Side clearance of connecting rods",
	Needs: []Need{
		{"feeler", "side gap by feeler (Label the rod)", "length", "item", true},
		{"pin", "width of the crankpin between its webs (Label the rod)", "length", "item", true},
		{"rod", "width of the big end (Label the rod)", "length", "item", true},
		{"side", "side clearance allowed", "length", "limit", true},
	},
	Above:    "pin rod",
	NotBelow: "feeler",
	Gaps:     "side",
	Bounds:   true,
	run:      runSideclearance,
}

const cautionRod = "A rod must move freely on its pin by hand; a rod the wrong way round binds. No fingers between rod and web. The maker's figure comes first."

// runSideclearance: the gap by feeler, or pin width less rod width.
func runSideclearance(s *sheet) {
	s.caution(cautionRod)
	for _, g := range s.groups("feeler", "side gap") {
		s.bounded(g.is, "side.feeler"+suffix(g.label), "Side clearance by feeler"+ofLabel(g.label), g.si, g.all(), g.unit, g.dec, "side")
	}
	pins, rods := s.pooled("pin", "pin width"), s.pooled("rod", "rod width")
	for _, label := range sorted(pins) {
		rod, ok := rods[label]
		if !ok {
			s.missing("width of the big end" + ofLabel(label))
			continue
		}
		pin := pins[label]
		is, known := both(pin.is, opposite(rod.is))
		if !known {
			s.missing("pin and rod width as figures" + ofLabel(label))
			continue
		}
		d, dec := pin.si-rod.si, min(pin.dec, rod.decIn(pin.unit))
		s.line("side clearance" + ofLabel(label) + ": " + pin.text + " − " + rod.text + " = " + quantity.FormatStep(d, pin.unit, dec) + "\u2009" + pin.unit.Symbol)
		s.bounded(is, "side.sizes"+suffix(label), "Side clearance from sizes"+ofLabel(label), d, difference(pin, rod), pin.unit, dec, "side")
	}
	if len(s.Vals)+len(s.Missing) == 0 {
		s.missing("side gap of the rods by feeler")
	}
}
