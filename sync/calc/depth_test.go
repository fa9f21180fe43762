package calc

import (
	"math"
	"math/rand"
	"testing"

	"witnessmark/sync/quantity"
)

// TestDepth: right-angled triangles of 3, 4 and 5 (Euclid I.47). With throw 30
// and rod 50 the pin stands 40 above the crank's centre at a quarter turn, so
// it is 30 + 50 − 40 down; with throw 30 and rod 40 at right angles to each
// other it stands 50 above it at the angle whose tangent is 4/3, 53.13°.
func TestDepth(t *testing.T) {
	for _, c := range []struct{ name, stroke, rod, angle, depth string }{
		{"top dead centre", "60", "50", "0.00", "0.00"},
		{"a quarter turn", "60", "50", "90.00", "40.00"},
		{"rod square to the throw", "60", "40", "53.13", "20.00"},
		{"bottom dead centre", "60", "50", "180.00", "60.00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			sizes := func(name string, w quantity.Written) Inputs {
				return Inputs{Nominal: written{"stroke": mm(c.stroke), "rod": mm(c.rod), name: w}}
			}
			if got := val(t, run(t, "depth", sizes("angle", deg(c.angle))), "depth").Text; got != c.depth {
				t.Errorf("depth %s, want %s", got, c.depth)
			}
			if got := val(t, run(t, "depth", sizes("depth", mm(c.depth))), "angle").Text; got != c.angle {
				t.Errorf("angle %s, want %s", got, c.angle)
			}
		})
	}
}

// TestDepthSeries holds the depth against the two terms that textbooks of
// machine dynamics give, r(1−cos θ) + r²sin²θ/2l (from memory); the next,
// r⁴sin⁴θ/8l³, is what is left, but for a term of r⁶/16l⁵, 0.006 here.
func TestDepthSeries(t *testing.T) {
	c := crank{71.5, 270}
	for a := 0.0; a <= 360; a += 7.5 {
		x := c.r * math.Sin(a*math.Pi/180)
		want := c.r*(1-math.Cos(a*math.Pi/180)) + x*x/2/c.l
		if left := c.drop(a) - want; math.Abs(left-math.Pow(x, 4)/8/math.Pow(c.l, 3)) > 0.007 {
			t.Errorf("%v°: %v is left", a, left)
		}
	}
}

func TestDepthBad(t *testing.T) {
	with := func(stroke, rod string, name string, w quantity.Written) Inputs {
		return Inputs{Nominal: written{"stroke": mm(stroke), "rod": mm(rod), name: w}}
	}
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"no rod", Inputs{Nominal: written{"stroke": mm("143.00"), "angle": deg("24")}}, "rod between centres"},
		{"nothing asked", Inputs{Nominal: written{"stroke": mm("143.00"), "rod": mm("270")}}, "a crank angle or a depth"},
		{"rod of nought", with("143.00", "0", "angle", deg("24")), "must be above nought"},
		{"rod as short as the throw", with("143.00", "71.50", "angle", deg("24")), "no longer than the throw"},
		{"deeper than the stroke", with("143.00", "270", "depth", mm("143.01")), "not within the stroke"},
		{"above the top", with("143.00", "270", "depth", mm("-0.01")), "not within the stroke"},
		{"absurd angle", with("143.00", "270", "angle", deg("1000")), "more than two turns"},
		{"an angle for a depth", with("143.00", "270", "depth", deg("24")), "not a length"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "depth", c.in, c.words) })
	}
}

// TestDepthRoundTrip: the angle of the depth of an angle is the angle, away
// from the dead centres, where depth says nothing of it.
func TestDepthRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewSource(2))
	for range 5000 {
		r := 10 + 200*rnd.Float64()
		c := crank{r, r * (1.01 + 5*rnd.Float64())}
		a := 1 + 178*rnd.Float64()
		if back := c.turned(c.drop(a)); math.Abs(back-a) > 1e-9 {
			t.Fatalf("%+v: %v° comes back as %v°", c, a, back)
		}
		if math.Abs(c.drop(a)-c.drop(360-a)) > 1e-9 {
			t.Fatalf("%+v: %v° before and after differ", c, a)
		}
	}
	sameInInches(t, "depth", func(r *rand.Rand, unit string) Inputs {
		return Inputs{Nominal: written{"stroke": length(143, unit), "rod": length(200+100*r.Float64(), unit),
			"angle": deg("24"), "depth": length(1+140*r.Float64(), unit)}}
	})
}

// TestDepthUncertainty: ± 0.02 mm of depth is ± 0.04° at 24° and far more at
// the top, where the piston dwells.
func TestDepthUncertainty(t *testing.T) {
	at := func(depth string) Val {
		return val(t, run(t, "depth", Inputs{Nominal: written{"stroke": mm("143.00"), "rod": mm("270.00")},
			Items: map[string][]Item{"depth": {{V: mm(depth), Tool: &Tool{Key: "D1", U: 2e-5}}}}}), "angle")
	}
	low, top := at("7.74"), at("0.00")
	slope := (crank{71.5, 270}.drop(low.SI+0.01) - crank{71.5, 270}.drop(low.SI-0.01)) / 0.02
	if math.Abs(low.U-0.0208/slope) > 0.003 || top.U < 10*low.U || math.IsInf(top.U, 0) {
		t.Errorf("± %v° at %s°, ± %v° at the top", low.U, low.Text, top.U)
	}
}
