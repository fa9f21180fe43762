package calc

import (
	"math/rand"
	"strings"
	"testing"
)

func degrees(lo, hi string) Limit {
	l := Limit{Accepted: true}
	if lo != "" {
		l.Min = ptr(deg(lo))
	}
	if hi != "" {
		l.Max = ptr(deg(hi))
	}
	return l
}

// TestTiming: the injection of engine 2117 found at 75.0 mm where 90.1 mm was
// wanted (invented scenario).
func TestTiming(t *testing.T) {
	sizes := written{"diameter": mm("430.0"), "wanted": deg("24")}
	limits := map[string]Limit{"timing": degrees("23", "25"), "spread": tol("", "0.5")}
	for _, c := range []struct {
		name                string
		found               []Item
		angle, early, move  string
		verdict             Verdict
		spread, says, depth string
	}{
		{"as found", list(reading("", "", mm("75.0"))), "20.0", "−4.0", "15.1", Outside, "",
			"found 20.0° before top dead centre, wanted 24.0° before top dead centre: late by 4.0°; move it 15.1\u2009mm on the rim, to come sooner (outside, limit 23 to 25°).", ""},
		{"two approaches", list(reading("", "1", mm("75.0")), reading("", "2", mm("75.2"))), "20.0", "−4.0", "15.0", Outside, "0.2", "late by 4.0°", ""},
		{"set", list(reading("", "", mm("90.1"))), "24.0", "0.0", "", Within, "", "wanted 24.0° before top dead centre: right (within", ""},
		{"early", list(reading("", "", mm("97.6"))), "26.0", "2.0", "7.5", Outside, "", "early by 2.0°; move it 7.5\u2009mm on the rim, to come later", ""},
		{"after the top", list(reading("", "", mm("-3.75"))), "−1.0", "−25.0", "93.8", Outside, "", "found 1.0° after top dead centre", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "timing", Inputs{Items: map[string][]Item{"found_rim": c.found}, Nominal: sizes, Limits: limits})
			if a, e := val(t, r, "timing"), val(t, r, "early"); a.Text != c.angle || a.Verdict != c.verdict || e.Text != c.early {
				t.Errorf("%s %s, %s", a.Text, a.Verdict, e.Text)
			}
			if c.move != "" && val(t, r, "move").Text != c.move {
				t.Errorf("move %s, want %s", val(t, r, "move").Text, c.move)
			}
			if c.spread != "" && val(t, r, "spread").Text != c.spread {
				t.Errorf("spread %s, want %s", val(t, r, "spread").Text, c.spread)
			}
			if !strings.Contains(r.Says, c.says) {
				t.Errorf("%q, want %q", r.Says, c.says)
			}
		})
	}
}

// TestTimingWays: one timing as an angle, on the rim and as a depth is one
// angle; throw 30, rod 40 and a depth of 20 make 53.13° (Euclid I.47).
func TestTimingWays(t *testing.T) {
	sizes := written{"diameter": mm("430.0"), "stroke": mm("60"), "rod": mm("40"), "wanted_depth": mm("20.00")}
	for name, w := range (written{"found": deg("53.13"), "found_rim": mm("199.37"), "found_depth": mm("20.00")}) {
		r := run(t, "timing", Inputs{Items: map[string][]Item{name: list(reading("", "", w))}, Nominal: sizes})
		if a, e := val(t, r, "timing"), val(t, r, "early"); a.Text != "53.1" || e.Text != "0.0" {
			t.Errorf("%s: %s, %s", name, a.Text, e.Text)
		}
	}
	// Depth taken after the top carries its minus through.
	r := run(t, "timing", Inputs{Items: map[string][]Item{"found_depth": list(reading("", "", mm("-20.00")))}, Nominal: sizes})
	if got := val(t, r, "timing").Text; got != "−53.1" {
		t.Errorf("after the top: %s", got)
	}
	// Each cylinder by itself; the worst makes the sentence.
	r = run(t, "timing", Inputs{Items: map[string][]Item{"found": list(reading("2117/1", "", deg("24")), reading("2117/5", "", deg("22.5")))},
		Nominal: written{"wanted": deg("24")}})
	if val(t, r, "early.2117/1").Text != "0.0" || val(t, r, "early.2117/5").Text != "−1.5" || !strings.Contains(r.Says, "2117/5") {
		t.Error(r.Says)
	}
}

func TestTimingBad(t *testing.T) {
	found := map[string][]Item{"found_rim": list(reading("", "", mm("75.0")))}
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"no diameter", Inputs{Items: found, Nominal: written{"wanted": deg("24")}}, "flywheel diameter"},
		{"nothing wanted", Inputs{Items: found, Nominal: written{"diameter": mm("430")}}, "the timing wanted"},
		{"nothing found", Inputs{Nominal: written{"wanted": deg("24")}}, "the timing found"},
		{"flywheel of nought", Inputs{Items: found, Nominal: written{"wanted": deg("24"), "diameter": mm("0.0")}}, "must be above nought"},
		{"absurd", Inputs{Nominal: written{"wanted": deg("24"), "found": deg("240")}}, "more than half a turn"},
		{"deeper than the stroke", Inputs{Nominal: written{"wanted": deg("24"), "found_depth": mm("61"), "stroke": mm("60"), "rod": mm("100")}}, "not within the stroke"},
		{"no rod", Inputs{Nominal: written{"wanted": deg("24"), "found_depth": mm("6"), "stroke": mm("60")}}, "rod between centres"},
		{"a length for an angle", Inputs{Nominal: written{"wanted": mm("90.1"), "found": deg("24")}}, "not an angle"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "timing", c.in, c.words) })
	}
}

func TestTimingInches(t *testing.T) {
	sameInInches(t, "timing", func(r *rand.Rand, unit string) Inputs {
		return Inputs{Nominal: written{"diameter": length(430, unit), "wanted_rim": length(90, unit), "stroke": length(143, unit), "rod": length(270, unit)},
			Items:  map[string][]Item{"found_rim": list(reading("", "", length(100*r.Float64(), unit))), "found_depth": list(reading("1", "", length(10*r.Float64(), unit)))},
			Limits: map[string]Limit{"timing": degrees("20", "25")}}
	})
	// What is to be moved on the rim is what the wanted distance is short by.
	rnd := rand.New(rand.NewSource(3))
	for range 200 {
		x := 80 * rnd.Float64()
		r := run(t, "timing", Inputs{Nominal: written{"diameter": mm("430"), "wanted_rim": mm("90"), "found_rim": length(x, "mm")}})
		near(t, "move", val(t, r, "move").SI, (90-x)/1000)
	}
}
