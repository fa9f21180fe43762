package calc

import (
	"math/rand"
	"strconv"
	"testing"
)

// TestTwinEn: E_n = |a − b|/√(U_a² + U_b²) (ISO/IEC 17043): 0.050 against
// uncertainties of 0.03 and 0.04 is 1.00; one tool on both tells more.
func TestTwinEn(t *testing.T) {
	x, y := &Tool{Key: "X", U: 3e-5}, &Tool{Key: "Y", U: 4e-5}
	in := Inputs{Items: map[string][]Item{"left": readingsOf(x, "- 2117/4 10.00000 mm"), "right": readingsOf(y, "- 2123/4 10.05000 mm")}}
	r := run(t, "twin", in)
	if v := val(t, r, "en.4"); v.Text != "1.00" {
		t.Errorf("E_n %s", v.Text)
	}
	mentions(t, r, "agree as far as these tools tell")
	in.Items["right"] = readingsOf(x, "- 2123/4 10.05000 mm")
	r = run(t, "twin", in)
	if v := val(t, r, "difference.4"); v.Text != "0.05000" || v.U > 1e-7 {
		t.Errorf("%s ± %v", v.Text, v.U)
	}
	mentions(t, r, "1 of 1 places differ")
}

// TestTwin: stand-out of the pistons of both engines, one indicator (invented
// scenario): the mean is 0.345 on 2117 and 0.340 on 2123.
func TestTwin(t *testing.T) {
	var l, r []string
	for i := range 6 {
		n := strconv.Itoa(i + 1)
		l, r = append(l, "- 2117/"+n+" "+sheet2117[i]+" mm"), append(r, "- 2123/"+n+" "+sheet2123[i]+" mm")
	}
	d1 := &Tool{Key: "D1", U: 1e-5}
	res := run(t, "twin", Inputs{Items: map[string][]Item{"left": readingsOf(d1, l...), "right": readingsOf(d1, r...)}, Limits: map[string]Limit{"difference": most("0.05 mm")}})
	nearTo(t, "mean", val(t, res, "mean").SI, -0.005e-3, 1e-9)
	if v := val(t, res, "difference.4"); v.Text != "0.04" || res.Verdict != Within {
		t.Errorf("%s %s", v.Text, res.Verdict)
	}
	mentions(t, res, "On the whole neither side is larger")
}

// TestTwinPlaces: what makes two readings of one place.
func TestTwinPlaces(t *testing.T) {
	for _, c := range []struct{ name, left, right, value string }{
		{"cylinders", "- 2117/4 24.3 bar", "- 2123/4 26.8 bar", "difference.4"},
		{"stations of an engine", "500 2117 482 rpm", "500 2123 521 rpm", "difference.500"},
		{"pins and planes", "b.V 2117/4 61.768 mm", "b.V 2123/4 61.770 mm", "difference.4.b.V"},
		{"one figure each", "- 2117 400 mmH2O", "- 2123 404 mmH2O", "difference"},
		{"no label", "500 - 1.4 bar", "500 - 1.2 bar", "difference.500"},
	} {
		t.Run(c.name, func(t *testing.T) {
			val(t, run(t, "twin", Inputs{Items: map[string][]Item{"left": readingsOf(nil, c.left), "right": readingsOf(nil, c.right)}}), c.value)
		})
	}
}

// TestTwinTemperature: a limit of 5 °C on a difference is no temperature.
func TestTwinTemperature(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"left": readingsOf(nil, "- 2117 80 degC"), "right": readingsOf(nil, "- 2123 74 degC")}, Limits: map[string]Limit{"difference": most("5 degC")}}
	if r := run(t, "twin", in); r.Verdict != Outside || val(t, r, "difference").Text != "6" {
		t.Errorf("%s: %s", r.Verdict, r.Says)
	}
}

func TestTwinMissingAndBad(t *testing.T) {
	for _, c := range []struct{ name, left, right, want string }{
		{"another place", "- 2117/4 24.3 bar", "- 2123/5 26.8 bar", "right engine, at 4"},
		{"another kind", "- 2117/4 24.3 bar", "- 2123/4 26.8 mm", "cannot be compared"},
		{"no number", "- 2117/4 high bar", "- 2123/4 26.8 bar", "not a number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "twin", Inputs{Items: map[string][]Item{"left": readingsOf(nil, c.left), "right": readingsOf(nil, c.right)}})
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestTwinUnits: millimetres on one side and inches on the other give the
// same difference, and sides exchanged the same with the other sign.
func TestTwinUnits(t *testing.T) {
	rnd := rand.New(rand.NewSource(21))
	for range 30 {
		a, b := anyway(rnd, 50, 80, 3), anyway(rnd, 50, 80, 3)
		of := func(l, r []Item) float64 {
			return val(t, run(t, "twin", Inputs{Items: map[string][]Item{"left": l, "right": r}}), "difference").SI
		}
		l, r := readingsOf(nil, "- 2117 "+a+" mm"), readingsOf(nil, "- 2123 "+b+" mm")
		inch := readingsOf(nil, "- 2123 1 in")
		inch[0].V = inUnit(b+" mm", "in")
		nearTo(t, "inches", of(l, inch), of(l, r), 1e-9)
		nearTo(t, "exchanged", of(r, l), -of(l, r), 0)
	}
}
