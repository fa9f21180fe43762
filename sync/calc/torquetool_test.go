package calc

import (
	"math/rand"
	"strconv"
	"strings"
	"testing"
)

// TestTorquetool: wrenches W1 and W2 (invented scenario); the shares of full
// scale are those of TM 1-1500-204-23-9, table 8-1.
func TestTorquetool(t *testing.T) {
	for _, c := range []struct {
		name, low, high, torque string
		on, until, checked      string
		verdict                 Verdict
		says                    string
	}{
		{"W1 for the first pass", "70", "350", "50", "2027-03-27", "2027-11-30", "2026-11-30", Outside, "Refused: 50\u2009N·m is under its lowest mark, 70\u2009N·m. Trusted from 20 % of 350\u2009N·m is 70\u2009N·m."},
		{"W2 for the first pass", "40", "200", "50", "2027-03-27", "2027-11-30", "2026-11-30", Within, "In range and in date for 50\u2009N·m: 20 % of 200\u2009N·m is 40\u2009N·m. It is at its best"},
		{"W2 for the last pass", "40", "200", "130", "2027-03-27", "2027-11-30", "", Within, "In range and in date for 130\u2009N·m: 20 % of 200\u2009N·m is 40\u2009N·m."},
		{"a scale that begins below its trust", "20", "200", "35", "2027-03-27", "2027-11-30", "", Outside, "Refused: 35\u2009N·m is below where it can be trusted: 20 % of 200\u2009N·m is 40\u2009N·m."},
		{"just at it", "20", "200", "40", "2027-03-27", "2027-11-30", "", Within, "In range and in date"},
		{"over its scale", "40", "200", "201", "2027-03-27", "2027-11-30", "", Outside, "over its full scale"},
		{"out of date", "40", "200", "130", "2027-12-01", "2027-11-30", "", Outside, "in range for 130\u2009N·m, but its check ran out on 2027-11-30."},
		{"last day", "40", "200", "130", "2027-11-30", "2027-11-30", "", Within, "In range and in date"},
		{"checked later", "40", "200", "130", "2027-03-27", "2027-11-30", "2027-04-01", Outside, "checked on 2027-04-01 only"},
		{"no day known", "40", "200", "130", "2027-03-27", "", "", Incomplete, "Whether it is in date is not known."},
		{"no such day", "40", "200", "130", "2027-02-29", "2027-11-30", "", Incomplete, "Whether it is in date is not known."},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "torquetool", Inputs{Nominal: sizesOf("low", c.low, "N.m", "high", c.high, "N.m", "torque", c.torque, "N.m"),
				Opts: map[string]string{"on": c.on, "until": c.until, "checked": c.checked}})
			if r.Verdict != c.verdict || !strings.Contains(r.Says, c.says) {
				t.Errorf("%s: %s, want %s: %s; missing %v", r.Verdict, r.Says, c.verdict, c.says, r.Missing)
			}
		})
	}
	dates := map[string]string{"on": "2028-02-29", "until": "2028-02-29"}
	incomplete(t, run(t, "torquetool", Inputs{Nominal: sizesOf("low", "350", "N.m", "high", "70", "N.m", "torque", "50", "N.m"), Opts: dates}), "is not above its lowest mark")
	incomplete(t, run(t, "torquetool", Inputs{Nominal: sizesOf("low", "40", "N.m", "torque", "50", "N.m"), Opts: dates}), "full scale")
	incomplete(t, run(t, "torquetool", Inputs{Nominal: sizesOf("low", "40", "N.m", "high", "200", "N.m", "torque", "-50", "N.m"), Opts: dates}), "above nought")
	own := run(t, "torquetool", Inputs{Nominal: sizesOf("low", "20", "N.m", "high", "200", "N.m", "torque", "30", "N.m", "trusted", "10", "%"), Opts: dates})
	if own.Verdict != Within || val(t, own, "trusted").Text != "20" {
		t.Errorf("its certificate vouches from 10 %%: %s %s", own.Verdict, own.Says)
	}
}

// TestTorquetoolUnits: a wrench in lbf·ft is judged as one in N·m.
func TestTorquetoolUnits(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 100 {
		torque := 20 + r.Intn(200)
		says := func(unit string, factor float64) Verdict {
			f := func(x int) string { return strconv.FormatFloat(float64(x)*factor, 'f', 9, 64) }
			n := sizesOf("low", f(40), unit, "high", f(200), unit, "torque", f(torque), unit)
			return run(t, "torquetool", Inputs{Nominal: n, Opts: map[string]string{"on": "2027-03-27", "until": "2027-11-30"}}).Verdict
		}
		// 1 lbf·ft = 1.3558179483314004 N·m, exactly (NIST SP 811, appendix B).
		if a, b := says("N.m", 1), says("lbf.ft", 1/1.3558179483314004); a != b {
			t.Errorf("%d N·m: %s, in lbf·ft %s", torque, a, b)
		}
	}
}
