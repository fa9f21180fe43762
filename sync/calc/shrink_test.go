package calc

import (
	"math/rand"
	"strconv"
	"strings"
	"testing"
)

// TestShrink: rise = (interference + clearance) ÷ (α × diameter). An
// aluminium hub of 1.000 in with 0.0010 in of interference, 0.0020 in to slip
// on and 12.8 per degree Fahrenheit wants a rise of 234 °F, 304 °F in all from
// 70 °F (a public shrink-fit table's worked figures); the steel by hand.
func TestShrink(t *testing.T) {
	for _, c := range []struct {
		name  string
		typed []string
		metal string
		want  map[string]string
	}{
		// 12.8e-6 per °F is 23.04e-6 per K.
		{"aluminium hub", []string{"diameter", "1.000", "in", "interference", "0.0010", "in", "clearance", "0.0020", "in", "room", "70", "degF", "alpha", "23.04", "ppm/K"}, "", map[string]string{"temperature": "304"}},
		// (0.060 + 0.060) ÷ (11.3e-6 × 60) = 177 K.
		{"steel ring", []string{"diameter", "60", "mm", "interference", "0.060", "mm", "clearance", "0.060", "mm", "room", "18", "degC"}, "plain carbon steel 1040", map[string]string{"temperature": "195"}},
		// At 120 °C: 11.5e-6 × 60 × 100 = 0.069.
		{"what a bath gives", []string{"diameter", "60", "mm", "interference", "0.040", "mm", "heat", "120", "degC", "room", "20", "degC"}, "gauge-block steel", map[string]string{"growth": "0.0690", "clearance": "0.0290"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			texts(t, run(t, "shrink", Inputs{Nominal: sizesOf(c.typed...), Opts: map[string]string{"metal": c.metal}}), c.want)
		})
	}
	steel := map[string]string{"metal": "gauge-block steel"}
	base := []string{"diameter", "60", "mm", "interference", "0.060", "mm", "room", "20", "degC"}
	cold := run(t, "shrink", Inputs{Nominal: sizesOf(append(base, "heat", "80", "degC")...), Opts: steel})
	if !strings.Contains(strings.Join(cold.Cautions, " "), "stick half way") {
		t.Errorf("%v", cold.Cautions)
	}
	limit := Limit{Max: ptr(wr("150", "degC")), Accepted: true}
	hot := run(t, "shrink", Inputs{Nominal: sizesOf(append(base, "clearance", "0.060", "mm")...), Opts: steel, Limits: map[string]Limit{"temperature": limit}})
	if v := val(t, hot, "temperature"); v.Text != "194" || v.Verdict != Outside || !strings.Contains(strings.Join(hot.Working, "\n"), "Heat it to 194\u2009°C, limit at most 150\u2009°C") {
		t.Errorf("%s %s %s", v.Text, v.Verdict, hot.Working)
	}
	incomplete(t, run(t, "shrink", Inputs{Nominal: sizesOf(base...), Opts: steel}), "the clearance wanted")
	incomplete(t, run(t, "shrink", Inputs{Nominal: sizesOf(append(base, "heat", "20", "degC")...), Opts: steel}), "is not above the workshop's")
	incomplete(t, run(t, "shrink", Inputs{Nominal: sizesOf(append(base, "diameter", "0", "mm", "heat", "80", "degC")...), Opts: steel}), "above nought")
	incomplete(t, run(t, "shrink", Inputs{Nominal: sizesOf(append(base, "room", "20", "mm", "heat", "80", "degC")...), Opts: steel}), "is not a temperature")
}

// TestShrinkBothWays: the heat for a clearance makes that clearance, and inches
// and millimetres give one answer.
func TestShrinkBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(12))
	for range 100 {
		di, dm := inchAndMillimetre(10000 + r.Intn(50000))
		ii, im := inchAndMillimetre(1 + r.Intn(40))
		solve := func(d, i, unit string, n ...string) Result {
			return run(t, "shrink", Inputs{Nominal: sizesOf(append([]string{"diameter", d, unit, "interference", i, unit, "room", "20", "degC", "alpha", "11.7", "ppm/K"}, n...)...)})
		}
		a := val(t, solve(di.Text, ii.Text, "in", "clearance", "0.05", "mm"), "temperature").SI
		closeTo(t, "in inches and millimetres", val(t, solve(dm.Text, im.Text, "mm", "clearance", "0.05", "mm"), "temperature").SI, a)
		back := solve(dm.Text, im.Text, "mm", "heat", strconv.FormatFloat(a-273.15, 'f', 11, 64), "degC")
		close12(t, "there and back", val(t, back, "clearance").SI, 0.05e-3)
	}
}
