package calc

import "witnessmark/sync/quantity"

var crushSpec = Spec{
	Name: "crush", Version: "1", Title: "Crush (nip) and free spread of bearing shells",
	Needs: []Need{
		{"nip", "feeler gap at one joint, its nut finger-tight, the other at full torque (Label the bearing)", "length", "item", true},
		{"free", "width of a half shell over its joint faces, free (Label the half)", "length", "item", true},
		{"housing", "housing bore", "length", "item", true},
		{"housing", "housing bore, from the type sheet", "length", "nominal", true},
		{"nip", "crush wanted", "length", "limit", true},
		{"spread", "spread wanted", "length", "limit", true},
	},
	Above:  "free housing",
	Bounds: true,
	run:    runCrush,
}

const cautionCrush = "Never file a cap or the joint faces of a shell to take up wear. No fingers between cap and block. The maker's crush comes before any figure here."

// runCrush: the gap at the loose joint is what both halves stand proud
// together; shared out over the circumference it presses on the diameter as
// gap ÷ π. Spread is the width of a half shell when free less the housing's
// bore: it holds the shell in while the cap goes on.
func runCrush(s *sheet) {
	s.caution(cautionCrush)
	nips := s.groups("nip", "gap at the loose joint")
	for _, g := range nips {
		s.bounded(g.is, "nip"+suffix(g.label), "Crush"+ofLabel(g.label), g.si, g.all(), g.unit, g.dec, "nip")
		s.line("on the diameter" + ofLabel(g.label) + ": " + g.text + " ÷ π = " + quantity.FormatStep(g.si/quantity.Pi, g.unit, g.dec+1) + "\u2009" + g.unit.Symbol)
	}
	free := s.groups("free", "free width")
	if len(nips)+len(free) == 0 {
		s.missing("gap at the loose joint, the other nut at full torque")
	}
	if len(free) == 0 {
		return
	}
	housing, ok := s.one("housing", "housing bore")
	if !ok {
		return
	}
	for _, g := range free {
		d := g.si - housing.si
		dec := min(g.dec, housing.decIn(g.unit))
		s.line("spread" + ofLabel(g.label) + ": " + g.text + " − " + housing.text + " = " + quantity.FormatStep(d, g.unit, dec) + "\u2009" + g.unit.Symbol)
		is, known := both(g.is, opposite(housing.is))
		if !known {
			s.missing("free width" + ofLabel(g.label) + " as a figure")
			continue
		}
		s.bounded(is, "spread"+suffix(g.label), "Spread"+ofLabel(g.label), d, difference(g.measured, housing), g.unit, dec, "spread")
		if d <= 0 {
			s.line("a shell without spread drops out of its housing while the cap goes on")
		}
	}
}
