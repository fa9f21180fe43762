package calc

import (
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// TestLimitsThatAreNone: a limit without ends, upside down or between two
// judges nothing and says why.
func TestLimitsThatAreNone(t *testing.T) {
	pin := map[string][]Item{"diameter": {{Point: "b.V", V: mm("61.956")}}}
	for _, c := range []struct {
		name, says string
		l          Limit
	}{
		{"no ends", "neither a least nor a most", Limit{Name: "size", Accepted: true}},
		{"upside down", "its least, 62.000\u2009mm, is above its most, 61.000\u2009mm", tol("62.000", "61.000")},
		{"between two", "one figure, not 61.000 to 61.010\u2009mm", Limit{Min: &quantity.Written{Text: "61.000", To: "61.010", Unit: "mm"}, Accepted: true}},
		{"a plain number", "it is in plain numbers, the value is not", Limit{Min: &quantity.Written{Text: "61", Unit: "1"}, Accepted: true}},
	} {
		r := run(t, "journal", Inputs{Items: pin, Limits: map[string]Limit{"size": c.l}})
		if r.Verdict != Incomplete || val(t, r, "size").Verdict != NoLimit || !strings.Contains(strings.Join(r.Missing, "\n"), c.says) {
			t.Errorf("%s: %s, missing %q", c.name, r.Verdict, r.Missing)
		}
	}
}

// TestLimitWords: each end with its unit where they differ, and 'at most' once.
func TestLimitWords(t *testing.T) {
	inch := &quantity.Written{Text: "0.006", Unit: "in"}
	for want, l := range map[string]Limit{
		"0.05 to 0.15\u2009mm":          tol("0.05", "0.15"),
		"0.05\u2009mm to 0.006\u2009in": {Min: ptr(mm("0.05")), Max: inch},
		"at most 0.10\u2009mm":          {Max: &quantity.Written{Text: "0.10", Unit: "mm", Is: "at most"}},
		"at least none felt":            {Min: &quantity.Written{Unit: "mm", Is: "nil"}},
		"not given":                     {},
		"at least −0.10\u2009mm":        tol("-0.10", ""),
		"−0.10 to 0.10\u2009mm":         tol("-0.10", "0.10"),
	} {
		if got := limitWords(l); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestSentenceNamesTheWorst: with something missing, the value that is too
// close to call is told before those within; what only bounds a value is not
// said to reach over its limit.
func TestSentenceNamesTheWorst(t *testing.T) {
	margin := tol("61.955", "")
	margin.Margin = true
	r := run(t, "journal", Inputs{Items: map[string][]Item{"diameter": at(m1, map[string]string{"b.V": "61.956", "b.H": "61.960"})},
		Limits: map[string]Limit{"size": margin, "ovality": tol("", "0.025")}, Opts: map[string]string{"points": "a.V b.V b.H"}})
	if !strings.Contains(r.Says, "Too close to call: Smallest size 61.956 ± 0.004\u2009mm") || !strings.Contains(r.Says, "Missing: diameter at plane a") {
		t.Error(r.Says)
	}
	r = run(t, "direct", Inputs{Items: map[string][]Item{"value": {{V: quantity.Written{Text: "0.30", Unit: "mm", Is: "at least"}}}}, Limits: map[string]Limit{"value": tol("0.20", "0.40")}})
	if r.Verdict != NotProven || strings.Contains(r.Says, "±") || !strings.Contains(r.Says, "at least 0.30\u2009mm says only so much") {
		t.Error(r.Says)
	}
}

// TestOneThingAtATime: readings of two journals, bores or bearings are not
// held against each other.
func TestOneThingAtATime(t *testing.T) {
	two := []Item{{Label: "1", Point: "b.V", V: mm("61.956")}, {Label: "4", Point: "b.V", V: mm("61.768")}, {Label: "4", Point: "b.H", V: mm("61.849")}}
	lacks(t, "journal", Inputs{Items: map[string][]Item{"diameter": two}}, "diameters of one at a time")
	lacks(t, "bore", Inputs{Items: map[string][]Item{"diameter": two}, Nominal: written{"bore": mm("62")}}, "of one at a time")
	lacks(t, "clearance", Inputs{Items: map[string][]Item{"journal": two, "shell": {{Point: "b.V", V: mm("62.01")}}}}, "of one at a time")
}

// TestPairByHand: U of a mean of two by different tools is √(Ua² + Ub²) ÷ 2,
// worked by hand: √(2² + 10²)/2 = 5.099 µm; the repeat of one taker, another
// spot and another unit are what they are.
func TestPairByHand(t *testing.T) {
	fine, coarse := &Tool{Key: "A", U: 2e-6}, &Tool{Key: "B", U: 10e-6}
	a := Item{By: "Idris", Point: "b.V", V: mm("74.98100000"), Tool: fine}
	b := Item{By: "Pell", Point: "b.V", V: mm("74.97600000"), Tool: coarse}
	r := run(t, "pair", Inputs{Items: map[string][]Item{"reading": {a, b}}})
	near(t, "U of the mean", val(t, r, "mean").U, 5.0990195e-6)
	third := Item{By: "Lunt", Point: "b.V", V: mm("74.98000000"), Tool: &Tool{Key: "C", U: 10e-6}}
	if r = run(t, "pair", Inputs{Items: map[string][]Item{"reading": {a, b, third}}}); len(r.Vals) != 1 {
		t.Errorf("three who agree have %d means", len(r.Vals))
	}
	near(t, "mean of three", val(t, r, "mean").SI, 0.0749790)
	b.Point = "b.H"
	lacks(t, "pair", Inputs{Items: map[string][]Item{"reading": {a, b}}}, "second reading of the same spot")
	b.Point, b.By = "b.V", "Idris"
	lacks(t, "pair", Inputs{Items: map[string][]Item{"reading": {a, b}}}, "by somebody else")
	inch := Item{By: "Idris", V: quantity.Written{Text: "2.9520", Unit: "in"}, Tool: &Tool{Key: "A", U: 2e-6}}
	metric := Item{By: "Pell", V: mm("74.99"), Tool: &Tool{Key: "B", U: 2e-6}}
	if r = run(t, "pair", Inputs{Items: map[string][]Item{"reading": {inch, metric}}}); r.Verdict != Contested { // 74.981 against 74.990
		t.Errorf("inches against millimetres: %s %s", r.Verdict, r.Says)
	}
}

// TestAnswerHidesNothing: two people's readings of one spot that differ are
// told, not averaged away.
func TestAnswerHidesNothing(t *testing.T) {
	spec, _ := Find("journal")
	in := Inputs{Items: map[string][]Item{"diameter": {{By: "Idris", Point: "b.V", V: mm("74.981"), Tool: m1}, {By: "Pell", Point: "b.V", V: mm("74.962"), Tool: m2}}}}
	r, err := spec.Answer(in)
	if err != nil || r.Verdict != Contested || len(r.Disagree) != 1 || !strings.HasPrefix(r.Says, "Readings differ: 74.981 (Idris, M1) and 74.962 (Pell, M2) differ by 0.019") {
		t.Errorf("%v %s %s", err, r.Verdict, r.Says)
	}
	in.Items["diameter"][1].V = mm("74.979")
	if r, _ = spec.Answer(in); r.Verdict == Contested {
		t.Error(r.Says)
	}
	if _, err = spec.Answer(Inputs{Opts: map[string]string{"pints": "b.V"}}); err == nil {
		t.Error("a name that journal does not have is taken")
	}
}

// TestMeanOfOpposites: a reading that bounds from below and one from above have
// no mean; the coarser of two readings counts for the steps.
func TestMeanOfOpposites(t *testing.T) {
	bound := func(text, is string) Item { return Item{V: quantity.Written{Text: text, Unit: "mm", Is: is}} }
	lacks(t, "direct", Inputs{Items: map[string][]Item{"value": {bound("0.30", "at least"), bound("0.35", "at most")}}}, "write it as between the two")
	u := func(texts ...string) float64 {
		var items []Item
		for _, x := range texts {
			items = append(items, bound(x, ""))
		}
		return val(t, run(t, "direct", Inputs{Items: map[string][]Item{"value": items}}), "value.").U
	}
	if u("1.0000", "1.0") != u("1.0", "1.0000") || u("1.0000", "1.0") < u("1.0") {
		t.Errorf("the steps of a mean hang on who came first: %v, %v, %v", u("1.0000", "1.0"), u("1.0", "1.0000"), u("1.0"))
	}
}

// TestStepsInAnyOrder: the smallest step that cleans up is taken however the
// steps are listed, with no verdict where no least size is accepted.
func TestStepsInAnyOrder(t *testing.T) {
	for _, limit := range []map[string]Limit{nil, {"least": {Min: ptr(mm("61.800")), Max: nil}}} { // not accepted: 61.500 is below it
		r := run(t, "undersize", Inputs{Items: map[string][]Item{"diameter": {{Label: "4", V: mm("61.768")}}}, Nominal: written{"size": mm("62.000"), "cleanup": mm("0.050")},
			Limits: limit, Opts: map[string]string{"steps": "1.00 0.25 0.75 0.50"}})
		if val(t, r, "step").Text != "0.50" || r.Verdict != NoLimit || !strings.Contains(r.Says, "2 steps are left after this one. It is not held against a least size: none is accepted.") {
			t.Errorf("%s: %s", r.Verdict, r.Says)
		}
	}
	r := run(t, "oversize", Inputs{Items: map[string][]Item{"diameter": {{Label: "1", V: quantity.Written{Text: "5.7640", Unit: "in"}}}},
		Nominal: written{"size": mm("146.050"), "cleanup": mm("0.076")}, Opts: map[string]string{"steps": "1.00 0.50"}})
	if val(t, r, "step").Text != "0.50" || !strings.Contains(strings.Join(r.Working, "\n"), "largest: bore, 1 = 5.7640\u2009in") {
		t.Errorf("%s %q", r.Says, r.Working)
	}
	lacks(t, "oversize", Inputs{Items: map[string][]Item{"diameter": {{V: mm("107.1")}}}, Nominal: written{"size": mm("107.0"), "cleanup": mm("0.05")}, Opts: map[string]string{"steps": "-0.5"}}, "-0.5 is no step")
}

// TestPistonHot: the hot clearance is asked for whole, by hand 0.26 − (23 × 200
// − 11 × 80)e-6 × 107 = −0.138; a skirt without its bore is told of.
func TestPistonHot(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"bore": {{Label: "1", V: mm("107.000")}}, "skirt": {{Label: "1", V: mm("106.740")}, {Label: "2", V: mm("106.740")}}},
		Nominal: written{"alpha_piston": ppmOf("23"), "rise_piston": plain1("200"), "alpha_bore": ppmOf("11")}}
	lacks(t, "pistonfit", in, "the bore's rise in kelvin")
	lacks(t, "pistonfit", in, "bore of the cylinder, 2")
	in.Nominal["rise_bore"] = plain1("80")
	if got := val(t, run(t, "pistonfit", in), "hot.1").Text; got != "−0.138" {
		t.Errorf("hot %s", got)
	}
	in.Nominal, in.Limits = nil, map[string]Limit{"hot": tol("0.05", "")}
	lacks(t, "pistonfit", in, "expansion of the piston")
}

// TestWallsOfTwoHalves: several spots of one half are that half's mean, not
// both halves; the gauge that read housing and bore cancels in their difference.
func TestWallsOfTwoHalves(t *testing.T) {
	wall := func(label, point, text string) Item { return Item{Label: label, Point: point, V: mm(text), Tool: m1} }
	in := Inputs{Items: map[string][]Item{"housing": {{V: mm("80.000"), Tool: b1}}, "bore": {{V: mm("75.070"), Tool: b1}},
		"wall": {wall("lower", "1", "2.460"), wall("lower", "2", "2.462"), wall("upper", "1", "2.468"), wall("upper", "2", "2.466")}}}
	r := run(t, "shellbore", in)
	if got := val(t, r, "worked_out").Text; got != "75.072" { // 80 − 2.461 − 2.467
		t.Errorf("worked out %s", got)
	}
	if diff, out := val(t, r, "difference").U, val(t, r, "worked_out").U; diff >= out {
		t.Errorf("U of the difference %v, of the bore worked out %v: the bore gauge does not cancel", diff, out)
	}
	in.Items["wall"] = append(in.Items["wall"], wall("third", "1", "2.460"))
	lacks(t, "shellbore", in, "one pair of half shells at a time")
}

// TestNoRoom: a protrusion that leaves no chamber is refused, not a ratio below
// nought; the spread of two cylinders has the uncertainty of their protrusions.
func TestNoRoom(t *testing.T) {
	in := Inputs{Items: engine("2117", []string{"0.33", "95"}, pelletsG9, "109.0"), Nominal: sizes}
	lacks(t, "ratio", in, "2117, cylinder 2: the piston's protrusion, 95\u2009mm, takes more")
	r := run(t, "ratio", Inputs{Items: engine("2117", []string{"0.33", "0.37"}, pelletsG9, "109.0"), Nominal: sizes})
	// dCR/dVc = 0.1777 per cm³, 0.1 mm of protrusion is 0.8992 cm³ (worked by hand in the scenario): U of
	// 2 × √2 × 0.01 ÷ √12 mm is 0.00816 mm × 8.992 cm³/mm × 0.1777.
	if u := val(t, r, "spread.2117").U; u < 0.0129 || u > 0.0132 {
		t.Errorf("U of the spread %v", u)
	}
}

// TestValveAtTwoSpots: a valve measured at two spots adds its volume once: by
// hand π/4 × 40² × 0.55 = 691 mm³.
func TestValveAtTwoSpots(t *testing.T) {
	r := run(t, "recession", Inputs{Items: map[string][]Item{"depth": {{Label: "1I", Point: "a", V: mm("0.50")}, {Label: "1I", Point: "b", V: mm("0.60")}}}, Nominal: written{"inlet": mm("40.0")}})
	if got := val(t, r, "chamber.1").Text; got != "0.69" {
		t.Errorf("chamber %s", got)
	}
}

// TestMinimaMistyped: a table of minima that cannot be read is told of, and a
// station of it that nobody read.
func TestMinimaMistyped(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"pressure": {{Point: "500", V: quantity.Written{Text: "1.4", Unit: "bar"}}}}, Opts: map[string]string{"minima": "500=1.0"}}
	lacks(t, "oilpressure", in, "write it as 500:1.0")
	in.Opts["minima"] = "500:1.0 800:1.6"
	if r := run(t, "oilpressure", in); r.Verdict != Within || !strings.Contains(strings.Join(r.Working, "\n"), "at 800: not read") {
		t.Errorf("%s %q", r.Verdict, r.Working)
	}
}

