package quantity

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"
)

const reference = "../../testdata/reference/"

func readJSON(t *testing.T, path string, into any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err == nil {
		err = json.Unmarshal(b, into)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func readCSV(t *testing.T, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func float(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestVectorParse reads the texts that the page reads too.
func TestVectorParse(t *testing.T) {
	var file struct {
		Cases []struct {
			Name, T, To, U, Is, Error string
			SI, Half, Res             float64
			Dec                       int
		}
	}
	readJSON(t, "../../testdata/vectors/quantity.json", &file)
	if len(file.Cases) < 30 {
		t.Fatal("the vectors are gone")
	}
	for _, c := range file.Cases {
		t.Run(c.Name, func(t *testing.T) {
			q, err := Parse(Written{Text: c.T, To: c.To, Unit: c.U, Is: c.Is})
			var e *Error
			if errors.As(err, &e); (e == nil) != (c.Error == "") || e != nil && e.Code != c.Error {
				t.Fatalf("error %v, want %q", err, c.Error)
			}
			if e != nil {
				return
			}
			if q.SI != c.SI || !near(q.Half, c.Half, 1e-12) || q.Res != c.Res || q.Dec != c.Dec || q.Is != c.Is {
				t.Errorf("got %+v, want %+v", q, c)
			}
		})
	}
}

// TestWhatIsWrongWithIt: the message fits the text; what it offers is read.
func TestWhatIsWrongWithIt(t *testing.T) {
	for text, want := range map[string]string{
		"74..9":              "'74..9' is not a number as this tool reads it",
		"74.,9":              "'74.,9' is not a number as this tool reads it",
		"1.234.":             "'1.234.' is not a number as this tool reads it",
		"1,234":              "'1,234' can be read in two ways: write 1.234 with a point, or 1234 with none",
		"-1,234":             "'-1,234' can be read in two ways: write -1.234 with a point, or -1234 with none",
		"1,234.5":            "'1,234.5' can be read in two ways: write 1234.5 with a point, or 12345 with none",
		"1.234.567":          "'1.234.567' can be read in two ways: write 1234.567 with a point, or 1234567 with none",
		"1234567890123456":   "'1234567890123456' has 16 digits and this tool reads at most 15: write no more than were read",
		"0.1234567890123456": "'0.1234567890123456' has 17 digits and this tool reads at most 15",
		"123456/7":           "'123456/7' has too many digits: this tool reads fractions of at most 5 digits",
		"1.5/2":              "'1.5/2' is not a number as this tool reads it",
	} {
		if _, err := Parse(Written{Text: text, Unit: "mm"}); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s\n got %v\nwant %s", text, err, want)
		}
	}
}

func near(a, b, rel float64) bool {
	return a == b || math.Abs(a-b) <= rel*math.Max(math.Abs(a), math.Abs(b))
}

// TestUnits: every factor against NIST SP 811, appendix B, as exact fractions.
func TestUnits(t *testing.T) {
	names := map[string]string{"lbf_ft": "lbf.ft", "kgf_m": "kgf.m", "lbf_in": "lbf.in", "kgf_cm": "kgf.cm"}
	checked := 0
	for _, r := range readCSV(t, reference+"units.csv") {
		code := r["symbol"]
		if n := names[code]; n != "" {
			code = n
		}
		u, ok := Lookup(code)
		if !ok || r["exact_fraction"] == "" {
			continue
		}
		want, _ := new(big.Rat).SetString(r["exact_fraction"])
		exact, _ := want.Float64()
		if got := u.Step(1); got != exact {
			t.Errorf("%s: %v, NIST SP 811 has %v", code, got, exact)
		}
		checked++
	}
	if checked < 28 {
		t.Errorf("only %d units were checked", checked)
	}
	// NIST SP 811, B.8: t/°C = (t/°F − 32)/1.8; T/K = t/°C + 273.15.
	f, _ := Lookup("degF")
	for _, c := range []struct{ f, k float64 }{{32, 273.15}, {212, 373.15}, {-40, 233.15}} {
		if got := f.SI(c.f); !near(got, c.k, 1e-15) {
			t.Errorf("%v °F is %v K, want %v", c.f, got, c.k)
		}
	}
}

// TestElementary holds our functions against the standard library's.
func TestElementary(t *testing.T) {
	for i := -4000; i <= 4000; i++ {
		x := float64(i) / 37
		if got, want := Exp(x), math.Exp(x); !near(got, want, 1e-15) {
			t.Fatalf("Exp(%v) = %v, want %v", x, got, want)
		}
		if p := math.Abs(x) + 1e-3; !near(Ln(p), math.Log(p), 1e-14) && math.Abs(Ln(p)-math.Log(p)) > 1e-16 {
			t.Fatalf("Ln(%v) = %v, want %v", p, Ln(p), math.Log(p))
		}
		if p := math.Abs(x) + 1e-3; !near(Pow(p, 1.35), math.Pow(p, 1.35), 1e-14) {
			t.Fatalf("Pow(%v) = %v, want %v", p, Pow(p, 1.35), math.Pow(p, 1.35))
		}
		for what, pair := range map[string][2]float64{
			"Sin":  {Sin(x), math.Sin(x * math.Pi / 180)},
			"Cos":  {Cos(x), math.Cos(x * math.Pi / 180)},
			"Atan": {Atan(x), math.Atan(x) * 180 / math.Pi},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-14*math.Max(1, math.Abs(pair[1])) {
				t.Fatalf("%s(%v) = %v, want %v", what, x, pair[0], pair[1])
			}
		}
	}
	for deg, want := range map[float64]float64{0: 0, 30: 0.5, 90: 1, 180: 0, 270: -1, -90: -1, 720: 0} {
		if got := Sin(deg); math.Abs(got-want) > 1e-16 {
			t.Errorf("Sin(%v) = %v", deg, got)
		}
	}
}

// TestStudent: JCGM 100:2008, table G.2, as recomputed to nine digits.
func TestStudent(t *testing.T) {
	for _, r := range readCSV(t, reference+"student_t_coverage.csv") {
		n, err := strconv.Atoi(r["dof"])
		if err != nil {
			continue
		}
		if got, want := Student95(float64(n)), float(t, r["exact_95"]); !near(got, want, 1e-8) {
			t.Errorf("95 %% for %d: %v, want %v", n, got, want)
		}
		if got, want := Coverage(float64(n)), float(t, r["exact_95.45"]); !near(got, want, 2e-4) {
			t.Errorf("95.45 %% for %d: %v, want %v", n, got, want)
		}
	}
	if series, far := student(199, 0.95, 0), expansion(199, 1.959963984540); !near(series, far, 1e-9) {
		t.Errorf("the two ways differ at 199: %v and %v", series, far)
	}
	if Coverage(0) != 2 {
		t.Error("without limit, k is 2")
	}
}

// TestEndGauge: JCGM 100:2008, annex H.1, the 50 mm end gauge, in nm, from the
// contributions as printed there.
func TestEndGauge(t *testing.T) {
	d, dofD := Combine([]Part{{"repeatability", 5.8, 24}, {"comparator, random", 3.9, 5}, {"comparator, systematic", 6.7, 8}})
	if !near(d, 9.681941954, 1e-9) || !near(dofD, 25.447251, 1e-7) {
		t.Errorf("u(d) = %v with %v, want 9.68 with 25.4", d, dofD)
	}
	u, dof := Combine([]Part{
		{"standard", 25, 18}, {"comparison", 9.681941954, 25.447251},
		{"temperature difference", 50.000623e6 * 11.5e-6 * Rect(0.05), 2}, {"difference of expansion", 50.000623e6 * 0.1 * Rect(1e-6), 50},
	})
	if !near(u, 31.66387911, 1e-6) || !near(dof, 16.751856, 1e-4) {
		t.Errorf("uc = %v with %v, want 31.664 with 16.75", u, dof)
	}
	if got := Arcsine(0.5); !near(got, 0.35, 0.02) {
		t.Errorf("swinging temperature: %v, H.1 prints 0.35", got)
	}
}

// TestStatistics: NIST StRD, univariate summary statistics, certified values.
func TestStatistics(t *testing.T) {
	var file struct {
		Univariate map[string]struct {
			File string
			Mean string `json:"certified_mean"`
			SD   string `json:"certified_sd_n_minus_1"`
		}
	}
	readJSON(t, reference+"nist_strd_certified.json", &file)
	for name, c := range file.Univariate {
		t.Run(name, func(t *testing.T) {
			raw, err := os.ReadFile(reference + c.File)
			if err != nil {
				t.Fatal(err)
			}
			var x []float64
			for _, l := range strings.Fields(string(raw)) {
				if v, err := strconv.ParseFloat(l, 64); err == nil {
					x = append(x, v)
				}
			}
			// numacc4 is ill-conditioned by design: 8 digits is what float64 can give.
			tolerance := 1e-13
			if strings.HasPrefix(name, "numacc") {
				tolerance = 1e-7
			}
			if got, want := Mean(x), float(t, c.Mean); !near(got, want, 1e-14) {
				t.Errorf("mean %v, certified %v", got, want)
			}
			if got, want := SD(x), float(t, c.SD); !near(got, want, tolerance) {
				t.Errorf("sd %v, certified %v", got, want)
			}
		})
	}
}

func TestFixed(t *testing.T) {
	mm, _ := Lookup("mm")
	for _, c := range []struct {
		name string
		got  string
		want string
	}{
		{"half away from nought", Fixed(0.125, 2), "0.13"},
		{"a half that binary cannot hold", Fixed(1.005, 2), "1.01"},
		{"negative", Fixed(-0.125, 2), "−0.13"},
		{"no negative nought", Fixed(-0.001, 2), "0.00"},
		{"from SI", Format(0.000099, mm, 3), "0.099"},
		{"not a number", Fixed(math.NaN(), 2), "?"},
		{"as written", Written{Text: "-0,05", Unit: "mm"}.String(), "−0,05\u2009mm"},
		{"between", Written{Text: "0.30", To: "0.35", Unit: "mm"}.String(), "0.30 to 0.35\u2009mm"},
		{"none", Written{Unit: "mm", Is: "nil"}.String(), "none felt"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
	if got := Decimals(0.000001, mm); got != 3 {
		t.Errorf("a step of 0.001 mm needs %d digits", got)
	}
}

func FuzzParse(f *testing.F) {
	f.Add("74.981", "", "mm")
	f.Add("2 1/2", "3", "in")
	f.Add("−0,05", "0,1", "thou")
	f.Fuzz(func(t *testing.T, text, to, unit string) {
		q, err := Parse(Written{Text: text, To: to, Unit: unit})
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		if !Finite(q.SI) || !Finite(q.Res) || q.Res < 0 || q.Half < 0 {
			t.Fatalf("%q gives %+v", text, q)
		}
	})
}

// Figure says what Parse says, bit for bit, for every plain figure, and nothing for any other text.
func TestFigure(t *testing.T) {
	for _, code := range []string{"bar", "degC", "degF", "rpm", "mmH2O", "psi", "s"} {
		u, _ := Lookup(code)
		for _, text := range []string{"0", "-0", "0.0", "2.85", "-3", "-3.50", "007.10", "123456789012345", "0.00000000000001", "1013.25", "92"} {
			want, err := Parse(Written{Text: text, Unit: code})
			if got, ok := Figure(text, u); err != nil || !ok || got != want {
				t.Errorf("Figure(%q, %s) = %+v %v, want %+v %v", text, code, got, ok, want, err)
			}
		}
	}
	bar, _ := Lookup("bar")
	for _, text := range []string{"", "-", "+2", "2.", ".5", "2,8", "1/2", "2 8", "1e3", "--1", "1.2.3", "1234567890123456"} {
		if _, ok := Figure(text, bar); ok {
			t.Errorf("Figure(%q) is no plain figure", text)
		}
	}
}
