package calc

import (
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

var engineSpec = Spec{
	Name: "engine", Version: "1", Title: "An engine's figures: swept volume, mean piston speed, torque, bmep, gas load",
	Needs: []Need{
		{"bore", "bore", "length", "nominal", false},
		{"stroke", "stroke", "length", "nominal", false},
		{"cylinders", "number of cylinders, of one single-acting piston each", "1", "nominal", false},
		{"speed", "speed, for the mean piston speed", "speed", "nominal", true},
		{"power", "brake power at that speed, for torque and bmep", "power", "nominal", true},
		{"cycle", "four-stroke or two-stroke, for the bmep", "", "option", true},
		{"peak", "peak cylinder pressure, gauge, for the gas load", "pressure", "nominal", true},
		{"piston_speed", "mean piston speed allowed", "velocity", "limit", true},
		{"torque", "torque allowed, as of clutch or gearbox", "torque", "limit", true},
		{"bmep", "brake mean effective pressure allowed", "pressure", "limit", true},
		{"gas_load", "gas load on a piston allowed", "force", "limit", true},
	},
	Above: "bore stroke cylinders speed power peak",
	run:   runEngine,
}

const cautionEngine = "These are figures of drawing and plate, for new parts: they say what was meant, not what this engine can bear today. Never run up to a speed, or load to a power, because a figure here allows it. The maker's speed, power and pressures come before any figure here."

// engineData is what the figures are worked out from. What was not given is
// nought, for no size of nought is taken.
type engineData struct {
	bore, stroke, speed, power, peak measured
	cylinders                        float64
	turns                            float64 // of the crank for each working stroke
	inch                             bool    // drawn in inches
}

func (m measured) known() bool { return m.si > 0 }

// runEngine gives each figure as soon as its own inputs are there: the swept
// volume is π/4·bore²·stroke for each cylinder, the mean piston speed
// 2·stroke·N, the torque P ÷ 2πN, bmep = P·n ÷ (V·N) with n turns of the crank
// for each working stroke, the gas load p·π/4·bore². Heywood, Internal
// Combustion Engine Fundamentals, 1988, §2.2 and §2.7 (from memory).
func runEngine(s *sheet) {
	s.caution(cautionEngine)
	e := s.engineData()
	swept := s.sweptVolume(e)
	s.pistonSpeed(e)
	s.torqueOf(e)
	s.bmep(e, swept)
	s.gasLoad(e)
	s.wants("piston_speed", "piston_speed", "speed, for the mean piston speed")
	s.wants("torque", "torque", "brake power and its speed, for the torque")
	s.wants("bmep", "bmep", "brake power, its speed and the cycle, for the bmep")
	s.wants("gas_load", "gas_load", "peak cylinder pressure, for the gas load")
	if len(s.Vals) > 0 {
		s.say(capital(s.figures()))
	}
}

func (s *sheet) engineData() engineData {
	var e engineData
	e.bore, _ = s.one("bore", "bore")
	e.stroke, _ = s.one("stroke", "stroke")
	e.cylinders = s.cylinderCount()
	e.speed, _ = s.maybe("speed", "speed")
	e.power, _ = s.maybe("power", "brake power")
	e.peak, _ = s.maybe("peak", "peak cylinder pressure")
	if e.power.known() && !s.given("speed") {
		s.missing("speed at which it gives that power")
	}
	e.turns = s.turns(e.power.known())
	drawn := e.bore
	if !drawn.known() {
		drawn = e.stroke
	}
	e.inch = slices.Contains([]string{"in", "thou", "tenth", "ft"}, drawn.unit.Code)
	return e
}

// cylinderCount is one whole number; the middle of two would be another engine.
func (s *sheet) cylinderCount() float64 {
	if w := s.in.Nominal["cylinders"]; w.To != "" {
		s.missing("number of cylinders: one figure, not " + w.String())
		return 0
	}
	n, _ := s.whole("cylinders", "number of cylinders")
	return n
}

// turns is how often the crank turns for each working stroke of a cylinder; it
// is never taken for granted, for it doubles the bmep.
func (s *sheet) turns(wanted bool) float64 {
	said := s.in.Opts["cycle"]
	switch strings.NewReplacer("-", "", " ", "", "strokes", "", "stroke", "").Replace(strings.ToLower(said)) {
	case "4", "four":
		return 2
	case "2", "two":
		return 1
	case "":
		if wanted {
			s.missing("whether it is a four-stroke or a two-stroke, for the bmep")
		}
	default:
		s.missing("whether it is a four-stroke or a two-stroke: '" + said + "' is neither")
	}
	return 0
}

// unit is the metric unit or, of an engine drawn in inches, the other.
func (e engineData) unit(metric, inch string) quantity.Unit {
	if e.inch {
		return mustUnit(inch)
	}
	return mustUnit(metric)
}

// share is what a product is uncertain by for a factor of it that stands in it
// so many times.
func share(product float64, factor measured, n float64) []quantity.Part {
	return times(factor.all(), float64(n*product)/factor.si)
}

// sweptVolume adds the volume of a cylinder and of all, and returns the latter.
func (s *sheet) sweptVolume(e engineData) measured {
	if !e.bore.known() || !e.stroke.known() {
		return measured{}
	}
	small, square := e.unit("cm3", "in3"), e.unit("cm2", "in2")
	one := float64(area(e.bore.si) * e.stroke.si)
	parts := append(share(one, e.bore, 2), share(one, e.stroke, 1)...)
	s.line("piston area: π/4 × bore² = " + in(area(e.bore.si), square, 3) + "; swept volume of a cylinder: area × stroke = " + in(one, small, 2))
	s.value("swept", "Swept volume of a cylinder", one, parts, small, 2, "")
	if e.cylinders == 0 {
		return measured{}
	}
	u := e.unit("L", "in3")
	all := measured{si: float64(one * e.cylinders), own: times(parts, e.cylinders), unit: u}
	all.dec = places(all.si, u, 4)
	s.line("swept volume: " + quantity.Fixed(e.cylinders, 0) + " × " + in(one, small, 2) + " = " + in(all.si, u, all.dec))
	s.value("swept.total", "Swept volume", all.si, all.own, u, all.dec, "")
	return all
}

func (s *sheet) pistonSpeed(e engineData) {
	if !e.stroke.known() || !e.speed.known() {
		return
	}
	u, dec := e.unit("m/s", "ft/min"), 1
	if e.inch {
		dec = 0
	}
	v := float64(2*e.stroke.si) * e.speed.si
	s.line("mean piston speed: 2 × " + asText(e.stroke) + " × " + asText(e.speed) + " = " + in(v, u, dec))
	s.value("piston_speed", "Mean piston speed", v, append(share(v, e.stroke, 1), share(v, e.speed, 1)...), u, dec, "piston_speed")
}

func (s *sheet) torqueOf(e engineData) {
	if !e.power.known() || !e.speed.known() {
		return
	}
	t := e.power.si / float64(2*quantity.Pi*e.speed.si)
	u := e.unit("N.m", "lbf.ft")
	dec := places(t, u, 3)
	s.line("torque: " + asText(e.power) + " ÷ (2π × " + asText(e.speed) + ") = " + in(t, u, dec))
	s.value("torque", "Torque", t, append(share(t, e.power, 1), share(t, e.speed, 1)...), u, dec, "torque")
}

func (s *sheet) bmep(e engineData, swept measured) {
	if !e.power.known() || !e.speed.known() || !swept.known() || e.turns == 0 {
		return
	}
	p := float64(e.power.si*e.turns) / float64(swept.si*e.speed.si)
	u := e.unit("bar", "psi")
	dec := places(p, u, 3)
	n := quantity.Fixed(e.turns, 0)
	s.line("bmep, turns of the crank to a working stroke " + n + ": " + asText(e.power) + " × " + n + " ÷ (" + asText(swept) + " × " + asText(e.speed) + ") = " + in(p, u, dec))
	parts := append(append(share(p, e.power, 1), share(p, e.speed, 1)...), share(p, swept, 1)...)
	s.value("bmep", "Brake mean effective pressure (bmep)", p, parts, u, dec, "bmep")
}

func (s *sheet) gasLoad(e engineData) {
	if !e.bore.known() || !e.peak.known() {
		return
	}
	f := float64(e.peak.si * area(e.bore.si))
	u := e.unit("kN", "lbf")
	dec := places(f, u, 3)
	s.line("gas load: " + asText(e.peak) + " × " + in(area(e.bore.si), e.unit("cm2", "in2"), 3) + " = " + in(f, u, dec))
	s.value("gas_load", "Gas load on a piston", f, append(share(f, e.peak, 1), share(f, e.bore, 2)...), u, dec, "gas_load")
}

// asText is a value as it is worked with, with its unit.
func asText(m measured) string { return in(m.si, m.unit, m.dec) }

// figures says all values in one line, each with its verdict.
func (s *sheet) figures() string {
	var words []string
	for _, v := range s.Vals {
		words = append(words, strings.ToLower(v.Label)+" "+v.Text+thin(v.Unit)+verdictWords(v))
	}
	return strings.Join(words, "; ")
}
