package calc

import (
	"encoding/csv"
	"math"
	"math/rand"
	"os"
	"strings"
	"testing"

	"witnessmark/sync/quantity"
)

func pct(hi string) Limit {
	return Limit{Max: one(hi, "%"), Accepted: true}
}

// camChain is the cam chain of engine 2117 (invented scenario).
func camChain(length string, links string) Inputs {
	return Inputs{Items: map[string][]Item{"length": list(reading("", "", mm(length)))}, Opts: map[string]string{"chain": "08B-1"},
		Nominal: written{"links": plain1(links), "run": plain1("28"), "teeth": plain1("38")},
		Limits:  map[string]Limit{"elongation": pct("1.0"), "lag": degrees("", "1.0")}}
}

// TestChain: 24 links at 307.10 mm let the injection come 4° late although the
// chain is within its 1.0 % (invented scenario, worked by hand there).
func TestChain(t *testing.T) {
	r := run(t, "chain", camChain("307.10", "24"))
	for name, want := range map[string]string{"elongation": "0.75", "cam": "2.00", "lag": "4.0", "allowed": "0.19", "lag_allowed": "5.3"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if val(t, r, "elongation").Verdict != Within || val(t, r, "lag").Verdict != Outside {
		t.Error(r.Says)
	}
	working := strings.Join(r.Working, "\n")
	for _, want := range []string{"24 × 12.700 = 304.80\u2009mm", "= 76.81\u2009mm", "= 2.68\u2009mm late"} {
		if !strings.Contains(working, want) {
			t.Errorf("no %q in %s", want, working)
		}
	}
	if !strings.Contains(r.Says, "0.75\u2009% longer than new (within, limit at most 1.0\u2009%); the cam lags by 4.0° of the crank (outside, limit at most 1.0°)") {
		t.Error(r.Says)
	}
}

// TestChainPitches holds the table against testdata/reference/chains_iso606.csv
// (ISO 606 table 1, from memory; the pitches follow from 3/8 in to 1 in).
func TestChainPitches(t *testing.T) {
	f, err := os.Open("../../testdata/reference/chains_iso606.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 10 {
		t.Fatal(err, rows)
	}
	for _, row := range rows[1:] {
		in := Inputs{Opts: map[string]string{"chain": row[0]}, Nominal: written{"length": {Text: row[2], Unit: "mm"}, "links": plain1("1")}}
		if v := val(t, run(t, "chain", in), "elongation"); v.SI != 0 {
			t.Errorf("%s: its own pitch, %s mm, is %s %% long", row[0], row[2], v.Text)
		}
		if row[0][:2] != "05" { // the only one that is no fraction of an inch
			in.Nominal["length"] = quantity.Written{Text: row[3], Unit: "in"}
			if v := val(t, run(t, "chain", in), "elongation"); math.Abs(v.SI) > 1e-9 {
				t.Errorf("%s: %s in is %v long", row[0], row[3], v.SI)
			}
		}
	}
}

func TestChainBad(t *testing.T) {
	with := func(in Inputs, change func(Inputs)) Inputs { change(in); return in }
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"shorter than new", camChain("307.10", "25"), "shorter than 25 new pitches, 317.50"},
		{"half a link", camChain("307.10", "24.5"), "no whole number"},
		{"no links", camChain("307.10", "0"), "must be above nought"},
		{"unknown chain", with(camChain("307.10", "24"), func(in Inputs) { in.Opts["chain"] = "99Z" }), "not one that this tool knows"},
		{"chain and pitch differ", with(camChain("307.10", "24"), func(in Inputs) { in.Nominal["pitch"] = mm("15.875") }), "settle which chain"},
		{"no chain", with(camChain("307.10", "24"), func(in Inputs) { delete(in.Opts, "chain") }), "pitch of the new chain"},
		{"no teeth", with(camChain("307.10", "24"), func(in Inputs) { delete(in.Nominal, "teeth") }), "teeth of the cam's wheel"},
		{"nothing measured", with(camChain("307.10", "24"), func(in Inputs) { delete(in.Items, "length") }), "length of the chain"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "chain", c.in, c.words) })
	}
	r := run(t, "chain", camChain("317.60", "24"))
	if !strings.Contains(strings.Join(r.Working, "\n"), "so long are also 25 new pitches") {
		t.Error("a chain a whole link too long is taken without a word")
	}
}

// TestChainRoundTrip: a chain as long as the lag limit allows lags by the limit.
func TestChainRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewSource(4))
	for range 200 {
		in := camChain("307.10", "24")
		in.Nominal["run"], in.Nominal["teeth"] = plain1(quantity.Fixed(10+float64(rnd.Intn(40)), 0)), plain1(quantity.Fixed(20+float64(rnd.Intn(40)), 0))
		e := val(t, run(t, "chain", in), "allowed").SI
		in.Items["length"][0].V = length(304.8*(1+e), "mm")
		near(t, "lag", val(t, run(t, "chain", in), "lag").SI, 1)
	}
	sameInInches(t, "chain", func(r *rand.Rand, unit string) Inputs {
		in := camChain("307.10", "24")
		in.Items["length"][0].V = length(304.8*(1+0.02*r.Float64()), unit)
		return in
	})
}
