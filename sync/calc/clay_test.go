package calc

import (
	"math/rand"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

func ppmOf(t string) quantity.Written { return quantity.Written{Text: t, Unit: "ppm/K"} }

func hotter(t, unit string) quantity.Written { return quantity.Written{Text: t, Unit: unit} }

// cylinder4 is the bump of cylinder 4 of engine 2117 with the first gasket:
// lead 1.56, clay 1.63 where 1.55 was calculated (invented scenario).
func cylinder4() Inputs {
	return Inputs{Items: map[string][]Item{
		"lead": list(reading("2117/4", "1", mm("1.58")), reading("2117/4", "2", mm("1.56"))),
		"clay": list(reading("2117/4", "1", mm("1.63")), reading("2117/4", "2", mm("1.66")))},
		Nominal: written{}, Opts: map[string]string{}, Limits: map[string]Limit{"piston": tol("0.75", "1.00")}}
}

func TestClay(t *testing.T) {
	r := run(t, "clay", cylinder4())
	for name, want := range map[string]string{"gap.lead.2117/4": "1.56", "gap.clay.2117/4": "1.63", "clay-lead.2117/4": "0.07"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if r.Verdict != Outside {
		t.Error(r.Says)
	}
	// What clay stands high by is taken off; the second gasket, 1.24 for 1.86,
	// leaves 0.94 by lead (the scenario has 0.93 from the protrusion of 0.31).
	in := cylinder4()
	in.Nominal = written{"springback": mm("0.07"), "trial_gasket": mm("1.86"), "new_gasket": mm("1.24")}
	in.Opts["geometry"] = "flat"
	r = run(t, "clay", in)
	if l, c := val(t, r, "gap.lead.2117/4"), val(t, r, "gap.clay.2117/4"); l.Text != "0.94" || c.Text != "0.94" || r.Verdict != Within {
		t.Errorf("lead %s, clay %s: %s", l.Text, c.Text, r.Verdict)
	}
	if !strings.Contains(strings.Join(r.Working, "\n"), "1.63 − 0.07 spring-back + (1.24 − 1.86) × 1.0000 = 0.94\u2009mm") {
		t.Errorf("%q", r.Working)
	}
}

// TestClayPocket: a valve that leans by 60° loses half of what the gasket
// loses (cos 60° = 1/2, Euclid), piston to head all of it.
func TestClayPocket(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"clay": list(reading("4E", "edge", mm("2.20")), reading("4E", "middle", mm("2.05")), reading("4", "1", mm("1.60")))},
		Nominal: written{"trial_gasket": mm("1.86"), "new_gasket": mm("1.26"), "valve_angle": deg("60")}, Opts: map[string]string{"geometry": "pocket"},
		Limits: map[string]Limit{"valve": tol("1.80", "")}}
	r := run(t, "clay", in)
	if v, p := val(t, r, "gap.clay.4E"), val(t, r, "gap.clay.4"); v.Text != "1.75" || v.Verdict != Outside || p.Text != "1.00" || p.Verdict != NoLimit {
		t.Errorf("valve %s %s, piston %s %s", v.Text, v.Verdict, p.Text, p.Verdict)
	}
	in.Opts["geometry"] = "flat"
	if v := val(t, run(t, "clay", in), "gap.clay.4E"); v.Text != "1.45" {
		t.Errorf("flat: %s", v.Text)
	}
}

