package calc

import (
	"math/rand"
	"strconv"
	"testing"

	"witnessmark/sync/quantity"
)

// plate is what a plate and a drawing say: bore, stroke, cylinders, speed,
// power and peak pressure, each "" where it is not known.
func plate(bore, stroke, cylinders, speed, power, peak string) map[string]string {
	out := map[string]string{}
	for name, v := range map[string]string{"bore": bore, "stroke": stroke, "cylinders": cylinders, "speed": speed, "power": power, "peak": peak} {
		if v != "" {
			out[name] = v
		}
	}
	return out
}

func cycle(said string) map[string]string { return map[string]string{"cycle": said} }

// TestEngine: the invented scenario's engine, worked by hand there; figures
// that were printed elsewhere, each with its place; and what is refused.
func TestEngine(t *testing.T) {
	six := func() map[string]string {
		return plate("107.00 mm", "143.00 mm", "6 1", "1700 rpm", "72 kW", "65 bar")
	}
	without := func(names ...string) map[string]string {
		out := six()
		for _, n := range names {
			delete(out, n)
		}
		return out
	}
	as := func(name, v string) map[string]string {
		out := six()
		out[name] = v
		return out
	}
	for _, c := range []check{
		{name: "six cylinders", nominal: six(), opts: cycle("four-stroke"), limits: map[string]Limit{"piston_speed": between("", "9.0", "m/s"), "bmep": between("", "6.5", "bar")},
			vals:    map[string]string{"swept": "1285.86", "swept.total": "7.715", "bmep": "6.59", "torque": "404", "piston_speed": "8.1", "gas_load": "58.4"},
			verdict: Outside, says: "bmep) 6.59\u2009bar (outside, limit at most 6.5\u2009bar)", working: "72\u2009kW × 2 ÷ (7.715\u2009l × 1700\u2009rpm) = 6.59\u2009bar"},
		// Handbook formulas in inches, from memory: bmep = 396 000 × hp ÷ (in³ × rpm) for a two-stroke, torque = 5252 × hp ÷ rpm,
		// mean piston speed = stroke in inches × rpm ÷ 6. 396 000 × 30 ÷ (141.86 × 1200) = 69.8; 5252 × 30 ÷ 1200 = 131.
		{name: "two-stroke in inches", nominal: plate("4.25 in", "5 in", "2 1", "1200 rpm", "30 hp", "900 psi"), opts: cycle("2 stroke"), limits: map[string]Limit{"gas_load": between("", "60", "kN")},
			vals: map[string]string{"swept": "70.93", "swept.total": "141.9", "bmep": "69.8", "torque": "131", "piston_speed": "1000", "gas_load": "12768"}, verdict: Within},
		// Worked example 'Mean effective pressure', scribd.com/document/500370243: 85 × 97 mm, four cylinders, 230 N·m, n = 2: a
		// cylinder 0.0005504 m³, bmep 13.13 bar. At 2000 rpm the torque is 48.1711 kW.
		{name: "a published example", nominal: plate("85 mm", "97 mm", "4 1", "2000 rpm", "48.1711 kW", ""), opts: cycle("4"), vals: map[string]string{"swept": "550.43", "torque": "230", "bmep": "13.1"}},
		// marinerspointpro.com, mean piston speed: a stroke of 90 mm at 3000 rpm gives 9 m/s.
		{name: "piston speed alone", nominal: plate("", "90 mm", "", "3000 rpm", "", ""), vals: map[string]string{"piston_speed": "9.0"}, verdict: Incomplete, missing: "bore"},
		{name: "from the drawing alone", nominal: without("speed", "power", "peak"), vals: map[string]string{"swept.total": "7.715"}, says: "7.715\u2009l."},
		{name: "cycle not said", nominal: six(), vals: map[string]string{"torque": "404"}, verdict: Incomplete, missing: "four-stroke or a two-stroke, for the bmep"},
		{name: "cycle not needed", nominal: without("power"), vals: map[string]string{"piston_speed": "8.1"}},
		{name: "three strokes", nominal: without("power"), opts: cycle("three-stroke"), verdict: Incomplete, missing: "'three-stroke' is neither"},
		{name: "power at no speed", nominal: without("speed"), opts: cycle("four"), verdict: Incomplete, missing: "speed at which it gives that power"},
		{name: "no number of cylinders", nominal: without("cylinders"), opts: cycle("four"), vals: map[string]string{"swept": "1285.86", "torque": "404"}, verdict: Incomplete, missing: "number of cylinders"},
		{name: "half a cylinder", nominal: as("cylinders", "6.5 1"), opts: cycle("four"), verdict: Incomplete, missing: "no whole number"},
		{name: "four to six cylinders", nominal: as("cylinders", "4..6 1"), opts: cycle("four"), verdict: Incomplete, missing: "one figure, not 4 to 6"},
		{name: "a bore of nought", nominal: as("bore", "0 mm"), opts: cycle("four"), verdict: Incomplete, missing: "above nought"},
		{name: "a speed below nought", nominal: as("speed", "-1700 rpm"), opts: cycle("four"), verdict: Incomplete, missing: "above nought"},
		{name: "a stroke in bar", nominal: as("stroke", "143 bar"), opts: cycle("four"), verdict: Incomplete, missing: "is not a length"},
		{name: "a limit that judges nothing", nominal: without("peak"), opts: cycle("four"), limits: map[string]Limit{"gas_load": between("", "60", "kN")}, verdict: Incomplete, missing: "peak cylinder pressure, for the gas load"},
		{name: "a limit that nobody accepted", nominal: six(), opts: cycle("four"), limits: map[string]Limit{"torque": {Max: ptr(w("300 N.m"))}}, says: "not accepted yet"},
	} {
		c.calc = "engine"
		c.run(t)
	}
}