// TestLeastClearanceHasItsOwnU: at two points by two gauges the least and the
// most carry the uncertainty of their own readings.
func TestLeastClearanceHasItsOwnU(t *testing.T) {
	shell := []Item{{Point: "a.V", V: mm("75.100"), Tool: &Tool{Key: "B1", U: 2e-6}}, {Point: "b.V", V: mm("75.080"), Tool: &Tool{Key: "B9", U: 20e-6}}}
	r := run(t, "clearance", Inputs{Items: map[string][]Item{"journal": at(m1, map[string]string{"a.V": "75.000", "b.V": "75.000"}), "shell": shell}})
	near(t, "least", val(t, r, "least").U, val(t, r, "clearance.b.V").U)
	near(t, "most", val(t, r, "most").U, val(t, r, "clearance.a.V").U)
}

// TestGasketSaysWhatItDidNotLookAt: a window found without a limit of the gap
// over the piston says so; a limit of the valves wants its clay.
func TestGasketSaysWhatItDidNotLookAt(t *testing.T) {
	bump := tol("0.75", "1.00")
	bump.Accepted = false
	in := Inputs{Items: engine("2117", sheet2117, nil, "109.0"), Nominal: sizes,
		Limits: map[string]Limit{"ratio": {Min: one("15.9", "1"), Max: one("16.5", "1"), Accepted: true}, "bump": bump}}
	r := run(t, "gasket", in)
	if r.Verdict != Within || !strings.HasSuffix(r.Says, "Not looked at, for no limit is accepted: bump clearance, valve to piston.") {
		t.Errorf("%s: %s", r.Verdict, r.Says)
	}
	if !strings.Contains(strings.Join(r.Working, "\n"), "limit bump clearance 0.75 to 1.00\u2009mm: not accepted by the lead yet, so it bounds nothing") {
		t.Errorf("%q", r.Working)
	}
	in.Limits["valve"] = tol("1.0", "")
	lacks(t, "gasket", in, "clay between valve and piston, for its limit")
}

