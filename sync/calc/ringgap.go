package calc

import "witnessmark/sync/quantity"

var ringgapSpec = Spec{
	Name: "ringgap", Version: "2", Title: "Ring gap and side clearance, and what a gap says of the bore",
	Needs: []Need{
		{"gap", "end gap by feeler, the ring pushed square (Label the ring, Point top or bottom of its travel)", "length", "item", true},
		{"side", "side clearance of a ring in its groove, by feeler (Label the ring)", "length", "item", true},
		{"groove", "width of the groove (Label the ring)", "length", "item", true},
		{"ring", "width of the ring (Label the ring)", "length", "item", true},
		{"gap", "end gap allowed", "length", "limit", true},
		{"side", "side clearance allowed", "length", "limit", true},
		{"ref_bore", "a bore in which the same ring was tried", "length", "nominal", true},
		{"ref_gap", "its gap there", "length", "nominal", true},
		{"new_bore", "another bore, to ask what gap the ring would have", "length", "nominal", true},
	},
	Above:    "groove ring ref_bore new_bore",
	NotBelow: "gap side ref_gap",
	Gaps:     "gap side",
	Bounds:   true,
	run:      runRinggap,
}

const cautionRing = "Too small a gap butts and seizes when hot: file with care, square, and take the burr off. Try the ring at the top and at the bottom of its travel. Ring edges cut. The maker's figure comes first."

// runRinggap: a ring opens by π times what the bore grows, so bore = bore it
// was tried in + (gap − gap there) ÷ π, and the other way round.
func runRinggap(s *sheet) {
	s.caution(cautionRing)
	gaps := s.groups("gap", "end gap")
	for _, g := range gaps {
		name := suffix(g.label) + suffix(g.point)
		s.bounded(g.is, "gap"+name, "End gap"+ofLabel(g.label)+ofLabel(g.point), g.si, g.all(), g.unit, g.dec, "gap")
	}
	s.ringSides()
	if len(s.Vals)+len(s.Missing) == 0 {
		s.missing("end gap by feeler, the ring pushed square")
	}
	bore, ok1 := s.maybe("ref_bore", "bore that the ring was tried in")
	gap, ok2 := s.maybe("ref_gap", "its gap there")
	if !ok1 || !ok2 {
		return
	}
	for _, g := range gaps {
		d := bore.si + (g.si-gap.si)/quantity.Pi
		dec := g.dec + 1
		is, known := both(g.is, opposite(gap.is))
		if !known {
			continue
		}
		s.line("bore" + ofLabel(g.label) + ofLabel(g.point) + ": " + bore.text + " + (" + g.text + " − " + gap.text + ") ÷ π = " + quantity.Format(d, bore.unit, dec) + "\u2009" + bore.unit.Symbol)
		s.bounded(is, "bore"+suffix(g.label)+suffix(g.point), "Bore by the ring"+ofLabel(g.label)+ofLabel(g.point), d, times(difference(g.measured, gap), 1/quantity.Pi), bore.unit, dec, "")
	}
	s.gapIn(bore, gap)
}

// gapIn is the inverse: the gap in another bore.
func (s *sheet) gapIn(bore, gap measured) {
	other, ok := s.maybe("new_bore", "the other bore")
	if !ok {
		return
	}
	g := gap.si + float64(quantity.Pi*(other.si-bore.si))
	s.line("gap in " + other.text + ": " + gap.text + " + π × (" + other.text + " − " + bore.text + ") = " + quantity.FormatStep(g, gap.unit, gap.dec) + "\u2009" + gap.unit.Symbol)
	s.bounded(gap.is, "gap_there", "Gap in the other bore", g, gap.all(), gap.unit, gap.dec, "gap")
}

func (s *sheet) ringSides() {
	for _, g := range s.groups("side", "side clearance") {
		s.bounded(g.is, "side"+suffix(g.label), "Side clearance"+ofLabel(g.label), g.si, g.all(), g.unit, g.dec, "side")
	}
	grooves, rings := s.pooled("groove", "groove"), s.pooled("ring", "ring width")
	for _, label := range sorted(grooves) {
		ring, ok := rings[label]
		if !ok {
			s.missing("width of the ring" + ofLabel(label))
			continue
		}
		groove := grooves[label]
		is, known := both(groove.is, opposite(ring.is))
		if !known {
			s.missing("groove and ring as figures" + ofLabel(label))
			continue
		}
		d, dec := groove.si-ring.si, min(groove.dec, ring.decIn(groove.unit))
		s.line("side clearance" + ofLabel(label) + ": " + groove.text + " − " + ring.text + " = " + quantity.FormatStep(d, groove.unit, dec) + "\u2009" + groove.unit.Symbol)
		s.bounded(is, "side.sizes"+suffix(label), "Side clearance from sizes"+ofLabel(label), d, difference(groove, ring), groove.unit, dec, "side")
	}
}
