package calc

import (
	"math/rand"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// gaps are those of the scenario: 0.30 at inlets, 0.40 at exhausts, ± 0.03.
func gaps(items ...Item) Inputs {
	return Inputs{Items: map[string][]Item{"gap": items}, Opts: map[string]string{"state": "cold"},
		Limits: map[string]Limit{"inlet": tol("0.27", "0.33"), "exhaust": tol("0.37", "0.43")}}
}

// TestLash: limits of the invented scenario; the readings are invented too.
func TestLash(t *testing.T) {
	between := quantity.Written{Text: "0.30", To: "0.35", Unit: "mm"}
	wide := quantity.Written{Text: "0.35", To: "0.40", Unit: "mm"}
	for _, c := range []struct {
		name, valve string
		w           quantity.Written
		text        string
		verdict     Verdict
		says        string
	}{
		{"right", "1I", mm("0.30"), "0.30", Within, "Cold gap, 1I 0.30\u2009mm: within"},
		{"an exhaust by the same figure", "4E", mm("0.30"), "0.30", Outside, "Reset 1 of 1: 4E from 0.30 to 0.40\u2009mm, open it by 0.10."},
		{"too wide", "2I", mm("0.38"), "0.38", Outside, "2I from 0.38 to 0.30\u2009mm, close it by 0.08."},
		{"0.30 goes, 0.35 does not", "3I", between, "0.325", Within, ""},
		{"0.35 goes, 0.40 does not", "3I", wide, "0.375", Outside, "3I from 0.375 to 0.300\u2009mm, close it by 0.075"},
		{"0.40 still goes", "5I", quantity.Written{Text: "0.40", Unit: "mm", Is: "at least"}, "at least 0.40", Outside, "close it by at least 0.10"},
		{"0.20 does not go", "5I", quantity.Written{Text: "0.20", Unit: "mm", Is: "at most"}, "at most 0.20", Outside, "open it by at least 0.10"},
		{"0.30 goes, no larger one was tried", "5I", quantity.Written{Text: "0.30", Unit: "mm", Is: "at least"}, "at least 0.30", NotProven, ""},
		{"none felt", "6E", quantity.Written{Unit: "mm", Is: "nil"}, "0.00", Outside, "6E from 0.00 to 0.40\u2009mm, open it by 0.40"},
		{"labelled the other way", "2117/E3", mm("0.41"), "0.41", Within, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "lash", gaps(reading(c.valve, "", c.w)))
			if v := val(t, r, "gap."+c.valve); v.Text != c.text || v.Verdict != c.verdict {
				t.Errorf("%s %s, want %s %s", v.Text, v.Verdict, c.text, c.verdict)
			}
			if !strings.Contains(r.Says, c.says) {
				t.Errorf("%q, want %q", r.Says, c.says)
			}
		})
	}
}

// TestLashRocker: with a rocker of 1.5 the valve moves half as far again as
// the tappet (the lever; Archimedes), so 0.20 there is 0.30 at the valve.
func TestLashRocker(t *testing.T) {
	in := gaps(reading("1I", "", mm("0.20")), reading("1E", "", mm("0.20")))
	in.Opts["at"], in.Nominal = "tappet", written{"ratio": plain1("1.5"), "exhaust": mm("0.42")}
	r := run(t, "lash", in)
	if v := val(t, r, "gap.1I"); v.Text != "0.30" || v.Verdict != Within {
		t.Errorf("%s %s", v.Text, v.Verdict)
	}
	if !strings.Contains(r.Says, "1E from 0.30 to 0.42\u2009mm at the valve, 0.28 under the feeler, open it by 0.12") {
		t.Error(r.Says)
	}
}

func TestLashBad(t *testing.T) {
	with := func(change func(in *Inputs)) Inputs {
		in := gaps(reading("1I", "", mm("0.30")))
		change(&in)
		return in
	}
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"cold or hot", with(func(in *Inputs) { delete(in.Opts, "state") }), "cold or hot"},
		{"which valve", gaps(reading("1", "", mm("0.30"))), "an inlet or an exhaust"},
		{"a valve of both kinds", gaps(reading("1IE", "", mm("0.30"))), "an inlet or an exhaust"},
		{"no gaps", gaps(), "gap at each valve"},
		{"one of two", with(func(in *Inputs) { in.Opts["valves"] = "1I 1E" }), "gap, 1E"},
		{"ratio without place", with(func(in *Inputs) { in.Nominal = written{"ratio": plain1("1.5")} }), "at the valve or at the tappet"},
		{"place without ratio", with(func(in *Inputs) { in.Opts["at"] = "tappet" }), "rocker ratio"},
		{"ratio of nought", with(func(in *Inputs) { in.Opts["at"], in.Nominal = "tappet", written{"ratio": plain1("0")} }), "must be above nought"},
		{"an angle", gaps(reading("1I", "", deg("3"))), "not a length"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "lash", c.in, c.words) })
	}
}

func TestLashInches(t *testing.T) {
	sameInInches(t, "lash", func(r *rand.Rand, unit string) Inputs {
		in := gaps(reading("1I", "", length(0.2+0.2*r.Float64(), unit)), reading("1E", "", length(0.3+0.2*r.Float64(), unit)))
		in.Opts["at"], in.Nominal = "tappet", written{"ratio": plain1("1.1")}
		return in
	})
}
