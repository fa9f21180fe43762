package calc

import (
	"math/rand"
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// dial is four readings in order top, right, bottom, left.
func dial(unit string, readings ...string) []Item {
	var out []Item
	for i, p := range []string{"top", "right", "bottom", "left"} {
		if i < len(readings) && readings[i] != "" {
			out = append(out, Item{Ref: "d" + p, Point: p, V: wr(readings[i], unit)})
		}
	}
	return out
}

func heron(more ...string) Inputs {
	n := append([]string{"face_circle", "220", "mm", "near", "250", "mm", "far", "950", "mm"}, more...)
	return Inputs{Items: map[string][]Item{"rim": dial("mm", "0.00", "0.14", "0.36", "0.22"), "face": dial("mm", "0.00", "0.05", "0.11", "0.06")}, Nominal: sizesOf(n...)}
}

func texts(t *testing.T, r Result, want map[string]string) {
	t.Helper()
	for _, name := range sorted(want) {
		if got := val(t, r, name).Text; got != want[name] {
			t.Errorf("%s %s, want %s", name, got, want[name])
		}
	}
}

// TestAlignment: position A (invented scenario, worked by hand there).
func TestAlignment(t *testing.T) {
	limits := map[string]Limit{"offset": tol("", "0.10"), "closure": tol("", "0.02"), "angle": {Max: ptr(wr("0.3", "mrad")), Accepted: true}}
	in := heron("planned", "0.08", "mm")
	in.Limits = limits
	r := run(t, "alignment", in)
	texts(t, r, map[string]string{"closure.rim": "0.00", "closure.face": "0.00", "offset.v": "0.180", "offset.h": "−0.040", "angle.v": "0.50", "angle.h": "−0.05",
		"shim.near": "0.225", "shim.far": "0.575"})
	if r.Verdict != Outside || val(t, r, "error.angle.v").Verdict != Outside || val(t, r, "error.offset.v").Verdict != Within || val(t, r, "error.angle.h").Verdict != Within {
		t.Errorf("as found: %s", r.Verdict)
	}
	if r.Says != "Engine 0.180\u2009mm low at the coupling: add 0.225\u2009mm at the near feet, add 0.575\u2009mm at the far feet. Outside: angle in elevation 0.50\u2009mrad." {
		t.Error(r.Says)
	}
	in = heron("planned", "0.08", "mm", "shim_near", "0.25", "mm", "shim_far", "0.60", "mm")
	in.Limits = limits
	r = run(t, "alignment", in)
	texts(t, r, map[string]string{"after.offset.v": "0.055", "after.angle.v": "0.00", "after.error.offset.v": "0.025", "after.rim.bottom": "0.110", "after.face.bottom": "0.000"})
	if r.Verdict != Within {
		t.Errorf("fitted: %s %v", r.Verdict, r.Missing)
	}
	hot := run(t, "alignment", heron("engine_height", "320", "mm", "engine_alpha", "10.5", "ppm/K", "engine_rise", "60", "degC",
		"gearbox_height", "320", "mm", "gearbox_alpha", "10.5", "ppm/K", "gearbox_rise", "36", "degC"))
	texts(t, hot, map[string]string{"growth": "0.081", "shim.near": "0.224", "shim.far": "0.574"})
}

func TestAlignmentMissing(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Inputs)
		want   string
	}{
		{"no bottom", func(in *Inputs) { in.Items["rim"] = dial("mm", "0.00", "0.14", "", "0.22") }, "rim reading at the bottom"},
		{"no face", func(in *Inputs) { delete(in.Items, "face") }, "face reading at the top"},
		{"no circle", func(in *Inputs) { in.Nominal["face_circle"] = wr("0", "mm") }, "above nought"},
		{"feet the wrong way round", func(in *Inputs) { in.Nominal["far"] = wr("250", "mm") }, "is not beyond the near ones"},
		{"two couplings", func(in *Inputs) { in.Items["rim"][2].Label = "B" }, "readings of one coupling at a time"},
		{"growth of half", func(in *Inputs) { in.Nominal["engine_rise"] = wr("60", "degC") }, "expansion of the engine"},
		{"in bar", func(in *Inputs) { in.Items["face"] = dial("bar", "0", "0", "0", "0") }, "is not a length"},
	} {
		in := heron()
		c.change(&in)
		t.Run(c.name, func(t *testing.T) { incomplete(t, alignmentSpec.Run(in), c.want) })
	}
	in := heron()
	in.Items["rim"] = dial("mm", "0.00", "0.14", "0.36", "0.28")
	r := run(t, "alignment", in)
	if val(t, r, "closure.rim").Text != "0.06" || !slices.ContainsFunc(r.Cautions, func(c string) bool { return strings.Contains(c, "The rim readings do not close") }) {
		t.Errorf("does not close: %v", r.Cautions)
	}
}

