package result

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/calc"
	"witnessmark/sync/record"
)

func byID(t *testing.T, all []Res, id string) Res {
	t.Helper()
	i := slices.IndexFunc(all, func(r Res) bool { return r.ID == id })
	if i < 0 {
		t.Fatalf("no result %s", id)
	}
	return all[i]
}

// TestTwins: what was read on both engines of the invented scenario is
// compared, at the places read on both and nowhere else. The difference of
// main bearing 7 is that of the two sizes once the second micrometer's zero is taken off.
func TestTwins(t *testing.T) {
	st := demo(t)
	all := All(st)
	r := byID(t, all, "twin/2117+2123/main.N.journal/found")
	if len(r.Inputs) < 2 || r.Verdict != calc.NoLimit {
		t.Errorf("journals: %s, rests on %q", r.Verdict, r.Inputs)
	}
	if !strings.Contains(strings.Join(r.Working, "\n"), "at 7.b.V: 74.986 − 74.958 = 0.028\u2009mm") {
		t.Errorf("journals: working %q", r.Working)
	}
	for _, r := range all {
		if r.Calc == "twin" && len(r.Missing) > 0 {
			t.Errorf("%s misses %q: what one side lacks is no part of it", r.ID, r.Missing)
		}
	}
}

// TestTwinsSides: the pair is left and right as it stands, never as it is
// sorted; engines that change sides change the sign, and with no side known
// nothing is compared.
func TestTwinsSides(t *testing.T) {
	mean := func(st *record.State) float64 {
		return byID(t, All(st), "twin/2117+2123/valve.N.clay/trial:GK-9").val(t, "mean")
	}
	st := demo(t)
	before := mean(st)
	for i := range st.Engines {
		st.Engines[i].Fit.Side = map[string]string{"left": "right", "right": "left"}[st.Engines[i].Fit.Side]
	}
	if after := mean(st); after != -before || before == 0 {
		t.Errorf("changed over, the mean is %v, was %v", after, before)
	}
	st.Engines[0].Fit.Side = ""
	if slices.ContainsFunc(All(st), func(r Res) bool { return r.Calc == "twin" }) {
		t.Error("one engine on a stand is compared as if it stood on a side")
	}
}

func (r Res) val(t *testing.T, name string) float64 {
	t.Helper()
	i := slices.IndexFunc(r.Vals, func(v calc.Val) bool { return v.Name == name })
	if i < 0 {
		t.Fatalf("%s has no value %s", r.ID, name)
	}
	return r.Vals[i].SI
}
