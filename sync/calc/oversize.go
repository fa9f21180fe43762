package calc

import (
	"math"
	"slices"

	"witnessmark/sync/quantity"
)

var oversizeSpec = Spec{
	Name: "oversize", Version: "2", Title: "Next rebore that cleans up every bore",
	Needs: []Need{
		{"diameter", "diameters of all bores (Label the cylinder)", "length", "item", false},
		{"size", "smallest new size", "length", "nominal", false},
		{"cleanup", "allowance on diameter for boring and honing", "length", "nominal", false},
		{"most", "largest bore allowed", "length", "limit", true},
		{"steps", "oversizes on offer, in the unit of size, separated by spaces", "", "option", false},
		{"alpha", "expansion of the part, 10⁻⁶ per kelvin", "", "option", true},
	},
	Above: "diameter size cleanup",
	run:   runOversize,
}

const cautionRebore = "Bore all cylinders alike and only when the pistons are here and measured. Original metal does not come back: ask about liners first. Honing dust and fluid: protect your eyes. The maker's largest bore comes before any figure here."

// runOversize: the step must take everything up to the largest reading and
// the allowance beyond it.
func runOversize(s *sheet) {
	s.caution(cautionRebore)
	gs := s.groups("diameter", "bore of")
	size, okS := s.nominal("size", "the new size")
	clean, okC := s.nominal("cleanup", "the allowance for boring")
	if len(gs) == 0 {
		s.missing("diameters of the bores")
	}
	if len(gs) == 0 || !okS || !okC {
		return
	}
	most := gs[0]
	for _, g := range gs {
		if g.si > most.si {
			most = g
		}
	}
	u, dec := size.unit, max(size.dec, most.decIn(size.unit))
	need := most.si + clean.si - size.si
	s.line("largest: " + spot("bore", Item{Label: most.label, Point: most.point}) + most.equals() + "\u2009" + most.unit.Symbol)
	s.line("step needed: " + quantity.Format(most.si, u, dec) + " + " + quantity.Format(clean.si, u, dec) + " − " + quantity.Format(size.si, u, dec) +
		" = " + quantity.FormatStep(need, u, dec) + "\u2009" + u.Symbol)
	s.value("needed", "Step needed", need, most.all(), u, dec, "")
	s.chooseOver(size, need, dec)
}

// chooseOver takes the first step on offer that is large enough and stays
// below the largest bore allowed.
func (s *sheet) chooseOver(size measured, need float64, dec int) {
	u := size.unit
	offered, ok := s.stepsOffered(u)
	if !ok {
		return
	}
	fit := slices.DeleteFunc(offered, func(q quantity.Q) bool {
		return quantity.Quantise(u.FromStep(q.SI), dec) < quantity.Quantise(u.FromStep(need), dec) || !s.stays(size.si+q.SI, u, dec)
	})
	if len(fit) == 0 {
		s.Verdict = Outside
		s.Says = "No oversize on offer cleans up and stays below the largest bore: a step of " + quantity.FormatStep(need, u, dec) + "\u2009" + u.Symbol + " is needed. Ask about liners."
		return
	}
	s.value("step", "Oversize", fit[0].SI, nil, u, fit[0].Dec, "")
	s.value("finished", "Finished bore, smallest", size.si+fit[0].SI, nil, u, max(size.dec, fit[0].Dec), "most")
	s.Says = "Bore to " + quantity.FormatStep(fit[0].SI, u, fit[0].Dec) + "\u2009" + u.Symbol + " oversize, " + quantity.Format(size.si+fit[0].SI, u, max(size.dec, fit[0].Dec)) +
		" at least. A step of at least " + quantity.FormatStep(need, u, dec) + " is needed; " + regrinds(len(fit)-1) + " after this one." + s.unjudged("most", "largest bore")
	s.line(s.Says)
}

// stays reports whether a finished bore is below the largest one allowed.
func (s *sheet) stays(si float64, u quantity.Unit, dec int) bool {
	l, ok := s.in.Limits["most"]
	if !ok || !l.Accepted {
		return true
	}
	_, hi, _, why := bounds(l, u)
	return why != "" || math.IsInf(hi, 1) || quantity.Quantise(u.FromStep(si), dec) <= quantity.Quantise(u.FromStep(hi), dec)
}