// TestAlignmentBothWays: the readings predicted for a set of shims lead back to
// the place predicted, shims as worked out leave nothing but the plan, a sag
// cancels, and inches give the answer of millimetres.
func TestAlignmentBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	for range 60 {
		var inch, mm [2][4]string
		for d := range 2 {
			x := [4]int{r.Intn(200) - 100, r.Intn(200) - 100, r.Intn(200) - 100, 0}
			x[3] = x[0] + x[2] - x[1]
			for i, v := range x {
				a, b := inchAndMillimetre(v)
				inch[d][i], mm[d][i] = a.Text, b.Text
			}
		}
		solve := func(unit string, x [2][4]string, more ...string) Result {
			n := append([]string{"face_circle", "220", "mm", "near", "250", "mm", "far", "950", "mm"}, more...)
			return run(t, "alignment", Inputs{Items: map[string][]Item{"rim": dial(unit, x[0][:]...), "face": dial(unit, x[1][:]...)}, Nominal: sizesOf(n...)})
		}
		a, b := solve("in", inch, "planned", "0.08", "mm"), solve("mm", mm, "planned", "0.08", "mm")
		for _, name := range []string{"offset.v", "offset.h", "angle.v", "shim.near", "shim.far", "move.near", "move.far"} {
			close12(t, name, val(t, b, name).SI, val(t, a, name).SI)
		}
		text := func(r Result, name string) string {
			return strconv.FormatFloat(val(t, r, name).SI*1000, 'f', 10, 64)
		}
		fitted := solve("mm", mm, "planned", "0.08", "mm", "shim_near", text(b, "shim.near"), "mm", "shim_far", text(b, "shim.far"), "mm")
		close12(t, "shims as worked out", val(t, fitted, "after.offset.v").SI, 0.08e-3)
		then := [2][4]string{}
		for d, name := range []string{"rim", "face"} {
			then[d] = [4]string{"0", text(fitted, "after."+name+".right"), text(fitted, "after."+name+".bottom"), text(fitted, "after."+name+".left")}
		}
		again := solve("mm", then)
		close12(t, "there and back", val(t, again, "offset.v").SI, val(t, fitted, "after.offset.v").SI)
		close12(t, "sideways", val(t, again, "offset.h").SI, val(t, fitted, "offset.h").SI)
		// A bracket that sags by 0.10 reads 0.10 less at the bottom and half at the sides.
		sagged := mm
		for i, k := range []float64{0, 0.05, 0.10, 0.05} {
			sagged[0][i] = strconv.FormatFloat(num(t, mm[0][i])-k, 'f', 5, 64)
		}
		close12(t, "sag", val(t, solve("mm", sagged, "sag", "-0.10", "mm"), "offset.v").SI, val(t, a, "offset.v").SI)
	}
}

// close12 demands two lengths equal to a picometre.
func close12(t *testing.T, what string, got, want float64) {
	t.Helper()
	if q := quantity.Quantise(got*1e12, 0) - quantity.Quantise(want*1e12, 0); q < -1 || q > 1 {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}
