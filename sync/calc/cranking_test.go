package calc

import (
	"math/rand"
	"strconv"
	"strings"
	"testing"
)

// pots are compressions of one engine, in bar.
func pots(engine string, list ...string) []Item {
	var rows []string
	for i, v := range list {
		rows = append(rows, "- "+engine+"/"+strconv.Itoa(i+1)+" "+v+" bar")
	}
	return readingsOf(nil, rows...)
}

var (
	gk7      = pots("2117", "24.4", "24.7", "24.8", "24.3", "24.6", "24.8")
	gk9      = pots("2117", "26.7", "27.0", "26.9", "26.5", "26.8", "26.9")
	gk9other = pots("2123", "26.9", "26.6", "27.3", "26.8", "26.4", "26.7")
)

// TestCranking: the three tables of the invented scenario.
func TestCranking(t *testing.T) {
	for _, c := range []struct {
		name, engine, mean, spread, says string
		items                            []Item
	}{
		{"2117 with GK-7", "2117", "24.60", "2.0", "Even the best is below the 26.8\u2009bar expected: all are low together", gk7},
		{"2117 with GK-9", "2117", "26.80", "1.9", "within, limit at most 8\u2009%.", gk9},
		{"2123 with GK-9", "2123", "26.78", "3.4", "within, limit at most 8\u2009%.", gk9other},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "cranking", Inputs{Items: map[string][]Item{"compression": c.items, "speed": readingsOf(n1, "- "+c.engine+" 188 rpm")},
				Limits: map[string]Limit{"spread": most("8 %"), "speed": lowest("180 rpm")}, Opts: map[string]string{"rule": "spread"}, Nominal: typedIn("expected", "26.8 bar")})
			if m, s := val(t, r, "mean."+c.engine).Text, val(t, r, "spread."+c.engine).Text; m != c.mean || s != c.spread || r.Verdict != Within {
				t.Errorf("mean %s, spread %s, %s", m, s, r.Verdict)
			}
			mentions(t, r, c.says)
			mentions(t, r, "rule in force: spread")
		})
	}
	// Both engines of the scenario at once, each by itself.
	both := run(t, "cranking", Inputs{Items: map[string][]Item{"compression": append(pots("2117", "26.7", "27.0"), gk9other...)}})
	if val(t, both, "mean.2117").Text != "26.85" || val(t, both, "mean.2123").Text != "26.78" {
		t.Error(both.Says)
	}
}

// TestCrankingRules: the published rules, each by its own figures: 20 % below
// the average (TM 1-1500-204-23-1), 25 psi between cylinders (TM
// 5-3810-303-24), 70 % of the highest (common practice, no source).
func TestCrankingRules(t *testing.T) {
	psi := func(list ...string) []Item {
		out := pots("1", list...)
		for i := range out {
			out[i].V.Unit = "psi"
		}
		return out
	}
	limits := map[string]Limit{"below": most("20 %"), "difference": most("25 psi"), "best": lowest("70 %"), "spread": most("10 %")}
	for _, c := range []struct {
		rule, value, text string
		list              []string
		verdict           Verdict
	}{
		{"mean", "below.1", "16.7", []string{"500", "500", "400", "520"}, Within},
		{"mean", "below.1", "21.6", []string{"500", "500", "370", "518"}, Outside},
		{"difference", "difference.1", "25", []string{"410", "400", "385", "399"}, Within},
		{"difference", "difference.1", "26", []string{"411", "400", "385", "399"}, Outside},
		{"best", "of_best.1", "70.0", []string{"400", "390", "280"}, Within},
		{"best", "of_best.1", "69.8", []string{"400", "390", "279"}, Outside},
		{"spread", "spread.1", "10.0", []string{"420", "380", "400"}, Within},
	} {
		t.Run(c.rule, func(t *testing.T) {
			r := run(t, "cranking", Inputs{Items: map[string][]Item{"compression": psi(c.list...)}, Limits: limits, Opts: map[string]string{"rule": c.rule}})
			if v := val(t, r, c.value); v.Text != c.text || r.Verdict != c.verdict {
				t.Errorf("%s %s, want %s %s: %s", v.Text, r.Verdict, c.text, c.verdict, r.Says)
			}
			mentions(t, r, "rule in force: "+c.rule)
		})
	}
}

// TestCrankingPattern: one low, neighbours low, two apart (common practice, no
// source: the trade's reading of the pattern).
func TestCrankingPattern(t *testing.T) {
	for _, c := range []struct {
		name, want string
		list       []string
	}{
		{"one", "2117, cylinder 4 alone is low: a leak there", []string{"26", "26", "26", "20", "26", "26"}},
		{"neighbours", "2117, cylinder 3 and 2117, cylinder 4 are low and neighbours: the gasket between", []string{"26", "26", "20", "20", "26", "26"}},
		{"apart", "are low and no neighbours", []string{"26", "20", "26", "26", "20", "26"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "cranking", Inputs{Items: map[string][]Item{"compression": pots("2117", c.list...)}, Limits: map[string]Limit{"spread": most("8 %")}})
			if r.Verdict != Outside {
				t.Error(r.Verdict)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestCrankingFloor: a cylinder at the floor that the rule leaves keeps the rule.
func TestCrankingFloor(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"compression": pots("1", "26.0", "20.0")}, Limits: map[string]Limit{"best": lowest("75 %")}}
	floor := val(t, run(t, "cranking", in), "floor.1").Text
	in.Items["compression"] = pots("1", "26.0", floor)
	if r := run(t, "cranking", in); r.Verdict != Within || floor != "19.50" {
		t.Errorf("floor %s: %s", floor, r.Verdict)
	}
}

func TestCrankingMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name, want string
		in         Inputs
	}{
		{"two limits, no rule", "the rule in force", Inputs{Items: map[string][]Item{"compression": gk7}, Limits: map[string]Limit{"spread": most("8 %"), "best": lowest("75 %")}}},
		{"no such rule", "none of spread, best", Inputs{Items: map[string][]Item{"compression": gk7}, Opts: map[string]string{"rule": "feeling"}}},
		{"no pressure at all", "above nought", Inputs{Items: map[string][]Item{"compression": pots("2117", "0.0", "0.0")}}},
		{"below nought", "above nought", Inputs{Items: map[string][]Item{"compression": pots("2117", "-24.0")}}},
		{"limit of another kind", "the value is not", Inputs{Items: map[string][]Item{"compression": gk7}, Limits: map[string]Limit{"spread": most("2 bar")}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "cranking", c.in)
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestCrankingUnits: bar and psi give the same percentages.
func TestCrankingUnits(t *testing.T) {
	rnd := rand.New(rand.NewSource(15))
	for range 30 {
		var list []string
		for range 6 {
			list = append(list, anyway(rnd, 18, 30, 1))
		}
		a, b := pots("2117", list...), pots("2117", list...)
		for i := range b {
			b[i].V = inUnit(list[i]+" bar", "psi")
		}
		ra := run(t, "cranking", Inputs{Items: map[string][]Item{"compression": a}})
		rb := run(t, "cranking", Inputs{Items: map[string][]Item{"compression": b}})
		for _, v := range ra.Vals {
			if v.Unit == "%" {
				nearTo(t, v.Name, val(t, rb, v.Name).SI, v.SI, 1e-8)
			}
		}
		if !strings.HasPrefix(ra.Says, "2117: mean ") {
			t.Error(ra.Says)
		}
	}
}
