package calc

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

func mm(t string) quantity.Written { return quantity.Written{Text: t, Unit: "mm"} }

func ptr(w quantity.Written) *quantity.Written { return &w }

func tol(lo, hi string) Limit {
	l := Limit{Accepted: true}
	if lo != "" {
		l.Min = ptr(mm(lo))
	}
	if hi != "" {
		l.Max = ptr(mm(hi))
	}
	return l
}

var (
	m1 = &Tool{Key: "M1", U: 4e-6, Res: 1e-6}
	m2 = &Tool{Key: "M2", U: 4e-6, Res: 1e-6}
	b1 = &Tool{Key: "B1", U: 2e-6, Res: 1e-6}
)

func at(tool *Tool, values map[string]string) []Item {
	var points []string
	for p := range values {
		points = append(points, p)
	}
	slices.Sort(points)
	var out []Item
	for _, p := range points {
		out = append(out, Item{Ref: "r-" + p, Point: p, V: mm(values[p]), Tool: tool})
	}
	return out
}

func run(t *testing.T, name string, in Inputs) Result {
	t.Helper()
	r, err := Run(name, in)
	if err != nil {
		t.Fatal(err)
	}
	noteVector(name, name+": "+t.Name(), in)
	if len(r.Working) == 0 || len(r.Cautions) == 0 && name != "pair" || r.Says == "" {
		t.Errorf("no working, caution or sentence: %+v", r)
	}
	return r
}

func val(t *testing.T, r Result, name string) Val {
	t.Helper()
	i := slices.IndexFunc(r.Vals, func(v Val) bool { return v.Name == name })
	if i < 0 {
		t.Fatalf("no value %q in %+v; missing %v", name, r.Vals, r.Missing)
	}
	return r.Vals[i]
}

// TestJournal: pins 1 and 4 of engine 2123 (invented scenario).
func TestJournal(t *testing.T) {
	limits := map[string]Limit{"ovality": tol("", "0.025"), "taper": tol("", "0.013"), "size": tol("61.000", "")}
	for _, c := range []struct {
		name                string
		points              map[string]string
		size, oval, taper   string
		verdict, ofOvality  Verdict
		close               bool
		missing, wantPoints string
	}{
		{"pin 1", map[string]string{"a.V": "61.958", "a.H": "61.969", "b.V": "61.956", "b.H": "61.968", "c.V": "61.961", "c.H": "61.970"},
			"61.956", "0.012", "0.003", Within, Within, false, "", ""},
		{"pin 4, scored", map[string]string{"a.V": "61.781", "a.H": "61.852", "b.V": "61.768", "b.H": "61.849", "c.V": "61.790", "c.H": "61.857"},
			"61.768", "0.081", "0.009", Outside, Outside, false, "", ""},
		{"one plane only", map[string]string{"b.V": "74.982", "b.H": "74.987"}, "74.982", "0.005", "", Incomplete, Within, false,
			"diameter at plane a, in the throw", "a.V b.V b.H"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "journal", Inputs{Items: map[string][]Item{"diameter": at(m1, c.points)}, Limits: limits, Opts: map[string]string{"points": c.wantPoints}})
			if got := val(t, r, "size").Text; got != c.size {
				t.Errorf("size %s, want %s", got, c.size)
			}
			if v := val(t, r, "ovality"); v.Text != c.oval || v.Verdict != c.ofOvality {
				t.Errorf("out-of-round %s %s, want %s %s", v.Text, v.Verdict, c.oval, c.ofOvality)
			}
			if c.taper != "" && val(t, r, "taper").Text != c.taper {
				t.Errorf("taper %s, want %s", val(t, r, "taper").Text, c.taper)
			}
			if r.Verdict != c.verdict || c.missing != "" && !slices.Contains(r.Missing, c.missing) {
				t.Errorf("verdict %s, missing %v, want %s, %s", r.Verdict, r.Missing, c.verdict, c.missing)
			}
		})
	}
}

// TestBore: liner 3 of engine 2123 (invented scenario).
func TestBore(t *testing.T) {
	r := run(t, "bore", Inputs{Items: map[string][]Item{"diameter": at(nil, map[string]string{"top.thrust": "107.162", "bottom.thrust": "107.024"})},
		Nominal: sizes, Limits: map[string]Limit{"wear": tol("", "0.120"), "taper": tol("", "0.080")}})
	if w, tp := val(t, r, "wear"), val(t, r, "taper"); w.Text != "0.162" || tp.Text != "0.138" || w.Verdict != Outside || tp.Verdict != Outside {
		t.Errorf("wear %s %s, taper %s %s", w.Text, w.Verdict, tp.Text, tp.Verdict)
	}
}

