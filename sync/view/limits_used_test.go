package view

import (
	"cmp"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// unread is a limit of what nobody reads in the scenario: a main journal in
// its outer planes.
const unread = "main.taper"

// Whatever the list offers for a place by what it is, is looked up when
// results are made: set alone, and accepted, some result of the invented
// scenario rests on it. Limits of the calculations that a sheet names are
// looked up by the same names as they are listed, so they are left out here.
func TestEveryListedLimitIsLookedUp(t *testing.T) {
	s := demo(t)
	typ := s.st.Engines[0].Type
	for _, l := range result.Limits(s.st.Engines[0].Pattern) {
		for _, name := range l.Names {
			calculation, _, _ := strings.Cut(name, ".")
			if _, bound := calc.Find(calculation); name == unread || bound && name != "bump.agree" && name != "bump" && name != "ratio" {
				continue
			}
			t.Run(name, func(t *testing.T) {
				unit := usualFirst(unitsFor(l.Unit), l.Usual)[0].Code
				s.st.Limits = []record.Limit{{ID: "the limit", Name: name, Pattern: typ, Accepted: "maud", Max: &quantity.Written{Text: "1000", Unit: unit}}}
				if !slices.ContainsFunc(result.All(s.st), func(r result.Res) bool { return slices.Contains(r.Inputs, "the limit") }) {
					t.Errorf("%s is listed, and nothing asks for it", name)
				}
			})
		}
	}
}

// TestTypeSheetJudgesNothing: least pressures that only stand on the type
// sheet give no verdict; those that the lead set and accepted do, each at its
// station, and all of them are on the list of what can be set.
func TestTypeSheetJudgesNothing(t *testing.T) {
	s := demo(t)
	e := &s.st.Engines[0]
	sheet := e.Pattern.JSON()
	oil := feature("oil.pressure", "oil pressure · at a station", 0).With("unit", jcs.Str("bar")).With("points", jcs.Strs([]string{"500", "800"})).
		With("calc", jcs.Str("oilpressure")).With("item", jcs.Str("pressure"))
	p, err := pattern.Parse(sheet.With("features", jcs.Arr(append(sheet.Get("features").Items(), oil)...)).
		With("options", jcs.Obj(jcs.M("oilpressure", jcs.Obj(jcs.M("minima", jcs.Str("500:1.0 800:1.6")))))))
	if err != nil {
		t.Fatal(err)
	}
	e.Pattern = p
	bar := func(t string) quantity.Written { return quantity.Written{Text: t, Unit: "bar"} }
	for point, value := range map[string]string{"500": "0.8", "800": "2.0"} {
		s.st.Places = append(s.st.Places, record.Place{Key: e.Serial, At: "oil.pressure", Point: point, Cond: "built",
			Readings: []record.Reading{{ID: "oil " + entry.ID(point), Value: bar(value)}}})
	}
	slices.SortStableFunc(s.st.Places, func(x, y record.Place) int { return cmp.Or(cmp.Compare(x.Key, y.Key), cmp.Compare(x.At, y.At)) })
	judged := func(min ...record.Limit) string {
		s.st.Limits = min
		all := result.All(s.st)
		i := slices.IndexFunc(all, func(r result.Res) bool { return r.Calc == "oilpressure" && r.At == "oil.pressure" })
		return string(all[i].Verdict)
	}
	if got := judged(); got != string(calc.NoLimit) {
		t.Errorf("with the type sheet alone: %q", got)
	}
	name := "oilpressure.min.500"
	least := bar("1.0")
	if got := judged(record.Limit{Name: name, Asm: e.Serial, Min: &least, Accepted: "maud"}); got != string(calc.Outside) {
		t.Errorf("with the lead's limit: %q", got)
	}
	if !slices.ContainsFunc(result.Limits(p), func(l result.LimitOf) bool { return l.Names[0] == name }) {
		t.Errorf("%s cannot be set", name)
	}
}
