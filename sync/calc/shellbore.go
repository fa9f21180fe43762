package calc

import "witnessmark/sync/quantity"

var shellboreSpec = Spec{
	Name: "shellbore", Version: "1", Title: "Shell bore from housing and walls, beside the bore measured",
	Needs: []Need{
		{"housing", "housing bore, caps at full torque, shells out", "length", "item", false},
		{"wall", "wall of a half shell at its crown (Label upper, lower)", "length", "item", false},
		{"bore", "bore measured with shells in, caps at full torque", "length", "item", true},
		{"bore", "bore wanted", "length", "limit", true},
		{"agree", "what worked out and measured may differ by", "length", "limit", true},
	},
	Above: "housing wall bore",
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
	u, dec := housing.unit, min(housing.dec, walls[0].dec, walls[1].dec)
	c := housing.si - walls[0].si - walls[1].si
	// Both walls by one micrometer: its error counts twice, not as two chances.
	parts := append(append(housing.all(), walls[0].own...), walls[1].own...)
	parts = append(parts, times(walls[0].shared(), 2)...)
	s.line("bore worked out: " + text(housing, dec) + " − " + quantity.Format(walls[0].si, u, dec) + " − " + quantity.Format(walls[1].si, u, dec) +
		" = " + quantity.Format(c, u, dec) + "\u2009" + u.Symbol)
	s.value("worked_out", "Bore worked out", c, parts, u, dec, "bore")
	bore, ok := s.maybe("bore", "bore measured")
	if !ok {
		return
	}
	s.value("measured", "Bore measured", bore.si, bore.all(), u, min(dec, bore.dec), "bore")
	v := s.value("difference", "Measured less worked out", bore.si-c, append(bore.all(), parts...), u, min(dec, bore.dec), "")
	if l, ok := s.in.Limits["agree"]; ok {
		s.judgeSize(v, l, u, min(dec, bore.dec))
	}
}

// walls are the two walls of a pair of half shells.
func (s *sheet) walls() []measured {
	gs := s.groups("wall", "wall of the half shell")
	switch len(gs) {
	case 0:
		s.missing("walls of both half shells")
		return nil
	case 1:
		s.line("one wall counts for both half shells: measure the other")
		return []measured{gs[0].measured, gs[0].measured}
	}
	return []measured{gs[0].measured, gs[1].measured}
}
