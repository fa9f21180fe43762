package calc

import (
	"encoding/csv"
	"math"
	"math/rand"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// wr is a value of that text and unit.
func wr(text, unit string) quantity.Written { return quantity.Written{Text: text, Unit: unit} }

// between is a value between two.
func limitIn(lo, hi, unit string) quantity.Written {
	return quantity.Written{Text: lo, To: hi, Unit: unit}
}

// sizesOf is an input of typed values: name, text, unit and so on.
func sizesOf(nameTextUnit ...string) map[string]quantity.Written {
	out := map[string]quantity.Written{}
	for i := 0; i+2 < len(nameTextUnit); i += 3 {
		out[nameTextUnit[i]] = wr(nameTextUnit[i+1], nameTextUnit[i+2])
	}
	return out
}

// rows reads a table of testdata/reference, each row by its head.
func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/reference/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatal(name, err)
	}
	var out []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, head := range all[0] {
			row[head] = line[i]
		}
		out = append(out, row)
	}
	return out
}

func num(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// near demands two figures equal to a relative 1e-9.
func closeTo(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > 1e-9*math.Max(math.Abs(want), 1e-12) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// inchAndMillimetre gives one length in whole ten-thousandths of an inch, both
// ways, exactly.
func inchAndMillimetre(tenths int) (inch, millimetre quantity.Written) {
	return wr(strconv.FormatFloat(float64(tenths)/1e4, 'f', 4, 64), "in"), wr(strconv.FormatFloat(float64(tenths)*254/1e5, 'f', 5, 64), "mm")
}

func incomplete(t *testing.T, r Result, want string) {
	t.Helper()
	if r.Verdict != Incomplete || !strings.Contains(strings.Join(r.Missing, "\n"), want) {
		t.Errorf("verdict %q, missing %q, want incomplete for %q", r.Verdict, r.Missing, want)
	}
}

// TestConvertSlips: misprints in the copies read of published handbooks; the
// manual is named beside each.
func TestConvertSlips(t *testing.T) {
	for _, c := range []struct {
		name         string
		value, other quantity.Written
		want         string
	}{
		{"TM 5-3895-369-14, bore out-of-round", wr("0.00015", "in"), wr("0.038", "mm"), "do not agree: 0.00015\u2009in is 0.0038\u2009mm, printed 0.038\u2009mm, ten times out."},
		{"same, bore taper", wr("0.003", "in"), wr("0.76", "mm"), "do not agree: 0.003\u2009in is 0.08\u2009mm, printed 0.76\u2009mm, ten times out."},
		{"TM 5-3820-256-24-5, head flatness", wr("0.004", "in"), wr("0.01", "mm"), "do not agree: 0.004\u2009in is 0.10\u2009mm, printed 0.01\u2009mm, ten times out."},
		{"TM 9-2815-254-24, main journal", wr("2.7533", "in"), wr("69.632", "mm"), "do not agree: 2.7533\u2009in is 69.934\u2009mm, printed 69.632\u2009mm, 0.302\u2009mm out."},
		{"TM 9-6115-604-34, pin clearance", wr("0.0025", "in"), wr("0.089", "mm"), "do not agree: 0.0025\u2009in is 0.064\u2009mm, printed 0.089\u2009mm, 0.026\u2009mm out."},
		{"TM 9-6115-604-34, liner bore", limitIn("74.915", "7.4935", "in"), quantity.Written{}, "between 74.915 and 7.4935: the second must be the larger"},
		{"TM 5-2815-241-34&P, scratch depth", wr("0.020", "in"), wr("0.568", "mm"), "do not agree: 0.020\u2009in is 0.508\u2009mm, printed 0.568\u2009mm, 0.060\u2009mm out."},
		{"same, on the next line", wr("0.020", "in"), wr("0.508", "mm"), "The two agree: 0.020\u2009in is 0.508\u2009mm, printed 0.508\u2009mm."},
		{"TM 5-3805-262-34, mains against pins", wr("0.005", "in"), wr("0.0005", "in"), "do not agree: 0.005\u2009in is 0.0050\u2009in, printed 0.0005\u2009in, ten times out."},
		{"TM 10-4320-309-14, a tenth of its shim, against other handbooks", wr("28.4", "psi"), limitIn("10", "19", "bar"), "do not agree: 28.4\u2009psi is 1.958\u2009bar, printed 10 to 19\u2009bar"},
		{"TM 5-6115-593-34, out-of-round", wr("0.001", "in"), wr("0.05", "mm"), "do not agree: 0.001\u2009in is 0.03\u2009mm, printed 0.05\u2009mm, 0.02\u2009mm out."},
		{"TM 9-6115-604-34, taper", wr("0.0005", "in"), wr("0.013", "mm"), "The two agree"},
		{"TM 9-6115-604-34, out-of-round", wr("0.002", "in"), wr("0.05", "mm"), "The two agree"},
		{"TM 10-4320-318-14, a range", limitIn("0.55", "0.65", "mm"), limitIn("0.0216", "0.0255", "in"), "The two agree"},
		{"round figures", wr("1000", "psi"), wr("6900", "kPa"), "agree only as round figures"},
		{"no round figure", wr("100", "mm"), wr("2.94", "in"), "do not agree"},
		{"a hundred times", wr("100", "bar"), wr("100", "kPa"), "a hundred times out"},
	} {
		t.Run(c.name, func(t *testing.T) {
			nominal := map[string]quantity.Written{"value": c.value}
			if !c.other.IsZero() {
				nominal["other"] = c.other
			}
			r, err := Run("convert", Inputs{Nominal: nominal})
			if said := r.Says + strings.Join(r.Missing, "\n"); err != nil || !strings.Contains(said, c.want) {
				t.Errorf("%q, want %q", said, c.want)
			}
			if r.Verdict != NoLimit && r.Verdict != Incomplete {
				t.Errorf("a conversion judges nothing: %s", r.Verdict)
			}
		})
	}
}

// TestConvertDigits: figures by hand with the factors of NIST SP 811, appendix
// B (1 lbf·ft = 1.355 818 N·m, 1 psi = 6.894 757 kPa).
func TestConvertDigits(t *testing.T) {
	for _, c := range []struct {
		name  string
		value quantity.Written
		want  map[string]string
	}{
		{"torque", wr("130", "N.m"), map[string]string{"in.kgf.m": "13.3", "in.lbf.ft": "95.9", "in.lbf.in": "1151", "in.kgf.cm": "1326"}},
		{"torque of a foreign book", wr("13", "kgf.m"), map[string]string{"in.N.m": "127", "in.lbf.ft": "94"}},
		{"thou", wr("4", "thou"), map[string]string{"in.mm": "0.10", "in.in": "0.004", "in.um": "102"}},
		{"fraction", wr("3/8", "in"), map[string]string{"in.mm": "9.5", "in.thou": "375"}},
		{"heat", wr("180", "degF"), map[string]string{"in.degC": "82.2"}},
		{"cold", wr("-40", "degC"), map[string]string{"in.degF": "−40"}},
		{"pressure", wr("40", "psi"), map[string]string{"in.bar": "2.76", "in.kPa": "276"}},
		{"at most", quantity.Written{Text: "0.004", Unit: "in", Is: "at most"}, map[string]string{"in.mm": "at most 0.10"}},
		{"a range", limitIn("30", "35", "lbf.ft"), map[string]string{"in.N.m.from": "41", "in.N.m.to": "47"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "convert", Inputs{Nominal: map[string]quantity.Written{"value": c.value}})
			for name, want := range c.want {
				if got := val(t, r, name).Text; got != want {
					t.Errorf("%s: %s, want %s", name, got, want)
				}
			}
		})
	}
	incomplete(t, run(t, "convert", Inputs{Nominal: sizesOf("value", "5", "mm", "other", "5", "N")}), "is not a length")
}

// TestConvertBack: every unit leads back to the value that it came from.
func TestConvertBack(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 200 {
		u := quantity.Units()[r.Intn(len(quantity.Units()))]
		text := strconv.FormatFloat(r.Float64()*1000, 'f', 3, 64)
		q, err := quantity.Parse(wr(text, u.Code))
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range run(t, "convert", Inputs{Nominal: sizesOf("value", text, u.Code)}).Vals {
			closeTo(t, v.Name, v.SI, q.SI)
		}
	}
	inch, mmText := inchAndMillimetre(27533)
	for _, w := range []quantity.Written{inch, mmText} {
		if r := run(t, "convert", Inputs{Nominal: map[string]quantity.Written{"value": inch, "other": w}}); !strings.HasPrefix(r.Says, "The two agree") {
			t.Error(r.Says)
		}
	}
	if !slices.ContainsFunc(run(t, "convert", Inputs{Items: map[string][]Item{"value": {{Ref: "e", V: inch}}}}).Inputs, func(s string) bool { return s == "e" }) {
		t.Error("a reading that is converted is an input")
	}
}
