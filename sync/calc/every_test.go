package calc

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

type vector struct {
	calc, name string
	in         Inputs
}

func allVectors(t testing.TB) []vector {
	t.Helper()
	file, err := os.ReadFile(vectors)
	if err != nil {
		t.Fatal(err)
	}
	var out []vector
	for l := range strings.Lines(string(file)) {
		v, err := jcs.Parse([]byte(strings.TrimSpace(l)))
		if err != nil {
			t.Fatal(err)
		}
		in, err := FromJSON(v.Get("in"))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, vector{v.Get("calc").Text(), v.Get("name").Text(), in})
	}
	return out
}

// sound fails on what no result may hold.
func sound(t *testing.T, what string, r Result) {
	t.Helper()
	for _, v := range r.Vals {
		if !quantity.Finite(v.SI) || !quantity.Finite(v.U) || strings.Contains(v.Text, "?") || v.Label == "" || v.Name == "" {
			t.Errorf("%s: %+v", what, v)
		}
	}
	if r.Says == "" || !quantityWords(r) {
		t.Errorf("%s says %q, working %q", what, r.Says, r.Working)
	}
}

// quantityWords: a figure that is none is written as a lone question mark.
func quantityWords(r Result) bool {
	return !strings.Contains(strings.Join(append(r.Working, r.Says), " "), " ?")
}

// TestEverySpec: every calculation names its inputs, has a vector that is run
// on all machines, says what is missing when nothing is given, and cautions.
func TestEverySpec(t *testing.T) {
	have := vectorNames()
	last := ""
	for _, s := range Registry() {
		if s.Name <= last {
			t.Errorf("%s is out of order", s.Name)
		}
		last = s.Name
		if s.Title == "" || s.Version == "" || len(s.Needs) == 0 || !slices.Contains(have, s.Name) {
			t.Errorf("%s: title %q, version %q, %d inputs, vector %v", s.Name, s.Title, s.Version, len(s.Needs), slices.Contains(have, s.Name))
		}
		r := s.Run(Inputs{})
		sound(t, s.Name, r)
		if r.Verdict != Incomplete || len(r.Missing) == 0 || len(r.Cautions) == 0 && s.Name != "pair" {
			t.Errorf("%s with nothing given: %q, missing %q, cautions %q", s.Name, r.Verdict, r.Missing, r.Cautions)
		}
		for _, n := range s.Needs {
			if !slices.Contains([]string{"item", "limit", "nominal", "option"}, n.Kind) || n.Label == "" {
				t.Errorf("%s: input %+v", s.Name, n)
			}
			if d := quantity.Dim(n.Unit); n.Unit != "" && n.Unit != "any" && n.Unit != "1" && !slices.ContainsFunc(quantity.Units(), func(u quantity.Unit) bool { return u.Dim == d }) {
				t.Errorf("%s: %s is in no kind of unit: %q", s.Name, n.Name, n.Unit)
			}
		}
	}
}

// bads are what a thumb makes of a value.
var bads = []quantity.Written{{Text: "0", Unit: "mm"}, {Text: "-1", Unit: "mm"}, {Text: "NaN", Unit: "mm"}, {Text: "1e309", Unit: "mm"}, {Text: "1/0", Unit: "mm"},
	{Text: "1,234", Unit: "mm"}, {Text: "1 234.5.6", Unit: "in"}, {Unit: "mm"}, {Text: "5", Unit: "furlong"}, {Text: "5"}, {Text: "99999999999999", Unit: "mm"},
	{Is: "nil", Unit: "mm"}, {Text: "1", To: "0", Unit: "mm"}, {Text: "5", Unit: "mm", Is: "at least"}, {Text: "5", Unit: "mm", Is: "at most"}, {Text: "3", Unit: "bar"}, {Text: "0.0000001", Unit: "mm"}}

// TestBadInputEverywhere spoils every input of every vector in every way:
// no panic, no figure that is none, and a value of another kind is refused.
func TestBadInputEverywhere(t *testing.T) {
	for _, v := range allVectors(t) {
		if strings.HasPrefix(v.name, "random") {
			continue
		}
		for name := range v.in.Items {
			for i := range v.in.Items[name] {
				for _, bad := range withUnitOf(v.in.Items[name][i].V) {
					in := v.in
					in.Items = cloneItems(v.in.Items)
					in.Items[name][i].V = bad
					r, _ := Run(v.calc, in)
					sound(t, v.calc+" "+name+" "+bad.String(), r)
				}
				if i > 1 {
					break
				}
			}
		}
		for name := range v.in.Nominal {
			for _, bad := range withUnitOf(v.in.Nominal[name]) {
				in := v.in
				in.Nominal = map[string]quantity.Written{}
				for k, x := range v.in.Nominal {
					in.Nominal[k] = x
				}
				in.Nominal[name] = bad
				r, _ := Run(v.calc, in)
				sound(t, v.calc+" nominal "+name+" "+bad.String(), r)
			}
		}
	}
}

// withUnitOf adds the bad texts in the unit of a good value.
func withUnitOf(w quantity.Written) []quantity.Written {
	out := slices.Clone(bads)
	for _, b := range bads {
		b.Unit = w.Unit
		out = append(out, b)
	}
	return out
}