// TestSharedErrorCancels: the micrometer's own error counts in a size and not
// in a difference of two sizes by it; a bore gauge set in it carries its own.
func TestSharedErrorCancels(t *testing.T) {
	bore := at(b1, map[string]string{"b.V": "75.079"})
	bore[0].Zero = &Zero{Ref: "z", Bar: mm("75.000"), Read: mm("75.000"), In: "M1"}
	journal := at(m1, map[string]string{"b.V": "74.979"})
	apart := at(b1, map[string]string{"b.V": "75.079"})
	clearance := func(shell []Item) Val {
		return val(t, run(t, "clearance", Inputs{Items: map[string][]Item{"journal": journal, "shell": shell},
			Limits: map[string]Limit{"clearance": tol("0.064", "0.150")}}), "clearance.b.V")
	}
	set, unset := clearance(bore), clearance(apart)
	if set.Text != "0.100" || set.Verdict != Within {
		t.Errorf("clearance %s %s", set.Text, set.Verdict)
	}
	if set.U >= unset.U || math.Abs(unset.U-math.Sqrt(4e-6*4e-6+2e-6*2e-6)) > 2e-7 {
		t.Errorf("set in the micrometer U = %v, apart %v", set.U, unset.U)
	}
	zero := func(items []Item, ref string) []Item {
		out := slices.Clone(items)
		out[0].Zero = &Zero{Ref: ref, Bar: mm("75.00"), Read: mm("75.00")}
		return out
	}
	bare := at(m1, map[string]string{"b.V": "75.079"})
	withZeros := func(a, b string) float64 {
		return val(t, run(t, "clearance", Inputs{Items: map[string][]Item{"journal": zero(journal, a), "shell": zero(bare, b)}}), "clearance.b.V").U
	}
	if one, two := withZeros("z", "z"), withZeros("z", "y"); two <= one || one > 1e-6 {
		t.Errorf("one zero check cancels, U = %v; two do not, U = %v", one, two)
	}
	same := val(t, run(t, "clearance", Inputs{Items: map[string][]Item{"journal": journal, "shell": at(m1, map[string]string{"b.V": "75.079"})}}), "clearance.b.V")
	if same.U > 1e-6 {
		t.Errorf("with one tool only its steps are left, U = %v", same.U)
	}
}

// TestPair: main 3 of engine 2123, two people, two micrometers, and the zero
// check that was found next morning (invented scenario).
func TestPair(t *testing.T) {
	idris := Item{Ref: "a", By: "Idris", V: mm("74.981"), Tool: m1}
	pell := Item{Ref: "b", By: "Pell", V: mm("74.962"), Tool: m2, Blind: true}
	r := run(t, "pair", Inputs{Items: map[string][]Item{"reading": {idris, pell}}})
	if r.Verdict != Contested || len(r.Disagree) != 1 || !strings.Contains(r.Says, "differ by 0.019; these tools agree to 0.006") {
		t.Errorf("%s: %s", r.Verdict, r.Says)
	}
	pell.Zero = &Zero{Ref: "z", Bar: mm("50.000"), Read: mm("49.985")}
	r = run(t, "pair", Inputs{Items: map[string][]Item{"reading": {idris, pell}}})
	if v := val(t, r, "mean"); v.Text != "74.979" || r.Verdict != Within {
		t.Errorf("after the zero check: %s %s: %s", v.Text, r.Verdict, r.Says)
	}
	if !strings.Contains(strings.Join(r.Working, "\n"), "+ 0.015 (zero check: M2 read 49.985\u2009mm on 50.000\u2009mm) = 74.977") {
		t.Errorf("the correction is not a line of its own: %q", r.Working)
	}
	idris.By = "Pell"
	if r = run(t, "pair", Inputs{Items: map[string][]Item{"reading": {idris, pell}}}); len(r.Disagree)+len(r.Vals) != 0 {
		t.Error("a repeat by the same person is no check reading")
	}
}

