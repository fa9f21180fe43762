package result

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/calc"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"

	story "witnessmark/testdata/demo"
)

// demo is the record of the invented workshop, from its device logs.
func demo(t testing.TB) *record.State {
	t.Helper()
	set := reconcile.New()
	for _, line := range story.Lines() {
		if _, err := set.Add(line); err != nil {
			t.Fatal(err)
		}
	}
	return record.Build(set.Resolve())
}

// TestDemoFigures: the figures that the invented scenario works out by hand
// come out of the core, from the device logs.
func TestDemoFigures(t *testing.T) {
	st := demo(t)
	if len(st.Unusable) > 0 {
		t.Fatalf("not usable: %+v", st.Unusable)
	}
	rs := All(st)
	for _, c := range []struct {
		id, val, text string
		verdict       calc.Verdict
		says          string
	}{
		{"journal/2123/pin.4/found", "ovality", "0.081", calc.Outside, ""},
		{"journal/2123/pin.1/found", "ovality", "0.012", calc.Within, ""},
		{"undersize/2123/pin/found", "needed", "0.282", calc.Within, "Grind to 0.50"},
		{"clearance/2123/main.1/found", "clearance.b.V", "0.095", "", ""},
		{"clearance/2123/main.7/found", "clearance.b.V", "0.091", "", ""},
		{"clearance/2123/pin.5/machined:1", "clearance.b.V", "0.069", calc.Within, ""},
		{"clearance/2123/pin.1/machined:1", "clearance.b.V", "0.057", calc.Within, ""},
		{"bore/2123/cyl.3/found", "wear", "0.162", calc.Outside, ""},
		{"ratio/2117/gasket/trial:GK-7", "ratio.2117", "15.00", calc.Outside, ""},
		{"ratio/2117/gasket/trial:GK-9", "ratio.2117", "16.12", calc.Within, ""},
		{"ratio/2123/gasket/trial:GK-9", "ratio.2123", "16.11", calc.Within, ""},
		{"bump/2117/gasket/trial:GK-7", "bump.2117/4", "1.55", calc.Outside, ""},
		{"bump/2117/gasket/trial:GK-7", "lead.2117/4", "1.56", calc.Outside, ""},
		{"bump/2117/gasket/trial:GK-9", "bump.2117/6", "0.87", calc.Within, ""},
		{"bump/2123/gasket/trial:GK-9", "bump.2123/3", "0.88", calc.Within, ""},
		{"clearance/2117/main.7/found", "clearance.b.V", "0.148", calc.NotProven, "Too close to call"},
		{"journal/2123/main.6/found", "size", "", calc.Contested, "Not settled: main 6 journal, plane b, square to it"},
	} {
		i := slices.IndexFunc(rs, func(r Res) bool { return r.ID == c.id })
		if i < 0 {
			t.Errorf("%s is missing", c.id)
			continue
		}
		r := rs[i]
		k := slices.IndexFunc(r.Vals, func(v calc.Val) bool { return v.Name == c.val })
		if k < 0 || c.text != "" && r.Vals[k].Text != c.text || c.verdict != "" && r.Verdict != c.verdict || !strings.Contains(r.Says, c.says) {
			t.Errorf("%s: want %s %s %s; got %s %q %+v missing %v", c.id, c.val, c.text, c.verdict, r.Verdict, r.Says, r.Vals, r.Missing)
		}
	}
}

// TestSecondReading: main 3 of 2123 as found agrees once M2's zero check is
// applied, and their mean is the size that counts.
func TestSecondReading(t *testing.T) {
	st := demo(t)
	i := slices.IndexFunc(All(st), func(r Res) bool { return r.ID == "journal/2123/main.3/found" })
	r := All(st)[i]
	if len(r.Disagree) != 0 || r.Vals[0].Text != "74.979" {
		t.Errorf("%s %+v", r.Says, r.Vals)
	}
	for k := range st.Places {
		for j := range st.Places[k].Readings {
			st.Places[k].Readings[j].Zero = nil
		}
	}
	r = All(st)[i]
	if r.Verdict != calc.Contested || !strings.Contains(r.Says, "Readings differ at main 3 journal, plane b, in the throw") || !strings.Contains(r.Says, "differ by 0.019; these tools agree to 0.006") {
		t.Errorf("without the zero check: %s %s", r.Verdict, r.Says)
	}
}

func TestEveryResultSaysWhose(t *testing.T) {
	rs := All(demo(t))
	if len(rs) < 60 {
		t.Errorf("only %d results", len(rs))
	}
	for _, r := range rs {
		if r.Asm == "" || r.Words == "" || r.Version == "" || r.Says == "" || len(r.Cautions) == 0 || len(r.Inputs) == 0 {
			t.Errorf("%s: %+v", r.ID, r)
		}
		if testing.Verbose() {
			t.Log(r.ID, "|", r.Verdict, r.Close, "|", r.Says, r.Missing, r.Mixes)
		}
	}
	if Digest(rs) != Digest(All(demo(t))) {
		t.Error("the digest changes")
	}
}

// TestOnlyALeadAccepts: a limit that somebody else accepted judges nothing.
func TestOnlyALeadAccepts(t *testing.T) {
	st := demo(t)
	for i := range st.Limits {
		st.Limits[i].Accepted = "idris"
	}
	for _, r := range All(st) {
		for _, v := range r.Vals {
			if v.Limit != nil && v.Verdict != calc.NoLimit {
				t.Fatalf("%s is judged %s by a limit that a fitter accepted", r.ID, v.Verdict)
			}
		}
	}
}

// TestUncorrectedSaysSo: a reading without a zero check says so in the working.
func TestUncorrectedSaysSo(t *testing.T) {
	rs := All(demo(t))
	i := slices.IndexFunc(rs, func(r Res) bool { return r.ID == "bore/2123/cyl.3/found" })
	if all := strings.Join(rs[i].Working, "\n"); !strings.Contains(all, "107.162\u2009mm with B1 is as read: its zero was not checked") {
		t.Error(all)
	}
}
