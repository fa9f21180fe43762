package calc

import (
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// w writes a value as "0.40 mm", "at most 0.35 mm", "0.30..0.35 mm" or "nil mm".
func w(text string) quantity.Written {
	i := strings.LastIndexByte(text, ' ')
	out := quantity.Written{Unit: text[i+1:]}
	text = text[:i]
	for _, is := range []string{"at least", "at most"} {
		if rest, ok := strings.CutPrefix(text, is+" "); ok {
			out.Is, text = is, rest
		}
	}
	if text == "nil" {
		out.Is, text = "nil", ""
	}
	out.Text, out.To, _ = strings.Cut(text, "..")
	return out
}

// readings makes items of "label@point=value", both label and point optional.
func readings(texts ...string) []Item {
	var out []Item
	for _, t := range texts {
		it := Item{Ref: "r" + t}
		if spot, value, ok := strings.Cut(t, "="); ok {
			t = value
			it.Label, it.Point, _ = strings.Cut(spot, "@")
		}
		it.V = w(t)
		out = append(out, it)
	}
	return out
}

// between is an accepted limit in a unit, either end "".
func between(lo, hi, unit string) Limit {
	l := Limit{Accepted: true}
	if lo != "" {
		l.Min = ptr(w(lo + " " + unit))
	}
	if hi != "" {
		l.Max = ptr(w(hi + " " + unit))
	}
	return l
}

// check is one case of a table.
type check struct {
	name, calc string
	items      map[string][]Item
	nominal    map[string]string
	limits     map[string]Limit
	opts       map[string]string
	vals       map[string]string // name: text
	verdict    Verdict
	says       string // part of the sentence
	missing    string // part of one line
	working    string // part of one line
}

func (c check) run(t *testing.T) {
	t.Run(c.calc+"/"+c.name, func(t *testing.T) {
		in := Inputs{Items: c.items, Limits: c.limits, Nominal: map[string]quantity.Written{}, Opts: c.opts}
		for k, v := range c.nominal {
			in.Nominal[k] = w(v)
		}
		r, err := Run(c.calc, in)
		if err != nil {
			t.Fatal(err)
		}
		noteVector(c.calc, c.calc+": "+c.name, in)
		for k, want := range c.vals {
			if got := val(t, r, k).Text; got != want {
				t.Errorf("%s is %s, want %s", k, got, want)
			}
		}
		if r.Verdict != c.verdict {
			t.Errorf("verdict %q, want %q; missing %v", r.Verdict, c.verdict, r.Missing)
		}
		if !strings.Contains(r.Says, c.says) || len(r.Cautions) == 0 {
			t.Errorf("says %q, cautions %v", r.Says, r.Cautions)
		}
		if c.missing != "" && !strings.Contains(strings.Join(r.Missing, "\n"), c.missing) {
			t.Errorf("missing %q, want %q", r.Missing, c.missing)
		}
		if c.working != "" && !strings.Contains(strings.Join(r.Working, "\n"), c.working) {
			t.Errorf("working %q, want %q", r.Working, c.working)
		}
	})
}

// TestBottomEnd: figures of the invented scenario unless a source is named.
func TestBottomEnd(t *testing.T) {
	for _, c := range []check{
		// Printed as 0.0001 in per inch: TM 5-3805-281-24-2, crankshaft main journals.
		{name: "taper for its length", calc: "journal", items: map[string][]Item{"diameter": readings("@a.V=3.7488 in", "@c.V=3.7485 in")},
			nominal: map[string]string{"length": "2.000 in"}, limits: map[string]Limit{"taper_rate": between("", "0.0001", "1")},
			vals: map[string]string{"taper": "0.0003", "taper_rate": "0.150"}, verdict: Outside},
		{name: "the same over its full length is a limit of its own", calc: "journal", items: map[string][]Item{"diameter": readings("@a.V=3.7488 in", "@c.V=3.7485 in")},
			limits: map[string]Limit{"taper": between("", "0.0005", "in")}, vals: map[string]string{"taper": "0.0003"}, verdict: Within},
		{name: "taper limit per length without a length", calc: "journal", items: map[string][]Item{"diameter": readings("@a.V=3.7488 in", "@c.V=3.7485 in")},
			limits: map[string]Limit{"taper_rate": between("", "0.0001", "1")}, verdict: Incomplete, missing: "distance of planes a and c"},
		{name: "hollow", calc: "journal", items: map[string][]Item{"diameter": readings("@a.V=61.781 mm", "@b.V=61.768 mm", "@c.V=61.790 mm")}, working: "hollow, V", vals: map[string]string{"size": "61.768"}},
		{name: "liner 3, out-of-round", calc: "bore", items: map[string][]Item{"diameter": readings("@top.thrust=107.162 mm", "@top.pin=107.120 mm", "@bottom.thrust=107.024 mm")},
			nominal: map[string]string{"bore": "107.000 mm"}, limits: map[string]Limit{"wear": between("", "0.120", "mm")},
			vals: map[string]string{"wear": "0.162", "taper": "0.138", "ovality": "0.042"}, verdict: Outside},
		{name: "clearance of three points", calc: "clearance", items: map[string][]Item{"journal": readings("@a.V=61.494 mm", "@b.V=61.493 mm", "@c.V=61.495 mm"), "shell": readings("@a.V=61.551 mm", "@b.V=61.549 mm", "@c.V=61.552 mm")},
			vals: map[string]string{"least": "0.056", "mean": "0.057", "most": "0.057"}},
		// TM 5-3805-262-34 p. 4-23: standard mains of at least 2.998 in, grind to 2.988 to 2.989 at 0.010.
		{name: "inch steps", calc: "undersize", items: map[string][]Item{"diameter": readings("1@b.V=2.9955 in", "2@b.V=2.9910 in")},
			nominal: map[string]string{"size": "2.999 in", "cleanup": "0.001 in"}, opts: map[string]string{"steps": "0.010 0.020 0.030", "tolerance": "0.001"},
			vals: map[string]string{"needed": "0.0090", "step": "0.010", "finished": "2.989"}, says: "2.988 to 2.989"},
		{name: "main, smallest clearance from sizes", calc: "shellbore", items: map[string][]Item{"housing": readings("80.000 mm"), "wall": readings("upper=2.468 mm", "lower=2.468 mm")},
			vals: map[string]string{"worked_out": "75.064"}},
		{name: "main, largest bore from sizes", calc: "shellbore", items: map[string][]Item{"housing": readings("80.013 mm"), "wall": readings("2.460 mm"), "bore": readings("75.095 mm")},
			limits: map[string]Limit{"agree": between("", "0.010", "mm")}, vals: map[string]string{"worked_out": "75.093", "difference": "0.002"}, verdict: Within, working: "one wall counts"},
		{name: "caps not tight", calc: "shellbore", items: map[string][]Item{"housing": readings("66.000 mm"), "wall": readings("2.226 mm"), "bore": readings("61.587 mm")},
			limits: map[string]Limit{"agree": between("", "0.010", "mm")}, vals: map[string]string{"worked_out": "61.548", "difference": "0.039"}, verdict: Outside},
		{name: "no walls", calc: "shellbore", items: map[string][]Item{"housing": readings("66.000 mm")}, verdict: Incomplete, missing: "walls of both half shells"},
		{name: "tappet, one feeler goes and the next does not", calc: "direct", items: map[string][]Item{"value": readings("0.30..0.35 mm")}, limits: map[string]Limit{"value": between("0.27", "0.36", "mm")}, verdict: Within},
		{name: "at most", calc: "direct", items: map[string][]Item{"value": readings("at most 0.35 mm")}, limits: map[string]Limit{"value": between("", "0.36", "mm")}, vals: map[string]string{"value.": "at most 0.35"}, verdict: Within},
		{name: "at most proves no least size", calc: "direct", items: map[string][]Item{"value": readings("at most 0.35 mm")}, limits: map[string]Limit{"value": between("0.27", "0.36", "mm")}, verdict: NotProven},
		// The wall comes out as the scenario says: 2.222 to 2.229 at the sizes in between.
		{name: "pin 1, after grinding", calc: "target", items: map[string][]Item{"journal": readings("1@b.V=61.494 mm"), "housing": readings("1=66.006 mm")},
			limits: map[string]Limit{"clearance": between("0.042", "0.084", "mm")},
			vals:   map[string]string{"from.1": "61.536", "to.1": "61.578", "best.1": "61.557", "wall_from.1": "2.214", "wall_to.1": "2.235"}, says: "Finish the bore, 1 to 61.536 to 61.578"},
		{name: "pin too far out of round", calc: "target", items: map[string][]Item{"journal": readings("4@b.V=61.768 mm", "4@b.H=61.849 mm")},
			limits: map[string]Limit{"clearance": between("0.042", "0.084", "mm")}, verdict: Outside, says: "No bore gives the clearance wanted"},
		{name: "nobody accepted the clearance", calc: "target", items: map[string][]Item{"journal": readings("61.494 mm")},
			limits: map[string]Limit{"clearance": {Min: ptr(mm("0.042")), Max: ptr(mm("0.084"))}}, verdict: Incomplete, missing: "the lead's consent"},
		{name: "nip by feeler, goes and goes not", calc: "crush", items: map[string][]Item{"nip": readings("2=0.05..0.06 mm"), "free": readings("2=66.42 mm")}, nominal: map[string]string{"housing": "66.00 mm"},
			limits: map[string]Limit{"nip": between("0.04", "0.10", "mm"), "spread": between("0.20", "1.00", "mm")}, vals: map[string]string{"nip.2": "0.06", "spread.2": "0.42"}, verdict: Within},
		{name: "no crush at all", calc: "crush", items: map[string][]Item{"nip": readings("nil mm")}, limits: map[string]Limit{"nip": between("0.04", "0.10", "mm")}, verdict: Outside},
		{name: "the thickest feeler goes", calc: "crush", items: map[string][]Item{"nip": readings("at least 0.12 mm")}, limits: map[string]Limit{"nip": between("0.04", "0.10", "mm")}, vals: map[string]string{"nip": "at least 0.12"}, verdict: Outside},
		{name: "crank of 2117", calc: "endfloat", items: map[string][]Item{"dial": readings("0.03 mm", "0.24 mm")}, nominal: map[string]string{"washer": "5.00 mm"}, limits: map[string]Limit{"float": between("0.15", "0.30", "mm")},
			vals: map[string]string{"float.dial": "0.21", "washer.dial": "4.99"}, verdict: Within},
		{name: "one way only", calc: "endfloat", items: map[string][]Item{"dial": readings("0.03 mm")}, verdict: Incomplete, missing: "levered the other way"},
		{name: "feeler at most", calc: "endfloat", items: map[string][]Item{"feeler": readings("clutch out=at most 0.10 mm")}, limits: map[string]Limit{"float": between("0.15", "0.30", "mm")}, verdict: Outside},
		{name: "rods of 2117", calc: "sideclearance", items: map[string][]Item{"feeler": readings("1=0.18 mm", "2=0.24 mm", "3=0.42 mm")}, limits: map[string]Limit{"side": between("0.15", "0.40", "mm")},
			vals: map[string]string{"side.feeler.1": "0.18"}, verdict: Outside, says: "3, 0.42"},
		{name: "rod side from sizes", calc: "sideclearance", items: map[string][]Item{"pin": readings("1=40.25 mm"), "rod": readings("1=40.05 mm")}, vals: map[string]string{"side.sizes.1": "0.20"}},
		// Bow is half the total reading: TM 10-3930-653-14&P, crankshaft bend note.
		{name: "centre main", calc: "bow", items: map[string][]Item{"dial": readings("4@0=0.00 mm", "4@90=0.03 mm", "4@180=0.06 mm", "4@270=0.02 mm"), "ovality": readings("4=0.01 mm")},
			limits: map[string]Limit{"bow": between("", "0.025", "mm")}, vals: map[string]string{"runout.4": "0.06", "bow.4": "0.030"}, verdict: Outside, working: "between 0.025 and 0.030"},
		{name: "three angles", calc: "bow", items: map[string][]Item{"dial": readings("4@0=0.00 mm", "4@90=0.03 mm", "4@180=0.06 mm")}, verdict: Incomplete, missing: "four angles"},
		// Oversizes of TM 9-2815-220-24, WP 0135: 0.010 to 0.040 in.
		{name: "inch rebore", calc: "oversize", items: map[string][]Item{"diameter": readings("1@top=5.7640 in", "2@top=5.7585 in")}, nominal: map[string]string{"size": "5.7500 in", "cleanup": "0.0030 in"},
			opts: map[string]string{"steps": "0.010 0.020 0.030 0.040"}, vals: map[string]string{"needed": "0.0170", "step": "0.020", "finished": "5.7700"}, says: "2 steps are left after this one. It is not held against a largest bore: none is accepted."},
		{name: "worn beyond the last step", calc: "oversize", items: map[string][]Item{"diameter": readings("1=107.990 mm")}, nominal: map[string]string{"size": "107.000 mm", "cleanup": "0.050 mm"},
			opts: map[string]string{"steps": "0.50 1.00"}, verdict: Outside, says: "Ask about liners"},
		// 159 mm aluminium skirt, 0.27 to 0.33 new: TM 9-6115-604-34, S7 of the trade's list.
		{name: "aluminium skirt", calc: "pistonfit", items: map[string][]Item{"bore": readings("1@lowest.thrust=159.01 mm", "1@top.thrust=159.05 mm"), "skirt": readings("1=158.71 mm")},
			nominal: map[string]string{"alpha_piston": "23 ppm/K", "alpha_bore": "10.5 ppm/K", "rise_piston": "60 1", "rise_bore": "50 1"},
			limits:  map[string]Limit{"clearance": between("0.27", "0.33", "mm")}, vals: map[string]string{"cold.1": "0.30", "hot.1": "0.16"}, verdict: Within},
		{name: "which piston", calc: "pistonfit", items: map[string][]Item{"bore": readings("1=107.01 mm"), "skirt": readings("2=106.90 mm")}, verdict: Incomplete, missing: "skirt of the piston, 1"},
		{name: "the new liner's ring in the old liner 3", calc: "ringgap", items: map[string][]Item{"gap": readings("3@top=0.40 mm")},
			nominal: map[string]string{"ref_bore": "107.010 mm", "ref_gap": "0.40 mm", "new_bore": "107.162 mm"}, limits: map[string]Limit{"gap": between("0.30", "0.90", "mm")},
			vals: map[string]string{"gap_there": "0.88", "bore.3.top": "107.010"}, verdict: Within},
		{name: "and back", calc: "ringgap", items: map[string][]Item{"gap": readings("3@top=0.88 mm")}, nominal: map[string]string{"ref_bore": "107.010 mm", "ref_gap": "0.40 mm"}, vals: map[string]string{"bore.3.top": "107.163"}},
		{name: "side clearance", calc: "ringgap", items: map[string][]Item{"groove": readings("1=3.05 mm"), "ring": readings("1=2.98 mm"), "side": readings("2=at most 0.05 mm")},
			limits: map[string]Limit{"side": between("", "0.10", "mm")}, vals: map[string]string{"side.sizes.1": "0.07", "side.2": "at most 0.05"}, verdict: Within},
	} {
		c.run(t)
	}
}

// TestBowlAndCrush: figures of the invented scenario.
func TestBowlAndCrush(t *testing.T) {
	for _, c := range []check{
		{name: "piston 10 mm down", calc: "bowl", items: map[string][]Item{"filled": readings("1=162.5 cm3")}, nominal: map[string]string{"bore": "107.00 mm", "depth": "10.00 mm"},
			vals: map[string]string{"volume.1": "72.6"}, working: "0.18\u2009cm³"},
		{name: "head recess", calc: "bowl", items: map[string][]Item{"filled": readings("1=4.0 cm3")}, limits: map[string]Limit{"bowl": between("3.7", "4.3", "cm3")}, vals: map[string]string{"volume.1": "4.0"}, verdict: Within},
		{name: "depth in the wrong unit", calc: "bowl", items: map[string][]Item{"filled": readings("1=162.5 mm")}, verdict: Incomplete, missing: "is not a volume"},
		{name: "nothing left", calc: "bowl", items: map[string][]Item{"filled": readings("1=62.5 cm3")}, nominal: map[string]string{"bore": "107.00 mm", "depth": "10.00 mm"}, verdict: Incomplete, missing: "go together"},
		{name: "GK-7", calc: "crushratio", items: map[string][]Item{"free": readings("2.35 mm"), "compressed": readings("1.86 mm")}, nominal: map[string]string{"wanted": "1.20 mm", "offered": "1.58 mm"},
			vals: map[string]string{"crush": "20.9", "order": "1.52", "becomes": "1.25"}},
		{name: "GK-9", calc: "crushratio", items: map[string][]Item{"free": readings("1.58 mm"), "compressed": readings("1.24 mm")}, vals: map[string]string{"crush": "21.5"}},
		{name: "nominal", calc: "crushratio", items: map[string][]Item{"free": readings("1.55 mm"), "compressed": readings("1.20 mm")}, vals: map[string]string{"crush": "22.6"}},
		{name: "thicker under torque", calc: "crushratio", items: map[string][]Item{"free": readings("1.20 mm"), "compressed": readings("1.55 mm")}, verdict: Incomplete, missing: "of one gasket"},
	} {
		c.run(t)
	}
}

// TestRatioMore: spread, sensitivity and the effective ratio; 2117 with GK-9
// (invented scenario), inlet closing 45° after bottom dead centre.
func TestRatioMore(t *testing.T) {
	items := map[string][]Item{"protrusion": readings("2117/1=0.33 mm", "2117/2=0.36 mm", "2117/3=0.35 mm", "2117/4=0.31 mm", "2117/5=0.35 mm", "2117/6=0.37 mm"),
		"compressed": readings("2117=1.24 mm"), "gasket_bore": readings("2117=109.0 mm"), "bowl": readings("2117=72.6 cm3"), "recess": readings("2117=4.0 cm3")}
	nominal := map[string]string{"bore": "107.00 mm", "stroke": "143.00 mm", "rod": "260.0 mm", "intake_closes": "45 deg"}
	limits := map[string]Limit{"ratio": between("15.9", "16.5", "1"), "spread": between("", "0.20", "1")}
	check{name: "spread and effective", calc: "ratio", items: items, nominal: nominal, limits: limits,
		vals: map[string]string{"ratio.2117": "16.12", "ratio.2117/4": "16.06", "ratio.2117/6": "16.16", "spread.2117": "0.10", "effective.2117": "14.43"}, verdict: Within,
		working: "0.17, one thou by 0.042, one cm³ by 0.178"}.run(t)
	nominal["rod"] = "50.0 mm"
	check{name: "a rod shorter than the throw", calc: "ratio", items: items, nominal: nominal, limits: limits, verdict: Incomplete, missing: "a rod longer than"}.run(t)
}
