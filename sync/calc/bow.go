package calc

import (
	"slices"

	"witnessmark/sync/quantity"
)

var bowSpec = Spec{
	Name: "bow", Version: "1", Title: "Bow of a shaft from its run-out",
	Needs: []Need{
		{"dial", "dial reading at a journal (Label) and an angle (Point, degrees), the ends in blocks", "length", "item", false},
		{"ovality", "out-of-round of the journal, by micrometer (Label)", "length", "item", true},
		{"bow", "bow allowed", "length", "limit", true},
		{"runout", "total indicator reading allowed", "length", "limit", true},
	},
	run: runBow,
}

const cautionBow = "Never straighten a hardened shaft or a cold-cracked one without the specialist. A crank rolls: chock it. The maker's figure comes first."

// runBow: bow is half the total indicator reading (TM 10-3930-653-14&P,
// crankshaft bend note). A journal that is out of round shows in the same
// dial: at most its out-of-round of the reading is not bow.
func runBow(s *sheet) {
	s.caution(cautionBow)
	all := s.groups("dial", "dial at")
	oval := s.pooled("ovality", "out-of-round of")
	if len(all) == 0 {
		s.missing("dial readings at the middle journal, all the way round")
	}
	for _, label := range labelsOf(all) {
		gs := slices.DeleteFunc(slices.Clone(all), func(g group) bool { return g.label != label })
		if len(gs) < 4 {
			s.missing("dial at four angles at least" + ofLabel(label))
			continue
		}
		lo := slices.MinFunc(gs, bySize)
		hi := slices.MaxFunc(gs, bySize)
		tir := hi.si - lo.si
		u, dec := hi.unit, hi.dec
		s.line("total indicator reading" + ofLabel(label) + ": " + hi.text + " at " + hi.point + "° − " + lo.text + " at " + lo.point + "° = " + quantity.FormatStep(tir, u, dec) + "\u2009" + u.Symbol)
		parts := difference(hi.measured, lo.measured)
		s.value("runout"+suffix(label), "Total indicator reading"+ofLabel(label), tir, parts, u, dec, "runout")
		s.line("bow" + ofLabel(label) + ": half of it, " + quantity.FormatStep(tir/2, u, dec+1) + "\u2009" + u.Symbol)
		if o, ok := oval[label]; ok {
			s.line("the journal is out of round by " + o.text + ": the bow alone lies between " + quantity.FormatStep(max(0, tir-o.si)/2, u, dec+1) + " and " + quantity.FormatStep(tir/2, u, dec+1))
		}
		s.value("bow"+suffix(label), "Bow"+ofLabel(label), tir/2, times(parts, 0.5), u, dec+1, "bow")
	}
}

func bySize(a, b group) int {
	switch {
	case a.si < b.si:
		return -1
	case a.si > b.si:
		return 1
	}
	return 0
}
