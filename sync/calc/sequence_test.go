package calc

import (
	"math"
	"math/rand"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// headMap is a head of 26 studs in two rows of 13, 1 to 13 and 14 to 26
// (invented scenario; 60 mm apart, rows 160 mm apart).
func headMap() string {
	var out []string
	for i := range 13 {
		out = append(out, strconv.Itoa(i+1)+" "+strconv.Itoa(i*60)+" 160", strconv.Itoa(i+14)+" "+strconv.Itoa(i*60)+" 0")
	}
	return strings.Join(out, "; ")
}

func ringMap(n int) string {
	var out []string
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		out = append(out, strconv.Itoa(i+1)+" "+strconv.FormatFloat(100*math.Cos(a), 'f', 2, 64)+" "+strconv.FormatFloat(100*math.Sin(a), 'f', 2, 64))
	}
	return strings.Join(out, ";")
}

func proposedOrder(t *testing.T, m string) []string {
	t.Helper()
	r := run(t, "sequence", Inputs{Opts: map[string]string{"map": m}})
	_, list, ok := strings.Cut(strings.TrimSuffix(r.Says, "."), "in this order: ")
	if !ok || r.Verdict != NoLimit {
		t.Fatalf("%s %s %v", r.Verdict, r.Says, r.Missing)
	}
	return strings.Fields(list)
}

// TestSequenceOrder: from the middle outwards and across (common practice, no
// source); a ring of eight is the usual star, opposite and then square to it.
func TestSequenceOrder(t *testing.T) {
	for _, c := range []struct{ name, m, want string }{
		{"one", "A 10 20", "A"},
		{"two", "A 0 0; B 100 0", "A B"},
		{"ring of 8", ringMap(8), "1 5 3 7 2 6 4 8"},
		{"middle first", "1 0 0; 2 100 0; 3 0 100; 4 -100 0; 5 0 -100", "1 2 4 3 5"},
	} {
		if got := strings.Join(proposedOrder(t, c.m), " "); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
	order := proposedOrder(t, headMap())
	if len(order) != 26 || !slices.Equal(order[:2], []string{"7", "20"}) {
		t.Fatalf("head of 26: %v", order)
	}
	for i := 2; i < 26; i += 4 { // then four at a time, each stud of a ring, corners last
		ring := i/4 + 1
		want := []string{strconv.Itoa(7 - ring), strconv.Itoa(7 + ring), strconv.Itoa(20 - ring), strconv.Itoa(20 + ring)}
		got := slices.Clone(order[i : i+4])
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("head of 26, ring %d: %v, want %v in any order", ring, order[i:i+4], want)
		}
	}
}

// TestSequenceMoves: an order does not depend on where the map's nought lies
// or how the head lies on the bench; it has each fastener once.
func TestSequenceMoves(t *testing.T) {
	r := rand.New(rand.NewSource(6))
	for range 50 {
		n := 1 + r.Intn(30)
		xs, ys := r.Perm(40), r.Perm(40)
		layout := func(dx, dy int, flip bool) string {
			var out []string
			for i := range n {
				x, y := 37*xs[i]+dx, 53*ys[i]+dy
				if flip {
					x, y = -y, x
				}
				out = append(out, "s"+strconv.Itoa(i)+" "+strconv.Itoa(x)+" "+strconv.Itoa(y))
			}
			return strings.Join(out, ";")
		}
		a := proposedOrder(t, layout(0, 0, false))
		if b := proposedOrder(t, layout(1000, -500, false)); !slices.Equal(a, b) {
			t.Errorf("moved: %v, %v", a, b)
		}
		if b := proposedOrder(t, layout(0, 0, true)); !slices.Equal(a, b) {
			t.Errorf("turned: %v, %v", a, b)
		}
		seen := slices.Clone(a)
		slices.Sort(seen)
		if len(slices.Compact(seen)) != n {
			t.Errorf("not each once: %v", a)
		}
	}
}

