package calc

import (
	"math/rand"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// drawn is a bearing as drawn: housing, wall and journal, then pairs of more.
func drawn(housing, wall, journal string, more ...string) map[string]string {
	out := map[string]string{"housing": housing, "wall": wall, "journal": journal}
	for i := 0; i+1 < len(more); i += 2 {
		out[more[i]] = more[i+1]
	}
	return out
}

// TestBearing: mains and pins of the invented scenario, worked by hand there;
// figures of published manuals, each with its place; and what is refused.
func TestBearing(t *testing.T) {
	pin := func(more ...string) map[string]string {
		return drawn("66.000..66.013 mm", "1.972..1.979 mm", "61.985..62.000 mm", more...)
	}
	limits := map[string]Limit{"clearance": between("0.042", "0.084", "mm"), "least": between("61.000", "", "mm")}
	for _, c := range []check{
		{name: "pins, ground 0.50", nominal: pin("undersize", "0.50 mm"), limits: limits,
			vals: map[string]string{"clearance.min": "0.042", "clearance.max": "0.084", "new_journal.min": "61.485", "new_journal.max": "61.500", "new_wall.min": "2.222", "new_wall.max": "2.229",
				"new_bore.min": "61.542", "new_bore.max": "61.569", "new_clearance.min": "0.042", "new_clearance.max": "0.084"},
			verdict: Within, says: "wall 2.222 to 2.229\u2009mm: clearance 0.042 to 0.084\u2009mm (within, limit 0.042 to 0.084\u2009mm), as new", working: "61.542 − 61.500 = 0.042 to 61.569 − 61.485 = 0.084"},
		{name: "mains", nominal: drawn("80.000..80.013 mm", "2.460..2.468 mm", "74.985..75.000 mm"), vals: map[string]string{"bore.min": "75.064", "bore.max": "75.093", "clearance.min": "0.064", "clearance.max": "0.108"},
			says: "Clearance 0.064 to 0.108\u2009mm.", working: "80.000 − 2 × 2.468 = 75.064 to 80.013 − 2 × 2.460 = 75.093"},
		// TM 9-2815-202-34, p. 4-156: shells of 0.1545 to 0.1552 in, clearance of new parts 0.0016 to 0.0050 in. The housing, 3.812 to
		// 3.813, and the journal, 3.499 to 3.500, are from memory.
		{name: "inches", nominal: drawn("3.812..3.813 in", "0.1545..0.1552 in", "3.499..3.500 in"), vals: map[string]string{"clearance.min": "0.0016", "clearance.max": "0.0050"}},
		// TM 5-4320-302-14, p. 6-181: walls of 2.973 to 2.985 and bores of 60.040 to 60.083 mm, at the undersizes 3.223 to 3.235 and 59.540
		// to 59.583, 3.723 to 3.735 and 58.540 to 58.583. The housing, 66.010 to 66.029, is what goes with those; the journal is ours.
		{name: "first undersize", nominal: drawn("66.010..66.029 mm", "2.973..2.985 mm", "59.971..59.990 mm", "undersize", "0.5 mm"),
			vals: map[string]string{"bore.min": "60.040", "bore.max": "60.083", "new_wall.min": "3.223", "new_wall.max": "3.235", "new_bore.min": "59.540", "new_bore.max": "59.583"}},
		{name: "third undersize", nominal: drawn("66.010..66.029 mm", "2.973..2.985 mm", "59.971..59.990 mm", "undersize", "1.5 mm"),
			vals: map[string]string{"new_wall.min": "3.723", "new_wall.max": "3.735", "new_bore.min": "58.540", "new_bore.max": "58.583"}},
		{name: "a journal with limits of its own", nominal: pin("undersize", "0.50 mm", "new_journal", "61.480..61.495 mm"), limits: limits, vals: map[string]string{"new_clearance.min": "0.047", "new_clearance.max": "0.089", "clearance.max": "0.084"},
			verdict: Outside, says: "not as new"},
		{name: "ground below the least size", nominal: pin("undersize", "1.00 mm"), limits: map[string]Limit{"least": between("61.000", "", "mm")}, vals: map[string]string{"new_journal.min": "60.985"}, verdict: Outside},
		{name: "half of it needs a digit more", nominal: pin("undersize", "0.125 mm"), vals: map[string]string{"new_wall.min": "2.0345", "new_clearance.min": "0.042"}, says: "as new"},
		{name: "no tolerance on the wall", nominal: drawn("66.000..66.013 mm", "1.979 mm", "62.000 mm"), vals: map[string]string{"clearance.min": "0.042", "clearance.max": "0.055"}},
		{name: "a press fit by mistake", nominal: drawn("66.000 mm", "2.010 mm", "62.000 mm"), limits: map[string]Limit{"clearance": between("", "0.084", "mm")}, vals: map[string]string{"clearance.min": "−0.020"}, verdict: Outside},
		{name: "no journal", nominal: map[string]string{"housing": "66.000 mm", "wall": "1.979 mm"}, verdict: Incomplete, missing: "journal"},
		{name: "the most before the least", nominal: drawn("66.013..66.000 mm", "1.979 mm", "62.000 mm"), verdict: Incomplete, missing: "the second must be the larger"},
		{name: "a wall in bar", nominal: drawn("66.000 mm", "1.979 bar", "62.000 mm"), verdict: Incomplete, missing: "is not a length"},
		{name: "a wall of nought", nominal: drawn("66.000 mm", "0..1.979 mm", "62.000 mm"), verdict: Incomplete, missing: "above nought"},
		{name: "walls and housing of two engines", nominal: drawn("3.5 mm", "1.979 mm", "62.000 mm"), verdict: Incomplete, missing: "a housing larger than two walls"},
		{name: "an undersize of nought", nominal: pin("undersize", "0 mm"), vals: map[string]string{"clearance.min": "0.042"}, verdict: Incomplete, missing: "above nought"},
		{name: "two undersizes", nominal: pin("undersize", "0.25..0.50 mm"), verdict: Incomplete, missing: "one figure"},
		{name: "an undersize of all there is", nominal: pin("undersize", "62 mm"), verdict: Incomplete, missing: "smaller than the journal"},
		{name: "own limits without an undersize", nominal: pin("new_journal", "61.485..61.500 mm"), verdict: Incomplete, missing: "the undersize, for the wall"},
		{name: "ground larger", nominal: pin("undersize", "0.50 mm", "new_journal", "62.000..62.015 mm"), verdict: Incomplete, missing: "smaller than before"},
		{name: "a least size and no undersize", nominal: pin(), limits: limits, verdict: Incomplete, missing: "the undersize, for the least size"},
		{name: "a clearance that nobody accepted", nominal: pin(), limits: map[string]Limit{"clearance": {Max: ptr(mm("0.050"))}}, says: "not accepted yet"},
	} {
		c.calc = "bearing"
		c.run(t)
	}
}

// TestBearingMeasured: of readings the least and the most count. One micrometer
// for wall and journal errs three times over, two err apart.
func TestBearingMeasured(t *testing.T) {
	read := func(wall *Tool) Val {
		r := run(t, "bearing", Inputs{Items: map[string][]Item{"wall": at(wall, map[string]string{"1": "1.975", "2": "1.979", "3": "1.972"}), "journal": at(m1, map[string]string{"a.V": "61.990", "b.V": "61.985"})},
			Nominal: map[string]quantity.Written{"housing": limitIn("66.000", "66.013", "mm")}})
		texts(t, r, map[string]string{"clearance.min": "0.052", "clearance.max": "0.084"})
		return val(t, r, "clearance.min")
	}
	nearTo(t, "one micrometer", read(m1).U, 3*4e-6, 1e-6)
	nearTo(t, "two", read(m2).U, 4e-6*2.236, 1e-6)
}

// TestBearingRegrind: whatever the sizes and the undersize, matching walls leave
// the clearance as it was, its span is the tolerances, the wall's twice, and
// none of it an uncertainty; inches give the answer of millimetres.
func TestBearingRegrind(t *testing.T) {
	r := rand.New(rand.NewSource(22))
	for range 200 {
		journal, wall := 10000+r.Intn(40000), 500+r.Intn(1500)
		housing := journal + 2*wall + 20 + r.Intn(60)
		tolJ, tolW, tolH, under := 1+r.Intn(9), 1+r.Intn(9), 1+r.Intn(9), 20+2*r.Intn(300)
		solve := func(inch bool) Result {
			size := func(a int) quantity.Written {
				in, mm := inchAndMillimetre(a)
				if inch {
					return in
				}
				return mm
			}
			reach := func(a, b int) quantity.Written {
				out := size(a)
				out.To = size(b).Text
				return out
			}
			return run(t, "bearing", Inputs{Nominal: map[string]quantity.Written{"housing": reach(housing, housing+tolH), "wall": reach(wall-tolW, wall), "journal": reach(journal-tolJ, journal), "undersize": size(under)}})
		}
		a, b := solve(false), solve(true)
		close12(t, "span", val(t, a, "clearance.max").SI-val(t, a, "clearance.min").SI, float64(tolH+2*tolW+tolJ)*2.54e-6)
		for _, end := range []string{"clearance.min", "clearance.max"} {
			close12(t, end+" as new", val(t, a, "new_"+end).SI, val(t, a, end).SI)
			close12(t, end+" in inches", val(t, b, end).SI, val(t, a, end).SI)
		}
		if v := val(t, a, "new_clearance.min"); v.U != 0 {
			t.Errorf("the drawing's least and most are taken for an uncertainty of ± %v", v.U)
		}
		close12(t, "wall", val(t, a, "new_wall.max").SI, float64(2*wall+under)*1.27e-6)
		if !strings.HasSuffix(a.Says, ", as new.") || len(a.Missing) > 0 {
			t.Errorf("undersize %s: %s", strconv.Itoa(under), a.Says)
		}
	}
}
