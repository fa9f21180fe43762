package calc

import (
	"math"

	"witnessmark/sync/quantity"
)

var pairSpec = Spec{
	Name: "pair", Version: "1", Title: "Two people's readings of one point, compared",
	Needs: []Need{
		{"reading", "the readings, each with its taker and tool", "any", "item", false},
		{"alpha", "expansion of the part, 10⁻⁶ per kelvin", "", "option", true},
	},
	run: runPair,
}

// runPair compares each two readings by their normalised error
// E_n = |a − b| / √(U_a² + U_b²) (ISO/IEC 17043); above 1 they disagree. Two
// readings of one taker are a repeat, not a check, and are left out.
func runPair(s *sheet) {
	type one struct {
		Item
		measured
	}
	var all []one
	for _, it := range s.in.Items["reading"] {
		if m, ok := s.read(it, "reading by "+it.By); ok {
			all = append(all, one{it, m})
		}
	}
	if len(all) < 2 {
		s.missing("a second reading, by somebody else")
		return
	}
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.By != b.By {
				s.compare(a.Item, a.measured, b.Item, b.measured)
			}
		}
	}
	if len(s.Disagree) > 0 {
		s.Says = s.Disagree[0].Says
	}
}

func (s *sheet) compare(ia Item, a measured, ib Item, b measured) {
	u, dof := quantity.Combine(difference(a, b))
	k := quantity.Coverage(dof)
	d := math.Abs(a.si - b.si)
	dec := min(a.dec, b.dec)
	expanded := float64(k * u)
	says := "Readings differ: " + text(a, dec) + " (" + ia.By + tool(ia) + ") and " + text(b, dec) + " (" + ib.By + tool(ib) + ") differ by " +
		quantity.FormatStep(d, a.unit, dec) + "; these tools agree to " + quantity.FormatStep(expanded, a.unit, dec) + "."
	// Compared in tenths of the last digit, so that no machine tips it over.
	if quantity.Quantise(a.unit.FromStep(d), dec+1) > quantity.Quantise(a.unit.FromStep(expanded), dec+1) {
		s.Disagree = append(s.Disagree, Pair{ia.Point, ia.Ref, ib.Ref, ia.By, ib.By, says})
		s.line(says)
		return
	}
	s.value("mean", "Agreed size", quantity.Mean([]float64{a.si, b.si}), append(a.all(), b.own...), a.unit, dec, "")
	s.Vals[len(s.Vals)-1].Verdict = Within
	s.Says = "The two readings agree: they differ by " + quantity.FormatStep(d, a.unit, dec) + ", these tools agree to " +
		quantity.FormatStep(expanded, a.unit, dec) + "; mean " + s.Vals[len(s.Vals)-1].Text + "\u2009" + a.unit.Symbol + "."
	s.line(s.Says)
}

func text(m measured, dec int) string { return quantity.Format(m.si, m.unit, dec) }

func tool(it Item) string {
	if it.Tool == nil {
		return ""
	}
	return ", " + it.Tool.Key
}
