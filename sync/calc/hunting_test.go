package calc

import (
	"math"
	"math/rand"
	"strconv"
	"testing"
)

func speeds(tool *Tool, list ...string) []Item {
	var rows []string
	for i, v := range list {
		rows = append(rows, strconv.Itoa(i+1)+" 2117 "+v+" rpm")
	}
	return readingsOf(tool, rows...)
}

// TestHuntingDeviation: NIST StRD, univariate, Mavro (mean 2.00185600000000,
// standard deviation 0.000429123454003053), taken as speeds.
func TestHuntingDeviation(t *testing.T) {
	_, x := strd(t, "nist_strd_mavro.csv")
	if len(x) == 0 {
		t.Fatal("no data")
	}
	var list []string
	for _, v := range x {
		list = append(list, strconv.FormatFloat(v, 'f', 5, 64))
	}
	r := run(t, "hunting", Inputs{Items: map[string][]Item{"speed": speeds(nil, list...)}})
	nearTo(t, "mean", val(t, r, "mean").SI*60, 2.001856, 1e-12)
	nearTo(t, "deviation", val(t, r, "deviation").SI*60, 0.000429123454003053, 1e-13)
}

// TestHuntingSurges: swings counted by hand; TM 5-3805-257-14&P counts surges
// after a disturbance.
func TestHuntingSurges(t *testing.T) {
	for _, c := range []struct {
		name string
		list []string
		want string
	}{
		{"one over and under", []string{"520", "480", "500", "500", "500"}, "1"},
		{"two", []string{"520", "480", "520", "480", "500"}, "2"},
		{"steady to the step", []string{"500", "501", "500", "499", "500", "501"}, "0"},
		{"five", []string{"520", "480", "520", "480", "520", "480", "520", "480", "520", "480"}, "5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "hunting", Inputs{Items: map[string][]Item{"speed": speeds(n1, c.list...)}, Limits: map[string]Limit{"surges": most("2")}})
			if v := val(t, r, "surges"); v.Text != c.want || (v.Verdict == Within) != (c.want < "3") {
				t.Errorf("%s surges %s, want %s", v.Text, v.Verdict, c.want)
			}
		})
	}
}

// TestHuntingSine: a sine of amplitude A swings by A and deviates by A/√2
// (JCGM 100:2008, H.1.3.4 for the arcsine distribution); its period comes back.
func TestHuntingSine(t *testing.T) {
	var list []string
	for i := range 120 {
		list = append(list, strconv.FormatFloat(500+float64(12*math.Sin(2*math.Pi*(float64(i)+0.5)/20)), 'f', 3, 64))
	}
	r := run(t, "hunting", Inputs{Items: map[string][]Item{"speed": speeds(n1, list...)}, Nominal: typedIn("interval", "0.5 s")})
	nearTo(t, "swing", val(t, r, "swing").SI*60, 12*math.Sin(2*math.Pi*4.5/20), 0.002)
	nearTo(t, "deviation", val(t, r, "deviation").SI*60, 12/math.Sqrt2, 0.05)
	nearTo(t, "period", val(t, r, "period").SI, 10, 0.1)
}

// TestDroop: 1850 no-load and 1700 rated (invented scenario): 150 ÷ 1700; and
// back to 1850.
func TestDroop(t *testing.T) {
	r := run(t, "hunting", Inputs{Nominal: typedIn("no_load", "1850 rpm", "full_load", "1700 rpm"), Limits: map[string]Limit{"droop": {Min: ptr(asWritten("5 %")), Max: ptr(asWritten("10 %")), Accepted: true}}})
	if v := val(t, r, "droop"); v.Text != "8.8" || v.Verdict != Within {
		t.Errorf("%s %s", v.Text, v.Verdict)
	}
	r = run(t, "hunting", Inputs{Nominal: typedIn("droop", "8.824 %", "full_load", "1700 rpm")})
	if v := val(t, r, "no_load"); v.Text != "1850" || len(r.Missing) > 0 {
		t.Errorf("%s, missing %v", v.Text, r.Missing)
	}
}

func TestHuntingMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name, want string
		in         Inputs
	}{
		{"two readings", "three speeds in a row", Inputs{Items: map[string][]Item{"speed": speeds(n1, "500", "510")}}},
		{"no full load", "speed at full load", Inputs{Nominal: typedIn("no_load", "1850 rpm")}},
		{"no load at all", "speed at no load", Inputs{Nominal: typedIn("full_load", "1700 rpm")}},
		{"stands still", "above nought", Inputs{Nominal: typedIn("no_load", "1850 rpm", "full_load", "0 rpm")}},
		{"no number", "not a number", Inputs{Items: map[string][]Item{"speed": speeds(n1, "500", "Inf", "510", "520")}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "hunting", c.in)
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestHuntingShift: all speeds raised alike change the mean alone.
func TestHuntingShift(t *testing.T) {
	rnd := rand.New(rand.NewSource(14))
	for range 30 {
		var a, b []string
		for range 12 {
			v := rnd.Intn(40) + 480
			a, b = append(a, strconv.Itoa(v)), append(b, strconv.Itoa(v+300))
		}
		ra := run(t, "hunting", Inputs{Items: map[string][]Item{"speed": speeds(n1, a...)}})
		rb := run(t, "hunting", Inputs{Items: map[string][]Item{"speed": speeds(n1, b...)}})
		nearTo(t, "mean", val(t, rb, "mean").SI-val(t, ra, "mean").SI, 5, 1e-12)
		for _, n := range []string{"swing", "deviation", "surges"} {
			nearTo(t, n, val(t, rb, n).SI, val(t, ra, n).SI, 1e-12)
		}
	}
}
