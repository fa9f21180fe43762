package calc

import (
	"math"
	"math/rand"
	"testing"
)

// TestHoldtime: JCGM 100:2008, F.2.2.1 and 5.1: two readings with steps of
// 0.01 bar, each u = 0.01 × 0.29 = 0.0029, differ by U = 2·√2·0.0029 = 0.0082.
// At 0.050 bar in 15 minutes that is 2.4 minutes; ten steps are 30 minutes.
func TestHoldtime(t *testing.T) {
	in := Inputs{Nominal: typedIn("resolution", "0.01 bar", "loss", "0.050 bar", "loss_time", "15 min", "start", "0.700 bar",
		"start_temp", "16 degC", "steps", "10", "time", "15 min")}
	r := run(t, "holdtime", in)
	nearTo(t, "least", val(t, r, "least").SI/60, 2*math.Sqrt2*0.01/math.Sqrt(12)/(0.05/15), 1e-9)
	if got := val(t, r, "wanted").Text; got != "30.0" {
		t.Errorf("ten steps: %s minutes", got)
	}
	// The invented scenario: 0.700 bar loses 0.006 bar for the degree from 16 to 15 °C.
	if got := val(t, r, "degree").Text; got != "0.0059" {
		t.Errorf("a degree: %s", got)
	}
	mentions(t, r, "Hold for 30\u2009min at least")
}

// TestHoldtimeInverse: what a time can prove takes that time to prove.
func TestHoldtimeInverse(t *testing.T) {
	in := Inputs{Nominal: typedIn("resolution", "0.02 bar", "rate", "0.001 bar/min", "time", "15 min")}
	v := val(t, run(t, "holdtime", in), "provable")
	in.Nominal["rate"] = asWritten(v.Text + " bar/min")
	nearTo(t, "minutes", val(t, run(t, "holdtime", in), "least").SI/60, 15, 0.1)
}

func TestHoldtimeMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name string
		in   map[string]string
		want string
	}{
		{"no tightness", map[string]string{"resolution": "0.01 bar"}, "the loss that is allowed"},
		{"no gauge", map[string]string{"rate": "0.01 bar/min"}, "one step of the gauge"},
		{"no step", map[string]string{"resolution": "0 bar", "rate": "0.01 bar/min"}, "above nought"},
		{"no loss allowed", map[string]string{"resolution": "0.01 bar", "rate": "0 bar/min"}, "above nought"},
		{"another kind", map[string]string{"resolution": "0.01 mm", "rate": "0.01 bar/min"}, "not a pressure"},
		{"below all air", map[string]string{"resolution": "0.01 bar", "rate": "0.01 bar/min", "start": "-2 bar", "start_temp": "20 degC"}, "less than no air"},
	} {
		in := Inputs{Nominal: typedIn()}
		for k, v := range c.in {
			in.Nominal[k] = asWritten(v)
		}
		r := run2(t, "holdtime", in)
		if r.Verdict != Incomplete {
			t.Errorf("%s: %s", c.name, r.Verdict)
		}
		mentions(t, r, c.want)
	}
}

func TestHoldtimeUnits(t *testing.T) {
	rnd := rand.New(rand.NewSource(12))
	for range 30 {
		res, loss := anyway(rnd, 0.005, 0.1, 3)+" bar", anyway(rnd, 0.01, 0.2, 3)+" bar"
		a := Inputs{Nominal: typedIn("resolution", res, "loss", loss, "loss_time", "20 min")}
		b := Inputs{Nominal: typedIn("loss_time", "1200 s")}
		b.Nominal["resolution"], b.Nominal["loss"] = inUnit(res, "psi"), inUnit(loss, "psi")
		nearTo(t, "least", val(t, run(t, "holdtime", b), "least").SI/val(t, run(t, "holdtime", a), "least").SI, 1, 1e-5)
	}
}