// TestGasketLeaningValve: 40° off the cylinder, U of the clay counts 1 ÷ cos
// 40° = 1.3054 times in the thickness: t = 1.86 + (1.0 − 1.5) × 1.3054 = 1.2073.
func TestGasketLeaningValve(t *testing.T) {
	items := engine("2117", sheet2117, []string{"1.86000000"}, "109.0")
	items["valve_clay"] = []Item{{Label: "2117/E3", V: mm("1.50000000"), Tool: &Tool{Key: "D", U: 40e-6}}}
	valve := tol("1.0", "")
	valve.Margin = true
	r := run(t, "gasket", Inputs{Items: items, Nominal: sizes, Opts: map[string]string{"valve_angle": "40"},
		Limits: map[string]Limit{"ratio": {Min: one("12", "1"), Accepted: true}, "valve": valve}})
	if !strings.Contains(strings.Join(r.Working, "\n"), "compressed at least 1.260\u2009mm, its uncertainty of 0.052 taken off") {
		t.Errorf("%q", r.Working)
	}
}

// TestWordsAcrossUnits: a working line names each figure in the unit that it is
// told in.
func TestWordsAcrossUnits(t *testing.T) {
	inch := func(text string) quantity.Written { return quantity.Written{Text: text, Unit: "in"} }
	for _, c := range []struct {
		calc, want string
		in         Inputs
	}{
		{"bump", "1.86 − −0.05 = 1.91", Inputs{Items: map[string][]Item{"compressed": {{Label: "2117", V: mm("1.86")}}, "protrusion": {{Label: "2117/5", V: inch("-0.0020")}}}}},
		{"runout", "0.05 − 0.00 = 0.05\u2009mm", Inputs{Items: map[string][]Item{"reading": {{Point: "12", V: mm("0.00")}, {Point: "3", V: mm("0.02")}, {Point: "6", V: mm("0.05")}, {Point: "9", V: inch("0.0010")}}}}},
		{"twin", "right less left, at 1.b.V: 61.963 − 61.956 = 0.007\u2009mm; these tools tell 0.0016\u2009mm, the difference is 4.63 times that",
			Inputs{Items: map[string][]Item{"left": {{Label: "2117/1", Point: "b.V", V: mm("61.956")}}, "right": {{Label: "2123/1", Point: "b.V", V: inch("2.4395")}}}}},
		{"rubber", "thickness as new, A: 40.0\u2009mm", Inputs{Items: map[string][]Item{"hardness": {{Label: "A", V: plain1("62")}}, "free": {{Label: "A", V: mm("40.0")}}, "now": {{Label: "A", V: mm("38.1")}}}}},
		{"undersize", "smallest: journal, 4 = 2.4318\u2009in", Inputs{Items: map[string][]Item{"diameter": {{Label: "4", V: inch("2.4318")}}}, Nominal: written{"size": mm("62.000"), "cleanup": mm("0.050")}, Opts: map[string]string{"steps": "0.50"}}},
	} {
		if r := run(t, c.calc, c.in); !strings.Contains(strings.Join(r.Working, "\n"), c.want) {
			t.Errorf("%s: no %q in %q", c.calc, c.want, r.Working)
		}
	}
}

