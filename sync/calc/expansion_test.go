package calc

import (
	"math/rand"
	"strconv"
	"strings"
	"testing"
)

// TestMetals: every row of thermal_expansion.csv (Callister, table B.6, and
// the gauge steel of JCGM 100:2008, H.1); per kelvin and per degree Fahrenheit
// agree within the print.
func TestMetals(t *testing.T) {
	for _, row := range rows(t, "thermal_expansion.csv") {
		r := run(t, "expansion", Inputs{Nominal: sizesOf("size", "1000", "mm", "from", "20", "degC", "to", "120", "degC"), Opts: map[string]string{"metal": row["material"]}})
		closeTo(t, row["material"], val(t, r, "growth").SI, num(t, row["alpha_1e-6_per_K"])*1e-4)
		if f := row["alpha_1e-6_per_degF"]; f != "" {
			if d := num(t, row["alpha_1e-6_per_K"]) - 1.8*num(t, f); d > 0.15 || d < -0.15 {
				t.Errorf("%s: %v apart from its Fahrenheit column", row["material"], d)
			}
		}
	}
	if len(metals) != len(rows(t, "thermal_expansion.csv")) {
		t.Error("the metals are not those of the table")
	}
}

// TestExpansion: growth of the engine (invented scenario, 320 × 10.5e-6 × 60 =
// 0.20) and a piston in its bore by hand.
func TestExpansion(t *testing.T) {
	r := run(t, "expansion", Inputs{Nominal: sizesOf("size", "320", "mm", "alpha", "10.5", "ppm/K", "from", "20", "degC", "to", "80", "degC", "growth", "0.2016", "mm")})
	texts(t, r, map[string]string{"growth": "0.2", "hot": "320.2", "temperature": "80"})
	// Bore 107.000 of 11.4 at 90 °C: + 0.08539; piston 106.850 of 21.5 at 220 °C: + 0.45945.
	r = run(t, "expansion", Inputs{Nominal: sizesOf("size", "107.000", "mm", "inner", "106.850", "mm", "from", "20", "degC", "to", "90", "degC", "inner_to", "220", "degC"),
		Opts: map[string]string{"metal": "grey cast iron", "inner_metal": "Aluminium casting"}, Limits: map[string]Limit{"gap": tol("0.05", "")}})
	texts(t, r, map[string]string{"growth": "0.0854", "inner.growth": "0.4595", "gap.cold": "0.1500", "gap.hot": "−0.2241"})
	if r.Verdict != Outside || !strings.Contains(strings.Join(r.Cautions, " "), "it seizes") {
		t.Errorf("%s %v", r.Verdict, r.Cautions)
	}
}

func TestExpansionBad(t *testing.T) {
	base := []string{"size", "320", "mm", "from", "20", "degC"}
	steel := map[string]string{"metal": "plain carbon steel 1020"}
	incomplete(t, run(t, "expansion", Inputs{Nominal: sizesOf(base...), Opts: steel}), "the temperature that it comes to, or the growth wanted")
	incomplete(t, run(t, "expansion", Inputs{Nominal: sizesOf(append(base, "to", "80", "degC")...)}), "the metal, or its expansion")
	incomplete(t, run(t, "expansion", Inputs{Nominal: sizesOf(append(base, "to", "80", "degC")...), Opts: map[string]string{"metal": "plain carbon steel"}}), "more than one in the table: plain carbon steel 1020, plain carbon steel 1040")
	incomplete(t, run(t, "expansion", Inputs{Nominal: sizesOf(append(base, "to", "80", "degC")...), Opts: map[string]string{"metal": "mithril"}}), "is not in the table")
	incomplete(t, run(t, "expansion", Inputs{Nominal: sizesOf(append(base, "to", "80", "mm")...), Opts: steel}), "is not a temperature")
	incomplete(t, run(t, "expansion", Inputs{Nominal: sizesOf(append(base, "to", "-300", "degC")...), Opts: steel}), "colder than can be")
	incomplete(t, run(t, "expansion", Inputs{Nominal: sizesOf(append(base, "size", "0", "mm")...), Opts: steel}), "above nought")
}

// TestExpansionBothWays: a growth leads back to its temperature; inches and
// Fahrenheit give the answer of millimetres and Celsius.
func TestExpansionBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(11))
	for range 100 {
		si, sm := inchAndMillimetre(1000 + r.Intn(100000))
		c := 30 + 5*r.Intn(40) // a whole number of degrees on both scales
		celsius, fahrenheit := strconv.Itoa(c), strconv.Itoa(c*9/5+32)
		solve := func(n ...string) Result {
			return run(t, "expansion", Inputs{Nominal: sizesOf(append([]string{"alpha", "11.7", "ppm/K"}, n...)...)})
		}
		a := val(t, solve("size", sm.Text, "mm", "from", "20", "degC", "to", celsius, "degC"), "growth").SI
		b := val(t, solve("size", si.Text, "in", "from", "68", "degF", "to", fahrenheit, "degF"), "growth").SI
		close12(t, "in inches and Fahrenheit", b, a)
		back := solve("size", sm.Text, "mm", "from", "20", "degC", "growth", strconv.FormatFloat(a*1e6, 'f', 9, 64), "um")
		if v := val(t, back, "temperature"); v.Text != celsius {
			t.Errorf("there and back: %s, want %s", v.Text, celsius)
		}
	}
}
