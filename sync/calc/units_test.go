package calc

import (
	"math/rand"
	"reflect"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

func readAs(ref, point, text, unit string) Item {
	return Item{Ref: ref, Point: point, V: quantity.Written{Text: text, Unit: unit}}
}

// A result of readings in several units is shown in the unit of its limit, else
// in that of most readings, else in the first of the list of units; whichever
// came first, and whatever their ids. 1 in is 25.4 mm exactly (NIST SP 811, B.8).
func TestMixedUnits(t *testing.T) {
	most := func(text, unit string) map[string]Limit {
		w := quantity.Written{Text: text, Unit: unit}
		return map[string]Limit{"value": {Name: "gap", Max: &w, Accepted: true}}
	}
	mm, thou := readAs("", "", "0.30", "mm"), readAs("", "", "12", "thou")
	for _, c := range []struct {
		name   string
		items  []Item
		limits map[string]Limit
		text   string
		unit   string
	}{
		{"the limit's unit, though fewer are in it", []Item{mm, mm, thou}, most("20", "thou"), "11.9", "thou"},
		{"the limit's unit, though no reading is in it", []Item{mm, thou}, most("500", "um"), "302", "µm"},
		{"no limit: that of most", []Item{thou, mm, thou}, nil, "12", "thou"},
		{"as many of each: the first of the list", []Item{thou, mm}, nil, "0.30", "mm"},
		{"all in one stay in it, whatever the limit has", []Item{thou, thou}, most("0.50", "mm"), "12", "thou"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rnd := rand.New(rand.NewSource(1))
			for range 20 {
				items := append([]Item(nil), c.items...)
				for i := range items {
					items[i].Ref = string(rune('a'+rnd.Intn(20))) + string(rune('a'+i)) // the order of ids is chance too
				}
				rnd.Shuffle(len(items), func(i, j int) { items[i], items[j] = items[j], items[i] })
				r, err := Run("direct", Inputs{Items: map[string][]Item{"value": items}, Limits: c.limits})
				if err != nil || len(r.Vals) != 1 || r.Vals[0].Text != c.text || r.Vals[0].Unit != c.unit {
					t.Fatalf("%v: %+v, want %s %s", err, r.Vals, c.text, c.unit)
				}
				if work := strings.Join(r.Working, "\n"); c.items[0] != c.items[1] && !strings.Contains(work, "0.30\u2009mm = 11.8\u2009thou") && !strings.Contains(work, "12\u2009thou = 0.30\u2009mm") {
					t.Fatalf("the working has not both units:\n%s", work)
				}
			}
		})
	}
}

// Readings of two parts in two units: bore in inches, journal in millimetres.
// 2.9530 in is 75.0062 mm, less 74.950 is 0.056 mm; by hand.
func TestMixedUnitsOfTwoParts(t *testing.T) {
	w := quantity.Written{Text: "0.0060", Unit: "in"}
	in := func(limits map[string]Limit) Inputs {
		return Inputs{Items: map[string][]Item{
			"journal": {readAs("a", "a.V", "74.950", "mm"), readAs("b", "b.V", "74.950", "mm")},
			"shell":   {readAs("c", "a.V", "2.9530", "in"), readAs("d", "b.V", "75.006", "mm")},
		}, Limits: limits}
	}
	r, _ := Run("clearance", in(nil))
	if got := []string{r.Vals[0].Text, r.Vals[0].Unit}; !reflect.DeepEqual(got, []string{"0.056", "mm"}) {
		t.Errorf("without a limit %v", got)
	}
	r, _ = Run("clearance", in(map[string]Limit{"clearance": {Name: "c", Max: &w, Accepted: true}}))
	if got := []string{r.Vals[0].Text, r.Vals[0].Unit, string(r.Vals[0].Verdict)}; !reflect.DeepEqual(got, []string{"0.00221", "in", "within"}) {
		t.Errorf("with a limit in inches %v", got)
	}
}
