package view

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/calc"
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
