package calc

import (
	"cmp"
	"math"

	"witnessmark/sync/quantity"
)

var pairSpec = Spec{
	Name: "pair", Version: "2", Title: "Two people's readings of one point, compared",
	Needs: []Need{
		{"reading", "the readings, each with its taker and tool", "any", "item", false},
		{"alpha", "expansion of the part, 10⁻⁶ per kelvin", "", "option", true},
	},
	run: runPair,
}

// taken is a reading with what it says.
type taken struct {
	Item
	measured
}

// runPair compares each two readings of one spot by their normalised error
// E_n = |a − b| / √(U_a² + U_b²), after ISO/IEC 17043; what both owe to one
// tool is in neither U. Above 1 they disagree. Two readings of one taker are a
// repeat, not a check, and are left out.
func runPair(s *sheet) {
	var all []taken
	for _, it := range s.in.Items["reading"] {
		if m, ok := s.read(it, spot("reading by "+cmp.Or(it.By, "nobody named"), Item{Label: it.Label, Point: it.Point})); ok {
			all = append(all, taken{it, m})
		}
	}
	compared, says := 0, ""
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.By != b.By && a.Label == b.Label && a.Point == b.Point {
				compared++
				says = s.compare(a, b)
			}
		}
	}
	switch {
	case compared == 0:
		s.missing("a second reading of the same spot, by somebody else")
	case len(s.Disagree) > 0:
		s.Says = s.Disagree[0].Says
	default:
		s.Says = says + s.agreed(all)
	}
}

// compare holds two readings against each other and says how they stand.
func (s *sheet) compare(a, b taken) string {
	u, dof := quantity.Combine(difference(a.measured, b.measured))
	expanded := float64(quantity.Coverage(dof) * u)
	d := math.Abs(a.si - b.si)
	dec := min(a.dec, b.decIn(a.unit))
	apart, allow := quantity.FormatStep(d, a.unit, dec), quantity.FormatStep(expanded, a.unit, dec)
	// Compared in tenths of the last digit, so that no machine tips it over.
	if quantity.Quantise(a.unit.FromStep(d), dec+1) > quantity.Quantise(a.unit.FromStep(expanded), dec+1) {
		says := "Readings differ: " + text(a.measured, dec) + " (" + a.By + tool(a.Item) + ") and " + quantity.Format(b.si, a.unit, dec) +
			" (" + b.By + tool(b.Item) + ") differ by " + apart + "; these tools agree to " + allow + "."
		s.Disagree = append(s.Disagree, Pair{a.Point, a.Ref, b.Ref, a.By, b.By, says})
		s.line(says)
		return says
	}
	says := "The two readings agree: they differ by " + apart + ", these tools agree to " + allow
	s.line(says)
	return says
}

// agreed adds the mean of readings that agree, where all are of one spot: each
// counts for its part, but what all owe to one tool counts whole.
func (s *sheet) agreed(all []taken) string {
	first := all[0]
	x := make([]float64, len(all))
	dec, one := first.dec, true
	for i, r := range all {
		if r.Label != first.Label || r.Point != first.Point {
			return "."
		}
		x[i], dec, one = r.si, min(dec, r.decIn(first.unit)), one && r.tool != "" && r.tool == first.tool && r.zero == first.zero
	}
	var parts []quantity.Part
	for _, r := range all {
		of := r.all()
		if one {
			of = r.own
		}
		parts = append(parts, times(of, 1/float64(len(all)))...)
	}
	if one {
		parts = append(parts, first.shared()...)
	}
	v := s.value("mean", "Agreed size", quantity.Mean(x), parts, first.unit, dec, "")
	v.Verdict = Within
	return "; mean " + v.Text + thin(v.Unit) + "."
}

func text(m measured, dec int) string { return quantity.Format(m.si, m.unit, dec) }

func tool(it Item) string {
	if it.Tool == nil {
		return ""
	}
	return ", " + it.Tool.Key
}
