package calc

import (
	"math"
	"strings"

	"witnessmark/sync/quantity"
)

var claySpec = Spec{
	Name: "clay", Version: "2", Title: "Piston to head and valve to piston, from clay or lead, cold and running",
	Needs: []Need{
		{"clay", "clay cut through; each spot, by cylinder as 4 or valve as 4E", "length", "item", true},
		{"lead", "lead or solder crushed; each spot, by cylinder or valve", "length", "item", true},
		{"springback", "what the clay springs back by: taken off clay, not off lead", "length", "nominal", true},
		{"trial_gasket", "compressed thickness of the gasket of the trial", "length", "nominal", true},
		{"new_gasket", "compressed thickness of the gasket to be fitted", "length", "nominal", true},
		{"geometry", "flat: gap along the cylinder; pocket: crown parallel to the valve's head; asked for with another gasket", "", "option", true},
		{"valve_angle", "angle of the valves to the cylinder, for pockets", "angle", "nominal", true},
		{"piston_height", "height of the piston above its pin", "length", "nominal", true},
		{"alpha_piston", "expansion of the piston", "expansion", "nominal", true},
		{"rise_piston", "how many degrees hotter the piston runs", "temperature", "nominal", true},
		{"rod_length", "length of the rod between centres", "length", "nominal", true},
		{"alpha_rod", "expansion of the rod", "expansion", "nominal", true},
		{"rise_rod", "how many degrees hotter the rod runs", "temperature", "nominal", true},
		{"block_height", "height of the block from the crank's centre to the head", "length", "nominal", true},
		{"alpha_block", "expansion of the block", "expansion", "nominal", true},
		{"rise_block", "how many degrees hotter the block runs", "temperature", "nominal", true},
		{"rod_stretch", "what the rod stretches at speed", "length", "nominal", true},
		{"bearing_clearance", "bearing clearance taken up at speed", "length", "nominal", true},
		{"piston", "gap allowed between piston and head, cold", "length", "limit", true},
		{"valve", "gap allowed between valve and piston, cold", "length", "limit", true},
		{"running", "gap allowed when running", "length", "limit", true},
	},
	Above: "trial_gasket new_gasket piston_height alpha_piston rod_length alpha_rod block_height alpha_block",
	Gaps:  "piston valve running",
	run:   runClay,
}

const cautionClay = cautionBar + " A valve comes nearest some degrees before or after top dead centre, not at it: two full turns, slowly, tappets at their running gaps, and stop where it goes stiff."

// refit is what another gasket does to a gap, the same for every spot.
type refit struct {
	given        bool
	trial, fresh measured
	cos          float64 // of the valves' angle, for a gap square to a leaning pocket
}

// runClay: the least spot of each cylinder or valve counts, less the clay's
// spring-back; another gasket changes it by (new − trial) × factor; running, it
// is smaller by what piston and rod grow and stretch less what the block grows.
func runClay(s *sheet) {
	s.caution(cautionClay)
	back := s.springback()
	o, ok := s.otherGasket()
	grows := s.growths()
	clay, lead := leastOf(s.allSpots("clay", "clay")), leastOf(s.allSpots("lead", "lead"))
	if len(clay)+len(lead) == 0 {
		s.missing("clay or lead, at several spots")
	}
	if !ok {
		return
	}
	if grows.given && o.cos != 1 {
		s.line("growth is taken in full at the valves too, though a leaning pocket loses only its cosine: the safe side")
	}
	touch := s.gapsBy("clay", clay, back, o, grows)
	touch = append(touch, s.gapsBy("lead", lead, measured{}, o, grows)...)
	s.stands(clay, lead)
	if len(touch) > 0 {
		s.say("These would touch: " + strings.Join(touch, ", ") + ". Do not let the engine turn so")
	}
}

func (s *sheet) springback() measured {
	if s.given("springback") {
		m, _ := s.notBelow("springback", "spring-back of the clay")
		return m
	}
	if len(s.in.Items["clay"]) > 0 {
		s.line("clay springs back and reads high (common practice, no source: 0.05 to 0.10\u2009mm); nothing is taken off, for no spring-back is given")
	}
	return measured{}
}