func cloneItems(m map[string][]Item) map[string][]Item {
	out := map[string][]Item{}
	for k, its := range m {
		out[k] = slices.Clone(its)
	}
	return out
}

// TestWrongKindEverywhere: an input in a unit of another kind is refused by
// name, wherever the calculation says what kind it takes.
func TestWrongKindEverywhere(t *testing.T) {
	refused := 0
	for _, v := range allVectors(t) {
		spec := specOf(v.calc)
		for name := range v.in.Items {
			if spec.dim("item", name) == "" {
				continue
			}
			in := v.in
			in.Items = cloneItems(v.in.Items)
			for i := range in.Items[name] {
				in.Items[name][i].V = quantity.Written{Text: "3", Unit: "kg"}
			}
			r, _ := Run(v.calc, in)
			if !strings.Contains(strings.Join(r.Missing, "\n"), "is not a") {
				t.Errorf("%s: %s in kg: missing %q", v.calc, name, r.Missing)
			}
			refused++
		}
	}
	if refused < 50 {
		t.Errorf("only %d inputs were tried", refused)
	}
}

func specOf(name string) Spec {
	for _, s := range registry {
		if s.Name == name {
			return s
		}
	}
	return Spec{}
}

// other are units to write the same value in.
var other = map[string]string{"mm": "in", "in": "mm", "thou": "mm", "cm3": "in3", "N.m": "lbf.ft", "bar": "psi", "psi": "bar", "kPa": "psi", "min": "s", "g": "oz", "N": "lbf", "kW": "hp", "degC": "degF"}

// TestUnitsCommute: every vector written in other units gives the same values.
func TestUnitsCommute(t *testing.T) {
	compared := 0
	for _, v := range allVectors(t) {
		if len(v.in.Opts["steps"]+v.in.Opts["tolerance"]+v.in.Opts["passes"]+v.in.Opts["minima"]) > 0 || v.calc == "convert" {
			continue // the option is in the unit of a size
		}
		if v.calc == "gasket" && v.in.Limits["bump"].Margin {
			continue // more digits are less uncertainty, and so a wider window
		}
		want, _ := Run(v.calc, v.in)
		got, _ := Run(v.calc, translated(v.in))
		if len(want.Vals) != len(got.Vals) {
			t.Errorf("%s, %s: %d values in other units, %d before; %q", v.calc, v.name, len(got.Vals), len(want.Vals), got.Missing)
			continue
		}
		for i, a := range want.Vals {
			if strings.HasPrefix(a.Name, "en.") {
				continue // a ratio to the uncertainty, which more digits make smaller
			}
			if b := got.Vals[i]; a.Name != b.Name || !nearly(a.SI, b.SI) {
				t.Errorf("%s, %s: %s is %v, in other units %v", v.calc, v.name, a.Name, a.SI, b.SI)
			}
			compared++
		}
	}
	if compared < 200 {
		t.Errorf("only %d values compared", compared)
	}
}

func nearly(a, b float64) bool {
	return math.Abs(a-b) <= 1e-7*math.Max(math.Abs(a), math.Abs(b))+1e-10
}

func translated(in Inputs) Inputs {
	out := Inputs{Items: cloneItems(in.Items), Limits: map[string]Limit{}, Nominal: map[string]quantity.Written{}, Opts: in.Opts}
	for _, its := range out.Items {
		for i := range its {
			its[i].V = inOther(its[i].V)
			if z := its[i].Zero; z != nil {
				moved := *z
				moved.Bar, moved.Read = inOther(z.Bar), inOther(z.Read)
				its[i].Zero = &moved
			}
		}
	}
	for k, w := range in.Nominal {
		out.Nominal[k] = inOther(w)
	}
	for k, l := range in.Limits {
		for _, end := range []**quantity.Written{&l.Min, &l.Max} {
			if *end != nil {
				moved := inOther(**end)
				*end = &moved
			}
		}
		out.Limits[k] = l
	}
	return out
}

// inOther writes a value in another unit, with digits to spare.
func inOther(w quantity.Written) quantity.Written {
	q, err := quantity.Parse(w)
	to := other[w.Unit]
	if err != nil || to == "" || w.Is == "nil" {
		return w
	}
	u, _ := quantity.Lookup(to)
	digits := func(text string) string {
		one := w
		one.Text, one.To = text, ""
		x, _ := quantity.Parse(one)
		return strings.ReplaceAll(quantity.Fixed(u.From(x.SI), 11), "−", "-")
	}
	out := quantity.Written{Text: digits(w.Text), Unit: to, Is: q.Is}
	if w.To != "" {
		out.To = digits(w.To)
	}
	return out
}

// FuzzCalc: no input from outside stops a calculation.
func FuzzCalc(f *testing.F) {
	for _, v := range allVectors(f) {
		f.Add(v.calc, []byte(inputsJSON(v.in).String()))
	}
	f.Fuzz(func(t *testing.T, name string, raw []byte) {
		v, err := jcs.Parse(raw)
		if err != nil {
			return
		}
		in, err := FromJSON(v)
		if err != nil {
			return
		}
		r, err := Run(name, in)
		if err != nil {
			return
		}
		sound(t, name, r)
		_ = r.JSON().String()
	})
}
