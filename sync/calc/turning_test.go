package calc

import (
	"math"
	"math/rand"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

type written = map[string]quantity.Written

func deg(t string) quantity.Written { return quantity.Written{Text: t, Unit: "deg"} }

func plain1(t string) quantity.Written { return quantity.Written{Text: t, Unit: "1"} }

// length is so many millimetres, written in the unit to twelve digits.
func length(mm float64, unit string) quantity.Written {
	digits, per := 10, 1.0
	if unit == "in" {
		digits, per = 12, 25.4
	}
	return quantity.Written{Text: strings.Replace(quantity.Fixed(mm/per, digits), "−", "-", 1), Unit: unit}
}

// reading is one reading of a thing.
func reading(label, point string, w quantity.Written) Item {
	return Item{Ref: label + point + w.Text, Label: label, Point: point, V: w}
}

func list(items ...Item) []Item { return items }

// near fails where two values differ by more than a part in 10⁸.
func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-8*math.Max(1e-3, math.Abs(want)) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// sameInInches demands the same values and verdicts of a case in millimetres
// and in inches, over many cases by chance.
func sameInInches(t *testing.T, name string, of func(r *rand.Rand, unit string) Inputs) {
	t.Helper()
	for seed := range int64(200) {
		a := run(t, name, of(rand.New(rand.NewSource(seed)), "mm"))
		b := run(t, name, of(rand.New(rand.NewSource(seed)), "in"))
		if len(a.Vals) != len(b.Vals) || len(a.Vals) == 0 {
			t.Fatalf("%s, case %d: %d values in mm, %d in inches; missing %v and %v", name, seed, len(a.Vals), len(b.Vals), a.Missing, b.Missing)
		}
		for i, v := range a.Vals {
			near(t, name+" "+v.Name, b.Vals[i].SI, v.SI)
			if v.Verdict != b.Vals[i].Verdict {
				t.Errorf("%s %s: %s in mm, %s in inches", name, v.Name, v.Verdict, b.Vals[i].Verdict)
			}
		}
	}
}

// lacks demands that a result gives no value and says why in these words.
func lacks(t *testing.T, name string, in Inputs, words string) {
	t.Helper()
	r, err := Run(name, in)
	if err != nil {
		t.Fatal(err)
	}
	if r.Verdict != Incomplete || !strings.Contains(strings.Join(r.Missing, "\n"), words) {
		t.Errorf("%s: %s, missing %q, want %q", name, r.Verdict, r.Missing, words)
	}
	for _, v := range r.Vals {
		if !quantity.Finite(v.SI) || !quantity.Finite(v.U) || strings.Contains(v.Text+v.UText, "?") {
			t.Errorf("%s: %s is %v ± %v", name, v.Name, v.SI, v.U)
		}
	}
}

// TestAbsurdInputs throws odd values of right and wrong kinds at every
// calculation of the valve gear: a value is always a number.
func TestAbsurdInputs(t *testing.T) {
	odd := []quantity.Written{mm("0"), mm("-1"), mm("1.2"), mm("143"), mm("999999999999999"), mm("0.00000000000001"), {Text: "12", Unit: "in"}, {Unit: "mm", Is: "nil"},
		{Text: "0.3", To: "0.4", Unit: "mm"}, {Text: "5", Unit: "mm", Is: "at least"}, deg("0"), deg("24"), deg("-180"), deg("999999999999999"), plain1("0"), plain1("1"),
		plain1("24"), plain1("0.5"), ppmOf("11.5"), {Text: "60", Unit: "degC"}, {Text: "-300", Unit: "degC"}, {Text: "3", Unit: "bar"}, mm("x"), {}, {Text: "1", Unit: "cm3"}}
	texts := []string{"", "cold", "tappet", "flat", "pocket", "1-3-4-2", "1-2-3", "08B-1", "reversed", "--", "1I 4E", "∞"}
	labels := []string{"", "1I", "4E", "2117/4", "E", "/", "é"}
	rnd := rand.New(rand.NewSource(9))
	pick := func() quantity.Written { return odd[rnd.Intn(len(odd))] }
	for _, spec := range []Spec{rimSpec, timingSpec, depthSpec, chainSpec, backlashSpec, lashSpec, valveorderSpec, recessionSpec, claySpec} {
		for range 3000 {
			in := Inputs{Items: map[string][]Item{}, Limits: map[string]Limit{}, Nominal: written{}, Opts: map[string]string{}}
			for _, n := range spec.Needs {
				if rnd.Intn(2) == 0 {
					in.Nominal[n.Name] = pick()
				}
				for range rnd.Intn(4) {
					in.Items[n.Name] = append(in.Items[n.Name], reading(labels[rnd.Intn(len(labels))], labels[rnd.Intn(3)], pick()))
				}
				if n.Kind == "limit" && rnd.Intn(2) == 0 {
					in.Limits[n.Name] = Limit{Max: ptr(pick()), Accepted: rnd.Intn(4) > 0, Margin: rnd.Intn(2) == 0}
				}
				if n.Kind == "option" {
					in.Opts[n.Name] = texts[rnd.Intn(len(texts))]
				}
			}
			for _, v := range spec.Run(in).Vals {
				if !quantity.Finite(v.SI) || !quantity.Finite(v.U) || strings.Contains(v.Text+v.UText, "?") {
					t.Fatalf("%s: %s is %s, %v ± %v of %+v", spec.Name, v.Name, v.Text, v.SI, v.U, in)
				}
			}
		}
	}
}
