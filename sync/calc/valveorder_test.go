package calc

import (
	"math/rand"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func firing(order string) Inputs { return Inputs{Opts: map[string]string{"order": order}} }

// events are those of the engines of the scenario: inlet 10° before to 45°
// after, exhaust 48° before to 12° after.
var events = written{"inlet_opens": deg("10"), "inlet_closes": deg("45"), "exhaust_opens": deg("48"), "exhaust_closes": deg("12")}

// TestValveorder: the pairs of 1-5-3-6-2-4 as in TM 5-6115-400-12, figure 3-11
// (No. 6 rocks, set No. 1; two turns for all; testdata/reference/
// overhaul_practice.json). The pairs of the others are common practice, no source.
func TestValveorder(t *testing.T) {
	for _, c := range []struct{ name, order, direction, pairs, says string }{
		{"six", "1-5-3-6-2-4", "", "1-6 5-2 3-4", "6 rocks, set 1; 2 rocks, set 5; 4 rocks, set 3; 1 rocks, set 6; 5 rocks, set 2; 3 rocks, set 4."},
		{"six, the other way", "1-5-3-6-2-4", "reversed", "1-6 5-2 3-4", "6 rocks, set 1; 3 rocks, set 4; 5 rocks, set 2; 1 rocks, set 6"},
		{"six, begun elsewhere", "3 6 2 4 1 5", "", "1-6 5-2 3-4", "6 rocks, set 1; 2 rocks, set 5"},
		{"four", "1-3-4-2", "", "1-4 3-2", "4 rocks, set 1; 2 rocks, set 3"},
		{"eight in line", "1-6-2-5-8-3-7-4", "", "1-8 6-3 2-7 5-4", "8 rocks, set 1"},
		{"two", "1-2", "", "1-2", "2 rocks, set 1; 1 rocks, set 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := firing(c.order)
			in.Opts["direction"] = c.direction
			r := run(t, "valveorder", in)
			for _, p := range strings.Fields(c.pairs) {
				a, b, _ := strings.Cut(p, "-")
				if val(t, r, "partner."+a).Text != b || val(t, r, "partner."+b).Text != a {
					t.Errorf("%s and %s are no pair: %s", a, b, r.Says)
				}
			}
			if !strings.Contains(r.Says, c.says) {
				t.Errorf("%q, want %q", r.Says, c.says)
			}
		})
	}
}

// TestValvePositions: the usual rule for 1-5-3-6-2-4 (common practice, no
// source) and the valve events of the invented scenario name the same valves.
func TestValvePositions(t *testing.T) {
	byRule := firing("1-5-3-6-2-4")
	byEvents := firing("1-5-3-6-2-4")
	byEvents.Nominal = events
	for name, in := range map[string]Inputs{"by the rule": byRule, "by the events": byEvents} {
		r := run(t, "valveorder", in)
		for valve, want := range map[string]string{"1I": "1", "2I": "1", "4I": "1", "3I": "2", "5I": "2", "6I": "2",
			"1E": "1", "3E": "1", "5E": "1", "2E": "2", "4E": "2", "6E": "2"} {
			if got := val(t, r, "position."+valve).Text; got != want {
				t.Errorf("%s: %s at position %s, want %s", name, valve, got, want)
			}
		}
	}
	// Three cylinders fire every 240°. With cylinder 1 at its firing top 2 is at
	// 480° of its own cycle and 3 at 240°: 2E is shut (12° after top is 372°), 3E
	// is open (from 132°) and waits a turn.
	odd := firing("1-2-3")
	odd.Nominal = events
	r := run(t, "valveorder", odd)
	for valve, want := range map[string]string{"1I": "1", "1E": "1", "2E": "1", "3E": "2", "2I": "2", "3I": "1"} {
		if got := val(t, r, "position."+valve).Text; got != want {
			t.Errorf("three cylinders: %s at position %s, want %s", valve, got, want)
		}
	}
	// 3E stands at 480° after its own firing top, 108° after it closed at 372°.
	want := "firing: set inlets 1 2 4; exhausts 1 5 3; none of them within 108° of being open"
	if r := run(t, "valveorder", byEvents); !strings.Contains(strings.Join(r.Working, "\n"), want) {
		t.Errorf("%q", r.Working)
	}
}

func TestValveorderBad(t *testing.T) {
	some := firing("1-5-3-6-2-4")
	some.Nominal = written{"inlet_opens": deg("10")}
	wide := firing("1-5-3-6-2-4")
	wide.Nominal = written{"inlet_opens": deg("100"), "inlet_closes": deg("45"), "exhaust_opens": deg("48"), "exhaust_closes": deg("12")}
	turned := firing("1-3-4-2")
	turned.Opts["direction"] = "clockwise"
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"no order", Inputs{}, "the firing order"},
		{"one left out", firing("1-5-3-6-2"), "cylinder 4 is not in it"},
		{"one twice", firing("1-5-3-6-2-5"), "cylinder 4 is not in it"},
		{"one too many", firing("1-3-4-2-3"), "cylinder 3 is in it twice"},
		{"letters", firing("1-5-c-6-2-4"), "'c' is no cylinder"},
		{"nought", firing("0-1-2"), "'0' is no cylinder"},
		{"one cylinder", firing("1"), "2 to 12 cylinders"},
		{"thirteen", firing("1-2-3-4-5-6-7-8-9-10-11-12-13"), "2 to 12 cylinders"},
		{"a direction of the clock", turned, "direction"},
		{"one event of four", some, "inlet closes"},
		{"an absurd event", wide, "a quarter turn or more"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "valveorder", c.in, c.words) })
	}
}

// TestCompanions: for every count and order, companions are mutual and one
// turn apart, and an odd count has none; read backwards the pairs are the same.
func TestCompanions(t *testing.T) {
	rnd := rand.New(rand.NewSource(6))
	for range 300 {
		n := 2 + rnd.Intn(11)
		var order []string
		for _, i := range rnd.Perm(n) {
			order = append(order, strconv.Itoa(i+1))
		}
		in := firing(strings.Join(order, "-"))
		r := run(t, "valveorder", in)
		in.Opts["direction"] = "reversed"
		back := run(t, "valveorder", in)
		for _, c := range order {
			i := slices.IndexFunc(r.Vals, func(v Val) bool { return v.Name == "partner."+c })
			if n%2 != 0 {
				if i >= 0 || !strings.Contains(r.Says, "none has a companion") {
					t.Errorf("%v: %s", order, r.Says)
				}
				continue
			}
			p := r.Vals[i].Text
			apart := val(t, r, "fires."+p).SI - val(t, r, "fires."+c).SI
			if val(t, r, "partner."+p).Text != c || (apart != 360 && apart != -360) || val(t, back, "partner."+c).Text != p {
				t.Errorf("%v: %s and %s, %v° apart", order, c, p, apart)
			}
		}
	}
}
