package calc

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// TestNames: a name that a calculation does not have is refused, with the one
// that was meant and all that there are.
func TestNames(t *testing.T) {
	const journal = "it takes items: diameter, length; limits: size, ovality, taper, taper_rate; nominal: length; opts: points, alpha"
	item := []Item{{V: mm("1")}}
	for _, c := range []struct {
		calc string
		in   Inputs
		want string
	}{
		{"journal", Inputs{Items: map[string][]Item{"diameter": item}, Limits: map[string]Limit{"size": {}}, Opts: map[string]string{"alpha": "11.5"}}, ""},
		{"journal", Inputs{Items: map[string][]Item{"diamter": item}}, "journal takes no reading named 'diamter'; nearest is diameter; " + journal},
		{"journal", Inputs{Items: map[string][]Item{"ovality": item}}, "journal takes no reading named 'ovality'; ovality is a limit; " + journal},
		{"journal", Inputs{Limits: map[string]Limit{"wobble": {}}}, "journal takes no limit named 'wobble'; " + journal},
		{"journal", Inputs{Nominal: written{"diameter": mm("62")}}, "journal takes no size named 'diameter'; diameter is a reading; " + journal},
		{"direct", Inputs{Nominal: written{"value": mm("62")}}, "direct takes no size named 'value'; value is a reading; it takes items: value; limits: value; opts: alpha"},
		{"journal", Inputs{Opts: map[string]string{"point": "a.V"}}, "journal takes no option named 'point'; nearest is points; " + journal},
		{"clearance", Inputs{Nominal: written{"size": mm("62")}}, "clearance takes no size named 'size'; it takes items: journal, shell; limits: clearance; opts: points, alpha"},
		{"oilpressure", Inputs{Limits: map[string]Limit{"min.500": {}, "min": {}}}, ""},
		{"oilpressure", Inputs{Limits: map[string]Limit{"min.": {}}}, "oilpressure takes no limit named 'min.'; nearest is min; it takes items: pressure, oil_temp, previous; limits: min, min.*, fall, below_previous, difference; opts: minima, minima_unit"},
		{"valveorder", Inputs{Opts: map[string]string{"alpha": "11.5"}}, "valveorder takes no option named 'alpha'; it takes items: inlet_opens, inlet_closes, exhaust_opens, exhaust_closes; nominal: inlet_opens, inlet_closes, exhaust_opens, exhaust_closes; opts: order, direction"},
	} {
		spec, _ := Find(c.calc)
		got := ""
		if err := spec.CheckNames(c.in); err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%s\n got %q\nwant %q", c.calc, got, c.want)
		}
	}
}

// TestVectorsFitTheirSchema: no vector has a name that its calculation's
// schema lacks.
func TestVectorsFitTheirSchema(t *testing.T) {
	for _, v := range allVectors(t) {
		if err := specOf(v.calc).CheckNames(v.in); err != nil {
			t.Errorf("%s: %v", v.name, err)
		}
	}
}

// TestSchemaRefusesNothingThatWorks moves every single reading of the vectors
// to where sizes are typed, and every typed size to the readings: the schema
// lists the name there when the result is the same, and only then.
func TestSchemaRefusesNothingThatWorks(t *testing.T) {
	works, moved := map[string]bool{}, map[string]bool{}
	for _, v := range allVectors(t) {
		want := specOf(v.calc).Run(v.in)
		for name, w := range v.in.Nominal {
			in := v.in
			in.Items, in.Nominal = maps.Clone(v.in.Items), maps.Clone(v.in.Nominal)
			if len(in.Items[name]) > 0 {
				continue
			}
			if in.Items == nil {
				in.Items = map[string][]Item{}
			}
			in.Items[name] = []Item{{V: w}}
			delete(in.Nominal, name)
			note(works, moved, v.calc+" item "+name, w, want, specOf(v.calc).Run(in))
		}
		for name, its := range v.in.Items {
			if _, both := v.in.Nominal[name]; both || len(its) != 1 || its[0].Zero != nil || its[0].Temp != nil {
				continue
			}
			in := v.in
			in.Items, in.Nominal = maps.Clone(v.in.Items), maps.Clone(v.in.Nominal)
			if in.Nominal == nil {
				in.Nominal = written{}
			}
			in.Nominal[name] = its[0].V
			delete(in.Items, name)
			note(works, moved, v.calc+" nominal "+name, its[0].V, want, specOf(v.calc).Run(in))
		}
	}
	for key := range moved {
		f := strings.Fields(key)
		listed := slices.ContainsFunc(specOf(f[0]).takes(f[1]), func(n Need) bool { return n.is(f[2]) })
		if listed != works[key] {
			t.Errorf("%s: the schema lists it %v, it works %v", key, listed, works[key])
		}
	}
	if len(moved) < 100 {
		t.Errorf("only %d inputs were moved", len(moved))
	}
}

// note notes whether a value was read where it was moved to.
func note(works, moved map[string]bool, key string, w quantity.Written, want, got Result) {
	moved[key] = true
	read := func(r Result) bool { return strings.Contains(strings.Join(r.Working, "\n"), w.String()) }
	same := slices.EqualFunc(want.Vals, got.Vals, func(a, b Val) bool { return nearly(a.SI, b.SI) || strings.HasPrefix(a.Name, "en") })
	works[key] = works[key] || same && len(want.Missing) == len(got.Missing) && read(got) == read(want)
}

// TestFamilyInSchema: a family of names is a pattern, and nothing else passes.
func TestFamilyInSchema(t *testing.T) {
	limits := oilpressureSpec.Schema().Get("properties").Get("limits")
	if limits.Get("patternProperties").Get(`^min\..`).IsNull() || limits.Get("properties").Get("min").IsNull() || !limits.Get("properties").Get("min.*").IsNull() {
		t.Error(limits)
	}
	if limits.Get("additionalProperties").String() != "false" {
		t.Error("any name passes")
	}
}

// TestMixedKinds: readings of any kind must be of one kind; a length and a
// pressure have no mean and no difference.
func TestMixedKinds(t *testing.T) {
	bar := quantity.Written{Text: "25", Unit: "bar"}
	lacks(t, "direct", Inputs{Items: map[string][]Item{"value": {{V: mm("25")}, {V: bar}}}}, "25\u2009bar is not a length")
	lacks(t, "pair", Inputs{Items: map[string][]Item{"reading": {{By: "a", V: mm("25")}, {By: "b", V: bar}}}}, "25\u2009bar is not a length")
}
