package calc

import (
	"math/rand"
	"slices"
	"strings"
	"testing"
)

// TestRunout: figures by hand; an axis off by e turns the dial through 2 e
// (geometry).
func TestRunout(t *testing.T) {
	items := func(points ...string) []Item {
		var out []Item
		for i := 0; i+1 < len(points); i += 2 {
			out = append(out, Item{Point: points[i], V: mm(points[i+1])})
		}
		return out
	}
	for _, c := range []struct {
		name, turned string
		readings     []Item
		tir, offset  string
		verdict      Verdict
		want         string
	}{
		{"turned alone", "one", items("12", "0.00", "3", "0.04", "6", "0.08", "9", "0.04"), "0.08", "0.040", Outside, "bent or off its shaft's middle"},
		{"turned together", "together", items("top", "0.00", "right", "-0.01", "bottom", "0.02", "left", "0.03"), "0.04", "0.020", Within, "how the two axes lie"},
		{"true", "", items("12", "0.00", "3", "0.00", "6", "0.00", "9", "0.00"), "0.00", "0.000", Within, "turned alone it is the flange"},
		{"out of round", "one", items("12", "0.05", "3", "0.00", "6", "0.05", "9", "0.00"), "0.05", "0.025", Within, "high and low do not lie opposite"},
		{"two spots", "one", items("12", "0.00", "6", "0.02"), "0.02", "0.010", Incomplete, "readings at four clock positions"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "runout", Inputs{Items: map[string][]Item{"reading": c.readings}, Opts: map[string]string{"turned": c.turned}, Limits: map[string]Limit{"tir": tol("", "0.05")}})
			texts(t, r, map[string]string{"tir.": c.tir, "offset.": c.offset})
			if all := strings.Join(append(r.Working, r.Missing...), "\n"); r.Verdict != c.verdict || !strings.Contains(all, c.want) {
				t.Errorf("%s: %s", r.Verdict, all)
			}
		})
	}
	r := run(t, "runout", Inputs{Items: map[string][]Item{"reading": items("12", "0.01", "3", "0.02", "6", "0.03", "9", "0.02"), "back": {{V: mm("0.05")}}}, Limits: map[string]Limit{"back": tol("", "0.01")}})
	if v := val(t, r, "back."); v.Text != "0.04" || v.Verdict != Outside {
		t.Errorf("back: %s %s", v.Text, v.Verdict)
	}
	if r := runoutSpec.Run(Inputs{Items: map[string][]Item{"reading": {{Point: "12", V: wr("1", "bar")}}}}); r.Verdict != Incomplete || len(r.Vals) != 0 {
		t.Errorf("in bar: %v", r)
	}
}

// TestRunoutUnits: a dial in thousandths of an inch gives the answer of one in
// millimetres; where the dial's nought lies changes nothing.
func TestRunoutUnits(t *testing.T) {
	r := rand.New(rand.NewSource(8))
	for range 100 {
		var inch, mms, moved []Item
		for _, p := range []string{"12", "3", "6", "9"} {
			x := r.Intn(300) - 150
			a, b := inchAndMillimetre(x)
			c, _ := inchAndMillimetre(x + 77)
			inch, mms, moved = append(inch, Item{Point: p, V: a}), append(mms, Item{Point: p, V: b}), append(moved, Item{Point: p, V: c})
		}
		tir := func(items []Item) float64 {
			return val(t, run(t, "runout", Inputs{Items: map[string][]Item{"reading": items}}), "tir.").SI
		}
		close12(t, "in inches and millimetres", tir(mms), tir(inch))
		close12(t, "another nought", tir(moved), tir(inch))
		slices.Reverse(inch)
		close12(t, "another order", tir(inch), tir(mms))
	}
}
