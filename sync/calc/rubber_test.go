package calc

import (
	"math/rand"
	"slices"
	"strings"
	"testing"
)

func shore(label string, readings ...string) []Item {
	var out []Item
	for i, x := range readings {
		out = append(out, Item{Label: label, Point: string(rune('1' + i)), V: wr(x, "1")})
	}
	return out
}

// TestRubber: figures by hand; five spots as ISO 48-4 and ISO 868 take several.
func TestRubber(t *testing.T) {
	max := func(text, unit string) Limit { return Limit{Max: ptr(wr(text, unit)), Accepted: true} }
	limits := map[string]Limit{"hardness": {Min: ptr(wr("60", "1")), Max: ptr(wr("70", "1")), Accepted: true}, "pair": max("5", "1"), "set": max("10", "%"), "age": max("7", "1")}
	in := Inputs{Items: map[string][]Item{
		"hardness": append(shore("A", "64", "65", "66", "65", "65"), shore("B", "71", "72", "70", "71", "72")...),
		"free":     {{Label: "A", V: mm("40.0")}, {Label: "B", V: mm("40.0")}},
		"now":      {{Label: "A", V: mm("38.0")}, {Label: "B", V: mm("35.0")}},
	}, Limits: limits, Opts: map[string]string{"made": "2020-04-01", "on": "2027-04-01", "cracks": "two, at the bolt holes"}}
	r := run(t, "rubber", in)
	texts(t, r, map[string]string{"hardness.A": "65.0", "range.A": "2", "hardness.B": "71.2", "pair.A-B": "6.2", "set.A": "5.0", "set.B": "12.5", "age": "7.00"})
	for name, want := range map[string]Verdict{"hardness.A": Within, "hardness.B": Outside, "pair.A-B": Outside, "set.A": Within, "set.B": Outside, "age": Within} {
		if got := val(t, r, name).Verdict; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if !slices.ContainsFunc(r.Cautions, func(c string) bool { return strings.Contains(c, "two, at the bolt holes") }) {
		t.Error("the cracks seen are not shown")
	}
	in.Opts = map[string]string{"made": "2020-04-01", "on": "2027-04-11", "cracks": "none"}
	if v := val(t, run(t, "rubber", in), "age"); v.Text != "7.03" || v.Verdict != Outside {
		t.Errorf("ten days over: %s %s", v.Text, v.Verdict)
	}
	in.Limits = map[string]Limit{"age": limits["age"]}
	in.Opts = map[string]string{"made": "2027-04-02", "on": "2027-04-01"}
	incomplete(t, rubberSpec.Run(in), "is before the rubber was made")
	in.Opts = map[string]string{"on": "2027-04-01"}
	incomplete(t, rubberSpec.Run(in), "day on which the rubber was made")
	delete(in.Items, "free")
	incomplete(t, rubberSpec.Run(in), "thickness as new, A")
	incomplete(t, rubberSpec.Run(Inputs{Items: map[string][]Item{"hardness": shore("A", "-3")}}), "above nought")
	incomplete(t, rubberSpec.Run(Inputs{Items: map[string][]Item{"hardness": {{V: mm("65")}}}}), "is not a plain number")
}

// TestAgeAnniversaries: on every anniversary the age is whole, with the leap
// years of the calendar (ISO 8601).
func TestAgeAnniversaries(t *testing.T) {
	for _, day := range []string{"01-01", "02-28", "03-01", "12-31"} {
		for y := 1; y <= 40; y++ {
			to := "20" + string(rune('0'+(y+10)/10)) + string(rune('0'+(y+10)%10)) + "-" + day
			in := Inputs{Items: map[string][]Item{"hardness": shore("A", "65")}, Opts: map[string]string{"made": "2010-" + day, "on": to}}
			if v := val(t, run(t, "rubber", in), "age"); !strings.HasSuffix(v.Text, ".00") || int(num(t, v.Text)) != y {
				t.Errorf("2010-%s to %s: %s", day, to, v.Text)
			}
		}
	}
}

// TestRubberUnits: a set in inches is that in millimetres.
func TestRubberUnits(t *testing.T) {
	r := rand.New(rand.NewSource(10))
	for range 100 {
		fi, fm := inchAndMillimetre(10000 + r.Intn(10000))
		ni, nm := inchAndMillimetre(5000 + r.Intn(5000))
		set := func(f, n Item) float64 {
			return val(t, run(t, "rubber", Inputs{Items: map[string][]Item{"hardness": shore("", "65"), "free": {f}, "now": {n}}}), "set.").SI
		}
		closeTo(t, "set", set(Item{V: fi}, Item{V: nm}), set(Item{V: fm}, Item{V: ni}))
	}
}
