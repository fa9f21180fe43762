package calc

import (
	"math/rand"
	"testing"
)

// levers is one engine's linkage, lengths in mm, driving angles in degrees.
func levers(engine, a, b, c, d string, angles ...string) map[string][]Item {
	in := map[string][]Item{
		"lever": readingsOf(nil, "- "+engine+" "+a+" mm"), "rod": readingsOf(nil, "- "+engine+" "+b+" mm"),
		"output": readingsOf(nil, "- "+engine+" "+c+" mm"), "centres": readingsOf(nil, "- "+engine+" "+d+" mm"),
	}
	for i, p := range []string{"idle", "mid", "full"} {
		if i < len(angles) {
			in["angle"] = append(in["angle"], readingsOf(nil, p+" "+engine+" "+angles[i]+" deg")...)
		}
	}
	return in
}

// TestLinkageFourBar: a textbook example of the four-bar linkage (from
// memory): 40, 120, 80 and 100 mm at 40°: 57.33° open, −98.01° crossed.
func TestLinkageFourBar(t *testing.T) {
	for branch, want := range map[string]float64{"": 57.33, "crossed": -98.01} {
		r := run(t, "linkage", Inputs{Items: levers("2117", "40.0", "120.0", "80.0", "100.0", "40.0"), Opts: map[string]string{"branch": branch}})
		nearTo(t, "driven "+branch, val(t, r, "angle.2117.idle").SI, want, 0.01)
	}
}

// TestLinkageParallel: levers and rod in a parallelogram turn alike (Euclid
// I.34), whatever the angle; and the rod at that angle is its own length.
func TestLinkageParallel(t *testing.T) {
	rnd := rand.New(rand.NewSource(22))
	for range 30 {
		a := anyway(rnd, 20, 150, 1)
		in := Inputs{Items: levers("2117", "60.0", "200.0", "60.0", "200.0", a, a), Nominal: typedIn("wanted", a+" deg")}
		r := run(t, "linkage", in)
		nearTo(t, "driven", val(t, r, "angle.2117.idle").SI, mustNumber(t, a), 1e-6)
		nearTo(t, "rod", val(t, r, "rod.2117").SI, 0.2, 1e-9)
		for _, n := range []string{"lever", "rod", "output", "centres"} {
			in.Items[n][0].V = inUnit(in.Items[n][0].V.Text+" mm", "in")
		}
		nearTo(t, "driven, in inches", val(t, run(t, "linkage", in), "angle.2117.idle").SI, mustNumber(t, a), 1e-4)
	}
}

// TestLinkageSquare: rod and driven lever of 30 and 40 from a reach of 50
// stand square (Pythagoras).
func TestLinkageSquare(t *testing.T) {
	r := run(t, "linkage", Inputs{Items: levers("2117", "30.0", "30.0", "40.0", "80.0", "0.0")})
	nearTo(t, "square", val(t, r, "square.2117.idle").SI, 90, 1e-9)
}

// TestLinkagePair: TM 55-1905-217-12: governor pins within 1/16 in of the same
// place; two linkages differ by what one rod is longer.
func TestLinkagePair(t *testing.T) {
	in := Inputs{Items: levers("2117", "60.0", "200.0", "60.0", "200.0", "90.0", "90.0")}
	for n, list := range levers("2123", "60.0", "203.0", "60.0", "200.0", "90.0", "90.0") {
		in.Items[n] = append(in.Items[n], list...)
	}
	in.Items["pin"] = readingsOf(nil, "500 2117 1/4 in", "500 2123 3/8 in", "800 2117 1/4 in", "800 2123 5/16 in")
	in.Items["lost"] = readingsOf(nil, "- 2117 0.5 mm", "- 2123 1.5 mm")
	in.Limits = map[string]Limit{"pin": most("1/16 in"), "angles": most("2 deg"), "lost": most("1.0 mm")}
	r := run(t, "linkage", in)
	for name, want := range map[string]Verdict{"difference.pin.500": Outside, "difference.pin.800": Within, "difference.angle.mid": Outside, "lost.2117": Within, "lost.2123": Outside} {
		if v := val(t, r, name); v.Verdict != want {
			t.Errorf("%s %s %s, want %s", name, v.Text, v.Verdict, want)
		}
	}
	// 3 mm on a lever of 60 mm that stands square: 3/60 of a radian.
	nearTo(t, "turned", val(t, r, "difference.angle.mid").SI, -3.0/60*57.29578, 0.1)
}

func TestLinkageMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name, want string
		items      map[string][]Item
	}{
		{"no rod", "rod, 2117 at idle", map[string][]Item{"lever": readingsOf(nil, "- 2117 60 mm"), "output": readingsOf(nil, "- 2117 60 mm"), "centres": readingsOf(nil, "- 2117 200 mm"), "angle": readingsOf(nil, "idle 2117 40 deg")}},
		{"does not reach", "do not meet", levers("2117", "60", "20", "60", "200", "90")},
		{"lever of nought", "above nought", levers("2117", "0", "200", "60", "200", "90")},
		{"pin on the pivot", "do not meet", levers("2117", "200", "60", "60", "200", "0")},
		{"another kind", "not an angle", map[string][]Item{"angle": readingsOf(nil, "idle 2117 40 mm")}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "linkage", Inputs{Items: c.items})
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}
