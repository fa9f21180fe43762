package calc

import (
	"math/rand"
	"testing"
)

const oilMinima = "500:1.0 800:1.6 1100:2.2 1400:2.6 1700:2.8"

var (
	oil2117 = readingsOf(nil, "500 2117 1.4 bar", "800 2117 2.3 bar", "1100 2117 3.0 bar", "1400 2117 3.5 bar", "1700 2117 3.7 bar")
	oil2123 = readingsOf(nil, "500 2123 1.2 bar", "800 2123 2.1 bar", "1100 2123 2.9 bar", "1400 2123 3.4 bar", "1700 2123 3.6 bar")
)

// TestOilPressure: both engines, oil at 80 °C (invented scenario).
func TestOilPressure(t *testing.T) {
	in := Inputs{Items: map[string][]Item{"pressure": append(append([]Item{}, oil2117...), oil2123...), "oil_temp": readingsOf(nil, "- 2117 80 degC", "- 2123 80 degC")},
		Opts: map[string]string{"minima": oilMinima}, Limits: map[string]Limit{"difference": most("0.3 bar")}}
	r := run(t, "oilpressure", in)
	if r.Verdict != Within || len(r.Missing) > 0 {
		t.Errorf("%s, missing %v: %s", r.Verdict, r.Missing, r.Says)
	}
	for name, want := range map[string]string{"pressure.2117.500": "1.4", "pressure.2123.1700": "3.6", "difference.500": "−0.2", "difference.1700": "−0.1"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s %s, want %s", name, got, want)
		}
	}
	mentions(t, r, "equal, as far as these thermometers tell")
	in.Items["oil_temp"] = readingsOf(nil, "- 2117 72 degC", "- 2123 80 degC")
	mentions(t, run(t, "oilpressure", in), "the hotter oil is thinner")
}

// TestOilShape: the trade's reading of the shape (common practice, no source).
func TestOilShape(t *testing.T) {
	for _, c := range []struct {
		name, want string
		rows       []string
		verdict    Verdict
	}{
		{"idle only", "2117: low at low speed and right above it: clearances", []string{"500 2117 0.7 bar", "800 2117 1.8 bar", "1400 2117 3.4 bar"}, Outside},
		{"everywhere", "2117: low everywhere: pump", []string{"500 2117 0.7 bar", "800 2117 1.2 bar", "1400 2117 2.0 bar"}, Outside},
		{"in the middle", "2117: low here and there", []string{"500 2117 1.2 bar", "800 2117 1.2 bar", "1400 2117 3.4 bar"}, Outside},
		{"falling", "falls from 2.4 to 1.9 at one speed", []string{"800 2117 2.4 bar", "800 2117 2.2 bar", "800 2117 1.9 bar"}, Within},
		{"the least counts, not the mean", "limit at least 1.6\u2009bar", []string{"800 2117 2.4 bar", "800 2117 1.4 bar", "800 2117 2.4 bar"}, Outside},
		{"coming down", "2117", []string{"500 2117 1.2 bar", "500.down 2117 0.9 bar"}, Outside},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(t, "oilpressure", Inputs{Items: map[string][]Item{"pressure": readingsOf(nil, c.rows...)}, Opts: map[string]string{"minima": oilMinima}})
			if r.Verdict != c.verdict {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestOilLimits: a station's own limit comes before the table, the table
// before the limit for all; none of them judges when nobody set it.
func TestOilLimits(t *testing.T) {
	at := func(opts map[string]string, limits map[string]Limit) Verdict {
		return run(t, "oilpressure", Inputs{Items: map[string][]Item{"pressure": readingsOf(nil, "500 2117 1.2 bar")}, Opts: opts, Limits: limits}).Verdict
	}
	table := map[string]string{"minima": "500:1.0"}
	if v := at(nil, nil); v != NoLimit {
		t.Errorf("nothing set: %s", v)
	}
	if v := at(nil, map[string]Limit{"min": lowest("1.5 bar")}); v != Outside {
		t.Errorf("for all: %s", v)
	}
	if v := at(table, map[string]Limit{"min": lowest("1.5 bar")}); v != Within {
		t.Errorf("table: %s", v)
	}
	if v := at(table, map[string]Limit{"min.500": lowest("1.3 bar")}); v != Outside {
		t.Errorf("its own: %s", v)
	}
	if v := at(map[string]string{"minima": "500:20", "minima_unit": "psi"}, nil); v != Outside {
		t.Errorf("20 psi are 1.38 bar: %s", v)
	}
}

// TestOilBefore: 0.3 bar below the run before is what paper never shows.
func TestOilBefore(t *testing.T) {
	r := run(t, "oilpressure", Inputs{Items: map[string][]Item{"pressure": readingsOf(nil, "800 2117 2.0 bar"), "previous": readingsOf(nil, "800 2117 2.3 bar")},
		Limits: map[string]Limit{"below_previous": most("0.2 bar")}})
	if v := val(t, r, "since.2117.800"); v.Text != "0.3" || r.Verdict != Outside {
		t.Errorf("%s %s", v.Text, r.Verdict)
	}
}

func TestOilMissingAndBad(t *testing.T) {
	for _, c := range []struct{ name, row, minima, want string }{
		{"below nought", "500 2117 -0.5 bar", "", "does not return to its pin"},
		{"another kind", "500 2117 1.4 mm", "", "not a pressure"},
		{"no number", "500 2117 NaN bar", "", "not a number"},
		{"table of words", "500 2117 1.4 bar", "500:low", "not a number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "oilpressure", Inputs{Items: map[string][]Item{"pressure": readingsOf(nil, c.row)}, Opts: map[string]string{"minima": c.minima}})
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestOilUnits: bar and psi give the same pressures and verdicts.
func TestOilUnits(t *testing.T) {
	rnd := rand.New(rand.NewSource(18))
	for range 30 {
		p := anyway(rnd, 0.5, 4, 2)
		a, b := readingsOf(nil, "500 2117 "+p+" bar"), readingsOf(nil, "500 2117 1 psi")
		b[0].V = inUnit(p+" bar", "psi")
		limit := map[string]Limit{"min": lowest("2.00 bar")}
		ra := run(t, "oilpressure", Inputs{Items: map[string][]Item{"pressure": a}, Limits: limit})
		rb := run(t, "oilpressure", Inputs{Items: map[string][]Item{"pressure": b}, Limits: limit})
		nearTo(t, "pressure", val(t, rb, "pressure.2117.500").SI, val(t, ra, "pressure.2117.500").SI, 0.01)
		if ra.Verdict != rb.Verdict {
			t.Errorf("%s bar: %s and %s", p, ra.Verdict, rb.Verdict)
		}
	}
}