// TestClayRunning: expansions of Callister, Fundamentals of Materials Science
// and Engineering, table B.6 (testdata/reference/thermal_expansion.csv): casting
// aluminium 356.0 21.5; alloy steel 12.3 and grey iron 11.4 from memory. By hand:
// 0.090 × 21.5e-6 × 200 = 0.387; 0.270 × 12.3e-6 × 80 = 0.266; 0.420 × 11.4e-6 ×
// 60 = 0.287; 1.56 − 0.387 − 0.266 + 0.287 − 0.02 − 0.05 = 1.12.
func TestClayRunning(t *testing.T) {
	in := cylinder4()
	delete(in.Items, "clay")
	in.Nominal = written{"piston_height": mm("90.0"), "alpha_piston": ppmOf("21.5"), "rise_piston": hotter("200", "degC"),
		"rod_length": mm("270.0"), "alpha_rod": ppmOf("12.3"), "rise_rod": hotter("80", "degC"),
		"block_height": mm("420.0"), "alpha_block": ppmOf("11.4"), "rise_block": hotter("60", "degC"),
		"rod_stretch": mm("0.02"), "bearing_clearance": mm("0.05")}
	in.Limits = map[string]Limit{"running": tol("0.50", "")}
	r := run(t, "clay", in)
	if v := val(t, r, "running.lead.2117/4"); v.Text != "1.12" || r.Verdict != Within {
		t.Errorf("%s %s", v.Text, r.Verdict)
	}
	working := strings.Join(r.Working, "\n")
	for _, want := range []string{"× 200\u2009K = 0.387", "× 80\u2009K = 0.266", "gives back: 420.0\u2009mm × 11.4×10⁻⁶/K × 60\u2009K = 0.287", "1.560 − 0.435 = 1.12"} {
		if !strings.Contains(working, want) {
			t.Errorf("no %q in %s", want, working)
		}
	}
	// A rise of 360 degrees Fahrenheit is 200 kelvin, whatever the scale's nought.
	in.Nominal["rise_piston"] = hotter("360", "degF")
	near(t, "running gap", val(t, run(t, "clay", in), "running.lead.2117/4").SI, val(t, r, "running.lead.2117/4").SI)
	in.Nominal["rod_stretch"] = mm("1.20")
	if r = run(t, "clay", in); !strings.HasPrefix(r.Says, "These would touch: 2117/4 by lead.") {
		t.Error(r.Says)
	}
}

func TestClayBad(t *testing.T) {
	with := func(nominal written, opts ...string) Inputs {
		in := cylinder4()
		in.Nominal, in.Limits = nominal, nil
		if len(opts) > 0 {
			in.Opts["geometry"] = opts[0]
		}
		return in
	}
	gaskets := written{"trial_gasket": mm("1.86"), "new_gasket": mm("1.24")}
	lean := written{"trial_gasket": mm("1.86"), "new_gasket": mm("1.24"), "valve_angle": deg("90")}
	running := cylinder4()
	running.Limits = map[string]Limit{"running": tol("0.5", "")}
	below := cylinder4()
	below.Limits = nil
	below.Items["lead"] = list(reading("2117/4", "1", mm("-0.10")))
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"nothing taken", Inputs{Nominal: written{"springback": mm("0.07")}}, "clay or lead"},
		{"geometry not given", with(gaskets), "geometry"},
		{"a geometry of no kind", with(gaskets, "domed"), "geometry"},
		{"pocket without angle", with(gaskets, "pocket"), "angle of the valves"},
		{"a valve that lies down", with(lean, "pocket"), "cannot be"},
		{"one gasket of two", with(written{"new_gasket": mm("1.24")}, "flat"), "trial gasket"},
		{"gasket of nought", with(written{"trial_gasket": mm("1.86"), "new_gasket": mm("0")}, "flat"), "must be above nought"},
		{"clay that grows", with(written{"springback": mm("-0.07")}), "cannot be below nought"},
		{"no expansion", with(written{"piston_height": mm("90"), "rise_piston": hotter("200", "degC")}), "expansion of the piston"},
		{"a cooler piston", with(written{"piston_height": mm("90"), "alpha_piston": ppmOf("23"), "rise_piston": hotter("-20", "degC")}), "below nought"},
		{"running gap without growth", running, "grow and stretch"},
		{"a lead below nought", below, "cannot be below nought"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "clay", c.in, c.words) })
	}
}

// TestClayRoundTrip: a gap brought to another gasket and back is itself.
func TestClayRoundTrip(t *testing.T) {
	of := func(x, trial, fresh, angle float64, unit string) Inputs {
		return Inputs{Items: map[string][]Item{"clay": list(reading("4E", "", length(x, unit)))}, Opts: map[string]string{"geometry": "pocket"},
			Nominal: written{"trial_gasket": length(trial, unit), "new_gasket": length(fresh, unit), "valve_angle": deg(quantity.Fixed(angle, 4))}}
	}
	rnd := rand.New(rand.NewSource(8))
	for range 200 {
		x, a, b, angle := 2+rnd.Float64(), 1+rnd.Float64(), 1+rnd.Float64(), 70*rnd.Float64()
		there := val(t, run(t, "clay", of(x, a, b, angle, "mm")), "gap.clay.4E").SI * 1000
		near(t, "gap", val(t, run(t, "clay", of(there, b, a, angle, "mm")), "gap.clay.4E").SI, x/1000)
	}
	sameInInches(t, "clay", func(r *rand.Rand, unit string) Inputs {
		in := of(1+r.Float64(), 1.86, 1.24, 20, unit)
		in.Limits = map[string]Limit{"valve": tol("1.00", "")}
		return in
	})
}