func TestSequencePasses(t *testing.T) {
	ring := "1 5 3 7 2 6 4 8"
	full := func(pass string) string { return pass + ":" + strings.ReplaceAll(ring, " ", " "+pass+":") }
	for _, c := range []struct {
		name    string
		opts    map[string]string
		verdict Verdict
		says    string
		want    string // in missing or working
	}{
		{"nothing done", map[string]string{"passes": "50 90 130"}, Incomplete, "Next: 1 at 50\u2009N·m, pass 1; 8 of 8 are left in it.", "pass 3, 130\u2009N·m, still to tighten: 1 5 3"},
		{"under way", map[string]string{"passes": "50 90 130", "done": full("1") + " 2:1 2:5"}, Incomplete, "Next: 3 at 90\u2009N·m, pass 2; 6 of 8 are left in it.", "pass 2, 90\u2009N·m, still to tighten: 3 7 2 6 4 8"},
		{"one missed", map[string]string{"passes": "50 90", "done": "1:1 1:5 1:3 1:7 1:2 1:6 1:8 " + full("2")}, Incomplete, "Next: 4 at 50\u2009N·m, pass 1; 1 of 8 are left in it.", "pass 2 was begun before pass 1 was through: left then 4"},
		{"one twice", map[string]string{"passes": "50", "done": "1:1 1:5 1:5"}, Incomplete, "More than once in it: 5.", "pass 1: tightened more than once: 5"},
		{"out of order", map[string]string{"passes": "50", "done": "1:1 1:3"}, Incomplete, "Next: 5 at 50", "pass 1: left the order at number 2, 3 for 5"},
		{"all done", map[string]string{"passes": "50 90", "done": full("1") + " " + full("2")}, NoLimit, "All 8 are done in all 2 passes.", ""},
		{"retightening due", map[string]string{"passes": "50", "done": full("1"), "heated": "2027-04-03"}, Incomplete, "Retightening is due since the heat of 2027-04-03.", "cold, one nut at a time"},
		{"retightened", map[string]string{"passes": "50", "done": full("1"), "heated": "2027-04-03T15:20", "retightened": "2027-04-04"}, NoLimit, "Retightened after the first heat.", "retightened on 2027-04-04"},
		{"retightened before the heat", map[string]string{"heated": "2027-04-03", "retightened": "2027-04-02"}, Incomplete, "is due", "was before it"},
		{"in lbf·ft", map[string]string{"passes": "40 70", "unit": "lbf.ft"}, Incomplete, "Next: 1 at 40\u2009lbf·ft, pass 1", ""},
		{"order of the handbook", map[string]string{"passes": "50", "entered": "8 4 6 2 7 3 5 1"}, Incomplete, "Next: 8 at 50", "the order entered has each once; 0 of 8"},
		{"order with a slip", map[string]string{"entered": "1 5 3 7 2 6 4 4 9"}, Incomplete, "8 fasteners, in this order: " + ring, "missed in the order entered: 8\ntwice in the order entered: 4\nin the order entered but not on the map: 9"},
		{"falling torques", map[string]string{"passes": "90 50"}, Incomplete, "", "torque of pass 2: 50 is not more than the one before"},
		{"no such pass", map[string]string{"passes": "50", "done": "2:1"}, Incomplete, "", "'2:1' is not a pass from 1 to 1"},
		{"done without passes", map[string]string{"done": "1:1"}, Incomplete, "", "torque of each pass"},
		{"no such day", map[string]string{"heated": "3 April"}, Incomplete, "", "'3 April' is not a day"},
		{"not a torque", map[string]string{"passes": "50", "unit": "mm"}, Incomplete, "", "is no unit of torque"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.opts["map"] = ringMap(8)
			r := run(t, "sequence", Inputs{Opts: c.opts})
			if r.Verdict != c.verdict || !strings.Contains(r.Says, c.says) || !strings.Contains(strings.Join(append(r.Missing, r.Working...), "\n"), c.want) {
				t.Errorf("%s: %s\n%s\n%s", r.Verdict, r.Says, strings.Join(r.Missing, "\n"), strings.Join(r.Working, "\n"))
			}
		})
	}
	// From the end inwards: 24 of 26 come before one that lies nearer the middle.
	var ends []string
	for _, i := range []int{1, 26, 13, 14, 2, 25, 12, 15, 3, 24, 11, 16, 4, 23, 10, 17, 5, 22, 9, 18, 6, 21, 8, 19, 7, 20} {
		ends = append(ends, strconv.Itoa(i))
	}
	r := run(t, "sequence", Inputs{Opts: map[string]string{"map": headMap(), "entered": strings.Join(ends, " ")}})
	if !slices.ContainsFunc(r.Working, func(l string) bool { return strings.Contains(l, "24 of 26 come before one") }) || r.Verdict != NoLimit {
		t.Errorf("%s %v", r.Verdict, r.Working)
	}
}

func TestSequenceBadMap(t *testing.T) {
	for m, want := range map[string]string{"": "map of the fasteners", "1 0": "not a label and two distances", "1 0 x": "not a number", "1 0 0; 1 5 5": "there twice",
		manyFasteners(201): "more than 200"} {
		if r := sequenceSpec.Run(Inputs{Opts: map[string]string{"map": m}}); r.Verdict != Incomplete || !strings.Contains(strings.Join(r.Missing, "\n"), want) {
			t.Errorf("%.20q: %v, want %q", m, r.Missing, want)
		}
	}
}

func manyFasteners(n int) string {
	var out strings.Builder
	for i := range n {
		out.WriteString(strconv.Itoa(i) + " " + strconv.Itoa(i) + " 0;")
	}
	return out.String()
}
