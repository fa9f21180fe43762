package calc

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

var undersizeSpec = Spec{
	Name: "undersize", Version: "2", Title: "Next undersize that cleans up every journal of a kind",
	Needs: []Need{
		{"diameter", "diameters of all pins (or all mains)", "length", "item", false},
		{"size", "largest new size", "length", "nominal", false},
		{"cleanup", "allowance on diameter for the grinder", "length", "nominal", false},
		{"least", "smallest size allowed", "length", "limit", true},
		{"steps", "undersizes on offer, in the unit of size, separated by spaces", "", "option", false},
		{"tolerance", "tolerance of the new size, in the unit of size", "", "option", true},
		{"alpha", "expansion of the part, 10⁻⁶ per kelvin", "", "option", true},
	},
	Above: "diameter size cleanup",
	run:   runUndersize,
}

const cautionGrind = "Grind all journals of a kind alike. Crack-test after grinding: a crank that fails leaves through the side of the block. Fillet radius, hardened depth and the least size are the maker's to say; the shells are finished after the crank is back and measured."

// runUndersize: the step must take off everything down to the smallest
// reading and the grinder's allowance below it.
func runUndersize(s *sheet) {
	s.caution(cautionGrind)
	gs := s.groups("diameter", "diameter of")
	size, okS := s.nominal("size", "the new size")
	clean, okC := s.nominal("cleanup", "the grinder's allowance")
	if len(gs) == 0 {
		s.missing("diameters of the journals")
	}
	if len(gs) == 0 || !okS || !okC {
		return
	}
	least := gs[0]
	for _, g := range gs {
		if g.si < least.si {
			least = g
		}
	}
	need := size.si - (least.si - clean.si)
	u, dec := size.unit, max(size.dec, least.decIn(size.unit))
	s.line("smallest: " + spot("journal", Item{Label: least.label, Point: least.point}) + least.equals() + "\u2009" + least.unit.Symbol)
	s.line("step needed: " + quantity.Format(size.si, u, dec) + " − (" + quantity.Format(least.si, u, dec) + " − " +
		quantity.Format(clean.si, u, dec) + ") = " + quantity.FormatStep(need, u, dec) + "\u2009" + u.Symbol)
	s.value("needed", "Step needed", need, least.all(), u, dec, "")
	s.choose(size, need, dec)
}

// choose takes the first step on offer that is large enough and leaves the
// journal above the least size.
func (s *sheet) choose(size measured, need float64, dec int) {
	u := size.unit
	offered, ok := s.stepsOffered(u)
	if !ok {
		return
	}
	fit := slices.DeleteFunc(offered, func(q quantity.Q) bool {
		return quantity.Quantise(u.FromStep(q.SI), dec) < quantity.Quantise(u.FromStep(need), dec) || !s.leaves(size.si-q.SI, u, dec)
	})
	if len(fit) == 0 {
		s.Verdict = Outside
		s.Says = "No undersize on offer cleans up and stays above the least size: a step of " + quantity.FormatStep(need, u, dec) + "\u2009" + u.Symbol + " is needed."
		return
	}
	step := fit[0]
	s.value("step", "Undersize", step.SI, nil, u, step.Dec, "")
	s.value("finished", "Finished size, largest", size.si-step.SI, nil, u, max(size.dec, step.Dec), "least")
	s.Says = "Grind to " + quantity.FormatStep(step.SI, u, step.Dec) + "\u2009" + u.Symbol + " undersize: " + s.finished(size, step, u) +
		". A step of at least " + quantity.FormatStep(need, u, dec) + " is needed; " + regrinds(len(fit)-1) + " after this one." + s.unjudged("least", "least size")
	s.line(s.Says)
}

// stepsOffered reads the steps on offer, the smallest first.
func (s *sheet) stepsOffered(u quantity.Unit) ([]quantity.Q, bool) {
	var out []quantity.Q
	for _, t := range strings.Fields(s.in.Opts["steps"]) {
		q, err := quantity.Parse(quantity.Written{Text: t, Unit: u.Code})
		if err == nil && q.SI <= 0 {
			err = errors.New(t + " is no step")
		}
		if err != nil {
			s.missing("steps on offer: " + err.Error())
			return nil, false
		}
		out = append(out, q)
	}
	if len(out) == 0 {
		s.missing("the steps on offer")
	}
	order.By(out, func(a, b quantity.Q) int { return cmp.Compare(a.SI, b.SI) })
	return out, len(out) > 0
}

// unjudged says that a choice was not held against a limit that nobody set or
// accepted.
func (s *sheet) unjudged(limit, what string) string {
	if l, ok := s.in.Limits[limit]; ok && l.Accepted {
		return ""
	}
	return " It is not held against a " + what + ": none is accepted."
}

func (s *sheet) finished(size measured, step quantity.Q, u quantity.Unit) string {
	high := quantity.Format(size.si-step.SI, u, max(size.dec, step.Dec))
	if s.in.Opts["tolerance"] == "" {
		return high + " at most"
	}
	tol, err := quantity.Parse(quantity.Written{Text: s.in.Opts["tolerance"], Unit: u.Code})
	if err != nil {
		s.missing("tolerance of the new size: " + err.Error())
		return high + " at most"
	}
	return quantity.Format(size.si-step.SI-tol.SI, u, max(size.dec, step.Dec, tol.Dec)) + " to " + high
}

func regrinds(n int) string {
	switch n {
	case 0:
		return "no step is left"
	case 1:
		return "one step is left"
	}
	return quantity.Fixed(float64(n), 0) + " steps are left"
}

// leaves reports whether a finished size is above the least one allowed.
func (s *sheet) leaves(si float64, u quantity.Unit, dec int) bool {
	l, ok := s.in.Limits["least"]
	if !ok || !l.Accepted {
		return true
	}
	lo, _, _, why := bounds(l, u)
	return why != "" || math.IsInf(lo, -1) || quantity.Quantise(u.FromStep(si), dec) >= quantity.Quantise(u.FromStep(lo), dec)
}

// nominal is one for a size of the type sheet; it may be measured instead.
func (s *sheet) nominal(name, what string) (measured, bool) {
	w, ok := s.in.Nominal[name]
	switch {
	case len(s.in.Items[name]) > 0:
		return s.one(name, what)
	case !ok:
		s.missing(what + ", on the type sheet")
		return measured{}, false
	}
	q, ok := s.parse(w, what)
	if ok {
		s.line(what + ": " + w.String() + " (type sheet)")
	}
	return measured{si: q.SI, unit: q.Unit, dec: q.Dec, text: w.String()}, ok
}
