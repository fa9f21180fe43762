package calc

import (
	"math/rand"
	"testing"
)

// TestHold: the cooling hold of 2123, before and after repacking the gland
// (invented scenario): 0.700 bar at 16 °C, 15 minutes, 15 °C.
func TestHold(t *testing.T) {
	for _, c := range []struct {
		name, end, loss, says string
		verdict               Verdict
	}{
		{"gland leaks", "0.618 bar", "0.076", "It leaks: 0.076\u2009bar lost, apart from 0.006\u2009bar for temperature: outside", Outside},
		{"gland repacked", "0.693 bar", "0.001", "No loss that these readings can tell", Within},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "hold", Inputs{Limits: map[string]Limit{"loss": most("0.020 bar")},
				Nominal: typedIn("start", "0.700 bar", "end", c.end, "start_temp", "16 degC", "end_temp", "15 degC", "time", "15 min")})
			if e, l := val(t, r, "expected"), val(t, r, "loss"); e.Text != "0.694" || l.Text != c.loss || r.Verdict != c.verdict {
				t.Errorf("expected %s, loss %s, %s", e.Text, l.Text, r.Verdict)
			}
			mentions(t, r, c.says)
			mentions(t, r, "atmosphere: standard, 1.013\u2009bar (1.01325 bar)")
		})
	}
}

// TestHoldFreeAir: the worked example of 40 CFR 1065.644 (US regulation for
// engine testing): 2.0000 l at 20 °C goes from 25.300 to 50.600 kPa absolute
// in 70 s; the result, 0.00030 mol/s, is from memory. One mol of free air at 20 °C is R·T/p_atm.
func TestHoldFreeAir(t *testing.T) {
	r := run(t, "hold", Inputs{Nominal: typedIn("start", "-76.025 kPa", "end", "-50.725 kPa", "start_temp", "20.0 degC",
		"end_temp", "20.0 degC", "time", "70 s", "volume", "2.0000 L", "p_atm", "101.325 kPa"), Limits: map[string]Limit{"leak": most("10 cm3/min")}})
	v := val(t, r, "leak")
	nearTo(t, "mol/s", v.SI*101325/(8.314472*293.15), 0.00030, 0.000005)
	nearTo(t, "kPa lost", val(t, r, "loss").SI, 25300, 0.01)
	nearTo(t, "kPa a minute", val(t, r, "rate").SI*60, 25300*60.0/70, 0.01)
	mentions(t, r, "Air comes in")
	mentions(t, r, "Leak as free air 428.0\u2009cm³/min: outside")
}

// TestHoldTyre: a tyre of 32 psi loses about 1 psi for 10 °F of cooling
// (common practice, no source), and that is no leak.
func TestHoldTyre(t *testing.T) {
	r := run(t, "hold", Inputs{Nominal: typedIn("start", "32.0 psi", "end", "31.1 psi", "start_temp", "70 degF", "end_temp", "60 degF", "time", "1 h")})
	nearTo(t, "cooling, psi", (32*6894.757-val(t, r, "expected").SI)/6894.757, 1, 0.15)
	mentions(t, r, "No loss that these readings can tell")
}

func TestHoldVacuumWithoutSign(t *testing.T) {
	of := func(start, end, kind string) Val {
		return val(t, run(t, "hold", Inputs{Opts: map[string]string{"kind": kind},
			Nominal: typedIn("start", start, "end", end, "start_temp", "18 degC", "end_temp", "18 degC", "time", "5 min")}), "loss")
	}
	if a, b := of("-0.500 bar", "-0.480 bar", ""), of("0.500 bar", "0.480 bar", "vacuum"); a.Text != "0.020" || a.SI != b.SI {
		t.Errorf("%s and %s of vacuum lost", a.Text, b.Text)
	}
}

