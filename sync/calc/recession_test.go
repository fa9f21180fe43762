package calc

import (
	"math/rand"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// TestRecession: the limits are an example of an army manual, 0.00 to 0.36 mm
// (as quoted in the job's notes); the readings are invented. A head of 50 mm
// has 19.635 cm² (π/4 × 25, any table of circles), so 0.36 mm is 0.71 cm³.
func TestRecession(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"depth": list(reading("1I", "", mm("0.36")), reading("1E", "", mm("0.20")), reading("2I", "", mm("0.40")), reading("2E", "", mm("-0.05")))},
		Nominal: written{"inlet": mm("50.0"), "exhaust": mm("40.0")}, Limits: map[string]Limit{"recession": tol("0.00", "0.36")}}
	r := run(t, "recession", in)
	for name, want := range map[string]Verdict{"recession.1I": Within, "recession.1E": Within, "recession.2I": Outside, "recession.2E": Outside} {
		if got := val(t, r, name).Verdict; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	for name, want := range map[string]string{"volume.1I": "0.71", "volume.1E": "0.25", "chamber.1": "0.96", "volume.2E": "−0.06", "chamber.2": "0.72"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if !strings.Contains(strings.Join(r.Working, "\n"), "π/4 × 50.0² × 0.36 = 0.71\u2009cm³") {
		t.Errorf("%q", r.Working)
	}
}

func TestRecessionBad(t *testing.T) {
	depth := map[string][]Item{"depth": list(reading("1I", "", mm("0.36")))}
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"nothing measured", Inputs{Nominal: written{"inlet": mm("50")}}, "depth at each valve"},
		{"one of two", Inputs{Items: depth, Opts: map[string]string{"valves": "1I 1E"}}, "depth, 1E"},
		{"head of nought", Inputs{Items: depth, Nominal: written{"inlet": mm("0")}}, "must be above nought"},
		{"a volume", Inputs{Items: map[string][]Item{"depth": list(reading("1I", "", quantity.Written{Text: "0.7", Unit: "cm3"}))}}, "not a length"},
		{"a bound", Inputs{Items: map[string][]Item{"depth": list(reading("1I", "", quantity.Written{Text: "0.3", Unit: "mm", Is: "at most"}))}}, "a figure is needed"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "recession", c.in, c.words) })
	}
}

// TestRecessionRoundTrip: the depth that adds a volume adds that volume.
func TestRecessionRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewSource(7))
	for range 200 {
		v := quantity.Written{Text: quantity.Fixed(0.1+rnd.Float64(), 6), Unit: "cm3"}
		in := Inputs{Nominal: written{"exhaust": length(30+20*rnd.Float64(), "mm"), "volume": v}}
		first, err := Run("recession", in)
		if err != nil {
			t.Fatal(err)
		}
		in.Items = map[string][]Item{"depth": list(reading("3E", "", length(val(t, first, "depth.exhaust").SI*1000, "mm")))}
		q, _ := quantity.Parse(v)
		near(t, "volume", val(t, run(t, "recession", in), "volume.3E").SI*1e6, q.SI*1e6)
	}
	sameInInches(t, "recession", func(r *rand.Rand, unit string) Inputs {
		return Inputs{Items: map[string][]Item{"depth": list(reading("1I", "", length(r.Float64()-0.3, unit)))}, Nominal: written{"inlet": length(42, unit)},
			Limits: map[string]Limit{"recession": tol("0.00", "0.36")}}
	})
}
