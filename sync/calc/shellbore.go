package calc

import (
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

var shellboreSpec = Spec{
	Name: "shellbore", Version: "2", Title: "Shell bore from housing and walls, beside the bore measured",
	Needs: []Need{
		{"housing", "housing bore, caps at full torque, shells out", "length", "item", false},
		{"wall", "wall of a half shell at its crown (Label upper, lower)", "length", "item", false},
		{"bore", "bore measured with shells in, caps at full torque", "length", "item", true},
		{"bore", "bore wanted", "length", "limit", true},
		{"agree", "what worked out and measured may differ by", "length", "limit", true},
	},
	Above: "housing wall bore",
	Typed: "housing bore",
	run:   runShellbore,
}

// runShellbore: bore = housing − both walls. One wall alone counts twice, and
// the working says so. The measured bore is another route to the same size:
// the difference is a result, and a large one mostly means caps that were not
// tight or dirt behind a shell.
func runShellbore(s *sheet) {
	s.caution(cautionBearing)
	housing, okH := s.one("housing", "housing bore, caps at full torque")
	walls := s.walls()
	if !okH || len(walls) == 0 {
		return
	}
	u := housing.unit
	dec := min(housing.dec, walls[0].decIn(u), walls[1].decIn(u))
	c := housing.si - walls[0].si - walls[1].si
	of := wallParts(walls)
	parts := append(housing.all(), of...)
	s.line("bore worked out: " + text(housing, dec) + " − " + quantity.Format(walls[0].si, u, dec) + " − " + quantity.Format(walls[1].si, u, dec) +
		" = " + quantity.Format(c, u, dec) + "\u2009" + u.Symbol)
	s.value("worked_out", "Bore worked out", c, parts, u, dec, "bore")
	bore, ok := s.maybe("bore", "bore measured")
	if !ok {
		return
	}
	s.value("measured", "Bore measured", bore.si, bore.all(), u, min(dec, bore.decIn(u)), "bore")
	v := s.value("difference", "Measured less worked out", bore.si-c, append(difference(bore, housing), of...), u, min(dec, bore.decIn(u)), "")
	if l, ok := s.in.Limits["agree"]; ok {
		s.judgeSize(v, l, u, min(dec, bore.decIn(u)))
	}
}

// wallParts are what two walls are uncertain by together. By one micrometer, its
// error counts twice, not as two chances; so does all of a wall that stands for
// both.
func wallParts(walls []measured) []quantity.Part {
	a, b := walls[0], walls[1]
	switch {
	case len(walls) == 3:
		return times(a.all(), 2)
	case a.tool != "" && a.tool == b.tool:
		return append(append(slices.Clone(a.own), b.own...), times(a.shared(), 2)...)
	}
	return append(a.all(), b.all()...)
}

// walls are the two walls of a pair of half shells, each the mean of its spots;
// a third entry says that one stands for both.
func (s *sheet) walls() []measured {
	found := s.pooled("wall", "wall of the half shell")
	labels := sorted(found)
	switch len(labels) {
	case 0:
		s.missing("walls of both half shells")
		return nil
	case 1:
		s.line("one wall counts for both half shells: measure the other")
		w := found[labels[0]]
		return []measured{w, w, w}
	case 2:
		return []measured{found[labels[0]], found[labels[1]]}
	}
	s.missing("walls of one pair of half shells at a time: these are of " + strings.Join(labels, ", "))
	return nil
}
