package calc

import (
	"slices"

	"witnessmark/sync/quantity"
)

var clearanceSpec = Spec{
	Name: "clearance", Version: "4", Title: "Bearing running clearance from journal and shell bore",
	Needs: []Need{
		{"journal", "journal diameter at a point", "length", "item", false},
		{"shell", "bore with shells in and caps at full torque, at the same point", "length", "item", false},
		{"clearance", "running clearance allowed", "length", "limit", true},
		{"points", "the points wanted, separated by spaces", "", "option", true},
		{"alpha", "expansion of the parts, 10⁻⁶ per kelvin", "", "option", true},
	},
	Above: "journal shell",
	Gaps:  "clearance",
	run:   runClearance,
}

const cautionBearing = "A bore reads large until its cap nuts are at full torque. Never file a cap. Lead-bronze and white-metal dust: no dry sanding, wash your hands. The maker's clearances come before any figure here."

// runClearance: clearance is bore less journal at the same plane and
// direction. What both readings owe to one tool cancels.
func runClearance(s *sheet) {
	journal := byPoint(s.groups("journal", "journal"))
	shell := byPoint(s.groups("shell", "bore"))
	s.caution(cautionBearing)
	s.wantedBoth(journal, shell)
	if !s.oneThing("journal readings", journal) || !s.oneThing("bore readings", shell) {
		return
	}
	var all []float64
	var parts [][]quantity.Part
	var unit quantity.Unit
	dec := 9
	for _, j := range journal {
		i := slices.IndexFunc(shell, func(g group) bool { return g.point == j.point })
		if i < 0 {
			continue
		}
		c := shell[i].si - j.si
		of := difference(shell[i].measured, j.measured)
		unit, dec = j.unit, min(dec, j.dec, shell[i].measured.decIn(j.unit))
		s.line("clearance, " + PointWords(j.point) + ": " + quantity.Format(shell[i].si, unit, dec) + " − " +
			quantity.Format(j.si, unit, dec) + " = " + quantity.FormatStep(c, unit, dec) + "\u2009" + unit.Symbol)
		s.value("clearance."+j.point, label("Clearance", j.point), c, of, unit, dec, "clearance")
		all, parts = append(all, c), append(parts, of)
	}
	s.overPoints(all, parts, unit, dec)
}

// overPoints adds the least, mean and most of several clearances. The mean
// counts with the uncertainty of the widest: one tool may be wrong at all.
func (s *sheet) overPoints(all []float64, parts [][]quantity.Part, u quantity.Unit, dec int) {
	if len(all) < 2 {
		return
	}
	lo, hi, wide := 0, 0, 0
	for i, c := range all {
		if c < all[lo] {
			lo = i
		}
		if c > all[hi] {
			hi = i
		}
		if wider(parts[i], parts[wide]) {
			wide = i
		}
	}
	s.value("least", "Least clearance", all[lo], parts[lo], u, dec, "")
	s.value("mean", "Mean clearance", quantity.Mean(all), parts[wide], u, dec, "")
	s.value("most", "Most clearance", all[hi], parts[hi], u, dec, "")
}

// decIn is how many digits after the point a reading has in a unit, its own or
// another.
func (m measured) decIn(u quantity.Unit) int {
	if m.unit.Code == u.Code {
		return m.dec
	}
	return quantity.Decimals(lastDigit(m), u)
}

func lastDigit(m measured) float64 {
	step := m.unit.Step(1)
	for range m.dec {
		step /= 10
	}
	return step
}

func label(what, point string) string {
	if point == "" {
		return what
	}
	return what + ", " + PointWords(point)
}

// wantedBoth lists what keeps a clearance from being worked out: the points
// wanted, or those measured on one part and not on the other.
func (s *sheet) wantedBoth(journal, shell []group) {
	if s.in.Opts["points"] != "" {
		s.wanted("journal", journal)
		s.wanted("bore, caps at full torque,", shell)
		return
	}
	if len(journal) == 0 {
		s.missing("journal diameter")
	}
	if len(shell) == 0 {
		s.missing("bore with shells in, caps at full torque")
	}
	if len(journal) == 0 || len(shell) == 0 {
		return
	}
	has := func(gs []group, p string) bool {
		return slices.ContainsFunc(gs, func(g group) bool { return g.point == p })
	}
	if !slices.ContainsFunc(journal, func(g group) bool { return has(shell, g.point) }) {
		s.missing("journal and bore at the same point")
	}
}
