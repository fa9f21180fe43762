package calc

import (
	"math"
	"slices"

	"witnessmark/sync/quantity"
)

var targetSpec = Spec{
	Name: "target", Version: "1", Title: "Bore to finish shells to, from the journal and the clearance wanted",
	Needs: []Need{
		{"journal", "journal diameter (Label the journal, any points)", "length", "item", false},
		{"clearance", "running clearance wanted, least and most", "length", "limit", false},
		{"housing", "housing bore (Label the journal)", "length", "item", true},
	},
	Above: "journal housing",
	run:   runTarget,
}

const cautionTarget = "Finish shells only when the shaft is back and measured. Bore with caps at full torque; leave metal rather than take it. White-metal and lead-bronze dust: no dry sanding, wash your hands. The maker's sizes come before any figure here."

// runTarget: the bore must clear the journal's largest reading by the least
// clearance and its smallest by no more than the most: from the largest
// journal + least to the smallest journal + most. With the housing, the wall
// is half of what is left. The inverse is the clearance that a bore gives.
func runTarget(s *sheet) {
	s.caution(cautionTarget)
	gs := s.groups("journal", "journal")
	if len(gs) == 0 {
		s.missing("journal diameter")
	}
	l, ok := s.in.Limits["clearance"]
	if !ok || l.Min == nil || l.Max == nil {
		s.missing("the clearance wanted, least and most")
		return
	}
	if !l.Accepted {
		s.missing("the lead's consent to the clearance wanted, " + limitWords(l))
		return
	}
	housing := s.pooled("housing", "housing bore")
	for _, label := range labelsOf(gs) {
		s.targetOf(label, slices.DeleteFunc(slices.Clone(gs), func(g group) bool { return g.label != label }), l, housing)
	}
}

// labelsOf lists the labels of groups, in order, each once.
func labelsOf(gs []group) []string {
	var out []string
	for _, g := range gs {
		if !slices.Contains(out, g.label) {
			out = append(out, g.label)
		}
	}
	return out
}

func (s *sheet) targetOf(label string, gs []group, l Limit, housing map[string]measured) {
	least, most := gs[0], gs[0]
	for _, g := range gs {
		if g.si < least.si {
			least = g
		}
		if g.si > most.si {
			most = g
		}
	}
	u := gs[0].unit
	lo, hi, decL, why := bounds(l, u)
	if why != "" {
		s.missing("the clearance wanted: " + why)
		return
	}
	s.use(l.Ref)
	dec := max(most.dec, decL)
	from, to := most.si+lo, least.si+hi
	name := suffix(label)
	s.line("bore" + ofLabel(label) + ": from " + text(most.measured, dec) + " + " + quantity.FormatStep(lo, u, dec) + " = " + quantity.Format(from, u, dec) +
		" to " + text(least.measured, dec) + " + " + quantity.FormatStep(hi, u, dec) + " = " + quantity.Format(to, u, dec) + "\u2009" + u.Symbol)
	if quantity.Quantise(u.FromStep(to-from), dec) < 0 {
		s.Verdict = Outside
		s.Says = "No bore gives the clearance wanted" + ofLabel(label) + ": the journal varies by " + quantity.FormatStep(most.si-least.si, u, dec) + "\u2009" + u.Symbol + ", more than the clearance may."
		return
	}
	s.value("from"+name, "Bore at least"+ofLabel(label), from, most.all(), u, dec, "")
	s.value("to"+name, "Bore at most"+ofLabel(label), to, least.all(), u, dec, "")
	s.value("best"+name, "Bore to aim at"+ofLabel(label), (from+to)/2, most.all(), u, dec, "")
	if s.Says == "" {
		s.Says = "Finish the bore" + ofLabel(label) + " to " + quantity.Format(from, u, dec) + " to " + quantity.Format(to, u, dec) + "\u2009" + u.Symbol + "."
	}
	if h, ok := housing[label]; ok {
		s.wallFor(label, h, from, to, u, dec)
	}
}

func (s *sheet) wallFor(label string, h measured, from, to float64, u quantity.Unit, dec int) {
	thin, thick := (h.si-to)/2, (h.si-from)/2
	if thin <= 0 {
		s.missing("a housing larger than the bore" + ofLabel(label) + ": " + h.text + " is not")
		return
	}
	half := times(h.all(), 0.5)
	s.line("wall" + ofLabel(label) + ": (" + text(h, dec) + " − bore) ÷ 2 = " + quantity.FormatStep(thin, u, dec) + " to " + quantity.FormatStep(thick, u, dec) + "\u2009" + u.Symbol)
	s.value("wall_from"+suffix(label), "Wall at least"+ofLabel(label), thin, half, u, dec, "")
	s.value("wall_to"+suffix(label), "Wall at most"+ofLabel(label), math.Max(thin, thick), half, u, dec, "")
}

// suffix and ofLabel add a label to a value's name and to its words.
func suffix(label string) string {
	if label == "" {
		return ""
	}
	return "." + label
}

func ofLabel(label string) string {
	if label == "" {
		return ""
	}
	return ", " + label
}
