package calc

import (
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// strd reads a listing of the NIST Statistical Reference Datasets.
func strd(t *testing.T, file string) (x, y []float64) {
	t.Helper()
	b, err := os.ReadFile("../../testdata/reference/" + file)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range strings.Split(strings.TrimSpace(string(b)), "\n")[1:] {
		a, c, ok := strings.Cut(l, ",")
		if !ok { // one column: the values
			a, c = "0", a
		}
		xv, err1 := strconv.ParseFloat(a, 64)
		yv, err2 := strconv.ParseFloat(c, 64)
		if err1 != nil || err2 != nil {
			t.Fatal(l)
		}
		x, y = append(x, xv), append(y, yv)
	}
	return x, y
}

// TestLineNorris: NIST StRD, linear regression, Norris: certified values.
func TestLineNorris(t *testing.T) {
	var file struct {
		Linear map[string]struct {
			Coef []string `json:"certified_coefficients"`
			SD   []string `json:"certified_sd_of_coefficients"`
			Res  string   `json:"certified_residual_sd"`
			DF   float64  `json:"residual_df"`
		}
	}
	b, err := os.ReadFile("../../testdata/reference/nist_strd_certified.json")
	if err == nil {
		err = json.Unmarshal(b, &file)
	}
	if err != nil {
		t.Fatal(err)
	}
	x, y := strd(t, "nist_strd_norris.csv")
	f, ok := line(x, y)
	want := file.Linear["norris"]
	if !ok || f.dof != want.DF {
		t.Fatal(ok, f.dof)
	}
	for _, c := range []struct {
		what string
		got  float64
		want string
	}{{"B0", f.a, want.Coef[0]}, {"B1", f.b, want.Coef[1]}, {"sd B0", f.ua, want.SD[0]}, {"sd B1", f.ub, want.SD[1]}, {"residual sd", f.s, want.Res}} {
		w, err := strconv.ParseFloat(c.want, 64)
		if err != nil || math.Abs(c.got/w-1) > 1e-11 {
			t.Errorf("%s: %.15g, want %s", c.what, c.got, c.want)
		}
	}
}

// TestLineExact: the listing of NoInt1 lies on y = x + 70 exactly (its
// certified values are for a line through nought, which is not used here).
func TestLineExact(t *testing.T) {
	x, y := strd(t, "nist_strd_noint1.csv")
	f, ok := line(x, y)
	if !ok || math.Abs(f.a-70) > 1e-12 || math.Abs(f.b-1) > 1e-13 || f.s > 1e-12 {
		t.Errorf("%+v", f)
	}
}

func TestLineBad(t *testing.T) {
	for _, c := range [][2][]float64{{{}, {}}, {{1}, {2}}, {{3, 3, 3}, {1, 2, 3}}, {{1, 2}, {1}}, {{1, math.Inf(1)}, {1, 2}}, {{1, 2}, {1, math.NaN()}}} {
		if f, ok := line(c[0], c[1]); ok {
			t.Errorf("%v: %+v", c, f)
		}
	}
	if f, ok := line([]float64{1, 3}, []float64{2, 6}); !ok || f.b != 2 || f.a != 0 || f.ub != 0 || f.clear(6, 0) {
		t.Errorf("two points: %+v", f)
	}
}
