package calc

import (
	"math/rand"
	"strconv"
	"testing"
)

// spray are the opening pressures of 2123 (invented scenario).
func spray() Inputs {
	return Inputs{Items: map[string][]Item{"opening": pots("2123", "171", "175", "174", "176", "168", "175")},
		Nominal: typedIn("shim_rate", "12 bar"), Limits: map[string]Limit{"opening": {Min: ptr(asWritten("175 bar")), Max: ptr(asWritten("180 bar")), Accepted: true}, "spread": most("5 bar")}}
}

// TestInjectors: 2123's injectors, 12 bar for 0.10 mm; no. 5 with +0.10 opens
// at 180, no. 1 with +0.05 at 177, no. 3 with +0.05 at 180 (invented scenario).
func TestInjectors(t *testing.T) {
	in := spray()
	in.Items["shim"] = readingsOf(nil, "- 2123/5 0.10 mm", "- 2123/1 0.05 mm", "- 2123/3 0.05 mm")
	r := run(t, "injectors", in)
	for name, want := range map[string]string{"spread.2123": "8", "after.2123/5": "180", "after.2123/1": "177", "after.2123/3": "180"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s %s, want %s", name, got, want)
		}
	}
	if val(t, r, "spread.2123").Verdict != Outside || val(t, r, "after.2123/5").Verdict != Within || val(t, r, "opening.2123/5").Verdict != Outside || val(t, r, "opening.2123/2").Verdict != Within {
		t.Error(r.Says)
	}
}

// TestInjectorShimInverse: the shim that an injector wants gives the pressure
// wanted; a trial with it gives the rate back.
func TestInjectorShimInverse(t *testing.T) {
	rnd := rand.New(rand.NewSource(17))
	for range 20 {
		found := anyway(rnd, 150, 200, 1)
		in := Inputs{Items: map[string][]Item{"opening": pots("1", found)}, Nominal: typedIn("wanted", "178.0 bar", "shim_rate", "12.0 bar")}
		shim := val(t, run(t, "injectors", in), "shim.1/1").SI * 1000
		in.Items["shim"] = readingsOf(nil, "- 1/1 "+strconv.FormatFloat(shim, 'f', 6, 64)+" mm")
		nearTo(t, "after", val(t, run(t, "injectors", in), "after.1/1").SI/1e5, 178, 1e-3)
		in.Items["opening"][0].V = inUnit(found+" bar", "psi")
		in.Items["shim"][0].V = inUnit(strconv.FormatFloat(shim, 'f', 6, 64)+" mm", "in")
		nearTo(t, "after, in psi", val(t, run(t, "injectors", in), "after.1/1").SI/1e5, 178, 1e-3)
	}
	r := run(t, "injectors", Inputs{Items: map[string][]Item{"opening": pots("1", "168")},
		Nominal: typedIn("trial_shim", "0.10 mm", "trial_before", "168 bar", "trial_after", "180 bar", "wanted", "180 bar")})
	if a, b := val(t, r, "shim_rate").Text, val(t, r, "shim.1/1").Text; a != "12.0" || b != "0.10" {
		t.Errorf("trial: %s bar, shim %s", a, b)
	}
}

// TestInjectorsHandbook: the two statements of shim effect that the trade
// prints differ tenfold: 284 psi for 1.0 mm (TM 10-4320-309-14 §5-3) is
// 2.0 bar for 0.10 mm, against 10 to 19 bar elsewhere.
func TestInjectorsHandbook(t *testing.T) {
	r := run(t, "injectors", Inputs{Items: map[string][]Item{"opening": pots("1", "168")},
		Nominal: typedIn("trial_shim", "1.0 mm", "trial_before", "2500 psi", "trial_after", "2784 psi")})
	nearTo(t, "bar for 0.10 mm", val(t, r, "shim_rate").SI/1e5, 1.96, 0.01)
}

func TestInjectorsSeatAndDelivery(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"opening": pots("2123", "171", "175"), "delivery": readingsOf(nil, "- 2123/1 9.6 cm3", "- 2123/2 10.0 cm3", "- 2123/3 10.4 cm3")},
		Nominal: typedIn("seat_below", "30 bar", "seat_time", "5 s"), Opts: map[string]string{"dripped": "2123/1"}, Limits: map[string]Limit{"delivery_spread": most("5 %")}}
	r := run(t, "injectors", in)
	if v := val(t, r, "delivery_spread.2123"); v.Text != "8.0" || v.Verdict != Outside || val(t, r, "delivery_mean.2123").Text != "10.00" {
		t.Errorf("%s %s", v.Text, v.Verdict)
	}
	mentions(t, r, "seat test, 2123, injector 1: hold at 141\u2009bar, no drip in 5\u2009s")
	mentions(t, r, "not to be fitted: 2123/1")
}

func TestInjectorsMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name, want string
		nominal    []string
		opening    string
	}{
		{"no rate is taken from a book", "measured on this injector", []string{"wanted", "178 bar"}, "171"},
		{"rate of nought", "above nought", []string{"wanted", "178 bar", "shim_rate", "0 bar"}, "171"},
		{"trial went backwards", "more shim must raise", []string{"trial_shim", "0.10 mm", "trial_before", "180 bar", "trial_after", "168 bar"}, "171"},
		{"opens at nought", "above nought", nil, "0"},
		{"seat above opening", "opens below", []string{"seat_below", "300 bar"}, "171"},
		{"rate is no length", "not a pressure", []string{"shim_rate", "12 mm"}, "171"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "injectors", Inputs{Items: map[string][]Item{"opening": pots("1", c.opening)}, Nominal: typedIn(c.nominal...)})
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}
