package view

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

func limitNamed(t *testing.T, v jcs.Value, name string) jcs.Value {
	t.Helper()
	for _, l := range find(v, "types.0.limits").Items() {
		if l.Get("name").Text() == name {
			return l
		}
	}
	t.Fatalf("no limit %s", name)
	return jcs.Null()
}

// Common practice, no source: 0.003 to 0.004 of the bore for a ring's gap, so
// 0.321 to 0.428 mm on 107 mm, by hand.
func TestCommonPracticeIsOfferedWhereNothingIsSet(t *testing.T) {
	s := demo(t)
	v := s.view("limits", `{}`)
	gap := limitNamed(t, v, "cyl.gap")
	if says := find(gap, "offer.says").Text(); says != "0.321 to 0.428\u2009mm" {
		t.Errorf("offered %q", says)
	}
	if words := find(gap, "offer.words").Text(); !strings.HasPrefix(words, "Common practice, no source") {
		t.Errorf("the offer is not labelled: %q", words)
	}
	if !find(gap, "offer.body.accepted").IsNull() {
		t.Error("an offer comes as accepted")
	}
	if clearance := limitNamed(t, v, "main.clearance"); clearance.Get("says").Text() == "" || !clearance.Get("offer").IsNull() {
		t.Error("something is offered beside the maker's limit")
	}
	for _, r := range s.rs {
		for _, val := range r.Vals {
			if val.Limit != nil && strings.HasPrefix(val.Limit.Words, "Common practice") {
				t.Errorf("%s is judged by a figure that nobody took", r.ID)
			}
		}
	}
}

// Every limit that the invented scenario sets for its engine type can be found
// among those of the type, but for those of hold tests, which go by the test.
func TestEveryLimitInUseIsListed(t *testing.T) {
	s := demo(t)
	var names []string
	for _, l := range slices.Concat(result.Limits(s.st.Engines[0].Pattern), result.BenchLimits(result.Stations(s.st))) {
		names = append(names, l.Names...)
	}
	for _, l := range s.st.Limits {
		if !strings.HasPrefix(l.Name, "hold.") && !slices.Contains(names, l.Name) {
			t.Errorf("limit %s is not on the list", l.Name)
		}
	}
}

// A ring gap has no limit: no verdict. Proposed by a fitter, it still has
// none; taken by the lead, it has one.
func TestAnOfferJudgesOnceALeadTakesIt(t *testing.T) {
	for _, tc := range []struct {
		name, accepted string
		judged         bool
	}{{"offered only", "-", false}, {"proposed, nobody took it", "", false}, {"taken by a fitter", "idris", false}, {"taken by the lead", "maud", true}} {
		t.Run(tc.name, func(t *testing.T) {
			s := demo(t)
			p, ok := result.PracticeFor(s.st.Engines[0].Pattern, "cyl.gap")
			if !ok {
				t.Fatal("nothing offered")
			}
			if tc.accepted != "-" {
				s.st.Limits = append(s.st.Limits, record.Limit{ID: "x", Name: "cyl.gap", Pattern: s.st.Engines[0].Type, Min: p.Min, Max: p.Max, Words: p.Words, Accepted: tc.accepted})
			}
			if judged := judgedByPractice(result.All(s.st)); judged != tc.judged {
				t.Errorf("judged %v", judged)
			}
		})
	}
}

func judgedByPractice(rs []result.Res) bool {
	for _, r := range rs {
		for _, val := range r.Vals {
			if strings.HasSuffix(r.At, ".gap") && val.Verdict != calc.NoLimit {
				return true
			}
		}
	}
	return false
}

// The limit of a hold test is written in the unit that gauges read, with the
// others of pressure, of a fall and of a leak behind it, each once.
func TestUnitsOfAHoldLimit(t *testing.T) {
	fuel := limitNamed(t, demo(t).view("limits", `{}`), "hold.fuel")
	for _, c := range []struct {
		list, first string
		more        []string
	}{{"units", "bar", []string{"psi", "kPa", "bar/min", "cm3/min"}}, {"pressures", "bar", []string{"psi", "kPa"}}} {
		var codes []string
		for _, u := range fuel.Get(c.list).Items() {
			codes = append(codes, u.Get("code").Text())
		}
		if len(codes) == 0 || codes[0] != c.first {
			t.Fatalf("%s: %v, first of them not %s", c.list, codes, c.first)
		}
		for _, m := range append(c.more, c.first) {
			if i := slices.Index(codes, m); i < 0 || slices.Index(codes[i+1:], m) >= 0 {
				t.Errorf("%s: %s is not there once: %v", c.list, m, codes)
			}
		}
	}
}
