package calc

import (
	"math/rand"
	"testing"
)

// sucking are the two engines at idle (invented scenario).
func sucking(left, right, nLeft, nRight string) Inputs {
	return Inputs{Items: map[string][]Item{
		"left": readingsOf(&Tool{Key: "H1", U: 20}, "- 2117 "+left+" mmH2O"), "right": readingsOf(&Tool{Key: "H1", U: 20}, "- 2123 "+right+" mmH2O"),
		"left_speed": readingsOf(n1, "- 2117 "+nLeft+" rpm"), "right_speed": readingsOf(n1, "- 2123 "+nRight+" rpm"),
	}, Limits: map[string]Limit{"balance": most("10 mmH2O")}}
}

// TestDepression: 482 and 521 rpm, 400 and 404 mm of water; were the openings
// equal the right would draw 467 (invented scenario).
func TestDepression(t *testing.T) {
	r := run(t, "depression", sucking("400", "404", "482", "521"))
	if a, b := val(t, r, "expected").Text, val(t, r, "difference"); a != "467" || b.Text != "4" || b.Verdict != Within {
		t.Errorf("expected %s, difference %s %s", a, b.Text, b.Verdict)
	}
	nearTo(t, "opening", val(t, r, "opening").SI, 521.0/482*0.99504, 1e-4)
	mentions(t, r, "the openings differ; stop screw, not diaphragm")
}

// TestDepressionWords: the trade's reasoning (common practice, no source).
func TestDepressionWords(t *testing.T) {
	for _, c := range []struct{ name, left, right, nLeft, nRight, want string }{
		{"leak", "400", "360", "500", "500", "leak, diaphragm or spring"},
		{"balanced", "400", "404", "500", "500", "balanced"},
		{"springs", "400", "467", "482", "521", "the openings agree; governor spring"},
		{"both", "400", "340", "482", "521", "both differ"},
		{"written with a minus", "-400", "-404", "482", "521", "stop screw, not diaphragm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			mentions(t, run(t, "depression", sucking(c.left, c.right, c.nLeft, c.nRight)), c.want)
		})
	}
}

// TestDepressionInverse: the depression at another speed, asked for, gives
// that speed. Flow through an opening goes as the root of its pressure drop
// (Bernoulli), so twice the speed draws four times.
func TestDepressionInverse(t *testing.T) {
	in := sucking("400.0", "404.0", "500.0", "500.0")
	in.Nominal = typedIn("at_speed", "1000 rpm")
	p := val(t, run(t, "depression", in), "at_speed.left")
	if p.Text != "1600.0" {
		t.Errorf("at twice the speed %s", p.Text)
	}
	in.Nominal = typedIn("at_depression", "1600.0 mmH2O")
	if n := val(t, run(t, "depression", in), "at_depression.left"); n.Text != "1000.0" {
		t.Errorf("back at %s rpm", n.Text)
	}
}

func TestDepressionLeakDown(t *testing.T) {
	r := run(t, "depression", Inputs{Nominal: typedIn("left_start", "500 mmH2O", "left_end", "440 mmH2O", "right_start", "500 mmH2O", "right_end", "480 mmH2O", "leak_time", "10 s"),
		Limits: map[string]Limit{"leak": most("5 mmH2O")}})
	if a, b := val(t, r, "leak.left"), val(t, r, "leak.right"); a.Text != "6.0" || a.Verdict != Outside || b.Text != "2.0" || b.Verdict != Within {
		t.Errorf("%s %s, %s %s", a.Text, a.Verdict, b.Text, b.Verdict)
	}
}

func TestDepressionMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name, want string
		in         Inputs
	}{
		{"no speed", "speed of the left engine", Inputs{Items: map[string][]Item{"left": readingsOf(nil, "- 2117 400 mmH2O")}}},
		{"one engine", "of the other engine", Inputs{Nominal: typedIn("left", "400 mmH2O", "left_speed", "482 rpm")}},
		{"stands", "above nought", sucking("400", "404", "0", "521")},
		{"no depression", "the hose is off", sucking("400", "0", "482", "521")},
		{"another kind", "not a pressure", Inputs{Items: map[string][]Item{"left": readingsOf(nil, "- 2117 400 mm")}}},
		{"leak-down upwards", "the end is above the start", Inputs{Nominal: typedIn("left_start", "400 mmH2O", "left_end", "440 mmH2O", "leak_time", "10 s")}},
		{"no time", "time of the leak-down", Inputs{Nominal: typedIn("left_start", "400 mmH2O", "left_end", "340 mmH2O")}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "depression", c.in)
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestDepressionUnits: millimetres and inches of water give the same.
func TestDepressionUnits(t *testing.T) {
	rnd := rand.New(rand.NewSource(20))
	for range 30 {
		a := sucking(anyway(rnd, 200, 600, 1), anyway(rnd, 200, 600, 1), anyway(rnd, 450, 550, 0), anyway(rnd, 450, 550, 0))
		b := sucking("1", "1", a.Items["left_speed"][0].V.Text, a.Items["right_speed"][0].V.Text)
		for _, n := range []string{"left", "right"} {
			b.Items[n][0].V = inUnit(a.Items[n][0].V.Text+" mmH2O", "inH2O")
		}
		ra, rb := run(t, "depression", a), run(t, "depression", b)
		for _, n := range []string{"expected", "opening", "difference"} {
			nearTo(t, n, val(t, rb, n).SI, val(t, ra, n).SI, 1e-4)
		}
	}
}