// TestEngineSilent: a figure whose inputs are not all there does not appear.
func TestEngineSilent(t *testing.T) {
	in := Inputs{Nominal: sizesOf("bore", "107.00", "mm", "stroke", "143.00", "mm", "cylinders", "6", "1", "power", "72", "kW")}
	for _, v := range engineSpec.Run(in).Vals {
		if v.Name != "swept" && v.Name != "swept.total" {
			t.Errorf("%s %s without a speed", v.Name, v.Text)
		}
	}
}

// TestEngineBothWays: the torque leads back to the bmep by the other formula of
// the textbook, 2π·n·T ÷ V (Heywood, 1988, §2.7, from memory); a two-stroke has
// half of it; inches and millimetres give one answer; and the uncertainty of a
// measured bore counts twice in a volume.
func TestEngineBothWays(t *testing.T) {
	r := rand.New(rand.NewSource(21))
	for range 100 {
		bi, bm := inchAndMillimetre(20000 + r.Intn(60000))
		si, sm := inchAndMillimetre(20000 + r.Intn(80000))
		n, speed, power := strconv.Itoa(1+r.Intn(12)), strconv.Itoa(200+r.Intn(3000)), strconv.Itoa(5+r.Intn(500))
		solve := func(bore, stroke quantity.Written, said string) Result {
			in := sizesOf("cylinders", n, "1", "speed", speed, "rpm", "power", power, "kW", "peak", "65", "bar")
			in["bore"], in["stroke"] = bore, stroke
			return run(t, "engine", Inputs{Nominal: in, Opts: cycle(said)})
		}
		four, two, inch := solve(bm, sm, "four"), solve(bm, sm, "two"), solve(bi, si, "four")
		bmep, volume := val(t, four, "bmep").SI, val(t, four, "swept.total").SI
		closeTo(t, "by the torque", 2*quantity.Pi*2*val(t, four, "torque").SI/volume, bmep)
		closeTo(t, "two-stroke", 2*val(t, two, "bmep").SI, bmep)
		closeTo(t, "swept", val(t, four, "swept").SI*mustNumber(t, n), volume)
		for _, name := range []string{"swept.total", "bmep", "torque", "piston_speed", "gas_load"} {
			closeTo(t, name+" in inches", val(t, inch, name).SI, val(t, four, name).SI)
		}
	}
	in := Inputs{Items: map[string][]Item{"bore": at(&Tool{Key: "B", U: 2e-5}, map[string]string{"": "100.000"})}, Nominal: sizesOf("stroke", "100", "mm", "cylinders", "6", "1")}
	v := val(t, run(t, "engine", in), "swept.total")
	nearTo(t, "U of the volume, relative", v.U/v.SI, 2*2e-5/0.1, 1e-6)
}
