package pattern

import (
	"slices"
	"testing"
)

// TestInline: whatever the short form makes, the sheet's own reader takes.
func TestInline(t *testing.T) {
	for _, c := range []struct {
		name           string
		in             Inline
		places, studs  int
		order          []string
		valves3, valve string
	}{
		{"six cylinders", Inline{Name: "U6", End1: "timing end", End2: "flywheel end", Cylinders: 6, Valves: "E I", Firing: "1 5 3 6 2 4", Studs: 26, Torques: "50 90 130",
			Undersizes: "0.25 0.50", Sizes: map[string]string{"bore": "107.00", "stroke": "143.00", "main": "75.000", "pin": "62.000", "opening": "109.0"}},
			7*2 + 6*2 + 1 + 6 + 6*3 + 3 + 6*3 + 12, 26, []string{"7", "20", "8", "21", "6", "19"}, "E3", "I2"},
		{"two cylinders, nothing else known", Inline{Name: "T2", End1: "fan", End2: "flywheel", Cylinders: 2, Studs: 7}, 3*2 + 2*2 + 1 + 2 + 2*3 + 3 + 2*3, 7, []string{"2", "6", "3", "7", "1", "5", "4"}, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := Parse(c.in.Sheet())
			if err != nil {
				t.Fatal(err)
			}
			if n := len(p.Places()); n != c.places {
				t.Errorf("%d places, want %d", n, c.places)
			}
			j, ok := p.Joint("head")
			if !ok || len(j.Fasteners) != c.studs || !slices.Equal(j.Order[:min(len(j.Order), len(c.order))], c.order) {
				t.Errorf("head: %+v", j.Order)
			}
			if c.valve != "" && (p.Valves[3] != "E2" || p.Valves[2] != c.valve) {
				t.Errorf("valves %v", p.Valves)
			}
		})
	}
}
