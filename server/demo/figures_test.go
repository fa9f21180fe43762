package demo

import (
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/calc"
	"witnessmark/sync/quantity"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// The figures below are worked out by hand in the scenario, section 8.5, from the readings of section 8.4; they are no
// outside source. Where the core differs is said beside the line.

// until returns what the demo says by the day, in the story's own order: every entry whose true time is before it.
func until(t *testing.T, day string) *record.State {
	t.Helper()
	story, err := Compose(os.DirFS(folder), "story.txt")
	if err != nil {
		t.Fatal(err)
	}
	set := reconcile.New()
	for _, l := range story.Logs {
		for _, e := range l.Entries {
			if day == "" || e.At < day {
				set.AddEntry(e)
			}
		}
	}
	return record.Build(set.Resolve())
}

func find(t *testing.T, rs []result.Res, id string) result.Res {
	t.Helper()
	i := slices.IndexFunc(rs, func(r result.Res) bool { return r.ID == id })
	if i < 0 {
		t.Fatalf("there is no result %s", id)
	}
	return rs[i]
}

func text(t *testing.T, r result.Res, name string) string {
	t.Helper()
	i := slices.IndexFunc(r.Vals, func(v calc.Val) bool { return v.Name == name })
	if i < 0 {
		t.Fatalf("%s has no value %s", r.ID, name)
	}
	return r.Vals[i].Text
}

func TestFigures(t *testing.T) {
	rs := result.All(until(t, ""))
	cases := []struct {
		id, value, want string
		verdict         calc.Verdict
	}{
		{"ratio/2117/gasket/trial:GK-7", "ratio.2117", "15.00", "outside"},
		{"ratio/2117/gasket/trial:GK-9", "ratio.2117", "16.12", "within"},
		{"ratio/2123/gasket/trial:GK-9", "ratio.2123", "16.11", "within"},
		{"bump/2117/gasket/trial:GK-7", "bump.2117/6", "1.49", "outside"},
		{"bump/2117/gasket/trial:GK-7", "bump.2117/4", "1.55", "outside"},
		{"bump/2117/gasket/trial:GK-7", "lead.2117/4", "1.56", "outside"},
		{"bump/2117/gasket/trial:GK-7", "lead-calculated.2117/4", "0.01", "outside"},
		// The scenario says 'clay 0.07 high': that is against the lead. Against what is calculated it is 1.63 − 1.55.
		{"bump/2117/gasket/trial:GK-7", "clay-calculated.2117/4", "0.08", "outside"},
		{"bump/2117/gasket/trial:GK-9", "bump.2117/6", "0.87", "within"},
		{"bump/2117/gasket/trial:GK-9", "bump.2117/4", "0.93", "within"},
		{"bump/2123/gasket/trial:GK-9", "bump.2123/3", "0.88", "within"},
		{"bump/2123/gasket/trial:GK-9", "bump.2123/5", "0.92", "within"},
		{"gasket/2117+2123/gasket/trial:GK-7", "crush.2117", "20.9", "outside"},
		{"gasket/2117+2123/gasket/trial:GK-9", "crush.2117", "21.5", "within"},
		{"undersize/2123/pin/found", "needed", "0.282", "within"},
		{"undersize/2123/pin/found", "step", "0.50", "within"},
		{"undersize/2123/pin/found", "finished", "61.500", "within"},
		{"journal/2123/pin.4/found", "size", "61.768", "outside"},
		{"journal/2123/pin.4/found", "ovality", "0.081", "outside"},
		{"journal/2123/pin.4/found", "taper", "0.009", "outside"},
		{"journal/2123/pin.3/found", "ovality", "0.020", "within"},
		{"journal/2123/main.3/found", "size", "74.979", "within"},
		{"clearance/2123/main.3/found", "clearance.b.V", "0.100", "within"},
		{"clearance/2123/main.7/found", "clearance.b.V", "0.091", "within"},
		{"clearance/2123/pin.5/machined:1", "clearance.b.V", "0.069", "within"},
		{"clearance/2123/pin.4/machined:1", "clearance.b.V", "0.058", "within"},
		{"bore/2123/cyl.3/found", "wear", "0.162", "outside"},
		{"bore/2123/cyl.3/found", "taper", "0.138", "outside"},
		{"timing/2117/timing.rim/found", "timing", "20.0", "outside"},
		{"timing/2117/timing.rim/built", "timing", "24.0", "within"},
		{"chain/2117/chain.length/found", "elongation", "0.75", "outside"},
		{"chain/2117/chain.length/found", "lag", "4.0", "outside"},
		{"chain/2117/chain.length/found", "lag_allowed", "5.3", "outside"},
		{"chain/2117/chain.length/found", "allowed", "0.19", "outside"},
		{"cranking/2117/cyl.N.compression/trial:GK-7", "mean.2117", "24.60", "outside"},
		{"cranking/2117/cyl.N.compression/trial:GK-7", "spread.2117", "2.0", "outside"},
		{"cranking/2117/cyl.N.compression/built", "mean.2117", "26.80", "within"},
		{"cranking/2117/cyl.N.compression/built", "spread.2117", "1.9", "within"},
		{"injectors/2123/injector.N.opening/built", "spread.2123", "5", "within"},
		{"alignment/2117/coupling.rim/trial:first", "shim.near", "0.225", "outside"},
		{"alignment/2117/coupling.rim/trial:first", "shim.far", "0.575", "outside"},
		{"clutchdrag/2123/clutch.pull/trial:first", "drag.", "15.5", "outside"},
		{"clutchdrag/2123/clutch.pull/built", "drag.", "10.0", "within"},
		// Left open for somebody new to settle; not in the scenario.
		{"clearance/2117/main.7/found", "clearance.b.V", "0.148", "not proven"},
		{"journal/2123/main.6/found", "size", "74.983", "contested"},
	}
	for _, c := range cases {
		r := find(t, rs, c.id)
		if got := text(t, r, c.value); got != c.want || r.Verdict != c.verdict {
			t.Errorf("%s: %s = %s, %s; want %s, %s", c.id, c.value, got, r.Verdict, c.want, c.verdict)
		}
	}
}

// TestFiguresFromSizes: what section 8.5 works out of the drawing's sizes of section 8.3. Bore, stroke, cylinders and the
// largest journals are those of the demo's type sheet; the rest of 8.3 is on no sheet.
func TestFiguresFromSizes(t *testing.T) {
	typ := until(t, "").Engines[0].Pattern
	one := func(value, unit string) quantity.Written { return quantity.Written{Text: value, Unit: unit} }
	mm := func(least, most string) quantity.Written { return quantity.Written{Text: least, To: most, Unit: "mm"} }
	engine := map[string]quantity.Written{"bore": typ.Nominal["bore"], "stroke": typ.Nominal["stroke"], "cylinders": one(strconv.Itoa(typ.Cylinders), "1"),
		"speed": one("1700", "rpm"), "power": one("72", "kW"), "peak": one("65", "bar")}
	main := map[string]quantity.Written{"housing": mm("80.000", "80.013"), "wall": mm("2.460", "2.468"), "journal": mm("74.985", typ.Nominal["main.journal"].Text)}
	pin := map[string]quantity.Written{"housing": mm("66.000", "66.013"), "wall": mm("1.972", "1.979"), "journal": mm("61.985", typ.Nominal["pin.journal"].Text), "undersize": one("0.50", "mm")}
	for _, c := range []struct {
		calc string
		in   map[string]quantity.Written
		want map[string]string
	}{
		{"engine", engine, map[string]string{"swept": "1285.86\u2009cm³", "swept.total": "7.715\u2009l", "bmep": "6.59\u2009bar", "torque": "404\u2009N·m", "piston_speed": "8.1\u2009m/s", "gas_load": "58.4\u2009kN"}},
		{"bearing", main, map[string]string{"bore.min": "75.064\u2009mm", "bore.max": "75.093\u2009mm", "clearance.min": "0.064\u2009mm", "clearance.max": "0.108\u2009mm"}},
		{"bearing", pin, map[string]string{"clearance.min": "0.042\u2009mm", "clearance.max": "0.084\u2009mm", "new_journal.min": "61.485\u2009mm", "new_journal.max": "61.500\u2009mm",
			"new_wall.min": "2.222\u2009mm", "new_wall.max": "2.229\u2009mm", "new_clearance.min": "0.042\u2009mm", "new_clearance.max": "0.084\u2009mm"}},
	} {
		r, err := calc.Run(c.calc, calc.Inputs{Nominal: c.in, Opts: map[string]string{"cycle": "four-stroke"}})
		if err != nil || len(r.Missing) > 0 {
			t.Fatalf("%s: %v, missing %q", c.calc, err, r.Missing)
		}
		got := map[string]string{}
		for _, v := range r.Vals {
			got[v.Name] = v.Text + "\u2009" + v.Unit
		}
		for name, want := range c.want {
			if got[name] != want {
				t.Errorf("%s: %s = %s, want %s", c.calc, name, got[name], want)
			}
		}
	}
}

// TestHolds: the cooling side of 2123 loses 0.076 bar through the pump gland; repacked, it is tight.
func TestHolds(t *testing.T) {
	st := until(t, "")
	if len(st.Holds) != 2 || len(st.Holds[1].Again) != 1 || st.Holds[1].Again[0] != st.Holds[0].ID {
		t.Fatalf("%+v", st.Holds)
	}
	rs := result.All(st)
	for i, want := range []struct{ loss, says, verdict string }{
		{"0.076", "It leaks: 0.076", "outside"},
		{"0.001", "No loss that these readings can tell", "within"},
	} {
		r := find(t, rs, "hold/2123/"+string(st.Holds[i].ID))
		if text(t, r, "expected") != "0.694" || text(t, r, "loss") != want.loss || !strings.HasPrefix(r.Says, want.says) || string(r.Verdict) != want.verdict {
			t.Errorf("%s: %s, expected %s, loss %s, %s", r.Words, r.Verdict, text(t, r, "expected"), text(t, r, "loss"), r.Says)
		}
	}
}

// TestConflict: on the morning of 7 March two people's readings of main 3 differ by 0.019; the zero check found an hour
// later reaches them by its apply entry, 0.004 is left, and the mean is 74.979.
func TestConflict(t *testing.T) {
	before := find(t, result.All(until(t, "2027-03-07T10:05")), "journal/2123/main.3/found")
	if before.Verdict != "contested" {
		t.Errorf("before the zero check: %s, %s", before.Verdict, before.Says)
	}
	if !strings.Contains(strings.Join(before.Working, "\n"), "74.962") {
		t.Errorf("the working does not show the second reading: %q", before.Working)
	}
	after := find(t, result.All(until(t, "2027-03-07T10:30")), "journal/2123/main.3/found")
	if got := text(t, after, "size"); after.Verdict != "within" || got != "74.979" {
		t.Errorf("after it: %s, size %s, want within and 74.979", after.Verdict, got)
	}
}

// TestStruck: the bore taken with finger-tight caps is still there, struck through by its reason.
func TestStruck(t *testing.T) {
	st := until(t, "")
	for _, p := range st.Places {
		if p.Key != "2123" || p.At != "pin.5.shell" {
			continue
		}
		for _, r := range p.Readings {
			if r.Value.Text == "61.587" && strings.Contains(r.Struck, "finger-tight") && r.ReadBy == "bram" {
				return
			}
		}
	}
	t.Error("there is no 61.587 struck through")
}

// TestStandsOpen: at the end exactly one contest, one reading asked for and nothing unusable.
func TestStandsOpen(t *testing.T) {
	st := until(t, "")
	open := 0
	for _, a := range st.Asks {
		if !a.Answered {
			open++
		}
	}
	if len(st.Contests) != 1 || open != 1 || len(st.Unusable) != 0 || st.Forks != 0 || len(st.NeedsNewer) != 0 {
		t.Errorf("%d contests, %d open asks, unusable %v, %d forks", len(st.Contests), open, st.Unusable, st.Forks)
	}
	for _, e := range st.Engines {
		if want := map[string]string{"2117": "left", "2123": "right"}[e.Serial]; e.Fit.Side != want || len(e.History) != 3 || e.Contested {
			t.Errorf("%s is %s after %d moves, want %s after 3", e.Serial, e.Fit.Side, len(e.History), want)
		}
	}
}

// TestDecisionsHold: what each decision rested on still says the same, and names entries that are there.
func TestDecisionsHold(t *testing.T) {
	st := until(t, "")
	rs := result.All(st)
	if len(st.Decisions) != 5 {
		t.Errorf("%d decisions, want 5", len(st.Decisions))
	}
	for _, d := range st.Decisions {
		for _, rest := range d.Rests {
			r := find(t, rs, rest.Result)
			if string(r.Verdict) != rest.Verdict || r.Says != rest.Says {
				t.Errorf("%s rests on %s: %s, %q; now %s, %q", d.Decide, rest.Result, rest.Verdict, rest.Says, r.Verdict, r.Says)
			}
		}
	}
}

// TestNothingMeasuredAway: nothing is read on the crank of 2123 while it is at the grinder's.
func TestNothingMeasuredAway(t *testing.T) {
	story, err := Compose(os.DirFS(folder), "story.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range story.Logs {
		for _, e := range l.Entries {
			of := e.Body.Get("of")
			onCrank := of.Get("asm").Text() == "2123" && strings.HasSuffix(of.Get("at").Text(), ".journal")
			if e.Kind == "reading" && onCrank && e.At > "2027-03-08" && e.At < "2027-03-18T14" {
				t.Errorf("%s read %s", e.At, of.Get("at").Text())
			}
		}
	}
}

// TestSnags: the leak at the return union and the one at the pump gland are seen dry, each on a test begun after its cure
// (#54 to #59); the weep that nobody has looked at since stays cured, not seen dry.
func TestSnags(t *testing.T) {
	st := until(t, "")
	got := map[string]string{}
	for _, s := range st.Snags {
		got[s.What] = s.State + s.NotProven
	}
	want := map[string]string{"cylinder 5: fuel drips at the return union, pump side, running toward the exhaust": "proven", "water at the pump gland, nowhere else": "proven", "oil weeps at the plug of the clutch housing": "cured"}
	if !maps.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
