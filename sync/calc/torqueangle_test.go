package calc

import (
	"math/rand"
	"strconv"
	"testing"
)

// TestTorqueangle: Hooke's law by hand. M10 of pitch 1.5 mm turned by 90°
// comes down 0.375 mm; 207 GPa × 58.0 mm² ÷ 100 mm = 120.06 kN per mm (area:
// ISO 898-1), so 45.0 kN in a rigid joint and half of it when the joint takes half.
func TestTorqueangle(t *testing.T) {
	for _, c := range []struct {
		name  string
		typed []string
		opts  map[string]string
		want  map[string]string
	}{
		{"rigid joint", []string{"angle", "90", "deg"}, map[string]string{"thread": "M10"}, map[string]string{"turned": "at most 45.0", "stretch": "0.375"}},
		{"joint takes half", []string{"angle", "90", "deg", "joint", "50", "%"}, map[string]string{"thread": "M10"}, map[string]string{"turned": "22.5", "stretch": "0.188"}},
		{"stretch measured", []string{"stretch", "0.20", "mm"}, map[string]string{"thread": "M10"}, map[string]string{"preload": "24.0"}},
		{"load wanted", []string{"wanted", "45.0", "kN"}, map[string]string{"thread": "M10"}, map[string]string{"needed": "0.375", "turn": "at least 90"}},
		{"load wanted, soft joint", []string{"wanted", "45.0", "kN", "joint", "50", "%"}, map[string]string{"thread": "M10"}, map[string]string{"needed": "0.375", "turn": "180"}},
		// A shank of 8 mm: 50.27 mm², 104.05 kN per mm.
		{"shank", []string{"angle", "90", "deg", "shank", "8.0", "mm", "pitch", "1.5", "mm", "joint", "0", "%"}, nil, map[string]string{"turned": "39.0"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "torqueangle", Inputs{Nominal: sizesOf(append([]string{"length", "100", "mm", "modulus", "207", "GPa"}, c.typed...)...), Opts: c.opts})
			for name, want := range c.want {
				if got := val(t, r, name).Text; got != want {
					t.Errorf("%s %s, want %s", name, got, want)
				}
			}
		})
	}
}

func TestTorqueangleBad(t *testing.T) {
	m10 := map[string]string{"thread": "M10"}
	base := []string{"length", "100", "mm", "modulus", "207", "GPa"}
	incomplete(t, run(t, "torqueangle", Inputs{Nominal: sizesOf(base...), Opts: m10}), "the turn after snug")
	incomplete(t, run(t, "torqueangle", Inputs{Nominal: sizesOf(append(base, "angle", "90", "deg", "length", "0", "mm")...), Opts: m10}), "above nought")
	incomplete(t, run(t, "torqueangle", Inputs{Nominal: sizesOf(append(base, "angle", "90", "deg", "joint", "100", "%")...), Opts: m10}), "cannot be")
	incomplete(t, run(t, "torqueangle", Inputs{Nominal: sizesOf(append(base, "angle", "90", "deg", "shank", "8", "mm")...)}), "the thread, or its pitch")
	incomplete(t, run(t, "torqueangle", Inputs{Nominal: sizesOf(append(base, "angle", "90", "deg")...)}), "the diameter of the shank")
	incomplete(t, run(t, "torqueangle", Inputs{Nominal: sizesOf(append(base, "angle", "90", "mm")...), Opts: m10}), "is not an angle")
}

// TestTorqueangleBothWays: a load leads back to its turn, inches and
// millimetres to one answer.
func TestTorqueangleBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	for range 100 {
		li, lm := inchAndMillimetre(10000 + r.Intn(50000))
		di, dm := inchAndMillimetre(2500 + r.Intn(5000))
		angle := strconv.Itoa(10 + r.Intn(170))
		f := func(l, d, u string, more ...string) Result {
			n := append([]string{"length", l, u, "shank", d, u, "pitch", "2", "mm", "modulus", "207", "GPa", "joint", "20", "%"}, more...)
			return run(t, "torqueangle", Inputs{Nominal: sizesOf(n...)})
		}
		a := val(t, f(li.Text, di.Text, "in", "angle", angle, "deg"), "turned")
		closeTo(t, "in inches and millimetres", val(t, f(lm.Text, dm.Text, "mm", "angle", angle, "deg"), "turned").SI, a.SI)
		back := f(li.Text, di.Text, "in", "wanted", strconv.FormatFloat(a.SI, 'f', 6, 64), "N")
		closeTo(t, "there and back", val(t, back, "turn").SI, num(t, angle))
	}
}
