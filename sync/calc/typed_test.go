package calc

import (
	"math/rand"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

// TestAbsurd: whatever is typed, a calculation gives figures or reasons, never
// what is no number.
func TestAbsurd(t *testing.T) {
	r := rand.New(rand.NewSource(14))
	numbers := []string{"0", "-1", "1", "0.000000000000001", "999999999999999", "130", "45", "90", "180", "2", "20", "1,234", "x", "", "1/64", "1/3", "-0.0"}
	words := []string{"", "M14", "1/2 BSW", "H7/p6", "H7/k6", "8.8", "5", "2027-02-29", "2027-04-01", "2024-02-29", "50 90 130", "1 0 0; 2 10 10; 3 999999999999999 -5", "1:1 1:2 1:1", "tin", "none", "-5", "one"}
	points := []string{"", "top", "right", "bottom", "left", "12", "3"}
	units := quantity.Units()
	for _, name := range []string{"alignment", "clutchdrag", "convert", "expansion", "fit", "preload", "rubber", "runout", "sequence", "shrink", "torqueangle", "torqueset", "torquetool", "bearing", "engine"} {
		spec := registry[indexOf(t, name)]
		for range 800 {
			in := Inputs{Items: map[string][]Item{}, Nominal: map[string]quantity.Written{}, Opts: map[string]string{}, Limits: map[string]Limit{}}
			for _, n := range spec.Needs {
				w := wr(numbers[r.Intn(len(numbers))], unitFor(n.Unit, units, r))
				switch {
				case r.Intn(8) == 0:
				case n.Kind == "option":
					in.Opts[n.Name] = words[r.Intn(len(words))]
				case n.Kind == "limit":
					in.Limits[n.Name] = Limit{Name: n.Name, Max: &w, Accepted: true, Margin: r.Intn(2) == 0}
				case n.Kind == "nominal" && r.Intn(4) > 0:
					if r.Intn(6) == 0 {
						w.To = numbers[r.Intn(len(numbers))]
					}
					in.Nominal[n.Name] = w
				default:
					for range 4 {
						in.Items[n.Name] = append(in.Items[n.Name], Item{Label: words[r.Intn(2)], Point: points[r.Intn(len(points))], V: wr(numbers[r.Intn(len(numbers))], w.Unit), Tool: m1})
					}
				}
			}
			res := spec.Run(in)
			for _, v := range res.Vals {
				if !quantity.Finite(v.SI) || !quantity.Finite(v.U) || strings.Contains(v.Text+v.UText, "?") {
					t.Fatalf("%s of %+v: %+v", name, in, v)
				}
			}
			if all := strings.Join(append(res.Working, res.Says), "\n"); strings.Contains(all, "NaN") || strings.Contains(all, "Inf") || res.Says == "" {
				t.Fatalf("%s of %+v: %s", name, in, all)
			}
		}
	}
}

func indexOf(t *testing.T, name string) int {
	t.Helper()
	for i, s := range registry {
		if s.Name == name {
			return i
		}
	}
	t.Fatal(name)
	return -1
}

// unitFor is mostly a unit of the kind wanted.
func unitFor(dim string, units []quantity.Unit, r *rand.Rand) string {
	for range 200 {
		u := units[r.Intn(len(units))]
		if dim == "any" || dim == "" || string(u.Dim) == dim || dim == "1" && u.Dim == quantity.One || r.Intn(400) == 0 {
			return u.Code
		}
	}
	return "1"
}
