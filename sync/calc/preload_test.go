package calc

import (
	"math"
	"math/rand"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// TestPreload: a stud M14 at 130 N·m, dry and oiled (invented scenario), and
// the formula at a round figure: 60 lbf·in on 1/4 in at K 0.2 is 1200 lbf.
func TestPreload(t *testing.T) {
	for _, c := range []struct {
		name, torque, unit, thread, k, k2, scatter string
		want                                       map[string]string
	}{
		{"dry", "130", "N.m", "M14", "0.20", "0.15", "", map[string]string{"preload": "46.4", "preload.min": "34.8", "preload.max": "58.0", "other": "61.9", "change": "33"}},
		{"oiled", "130", "N.m", "m14x2", "0.15", "", "10", map[string]string{"preload": "61.9", "preload.min": "55.7", "preload.max": "68.1"}},
		{"inches", "60", "lbf.in", "1/4-28 UNF", "0.2", "", "0", map[string]string{"preload": "1200", "preload.min": "1200", "preload.max": "1200"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			n := sizesOf("torque", c.torque, c.unit, "k", c.k, "1")
			if c.k2 != "" {
				n["k_other"] = wr(c.k2, "1")
			}
			r := run(t, "preload", Inputs{Nominal: n, Opts: map[string]string{"thread": c.thread, "scatter": c.scatter, "class": "8.8", "state": c.name}})
			for name, want := range c.want {
				if got := val(t, r, name).Text; got != want {
					t.Errorf("%s %s, want %s", name, got, want)
				}
			}
		})
	}
	r := run(t, "preload", Inputs{Nominal: map[string]quantity.Written{"torque": wr("130", "N.m"), "k": limitIn("0.15", "0.20", "1"), "wanted": wr("50", "kN")}, Opts: map[string]string{"thread": "M14"}})
	if lo, hi := val(t, r, "preload.min"), val(t, r, "preload.max"); lo.Text != "46.4" || hi.Text != "61.9" {
		t.Errorf("K between two: %s to %s", lo.Text, hi.Text)
	}
}

// TestThreadTables: every row of the tables of ISO 898-1, ASME B1.1 and BS 84
// in testdata/reference; areas equal to the print, and to the area worked out
// within its rounding; proof loads within one step of the third figure.
func TestThreadTables(t *testing.T) {
	for _, row := range rows(t, "threads_metric_iso.csv") {
		th, ok := threadOf(row["thread"])
		if !ok {
			t.Fatal(row["thread"])
		}
		closeTo(t, "d", th.major*1000, num(t, row["d_mm"]))
		closeTo(t, "pitch", th.pitch*1000, num(t, row["pitch_mm"]))
		closeTo(t, "area", th.area*1e6, num(t, row["As_mm2_tabulated"]))
		figures3(t, row["thread"]+" area", num(t, row["As_mm2_computed"]), th.area*1e6)
		for _, class := range []string{"8.8", "10.9"} {
			r := run(t, "preload", Inputs{Nominal: sizesOf("torque", "10", "N.m", "k", "0.20", "1"), Opts: map[string]string{"thread": row["thread"], "class": class}})
			figures3(t, row["thread"]+" proof load "+class, val(t, r, "proof").SI, num(t, row["proof_N_"+class+"_tabulated"]))
		}
	}
	for _, row := range rows(t, "threads_unified.csv") {
		th, _ := threadOf(row["thread"])
		closeTo(t, "major", th.major/0.0254, num(t, row["major_in"]))
		closeTo(t, "pitch", 0.0254/th.pitch, num(t, row["tpi"]))
		closeTo(t, "area", th.area/0.0254/0.0254, num(t, row["stress_area_in2_tabulated"]))
		slack := 0.0005
		if row["thread"] == "1-14 UNS" {
			slack = 0.001 // a row from memory
		}
		if d := math.Abs(num(t, row["stress_area_in2_computed"]) - num(t, row["stress_area_in2_tabulated"])); d > slack {
			t.Errorf("%s: area %v off", row["thread"], d)
		}
	}
	for _, row := range rows(t, "threads_whitworth.csv") {
		th, _ := threadOf(row["thread"])
		closeTo(t, "major", th.major/0.0254, num(t, row["major_in"]))
		closeTo(t, "pitch", 0.0254/th.pitch, num(t, row["tpi"]))
		s := &sheet{}
		want := num(t, row["mean_area_in2 (same rule as ISO/Unified stress area; not a BS 84 figure)"])
		// Its diameters are rounded to 0.0001 in.
		if a := s.stressArea(th) / 0.0254 / 0.0254; math.Abs(a-want) > 1e-5 || !strings.Contains(s.Working[0], "BS 84 tabulates none") {
			t.Errorf("%s: mean area %v, want %v; %s", row["thread"], a, want, s.Working)
		}
	}
}

// figures3 demands agreement within one step of the third figure.
func figures3(t *testing.T, what string, got, want float64) {
	t.Helper()
	step := math.Pow(10, math.Floor(math.Log10(want))-2)
	if math.Abs(got-want) > step {
		t.Errorf("%s %v, want %v", what, got, want)
	}
}

// TestProofClasses: SAE J429, every row of sae_j429_grades.csv.
func TestProofClasses(t *testing.T) {
	share := func(grade string, d float64) Result {
		n := sizesOf("torque", "10", "N.m", "k", "0.20", "1", "diameter", strconv.FormatFloat(d, 'f', 4, 64), "in", "area", "1", "in2")
		return run(t, "preload", Inputs{Nominal: n, Opts: map[string]string{"class": grade}})
	}
	ends := map[string][2]float64{"1/4 to 1-1/2": {0.25, 1.5}, "1/4 to 3/4": {0.25, 0.75}, "over 3/4 to 1-1/2": {0.7501, 1.5}, "1/4 to 1": {0.25, 1}, "over 1 to 1-1/2": {1.0001, 1.5}}
	for _, row := range rows(t, "sae_j429_grades.csv") {
		for _, d := range ends[row["size_range_in"]] {
			// 1 in² at x psi carries x lbf.
			closeTo(t, row["grade"], val(t, share("SAE grade "+row["grade"], d), "proof").SI, num(t, row["proof_psi"])*4.4482216152605)
		}
	}
	incomplete(t, share("5.2", 1.25), "have no class")
	incomplete(t, share("12.9", 0.5), "have no class")
}

func TestPreloadBad(t *testing.T) {
	opts := map[string]string{"thread": "M14"}
	incomplete(t, run(t, "preload", Inputs{Nominal: sizesOf("k", "0.20", "1"), Opts: opts}), "the torque given, or the load wanted")
	incomplete(t, run(t, "preload", Inputs{Nominal: sizesOf("torque", "130", "N.m"), Opts: opts}), "nut factor K")
	incomplete(t, run(t, "preload", Inputs{Nominal: sizesOf("torque", "130", "N.m", "k", "0", "1"), Opts: opts}), "above nought")
	incomplete(t, run(t, "preload", Inputs{Nominal: sizesOf("torque", "130", "N.m", "k", "0.20", "1"), Opts: map[string]string{"thread": "M13"}}), "'M13' is not in the tables")
	incomplete(t, run(t, "preload", Inputs{Nominal: sizesOf("torque", "130", "N.m", "k", "0.20", "1"), Opts: map[string]string{"thread": "M14", "scatter": "120"}}), "cannot be")
	incomplete(t, run(t, "preload", Inputs{Nominal: sizesOf("torque", "130", "N.m", "k", "0.20", "1"), Opts: opts, Limits: map[string]Limit{"share": {Max: ptr(wr("90", "%")), Accepted: true}}}), "for the share of the proof load")
	incomplete(t, run(t, "preload", Inputs{Nominal: sizesOf("torque", "130", "bar", "k", "0.20", "1"), Opts: opts}), "is not a torque")
}

// TestPreloadBothWays: load and torque lead back to each other; inches and
// millimetres to one answer; the share of the proof load is judged at its most.
func TestPreloadBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	for range 100 {
		di, dm := inchAndMillimetre(2500 + r.Intn(10000))
		torque := strconv.Itoa(10 + r.Intn(400))
		f := val(t, run(t, "preload", Inputs{Nominal: sizesOf("torque", torque, "N.m", "k", "0.17", "1", "diameter", di.Text, "in")}), "preload")
		g := val(t, run(t, "preload", Inputs{Nominal: sizesOf("torque", torque, "N.m", "k", "0.17", "1", "diameter", dm.Text, "mm")}), "preload")
		closeTo(t, "in inches and millimetres", g.SI, f.SI)
		back := run(t, "preload", Inputs{Nominal: sizesOf("wanted", strconv.FormatFloat(f.SI, 'f', 6, 64), "N", "k", "0.17", "1", "diameter", di.Text, "in")})
		closeTo(t, "there and back", val(t, back, "torque").SI, num(t, torque))
	}
	limit := Limit{Max: ptr(wr("90", "%")), Accepted: true}
	in := Inputs{Nominal: sizesOf("torque", "130", "N.m", "k", "0.15", "1"), Opts: map[string]string{"thread": "M14", "class": "8.8"}, Limits: map[string]Limit{"share": limit}}
	// 61.9 kN × 1.25 over 115 mm² × 580 MPa = 66.7 kN (ISO 898-1).
	if v := val(t, run(t, "preload", in), "share.max"); v.Text != "116" || v.Verdict != Outside {
		t.Errorf("%s %s", v.Text, v.Verdict)
	}
}