// gapsBy adds the gaps of one way of taking them, and returns which would touch.
func (s *sheet) gapsBy(way string, gs []group, back measured, o refit, grows growth) (touch []string) {
	for _, g := range gs {
		gap, parts, ok := s.coldGap(way, g, back, o)
		if !ok {
			continue
		}
		if grows.given {
			gap = s.running(way, g, gap, append(parts, grows.parts...), grows.sum)
		}
		if gap <= 0 {
			touch = append(touch, g.label+" by "+way)
		}
	}
	return touch
}

func (s *sheet) running(way string, g group, cold float64, parts []quantity.Part, less float64) float64 {
	u, dec := g.unit, gapDigits(g)
	gap := cold - less
	s.line(about("running, "+way, g.label) + ": " + quantity.FormatStep(cold, u, dec+1) + " − " + quantity.FormatStep(less, u, dec+1) + " = " +
		quantity.FormatStep(gap, u, dec) + "\u2009" + u.Symbol)
	s.value(nameFor("running."+way, g.label), about("Running gap, by "+way, g.label), gap, parts, u, dec, "running")
	return gap
}

// coldGap adds the cold gap at the least spot.
func (s *sheet) coldGap(way string, g group, back measured, o refit) (float64, []quantity.Part, bool) {
	if g.si < 0 {
		s.missing(where(way, g) + ": " + g.text + " cannot be below nought; write it again")
		return 0, nil, false
	}
	limit, what, k := "piston", "Piston to head, ", 1.0
	if valveKind(g.label) != "" {
		limit, what, k = "valve", "Valve to piston, ", o.cos
	}
	u, dec := g.unit, gapDigits(g)
	gap := g.si - back.si
	parts := append(g.all(), back.all()...)
	words := "least, " + where(way, g) + ": " + quantity.FormatStep(g.si, u, dec)
	if back.si != 0 {
		words += " − " + quantity.FormatStep(back.si, u, dec) + " spring-back"
	}
	if o.given {
		gap += float64((o.fresh.si - o.trial.si) * k)
		parts = append(parts, times(append(o.fresh.all(), o.trial.all()...), k)...)
		words += " + (" + quantity.FormatStep(o.fresh.si, u, dec) + " − " + quantity.FormatStep(o.trial.si, u, dec) + ") × " + quantity.Fixed(k, 4)
	}
	s.line(words + " = " + quantity.FormatStep(gap, u, dec) + "\u2009" + u.Symbol)
	s.value(nameFor("gap."+way, g.label), about(what+"cold, by "+way, g.label), gap, parts, u, dec, limit)
	return gap, parts, true
}

// stands adds how high clay stands over lead: what it sprang back by.
func (s *sheet) stands(clay, lead []group) {
	for _, c := range clay {
		for _, l := range lead {
			if c.label != l.label {
				continue
			}
			v := s.value(nameFor("clay-lead", c.label), about("Clay stands over lead by", c.label), c.si-l.si, difference(c.measured, l.measured), c.unit, gapDigits(c), "")
			s.line(about("clay less lead, what this clay springs back by", c.label) + ": " + v.Text + "\u2009" + c.unit.Symbol)
		}
	}
}

// otherGasket reads both thicknesses and the geometry, which belong together.
func (s *sheet) otherGasket() (o refit, ok bool) {
	o.cos = 1
	if !s.given("trial_gasket") && !s.given("new_gasket") {
		return o, true
	}
	trial, ok1 := s.one("trial_gasket", "compressed thickness of the trial gasket")
	fresh, ok2 := s.one("new_gasket", "compressed thickness of the new gasket")
	o.given, o.trial, o.fresh = true, trial, fresh
	switch strings.ToLower(strings.TrimSpace(s.in.Opts["geometry"])) {
	case "flat":
		s.line("geometry flat: every gap changes by all of the gasket's change")
		return o, ok1 && ok2
	case "pocket":
		a, ok := s.one("valve_angle", "angle of the valves to the cylinder")
		if ok && math.Abs(a.si) >= 80 {
			s.missing("angle of the valves: " + a.text + " cannot be; give the degrees between valve and cylinder")
			ok = false
		}
		o.cos = quantity.Cos(a.si)
		s.line("geometry pocket: a gap at a valve changes by cos " + degreesOf(a) + " = " + quantity.Fixed(o.cos, 4) + " of the gasket's change, piston to head by all of it")
		return o, ok && ok1 && ok2
	}
	s.missing("geometry: flat, where the gap lies along the cylinder, or pocket, where it lies square to a leaning valve")
	return o, false
}