// TestHoldNotProven: a gauge in tenths of a bar proves no limit of 0.02 bar.
func TestHoldNotProven(t *testing.T) {
	r := run(t, "hold", Inputs{Limits: map[string]Limit{"loss": most("0.02 bar")},
		Nominal: typedIn("start", "0.7 bar", "end", "0.7 bar", "start_temp", "16.0 degC", "end_temp", "16.0 degC", "time", "15 min")})
	if r.Verdict != NotProven {
		t.Errorf("%s: %s", r.Verdict, r.Says)
	}
	r = run(t, "hold", Inputs{Limits: map[string]Limit{"loss": most("0.020 bar")}, Nominal: typedIn("start", "0.700 bar", "end", "0.695 bar",
		"start_temp", "16.0 degC", "end_temp", "16.0 degC", "time", "15 min", "resolution", "0.05 bar")})
	if r.Verdict != NotProven {
		t.Errorf("with a step of 0.05 bar: %s: %s", r.Verdict, r.Says)
	}
}

// TestHoldAllowed: the reading that just keeps the limit, read, is the limit.
func TestHoldAllowed(t *testing.T) {
	in := Inputs{Limits: map[string]Limit{"loss": most("0.050 bar")},
		Nominal: typedIn("start", "0.700 bar", "end", "0.690 bar", "start_temp", "16.0 degC", "end_temp", "12.0 degC", "time", "15 min")}
	end := val(t, run(t, "hold", in), "allowed")
	in.Nominal["end"] = asWritten(end.Text + "000 bar")
	nearTo(t, "loss", val(t, run(t, "hold", in), "loss").SI, 5000, 50)
}

func TestHoldMissingAndBad(t *testing.T) {
	good := func() Inputs {
		return Inputs{Nominal: typedIn("start", "0.700 bar", "end", "0.618 bar", "start_temp", "16 degC", "end_temp", "15 degC", "time", "15 min")}
	}
	for _, c := range []struct{ name, value, want string }{
		{"end_temp", "", "temperature at the end"},
		{"time", "", "how long it was held"},
		{"time", "0 min", "must be above nought"},
		{"time", "-5 min", "must be above nought"},
		{"start", "0.700 mm", "not a pressure"},
		{"start", "NaN bar", "not a number"},
		{"start", "-1.5 bar", "less than no air at all"},
		{"start_temp", "-300 degC", "colder than can be"},
	} {
		in := good()
		if delete(in.Nominal, c.name); c.value != "" {
			in.Nominal[c.name] = asWritten(c.value)
		}
		r := run2(t, "hold", in)
		if r.Verdict != Incomplete {
			t.Errorf("%s %s: %s", c.name, c.value, r.Verdict)
		}
		mentions(t, r, c.want)
	}
}

// TestHoldUnits: the same test in bar and °C, and in psi and °F.
func TestHoldUnits(t *testing.T) {
	rnd := rand.New(rand.NewSource(11))
	for range 40 {
		p1, p2 := anyway(rnd, 0.3, 2, 3)+" bar", anyway(rnd, 0.1, 2, 3)+" bar"
		t1, t2 := anyway(rnd, 5, 80, 1)+" degC", anyway(rnd, 5, 80, 1)+" degC"
		a := Inputs{Nominal: typedIn("start", p1, "end", p2, "start_temp", t1, "end_temp", t2, "time", "15 min", "volume", "20.0 L")}
		b := Inputs{Nominal: typedIn("time", "900 s")}
		b.Nominal["start"], b.Nominal["end"], b.Nominal["volume"] = inUnit(p1, "psi"), inUnit(p2, "psi"), inUnit("20.0 L", "in3")
		b.Nominal["start_temp"], b.Nominal["end_temp"] = inUnit(t1, "degF"), inUnit(t2, "degF")
		ra, rb := run(t, "hold", a), run(t, "hold", b)
		for _, name := range []string{"expected", "loss", "rate", "leak"} {
			nearTo(t, name, val(t, rb, name).SI/val(t, ra, name).SI, 1, 1e-5)
		}
	}
}
