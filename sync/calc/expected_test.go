package calc

import (
	"math"
	"math/rand"
	"testing"
)

// TestExpectedCycle: the air-standard cycle without loss of heat, n = 1.4: a
// ratio of 18 from 14.7 psi absolute gives 841 psi absolute (textbook example
// of the diesel cycle, from memory; 14.7 × 18^1.4 = 840.8).
func TestExpectedCycle(t *testing.T) {
	r := run(t, "expected", Inputs{Nominal: typedIn("ratio", "18.0", "n", "1.4", "p1", "14.7 psi", "p_atm", "14.7 psi")})
	nearTo(t, "psi absolute", val(t, r, "pressure").SI/6894.757293168+14.7, 840.8, 0.2)
}

// TestExpectedBuilds: 2117 with GK-7 against GK-9 (invented scenario).
func TestExpectedBuilds(t *testing.T) {
	r := run(t, "expected", Inputs{Nominal: typedIn("ratio", "15.00", "ratio_other", "16.12", "measured", "24.60 bar", "measured_other", "26.80 bar"),
		Limits: map[string]Limit{"agree": most("0.010")}})
	for name, want := range map[string]string{"predicted": "0.916", "measured_gauge": "0.918", "measured_absolute": "0.921", "agree": "0.005"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s %s, want %s", name, got, want)
		}
	}
	mentions(t, r, "1.22, from memory")
	mentions(t, r, "so the agreement is not judged")
	mentions(t, r, "rings are not to blame")
	if r.Verdict != NoLimit {
		t.Errorf("an exponent from memory gave %s: %s", r.Verdict, r.Says)
	}
	r = run(t, "expected", Inputs{Nominal: typedIn("ratio", "15.00", "ratio_other", "16.12", "measured", "24.60 bar", "measured_other", "26.80 bar", "exponent", "1.22"),
		Limits: map[string]Limit{"agree": most("0.010")}})
	if r.Verdict != Within {
		t.Errorf("%s: %s", r.Verdict, r.Says)
	}
}

// TestExpectedInverse: the pressure that a ratio lets expect, measured, gives
// the ratio back; so do two builds.
func TestExpectedInverse(t *testing.T) {
	rnd := rand.New(rand.NewSource(16))
	for range 30 {
		cr, n := anyway(rnd, 12, 22, 2), anyway(rnd, 1.2, 1.39, 2)
		in := Inputs{Nominal: typedIn("ratio", cr, "n", n)}
		p := val(t, run(t, "expected", in), "pressure")
		in.Nominal["measured"] = asWritten(p.Text + " bar")
		r := run(t, "expected", in)
		nearTo(t, "ratio back", val(t, r, "ratio").SI, mustNumber(t, cr), 0.01)
		in.Nominal["measured"] = inUnit(p.Text+" bar", "psi")
		nearTo(t, "in psi", val(t, run(t, "expected", in), "ratio").SI, val(t, r, "ratio").SI, 1e-7)
		nearTo(t, "psi expected", val(t, run(t, "expected", in), "pressure").SI, p.SI, 1e-6)
		builds := Inputs{Nominal: typedIn("ratio", cr, "ratio_other", "16.00", "measured_other", "26.000 bar")}
		want := (26+1.01325)*math.Pow(mustNumber(t, cr)/16, 1.22) - 1.01325
		builds.Nominal["measured"] = asWritten(anyway(rnd, want, want, 6) + " bar")
		r = run(t, "expected", builds)
		nearTo(t, "agree", val(t, r, "agree").SI, 0, 1e-6)
		nearTo(t, "ratio found", val(t, r, "ratio_found").SI, mustNumber(t, cr), 1e-4)
	}
}

func TestExpectedMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name, want string
		in         map[string]string
	}{
		{"no exponent is guessed", "the exponent n found on this engine", map[string]string{"ratio": "16.2"}},
		{"no ratio", "compression ratio of this build", map[string]string{"n": "1.3"}},
		{"ratio below one", "a compression ratio is above 1", map[string]string{"ratio": "0.9", "n": "1.3"}},
		{"absurd ratio", "a compression ratio is above 1", map[string]string{"ratio": "16200000", "n": "1.3"}},
		{"absurd exponent", "it lies between 1", map[string]string{"ratio": "16.2", "n": "13"}},
		{"exponent without end", "it lies near 1.2", map[string]string{"ratio": "16.2", "ratio_other": "1.1", "exponent": "99999999"}},
		{"nought measured", "above nought", map[string]string{"ratio": "16.2", "ratio_other": "15.0", "measured": "0 bar", "measured_other": "26 bar"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := Inputs{Nominal: typedIn()}
			for k, v := range c.in {
				in.Nominal[k] = asWritten(v)
			}
			r := run2(t, "expected", in)
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}
