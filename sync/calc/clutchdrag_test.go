package calc

import (
	"math/rand"
	"strconv"
	"testing"
)

func pulls(unit string, labelText ...string) []Item {
	var out []Item
	for i := 0; i+1 < len(labelText); i += 2 {
		out = append(out, Item{Ref: "f" + labelText[i], Label: labelText[i], V: wr(labelText[i+1], unit)})
	}
	return out
}

// TestClutchdrag: clutches A and B before and after the free travel was reset
// (invented scenario).
func TestClutchdrag(t *testing.T) {
	limits := map[string]Limit{"drag": {Max: ptr(wr("12", "N.m")), Accepted: true}, "agree": {Max: ptr(wr("2", "N.m")), Accepted: true}}
	for _, c := range []struct {
		name, a, b  string
		da, db, off string
		va, vb, all Verdict
	}{
		{"before", "18", "31", "9.0", "15.5", "6.5", Within, Outside, Outside},
		{"after", "18", "20", "9.0", "10.0", "1.0", Within, Within, Within},
		{"free", "0", "0", "0.0", "0.0", "0.0", Within, Within, Within},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "clutchdrag", Inputs{Items: map[string][]Item{"force": pulls("N", "A", c.a, "B", c.b)}, Nominal: sizesOf("arm", "0.50", "m"), Limits: limits})
			texts(t, r, map[string]string{"drag.A": c.da, "drag.B": c.db, "apart.A-B": c.off})
			if val(t, r, "drag.A").Verdict != c.va || val(t, r, "drag.B").Verdict != c.vb || r.Verdict != c.all {
				t.Errorf("%s %s, %s", val(t, r, "drag.A").Verdict, val(t, r, "drag.B").Verdict, r.Verdict)
			}
		})
	}
	force := map[string][]Item{"force": pulls("N", "A", "18")}
	incomplete(t, clutchdragSpec.Run(Inputs{Nominal: sizesOf("arm", "0.50", "m")}), "pull on the arm")
	incomplete(t, clutchdragSpec.Run(Inputs{Items: force}), "length of the arm")
	incomplete(t, clutchdragSpec.Run(Inputs{Items: force, Nominal: sizesOf("arm", "0", "m")}), "above nought")
	incomplete(t, clutchdragSpec.Run(Inputs{Items: map[string][]Item{"force": pulls("N", "A", "-18")}, Nominal: sizesOf("arm", "0.50", "m")}), "must not be below nought")
	incomplete(t, clutchdragSpec.Run(Inputs{Items: map[string][]Item{"force": pulls("kg", "A", "2")}, Nominal: sizesOf("arm", "0.50", "m")}), "is not a force")
}

// TestClutchdragBothWays: a drag leads back to its pull; inches and
// millimetres give one answer.
func TestClutchdragBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(9))
	for range 100 {
		ai, am := inchAndMillimetre(50000 + r.Intn(200000))
		pull := strconv.Itoa(1 + r.Intn(60))
		drag := func(arm, unit string, more ...string) Result {
			return run(t, "clutchdrag", Inputs{Items: map[string][]Item{"force": pulls("N", "A", pull)}, Nominal: sizesOf(append([]string{"arm", arm, unit}, more...)...)})
		}
		a := val(t, drag(ai.Text, "in"), "drag.A").SI
		closeTo(t, "in inches and millimetres", val(t, drag(am.Text, "mm"), "drag.A").SI, a)
		closeTo(t, "there and back", val(t, drag(am.Text, "mm", "torque", strconv.FormatFloat(a, 'f', 11, 64), "N.m"), "pull").SI, num(t, pull))
	}
}