// TestSeizes: a skirt that grows past its bore is a caution.
func TestSeizes(t *testing.T) {
	r := run(t, "pistonfit", Inputs{Items: map[string][]Item{"bore": {{Label: "1", V: mm("107.000")}}, "skirt": {{Label: "1", V: mm("106.900")}}},
		Nominal: written{"alpha_piston": ppmOf("23"), "rise_piston": plain1("200"), "alpha_bore": ppmOf("11"), "rise_bore": plain1("80")}})
	if !strings.Contains(strings.Join(r.Cautions, "\n"), "Hot, the skirt is larger than the bore, 1: it seizes.") {
		t.Errorf("%q", r.Cautions)
	}
}

// TestAlphaMistyped: an expansion that is no number is told of, not passed over.
func TestAlphaMistyped(t *testing.T) {
	lacks(t, "journal", Inputs{Items: map[string][]Item{"diameter": {{V: mm("62")}}}, Opts: map[string]string{"alpha": "eleven"}}, "expansion of the part: 'eleven'")
}

// TestInputsOfTheWrongShape: what JSON cannot mean is refused, not read as nothing.
func TestInputsOfTheWrongShape(t *testing.T) {
	for raw, want := range map[string]string{
		`{"opts":{"points":5}}`:                      "opts.points: write it as text",
		`{"items":{"diameter":{"v":{"t":"75"}}}}`:    "items.diameter: it is a list of readings",
		`{"items":[]}`:                               "items: it is an object",
		`{"nominals":{"bore":{"t":"107","u":"mm"}}}`: "'nominals' is none of them",
	} {
		v, err := jcs.Parse([]byte(raw))
		if err != nil {
			t.Fatal(err)
		}
		if _, err = FromJSON(v); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", raw, err)
		}
	}
}