// TestTemperature: testdata/reference/temperature.json, worked from ISO 1; a
// steel part measured by a steel tool at one temperature needs no correction.
func TestTemperature(t *testing.T) {
	it := Item{Ref: "a", Point: "b.V", V: mm("107.000"), Temp: &quantity.Written{Text: "10", Unit: "degC"}}
	size := func(alpha string) Val {
		return val(t, run(t, "journal", Inputs{Items: map[string][]Item{"diameter": {it}}, Opts: map[string]string{"alpha": alpha}}), "size")
	}
	// Aluminium, 23: at 10 °C it has shrunk by 107 × (23 − 11.5)e-6 × 10 = 0.0123 mm more than the tool.
	if got := size("23").Text; got != "107.012" {
		t.Errorf("aluminium: %s", got)
	}
	if got := size("11.5").Text; got != "107.000" {
		t.Errorf("steel: %s", got)
	}
}

// engine is the data of an engine with a gasket lot (invented scenario).
func engine(serial string, protrusion []string, squeezed []string, opening string) map[string][]Item {
	items := map[string][]Item{
		"bowl":        {{Ref: "bowl", Label: serial, V: quantity.Written{Text: "72.6", Unit: "cm3"}, Tool: &Tool{Key: "BU", U: 3e-7}}},
		"recess":      {{Ref: "recess", Label: serial, V: quantity.Written{Text: "4.0", Unit: "cm3"}}},
		"gasket_bore": {{Ref: "open", Label: serial, V: mm(opening)}},
	}
	for i, p := range protrusion {
		items["protrusion"] = append(items["protrusion"], Item{Ref: "p", Label: serial + "/" + string(rune('1'+i)), V: mm(p)})
	}
	for i, c := range squeezed {
		items["compressed"] = append(items["compressed"], Item{Ref: "c", Label: serial, Point: string(rune('1' + i)), V: mm(c)})
	}
	return items
}

var (
	sheet2117 = []string{"0.33", "0.36", "0.35", "0.31", "0.35", "0.37"}
	sheet2123 = []string{"0.34", "0.33", "0.36", "0.35", "0.32", "0.34"}
	pelletsG7 = []string{"1.85", "1.87", "1.86", "1.86", "1.88", "1.84"}
	pelletsG9 = []string{"1.23", "1.25", "1.24", "1.24", "1.25", "1.23"}
	sizes     = map[string]quantity.Written{"bore": mm("107.00"), "stroke": mm("143.00"), "gasket_bore": mm("109.0")}
)

func one(t, u string) *quantity.Written { return &quantity.Written{Text: t, Unit: u} }

// TestRatio: the three gaskets of the invented scenario, worked by hand there.
func TestRatio(t *testing.T) {
	for _, c := range []struct {
		name, serial string
		protrusion   []string
		pellets      []string
		opening      string
		want         string
		verdict      Verdict
	}{
		{"2117 with GK-7", "2117", sheet2117, pelletsG7, "112.0", "15.00", Outside},
		{"2117 with GK-9", "2117", sheet2117, pelletsG9, "109.0", "16.12", Within},
		{"2123 with GK-9", "2123", sheet2123, pelletsG9, "109.0", "16.11", Within},
		{"nominal", "2117", sheet2117, []string{"1.20"}, "109.0", "16.18", Within},
		{"trap: the cylinder's bore for the gasket's", "2117", sheet2117, pelletsG7, "107.00", "15.25", Outside},
		{"trap: the free thickness", "2117", sheet2117, []string{"2.35"}, "112.0", "14.30", Outside},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "ratio", Inputs{Items: engine(c.serial, c.protrusion, c.pellets, c.opening), Nominal: sizes,
				Limits: map[string]Limit{"ratio": {Min: one("15.9", "1"), Max: one("16.5", "1"), Accepted: true}}})
			v := val(t, r, "ratio."+c.serial)
			if v.Text != c.want || r.Verdict != c.verdict {
				t.Errorf("%s %s, want %s %s", v.Text, r.Verdict, c.want, c.verdict)
			}
			if c.name == "2117 with GK-7" && (v.U < 0.04 || v.U > 0.07) {
				t.Errorf("band ± %v, worked by hand as ± 0.055", v.U)
			}
		})
	}
}

