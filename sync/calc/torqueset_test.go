package calc

import (
	"math/rand"
	"strconv"
	"strings"
	"testing"
)

// TestTorqueset: the last two are the worked figures of stud 14 (invented
// scenario); the first is the sample of US Navy training course 14315 (also
// "Basic torquing"), figure 3-45: 100 in·lb, 12 in handle, 6 in extension: 66.7.
func TestTorqueset(t *testing.T) {
	for _, c := range []struct {
		name                                string
		torque, unit, l, e, length, angle   string
		setting, unset, real, settingAsText string
	}{
		{"Navy training course 14315, figure 3-45", "100", "lbf.in", "12", "6", "in", "0", "66.7", "150.0", "100.1", "66.7"},
		{"stud 14", "130", "N.m", "450", "60", "mm", "", "114.7", "147.3", "147.3", "130"},
		{"crow-foot square to the handle", "130", "N.m", "450", "60", "mm", "90", "130.0", "130.0", "130.0", "130"},
		{"turned back over the handle", "130", "N.m", "450", "60", "mm", "180", "150.0", "112.7", "112.7", "130"},
		{"half square", "130", "N.m", "450", "60", "mm", "60", "121.9", "138.7", "138.7", "130"},
	} {
		t.Run(c.name, func(t *testing.T) {
			n := sizesOf("torque", c.torque, c.unit, "setting", c.settingAsText, c.unit, "length", c.l, c.length, "extension", c.e, c.length)
			if c.angle != "" {
				n["angle"] = wr(c.angle, "deg")
			}
			r := run(t, "torqueset", Inputs{Nominal: n})
			for name, want := range map[string]string{"setting": c.setting, "unset": c.unset, "real": c.real} {
				if got := val(t, r, name).Text; got != want {
					t.Errorf("%s %s, want %s", name, got, want)
				}
			}
			if !strings.HasPrefix(r.Says, "Set the wrench to "+c.setting) {
				t.Error(r.Says)
			}
		})
	}
}

func TestTorquesetBad(t *testing.T) {
	good := []string{"torque", "130", "N.m", "length", "450", "mm", "extension", "60", "mm"}
	with := func(more ...string) Inputs { return Inputs{Nominal: sizesOf(append(good, more...)...)} }
	incomplete(t, run(t, "torqueset", Inputs{Nominal: sizesOf("length", "450", "mm", "extension", "60", "mm")}), "the torque wanted at the nut, or the setting")
	incomplete(t, run(t, "torqueset", with("length", "0", "mm")), "above nought")
	incomplete(t, run(t, "torqueset", with("extension", "-60", "mm")), "must not be below nought")
	incomplete(t, run(t, "torqueset", with("extension", "450", "mm", "angle", "180", "deg")), "next to no arm left")
	incomplete(t, run(t, "torqueset", with("extension", "900", "mm", "angle", "180", "deg")), "next to no arm left")
	incomplete(t, run(t, "torqueset", with("angle", "270", "deg")), "between 0 and 180")
	incomplete(t, run(t, "torqueset", with("length", "450", "N")), "is not a length")
	incomplete(t, Spec.Run(torquesetSpec, Inputs{Nominal: sizesOf(good...), Items: map[string][]Item{"torque": {{V: mm("130")}}}}), "is not a torque")
}

// TestTorquesetBothWays: a setting leads back to its torque, and inches and
// millimetres to one answer.
func TestTorquesetBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 100 {
		li, lm := inchAndMillimetre(50000 + r.Intn(200000))
		ei, em := inchAndMillimetre(r.Intn(100000))
		angle, torque := wr(strconv.Itoa(r.Intn(121)), "deg"), wr(strconv.Itoa(20+r.Intn(300)), "N.m")
		a := run(t, "torqueset", Inputs{Nominal: sizesOf("torque", torque.Text, "N.m", "length", li.Text, "in", "extension", ei.Text, "in", "angle", angle.Text, "deg")})
		set := val(t, a, "setting")
		b := run(t, "torqueset", Inputs{Nominal: sizesOf("torque", torque.Text, "N.m", "length", lm.Text, "mm", "extension", em.Text, "mm", "angle", angle.Text, "deg")})
		closeTo(t, "in inches and millimetres", val(t, b, "setting").SI, set.SI)
		back := run(t, "torqueset", Inputs{Nominal: sizesOf("setting", strconv.FormatFloat(set.SI, 'f', 11, 64), "N.m", "length", lm.Text, "mm", "extension", em.Text, "mm", "angle", angle.Text, "deg")})
		closeTo(t, "there and back", val(t, back, "real").SI, num(t, torque.Text))
	}
}
