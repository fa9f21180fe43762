package calc

import (
	"math/rand"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// TestRim: the flywheel of 430 mm and its events (invented scenario); the
// working is the circumference shared out over 360 degrees.
func TestRim(t *testing.T) {
	in := Inputs{Nominal: written{"diameter": mm("430.0")}, Items: map[string][]Item{
		"degrees": list(reading("injection", "", deg("24")), reading("inlet opens", "", deg("10")), reading("inlet closes", "", deg("45")),
			reading("exhaust opens", "", deg("48")), reading("exhaust closes", "", deg("12"))),
		"distance": list(reading("found", "", mm("75.0")))}}
	r := run(t, "rim", in)
	for name, want := range map[string]string{"per_degree": "3.7525", "distance.injection": "90.1", "distance.inlet opens": "37.5",
		"distance.inlet closes": "168.9", "distance.exhaust opens": "180.1", "distance.exhaust closes": "45.0", "degrees.found": "20.0"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if !strings.Contains(r.Says, "one degree is 3.7525\u2009mm") || !strings.Contains(r.Says, "75.0\u2009mm is 20.0°") {
		t.Error(r.Says)
	}
	// A tape read to 0.5 mm (common practice, no source) tells 0.13 degrees.
	in.Items = map[string][]Item{"distance": {{V: mm("75.0"), Tool: &Tool{Key: "T1", U: 0.0005}}}}
	if v := val(t, run(t, "rim", in), "degrees"); v.U < 0.12 || v.U > 0.15 {
		t.Errorf("± %v°", v.U)
	}
}

func TestRimBad(t *testing.T) {
	d := written{"diameter": mm("430.0")}
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"no flywheel", Inputs{Nominal: written{"degrees": deg("24")}}, "flywheel diameter"},
		{"nought", Inputs{Nominal: written{"diameter": mm("0")}}, "must be above nought"},
		{"below nought", Inputs{Nominal: written{"diameter": mm("-430")}}, "must be above nought"},
		{"a pressure", Inputs{Nominal: written{"diameter": {Text: "430", Unit: "bar"}}}, "not a length"},
		{"a pressure among the readings", Inputs{Items: map[string][]Item{"diameter": list(reading("", "", quantity.Written{Text: "1", Unit: "bar"}))}}, "not a length"},
		{"a bound", Inputs{Nominal: written{"diameter": {Text: "430", Unit: "mm", Is: "at least"}}}, "a figure is needed"},
		{"not a number", Inputs{Nominal: written{"diameter": mm("NaN")}}, "not a number"},
		{"absurd angle", Inputs{Nominal: written{"diameter": d["diameter"], "degrees": deg("2400")}}, "more than two turns"},
		{"absurd distance", Inputs{Nominal: written{"diameter": d["diameter"], "distance": mm("90100")}}, "more than two turns"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "rim", c.in, c.words) })
	}
}

// TestRimRoundTrip: an angle set out and read back is itself.
func TestRimRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 200 {
		d, a := 100+900*rnd.Float64(), 180*rnd.Float64()
		out := run(t, "rim", Inputs{Nominal: written{"diameter": length(d, "mm"), "degrees": deg(quantity.Fixed(a, 9))}})
		back := run(t, "rim", Inputs{Nominal: written{"diameter": length(d, "mm"), "distance": length(val(t, out, "distance").SI*1000, "mm")}})
		near(t, "angle", val(t, back, "degrees").SI, a)
	}
	sameInInches(t, "rim", func(r *rand.Rand, unit string) Inputs {
		return Inputs{Nominal: written{"diameter": length(100+900*r.Float64(), unit), "distance": length(200*r.Float64(), unit), "degrees": deg("24")}}
	})
}