// TestThickGasket: common practice, no source: a six-cylinder engine of 7
// litres built for 15.5:1 comes down to about 14.0:1 when its gasket is
// 0.035 in too thick, with an opening near 115 mm.
func TestThickGasket(t *testing.T) {
	swept := 7000.0 / 6
	bore := math.Cbrt(swept * 1000 * 4 / math.Pi / 1.2)
	ratio := func(t_ string, bowl float64) float64 {
		in := Inputs{Items: map[string][]Item{
			"bowl":        {{V: quantity.Written{Text: quantity.Fixed(bowl, 4), Unit: "cm3"}}},
			"recess":      {{V: quantity.Written{Text: "0.0", Unit: "cm3"}}},
			"protrusion":  {{V: mm("0.00")}},
			"gasket_bore": {{V: mm("115.0")}},
			"compressed":  {{V: quantity.Written{Text: t_, Unit: "in"}}},
		}, Nominal: map[string]quantity.Written{"bore": mm(quantity.Fixed(bore, 4)), "stroke": mm(quantity.Fixed(bore*1.2, 4))}}
		return val(t, run(t, "ratio", in), "ratio.").SI
	}
	gasket := math.Pi / 4 * 11.5 * 11.5 * 0.035 * 2.54
	bowl := swept/14.5 - gasket
	if r := ratio("0.035", bowl); math.Abs(r-15.5) > 0.01 {
		t.Fatalf("as built %v", r)
	}
	if r := ratio("0.070", bowl); math.Abs(r-14.0) > 0.1 {
		t.Errorf("0.035 in too thick: %v, want about 14.0", r)
	}
}

