package calc

import (
	"math/rand"
	"strconv"
	"testing"
)

// TestWarmupLimits: published run-in practice (TM 5-3895-348-14&P-2, of
// another engine): outlet 160 to 185 °F, rise across the engine not over 10 °F.
func TestWarmupLimits(t *testing.T) {
	for _, c := range []struct {
		name, inlet string
		verdict     Verdict
	}{
		{"10 degrees", "165 degF", Within},
		{"12 degrees", "163 degF", Outside},
		{"the same in Celsius", "73.9 degC", Within},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "10 2117 120 degF", "20 2117 175 degF"), "inlet": readingsOf(nil, "20 2117 1 degC")},
				Limits: map[string]Limit{"outlet": {Min: ptr(asWritten("160 degF")), Max: ptr(asWritten("185 degF")), Accepted: true}, "rise": most("10 degF")}}
			in.Items["inlet"][0].V = asWritten(c.inlet)
			r := run(t, "warmup", in)
			if r.Verdict != c.verdict || val(t, r, "outlet").Text != "175" {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
		})
	}
	// A difference of 5 °C is one of 9 °F: the limit is no temperature.
	in := Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "1 2117 80 degC"), "inlet": readingsOf(nil, "1 2117 75 degC")}, Limits: map[string]Limit{"rise": most("9 degF")}}
	if v := val(t, run(t, "warmup", in), "rise"); v.Text != "5" || v.Verdict != Within {
		t.Errorf("%s %s", v.Text, v.Verdict)
	}
	in.Limits["rise"] = most("8 degF")
	if v := val(t, run(t, "warmup", in), "rise"); v.Verdict != Outside {
		t.Errorf("against 8 °F: %s", v.Verdict)
	}
}

// TestWarmupDryBulb: a sudden cold reading is no cool engine (common
// practice, no source).
func TestWarmupDryBulb(t *testing.T) {
	r := run(t, "warmup", Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "0 2117 20 degC", "5 2117 50 degC", "10 2117 76 degC", "11 2117 40 degC")},
		Limits: map[string]Limit{"fall": most("5 degC")}})
	if v := val(t, r, "fall"); v.Text != "36" || r.Verdict != Outside {
		t.Errorf("%s %s", v.Text, r.Verdict)
	}
	mentions(t, r, "the bulb may be dry")
}

// TestWarmupReach: a straight rise of 6 °C a minute, worked by hand: 70 °C at
// 8 min 20 s, and the temperature at that time is 70 again.
func TestWarmupReach(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "0 2117 20.0 degC", "5 2117 50.0 degC", "10 2117 80.0 degC")}, Nominal: typedIn("reach", "70 degC")}
	r := run(t, "warmup", in)
	nearTo(t, "minutes", val(t, r, "reached").SI/60, 8+20.0/60, 1e-9)
	if v := val(t, r, "rate"); v.Text != "6.00" {
		t.Errorf("rate %s", v.Text)
	}
	in.Nominal["at"] = asWritten(strconv.FormatFloat(val(t, r, "reached").SI, 'f', 6, 64) + " s")
	if v := val(t, run(t, "warmup", in), "at"); v.Text != "70.0" {
		t.Errorf("back: %s", v.Text)
	}
	in.Nominal["reach"] = asWritten("92 degC")
	nearTo(t, "later", val(t, run(t, "warmup", in), "reach").SI/60, 12, 1e-9)
	in.Nominal["reach"] = asWritten("10 degC")
	mentions(t, run(t, "warmup", in), "not rising towards it")
}

func TestWarmupMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name, want string
		in         Inputs
	}{
		{"no outlet", "outlet temperature at a time", Inputs{Items: map[string][]Item{"inlet": readingsOf(nil, "1 2117 60 degC")}}},
		{"no time", "is no time", Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "late 2117 60 degC")}}},
		{"time in millimetres", "is no time", Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "1 2117 60 degC")}, Opts: map[string]string{"time_unit": "mm"}}},
		{"both at one time", "two readings at two times", Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "1 2117 60 degC", "1 2117 62 degC")}}},
		{"below all cold", "colder than can be", Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "1 2117 -400 degC")}}},
		{"inlet at another time", "inlet and outlet at one time", Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "1 2117 60 degC"), "inlet": readingsOf(nil, "2 2117 55 degC")}}},
		{"limit in another kind", "it is in bar", Inputs{Items: map[string][]Item{"outlet": readingsOf(nil, "1 2117 60 degC")}, Limits: map[string]Limit{"outlet": most("92 bar")}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "warmup", c.in)
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestWarmupUnits: °C and °F give the same times and verdicts.
func TestWarmupUnits(t *testing.T) {
	rnd := rand.New(rand.NewSource(19))
	for range 30 {
		end := anyway(rnd, 60, 100, 1)
		a := readingsOf(nil, "0 2117 20.0 degC", "10 2117 "+end+" degC")
		b := readingsOf(nil, "0 2117 20.0 degC", "10 2117 "+end+" degC")
		for i := range b {
			b[i].V = inUnit(b[i].V.Text+" degC", "degF")
		}
		limits := map[string]Limit{"outlet": most("85.0 degC"), "rate": most("6.5 degC")}
		ra := run(t, "warmup", Inputs{Items: map[string][]Item{"outlet": a}, Limits: limits, Nominal: typedIn("reach", "55 degC")})
		rb := run(t, "warmup", Inputs{Items: map[string][]Item{"outlet": b}, Limits: limits, Nominal: typedIn("reach", "55 degC")})
		nearTo(t, "reached", val(t, rb, "reached").SI, val(t, ra, "reached").SI, 1e-3)
		if ra.Verdict != rb.Verdict {
			t.Errorf("%s: %s and %s", end, ra.Verdict, rb.Verdict)
		}
	}
}
