package calc

import (
	"math"
	"math/rand"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// asWritten reads "0.700 bar" as a value as written.
func asWritten(t string) quantity.Written {
	text, unit, ok := strings.Cut(t, " ")
	if !ok {
		unit = "1"
	}
	return quantity.Written{Text: text, Unit: unit}
}

// typedIn reads pairs of name and value: "start", "0.700 bar".
func typedIn(pairs ...string) map[string]quantity.Written {
	out := map[string]quantity.Written{}
	for i := 0; i+1 < len(pairs); i += 2 {
		out[pairs[i]] = asWritten(pairs[i+1])
	}
	return out
}

// most is an accepted upper limit, least an accepted lower one.
func most(t string) Limit   { return Limit{Max: ptr(asWritten(t)), Accepted: true} }
func lowest(t string) Limit { return Limit{Min: ptr(asWritten(t)), Accepted: true} }

// readingsOf are the values of one name, each "point label value unit" with "-"
// for an empty point or label.
func readingsOf(tool *Tool, rows ...string) []Item {
	var out []Item
	for i, row := range rows {
		f := strings.Fields(row)
		it := Item{Ref: "e" + strconv.Itoa(i), Tool: tool, V: quantity.Written{Text: f[2], Unit: f[3]}}
		if f[0] != "-" {
			it.Point = f[0]
		}
		if f[1] != "-" {
			it.Label = f[1]
		}
		out = append(out, it)
	}
	return out
}

func nearTo(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %v, want %v ± %v", what, got, want, within)
	}
}

func mentions(t *testing.T, r Result, text string) {
	t.Helper()
	all := r.Says + "\n" + strings.Join(r.Working, "\n") + "\n" + strings.Join(r.Missing, "\n")
	if !strings.Contains(all, text) {
		t.Errorf("nowhere %q in\n%s", text, all)
	}
}

// anyway is a number of so many digits between two, as text.
func anyway(r *rand.Rand, lo, hi float64, digits int) string {
	return strconv.FormatFloat(lo+(hi-lo)*r.Float64(), 'f', digits, 64)
}

// inUnit writes a value of one unit in another, with digits enough.
func inUnit(t, unit string) quantity.Written {
	w := asWritten(t)
	q, err := quantity.Parse(w)
	if err != nil {
		panic(err)
	}
	u, _ := quantity.Lookup(unit)
	return quantity.Written{Text: strconv.FormatFloat(u.From(q.SI), 'f', 8, 64), Unit: unit}
}

// sane demands that nothing in a result is not a number, and that what was
// refused has its reason.
func sane(t *testing.T, r Result) {
	t.Helper()
	for _, v := range r.Vals {
		if !quantity.Finite(v.SI) || !quantity.Finite(v.U) || strings.Contains(v.Text, "?") {
			t.Errorf("%s is %v ± %v (%s)", v.Name, v.SI, v.U, v.Text)
		}
	}
	if r.Says == "" {
		t.Error("no sentence")
	}
}

// run2 is run for what may end before any working.
func run2(t *testing.T, name string, in Inputs) Result {
	t.Helper()
	r, err := Run(name, in)
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	return r
}

func mustNumber(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// TestRunningSurvives: whatever stands in an input, nothing panics and no
// value is without a number.
func TestRunningSurvives(t *testing.T) {
	rnd := rand.New(rand.NewSource(23))
	texts := []string{"0", "-1", "0.5", "1", "3", "16.2", "500", "1700", "999999999999999", "0.00000000000001", "-0.7", "1/64", "x", ""}
	units := map[string][]string{"pressure": {"bar", "psi", "mmH2O"}, "temperature": {"degC", "degF"}, "time": {"s", "min"}, "speed": {"rpm"}, "length": {"mm", "in"},
		"volume": {"cm3"}, "fall": {"bar/min"}, "flow": {"cm3/min"}, "1": {"1", "%"}, "angle": {"deg"}, "torque": {"N.m"}, "any": {"mm", "bar", "degC"}, "": {"mm"}}
	value := func(unit string) quantity.Written {
		u := units[unit]
		return quantity.Written{Text: texts[rnd.Intn(len(texts))], Unit: u[rnd.Intn(len(u))]}
	}
	for _, name := range []string{"cranking", "depression", "expected", "hold", "holdtime", "hunting", "injectors", "linkage", "match", "oilpressure", "twin", "warmup"} {
		for range 400 {
			in := Inputs{Items: map[string][]Item{}, Limits: map[string]Limit{}, Nominal: map[string]quantity.Written{}, Opts: map[string]string{}}
			for _, spec := range Registry() {
				if spec.Name == name {
					for _, n := range spec.Needs {
						someOf(rnd, &in, n, value)
					}
				}
			}
			sane(t, run2(t, name, in))
		}
	}
}

func someOf(rnd *rand.Rand, in *Inputs, n Need, value func(string) quantity.Written) {
	if rnd.Intn(5) == 0 {
		return
	}
	switch n.Kind {
	case "item":
		for range rnd.Intn(6) {
			points, labels := []string{"", "1", "2", "500", "idle", "governed", "mid"}, []string{"", "1", "2117", "2117/1", "2123/2", "2117/E1"}
			in.Items[n.Name] = append(in.Items[n.Name], Item{Point: points[rnd.Intn(7)], Label: labels[rnd.Intn(6)], V: value(n.Unit), Tool: n1})
		}
	case "nominal":
		in.Nominal[n.Name] = value(n.Unit)
	case "limit":
		lo, hi := value(n.Unit), value(n.Unit)
		in.Limits[n.Name] = Limit{Name: n.Name, Min: &lo, Max: &hi, Accepted: rnd.Intn(2) == 0, Margin: rnd.Intn(2) == 0}
	case "option":
		words := []string{"", "vacuum", "spread", "best", "mean", "difference", "crossed", "min", "500:1.0 800:x", "2117/1"}
		in.Opts[n.Name] = words[rnd.Intn(len(words))]
	}
}