// TestBump: cylinder 4 of 2117 with GK-7, three ways (invented scenario).
func TestBump(t *testing.T) {
	items := engine("2117", sheet2117, pelletsG7, "112.0")
	items["lead"] = []Item{{Ref: "l", Label: "2117/4", V: mm("1.56")}}
	items["clay"] = []Item{{Ref: "k", Label: "2117/4", V: mm("1.63")}}
	r := run(t, "bump", Inputs{Items: items, Limits: map[string]Limit{"bump": tol("0.75", "1.00"), "agree": tol("", "0.05")}})
	for name, want := range map[string]string{"bump.2117/4": "1.55", "bump.2117/6": "1.49", "lead.2117/4": "1.56", "clay.2117/4": "1.63",
		"lead-calculated.2117/4": "0.01", "clay-calculated.2117/4": "0.08"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if val(t, r, "lead-calculated.2117/4").Verdict != Within || r.Verdict != Outside {
		t.Errorf("verdict %s", r.Verdict)
	}
}

// TestGasket: one order for both engines; the window and who limits it follow
// from the smallest and largest protrusion (invented scenario, worked by hand).
func TestGasket(t *testing.T) {
	both := func(squeezed []string, free, valve string) Inputs {
		in := Inputs{Items: engine("2117", sheet2117, squeezed, "112.0"), Nominal: sizes, Opts: map[string]string{"valve_angle": "0"},
			Limits: map[string]Limit{"ratio": {Min: one("15.9", "1"), Max: one("16.5", "1"), Accepted: true}, "bump": tol("0.75", "1.00"), "valve": tol("1.0", "")}}
		for name, list := range engine("2123", sheet2123, nil, "109.0") {
			in.Items[name] = append(in.Items[name], list...)
		}
		delete(in.Items, "gasket_bore") // the gasket to order has the sheet's opening
		in.Items["free"] = []Item{{Ref: "f", Label: "2117", V: mm(free)}}
		in.Items["valve_clay"] = []Item{{Ref: "v", Label: "2117/E3", V: mm(valve)}}
		return in
	}
	r := run(t, "gasket", both(pelletsG7, "2.35", "2.2"))
	if !strings.HasPrefix(r.Says, "Between 1.12 and 1.31\u2009mm compressed, 2117 and 2123 meet every limit.") {
		t.Errorf("%s", r.Says)
	}
	if v := val(t, r, "lot.2117"); v.Verdict != Outside {
		t.Errorf("GK-7 is %s", v.Verdict)
	}
	// Best 1.21 at the crush of GK-7, (2.35 − 1.86) ÷ 2.35.
	if got := val(t, r, "order").Text; got != "1.53" {
		t.Errorf("order %s", got)
	}
	r = run(t, "gasket", both(pelletsG9, "1.58", "1.6"))
	if v := val(t, r, "lot.2117"); v.Verdict != Within {
		t.Errorf("GK-9 is %s: %s", v.Verdict, r.Says)
	}
	// Clay of 0.85 under 1.86 leaves 0.85 + (t − 1.86) ≥ 1.0, so t ≥ 2.01: against 1.31.
	r = run(t, "gasket", both(pelletsG7, "2.35", "0.85"))
	if r.Verdict != Outside || !strings.Contains(r.Says, "these limits collide: valve to piston at least 1.0\u2009mm (2117, valve E3) needs at least 2.01") {
		t.Errorf("%s: %s", r.Verdict, r.Says)
	}
}

// TestUndersize: the pins of engine 2123 (invented scenario).
func TestUndersize(t *testing.T) {
	in := Inputs{
		Items:   map[string][]Item{"diameter": {{Ref: "1", Label: "1", Point: "b.V", V: mm("61.956")}, {Ref: "4", Label: "4", Point: "b.V", V: mm("61.768")}}},
		Nominal: map[string]quantity.Written{"size": mm("62.000"), "cleanup": mm("0.050")},
		Limits:  map[string]Limit{"least": tol("61.000", "")},
		Opts:    map[string]string{"steps": "0.25 0.50 0.75 1.00", "tolerance": "0.015"},
	}
	r := run(t, "undersize", in)
	if val(t, r, "needed").Text != "0.282" || val(t, r, "step").Text != "0.50" || !strings.Contains(r.Says, "61.485 to 61.500") || !strings.Contains(r.Says, "2 steps are left") {
		t.Errorf("%s", r.Says)
	}
	in.Opts["steps"] = "0.25"
	if r = run(t, "undersize", in); r.Verdict != Outside || !strings.Contains(r.Says, "No undersize") {
		t.Errorf("%s: %s", r.Verdict, r.Says)
	}
}

// TestDecisionRule: the examples of testdata/reference for ISO 14253-1, and a
// limit taken as read.
func TestDecisionRule(t *testing.T) {
	var file struct {
		Examples []struct{ LSL, USL, Y, U, Verdict string }
	}
	b, err := os.ReadFile("../../testdata/reference/iso14253_1_decision_rule.json")
	if err == nil {
		err = json.Unmarshal(b, &file)
	}
	if err != nil || len(file.Examples) < 5 {
		t.Fatal(err, file)
	}
	words := map[string]Verdict{"conforms": Within, "not decidable": NotProven, "does not conform": Outside}
	for _, e := range file.Examples {
		q, _ := quantity.Parse(mm(e.U))
		l := tol(e.LSL, e.USL)
		l.Margin = true
		// Ten thousand degrees of freedom and no steps: U is the tool's alone.
		in := Inputs{Items: map[string][]Item{"diameter": {{Point: "b.V", V: mm(e.Y + "0000"), Tool: &Tool{Key: "X", U: q.SI}}}}, Limits: map[string]Limit{"size": l}}
		if got := val(t, run(t, "journal", in), "size").Verdict; got != words[e.Verdict] {
			t.Errorf("%s ± %s in %s to %s: %s, want %s", e.Y, e.U, e.LSL, e.USL, got, e.Verdict)
		}
	}
	in := Inputs{Items: map[string][]Item{"diameter": at(m1, map[string]string{"b.V": "50.028"})}, Limits: map[string]Limit{"size": tol("50.000", "50.030")}}
	if v := val(t, run(t, "journal", in), "size"); v.Verdict != Within || !v.Close {
		t.Errorf("as read: %s close %v, want within, close", v.Verdict, v.Close)
	}
	l := tol("50.000", "50.030")
	l.Accepted = false
	in.Limits["size"] = l
	if v := val(t, run(t, "journal", in), "size"); v.Verdict != NoLimit {
		t.Errorf("a limit that nobody accepted gave %s", v.Verdict)
	}
}

func TestBadInputs(t *testing.T) {
	if _, err := Run("horoscope", Inputs{}); !errors.Is(err, ErrUnknown) {
		t.Error(err)
	}
	for _, s := range Registry() {
		if r := s.Run(Inputs{}); r.Verdict != Incomplete || len(r.Missing) == 0 || !strings.HasPrefix(r.Says, "Not yet:") {
			t.Errorf("%s of nothing: %s %v %q", s.Name, r.Verdict, r.Missing, r.Says)
		}
		bad := Inputs{Items: map[string][]Item{}}
		for _, n := range s.Needs {
			bad.Items[n.Name] = []Item{{V: mm("1,234")}, {V: quantity.Written{Text: "x", Unit: "?"}}}
		}
		if r := s.Run(bad); r.Verdict != Incomplete && r.Verdict != NoLimit {
			t.Errorf("%s of nonsense: %s", s.Name, r.Verdict)
		}
	}
}

func FuzzRun(f *testing.F) {
	for _, s := range Registry() {
		f.Add(s.Name, []byte(`{"items":{"diameter":[{"point":"b.V","v":{"t":"74.981","u":"mm"}}]}}`))
	}
	f.Fuzz(func(t *testing.T, name string, raw []byte) {
		v, err := jcs.Parse(raw)
		if err != nil {
			return
		}
		in, err := FromJSON(v)
		if err != nil {
			return
		}
		if r, err := Run(name, in); err == nil {
			r.JSON().Append(nil)
		}
	})
}
