package calc

import (
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// byM1 is readings of one thing by one person, with M1.
func byM1(texts ...string) []Item {
	var out []Item
	for _, t := range texts {
		out = append(out, Item{Ref: "r-" + t, By: "idris", V: mm(t), Tool: m1})
	}
	return out
}

// TestBelowNought: a gap of less than nothing is within no limit, also where that has only a most; a limit that allows it, as of
// a press fit, is judged as it stands.
func TestBelowNought(t *testing.T) {
	most := tol("", "0.150")
	proven := most
	proven.Margin = true
	clearance := map[string][]Item{"journal": byM1("75.180"), "shell": byM1("75.079")}
	hair := map[string][]Item{"journal": byM1("75.081"), "shell": {{V: mm("75.080"), Tool: m2}}}
	for _, c := range []struct {
		name, calc string
		items      map[string][]Item
		limits     map[string]Limit
		want       Verdict
		says       string
	}{
		{"clearance", "clearance", clearance, map[string]Limit{"clearance": most}, Outside, "−0.101\u2009mm: outside, below nought, limit at most 0.150\u2009mm"},
		{"clearance, margin", "clearance", clearance, map[string]Limit{"clearance": proven}, Outside, "below nought"},
		{"by less than can be proven", "clearance", hair, map[string]Limit{"clearance": proven}, NotProven, "below nought"},
		{"by a hair, as read", "clearance", hair, map[string]Limit{"clearance": most}, Outside, "below nought"},
		{"no limit", "clearance", clearance, nil, NoLimit, "no limit"},
		{"an interference by its upper end", "clearance", clearance, map[string]Limit{"clearance": tol("", "-0.080")}, Within, "at most −0.080"},
		{"a press fit", "clearance", clearance, map[string]Limit{"clearance": tol("-0.120", "-0.080")}, Within, "−0.120 to −0.080"},
		{"piston", "pistonfit", map[string][]Item{"bore": byM1("107.000"), "skirt": byM1("107.200")}, map[string]Limit{"clearance": most}, Outside, "below nought"},
		{"bump", "bump", map[string][]Item{"compressed": byM1("1.20"), "protrusion": byM1("1.80")}, map[string]Limit{"bump": most}, Outside, "below nought"},
		{"side of a rod", "sideclearance", map[string][]Item{"pin": byM1("38.00"), "rod": byM1("38.20")}, map[string]Limit{"side": most}, Outside, "below nought"},
		{"side of a ring", "ringgap", map[string][]Item{"groove": byM1("2.90"), "ring": byM1("3.00")}, map[string]Limit{"side": most}, Outside, "below nought"},
		{"ring gap typed", "ringgap", map[string][]Item{"gap": byM1("-0.3")}, map[string]Limit{"gap": most}, Incomplete, "a gap is not below nought"},
		{"end float typed", "endfloat", map[string][]Item{"feeler": byM1("-0.3")}, map[string]Limit{"float": most}, Incomplete, "a gap is not below nought"},
		{"tappet typed", "lash", map[string][]Item{"gap": {{Label: "1I", V: mm("-0.30")}}}, map[string]Limit{"inlet": most}, Incomplete, "a gap is not below nought"},
		{"rod typed", "sideclearance", map[string][]Item{"feeler": byM1("-0.18")}, map[string]Limit{"side": most}, Incomplete, "a gap is not below nought"},
		{"none felt", "endfloat", map[string][]Item{"feeler": {{V: quantity.Written{Unit: "mm", Is: "nil"}}}}, map[string]Limit{"float": most}, Within, "End float by feeler"},
	} {
		r, err := Run(c.calc, Inputs{Items: c.items, Limits: c.limits, Opts: map[string]string{"state": "cold"}})
		if err != nil {
			t.Fatal(err)
		}
		if r.Verdict != c.want || !strings.Contains(r.Says+strings.Join(r.Missing, " "), c.says) {
			t.Errorf("%s: %s, %q, missing %q; want %s, %q", c.name, r.Verdict, r.Says, r.Missing, c.want, c.says)
		}
		below := strings.Contains(strings.Join(r.Cautions, " "), "Below nought: ")
		if want := strings.Contains(c.says, "below nought, limit") || c.says == "below nought" || c.want == NoLimit; below != want {
			t.Errorf("%s: cautions %q", c.name, r.Cautions)
		}
	}
}

// TestUnnamedTool: ISO 14253-1 proves with the uncertainty, and that of an instrument that nobody named is not known.
func TestUnnamedTool(t *testing.T) {
	proven := tol("0.042", "0.120")
	proven.Margin = true
	unnamed := func(items []Item) []Item {
		for i := range items {
			items[i].Tool = nil
		}
		return items
	}
	for _, c := range []struct {
		name           string
		journal, shell []Item
		limit          Limit
		want           Verdict
	}{
		{"both named", byM1("61.990"), byM1("62.080"), proven, Within},
		{"one is not", byM1("61.990"), unnamed(byM1("62.080")), proven, Incomplete},
		{"one of three is not", append(byM1("61.990", "61.991"), unnamed(byM1("61.990"))...), byM1("62.080"), proven, Incomplete},
		{"far outside all the same", unnamed(byM1("61.990")), unnamed(byM1("62.400")), proven, Outside},
		{"as read", unnamed(byM1("61.990")), unnamed(byM1("62.080")), tol("0.042", "0.120"), Within},
	} {
		r := run(t, "clearance", Inputs{Items: map[string][]Item{"journal": c.journal, "shell": c.shell}, Limits: map[string]Limit{"clearance": c.limit}})
		missing := strings.Join(r.Missing, " ")
		if r.Verdict != c.want || (c.want == Incomplete) != strings.Contains(missing, "the instrument of each reading") {
			t.Errorf("%s: %s, missing %q; want %s", c.name, r.Verdict, missing, c.want)
		}
	}
}

// TestUnnamedToolOfAWindow: nor does it prove the window of a gasket, whatever it was read of: also a spot of clay that is not the
// least, for being less sure it may bind before that.
func TestUnnamedToolOfAWindow(t *testing.T) {
	opening := []Item{{Label: "2117", V: mm("109.0")}}
	for name, spoil := range map[string]func(in Inputs){
		"protrusion":           func(in Inputs) { in.Items["protrusion"][3].Tool = nil },
		"the gasket's opening": func(in Inputs) { in.Items["gasket_bore"] = opening },
		"the least spot":       func(in Inputs) { in.Items["valve_clay"][1].Tool = nil },
		"another spot":         func(in Inputs) { in.Items["valve_clay"][0].Tool = nil },
	} {
		in := vectorInputs(t, "gasket with margin after GK-9")
		valve := in.Limits["valve"]
		valve.Margin = true
		in.Limits["valve"] = valve
		if r := run(t, "gasket", in); r.Verdict != Within {
			t.Fatalf("with every instrument named: %s, %q", r.Verdict, r.Says)
		}
		spoil(in)
		if r := run(t, "gasket", in); r.Verdict != Incomplete || !strings.Contains(strings.Join(r.Missing, " "), "the instrument of each reading") {
			t.Errorf("%s: %s, missing %q", name, r.Verdict, r.Missing)
		}
	}
}

// TestUnnamedToolElsewhere: what no window is worked out from is not missed: an opening of an engine with no gasket on trial.
func TestUnnamedToolElsewhere(t *testing.T) {
	in := vectorInputs(t, "gasket with margin after GK-9")
	in.Items["trial_bore"] = []Item{{Label: "2123", V: mm("112.0")}}
	if r := run(t, "gasket", in); r.Verdict != Within {
		t.Errorf("%s, missing %q", r.Verdict, r.Missing)
	}
}

// TestGaugeOfARun: its log asks for no instrument, so nothing is missing there; of a reading of a pressure there is.
func TestGaugeOfARun(t *testing.T) {
	limit := Limit{Max: &quantity.Written{Text: "3.0", Unit: "bar"}, Margin: true, Accepted: true}
	for gauge, want := range map[bool]Verdict{false: Incomplete, true: Within} {
		read := []Item{{V: quantity.Written{Text: "2.0", Unit: "bar"}, Gauge: gauge}}
		if r := run(t, "direct", Inputs{Items: map[string][]Item{"value": read}, Limits: map[string]Limit{"value": limit}}); r.Verdict != want {
			t.Errorf("gauge of a run: %v, %s, missing %q; want %s", gauge, r.Verdict, r.Missing, want)
		}
	}
}

// TestSlips: half a turn of a thimble is 0.5 mm (trade's most common slip, common practice, no source). Two readings that far
// apart make no mean; what hands and tool explain does, and so do spots of one part that differ.
func TestSlips(t *testing.T) {
	plain := func(point, text string) Item { return Item{Point: point, V: mm(text)} }
	for _, c := range []struct {
		name    string
		journal []Item
		want    Verdict
	}{
		{"half a turn", byM1("74.981", "74.481"), Incomplete},
		{"as hands differ", byM1("74.981", "74.977"), Within},
		{"as far as may be", byM1("74.981", "74.953"), Within},
		{"a step further", byM1("74.981", "74.951"), Incomplete},
		{"no instrument", []Item{plain("", "74.981"), plain("", "74.481")}, Incomplete},
		{"third of three", byM1("74.981", "74.980", "74.481"), Incomplete},
	} {
		r := run(t, "clearance", Inputs{Items: map[string][]Item{"journal": c.journal, "shell": byM1("75.080")}, Limits: map[string]Limit{"clearance": tol("", "0.700")}})
		missing := strings.Join(r.Missing, " ")
		if r.Verdict != c.want || (c.want == Incomplete) != strings.Contains(missing, "more than any instrument explains") {
			t.Errorf("%s: %s, missing %q; want %s", c.name, r.Verdict, missing, c.want)
		}
	}
	felt := []Item{{V: quantity.Written{Text: "0.30", Unit: "mm", Is: "at least"}}, plain("", "0.55")}
	if r := run(t, "endfloat", Inputs{Items: map[string][]Item{"feeler": felt}}); len(r.Missing) > 0 {
		t.Errorf("a feeler that went, and a figure: missing %q", r.Missing)
	}
	clay := []Item{{Label: "4E", V: mm("1.52")}, {Label: "4E", V: mm("0.90")}, {Label: "4E", V: mm("1.60")}}
	if r := run(t, "clay", Inputs{Items: map[string][]Item{"clay": clay}}); len(r.Missing) > 0 || val(t, r, "gap.clay.4E").Text != "0.90" {
		t.Errorf("spots without a name: missing %q, %q", r.Missing, r.Says)
	}
	spots := []Item{plain("1", "1.86"), plain("2", "1.20"), plain("3", "1.86")}
	if r := run(t, "crushratio", Inputs{Items: map[string][]Item{"free": {plain("", "2.35")}, "compressed": spots}}); len(r.Missing) > 0 {
		t.Errorf("spots of one part: missing %q", r.Missing)
	}
}
