package calc

import (
	"math"
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

var lashSpec = Spec{
	Name: "lash", Version: "2", Title: "Tappet gaps, valve by valve",
	Needs: []Need{
		{"gap", "gap by feeler, each valve as 1I or 4E", "length", "item", false},
		{"inlet", "what an inlet is set to", "length", "nominal", true},
		{"exhaust", "what an exhaust is set to", "length", "nominal", true},
		{"ratio", "rocker ratio, movement of the valve over that of the tappet", "1", "nominal", true},
		{"inlet", "gap allowed at an inlet", "length", "limit", true},
		{"exhaust", "gap allowed at an exhaust", "length", "limit", true},
		{"valves", "the valves wanted, separated by spaces", "", "option", true},
		{"state", "cold or hot, as the gaps were taken and the handbook says", "", "option", false},
		{"at", "valve or tappet, where the feeler went; the gap is given at the valve", "", "option", true},
	},
	Above:    "inlet exhaust ratio",
	NotBelow: "gap",
	Gaps:     "inlet exhaust",
	Bounds:   true,
	run:      runLash,
}

const cautionLash = "Starter isolated and barring tool out before a hand goes near the rockers; hot parts burn. Cold or hot as the handbook says, not both. A worn rocker tip hides its gap under a flat feeler. Set the gaps after the head is tightened for the last time, and turn two turns and try them again. The maker's gaps come before any figure here."

// runLash judges each gap by the limit of its kind and says how far to move
// it. A gap under the tappet opens at the valve by the rocker's ratio.
func runLash(s *sheet) {
	s.caution(cautionLash)
	state := strings.ToLower(strings.TrimSpace(s.in.Opts["state"]))
	if state != "cold" && state != "hot" {
		s.missing("whether the gaps were taken cold or hot")
		state = ""
	}
	k, ok := s.rocker()
	gs := s.groups("gap", "gap")
	s.wantedValves("gap", gs)
	if !ok {
		return
	}
	var reset []string
	for _, g := range gs {
		if words := s.gap(g, k, state); words != "" {
			reset = append(reset, words)
		}
	}
	if len(reset) > 0 {
		s.say("Reset " + quantity.Fixed(float64(len(reset)), 0) + " of " + quantity.Fixed(float64(len(gs)), 0) + ": " + strings.Join(reset, "; "))
	}
}

// wantedValves lists the valves that nobody measured.
func (s *sheet) wantedValves(what string, gs []group) {
	for _, want := range strings.Fields(s.in.Opts["valves"]) {
		if !slices.ContainsFunc(gs, func(g group) bool { return g.label == want }) {
			s.missing(about(what, want))
		}
	}
	if len(gs) == 0 && s.in.Opts["valves"] == "" {
		s.missing(what + " at each valve")
	}
}

// rocker is the factor from where the feeler went to the valve.
func (s *sheet) rocker() (float64, bool) {
	at := strings.ToLower(strings.TrimSpace(s.in.Opts["at"]))
	switch {
	case at == "tappet":
		m, ok := s.one("ratio", "rocker ratio")
		return m.si, ok
	case at == "valve" || at == "" && !s.given("ratio"):
		return 1, true
	}
	s.missing("whether the feeler went in at the valve or at the tappet")
	return 0, false
}

// gap adds one valve's gap, and returns how to reset it where it is outside.
func (s *sheet) gap(g group, k float64, state string) string {
	kind := valveKind(g.label)
	if kind == "" {
		s.missing(where("gap", g) + ": whether that is an inlet or an exhaust; label it as 1I or 4E")
		return ""
	}
	x, dec := float64(g.si*k), gapDigits(g)
	if k != 1 {
		s.line(where("gap at the valve", g) + ": " + quantity.Format(g.si, g.unit, dec) + " × " + quantity.Fixed(k, 3) + " = " + quantity.FormatStep(x, g.unit, dec))
	}
	name := nameFor(nameFor("gap", g.label), g.point)
	v := *s.bounded(g.is, name, where(capital(strings.TrimSpace(state+" gap")), g), x, times(g.all(), k), g.unit, dec, kind)
	if v.Verdict != Outside {
		return ""
	}
	return s.reset(g, kind, v, k, dec)
}

// reset says how far a gap is to be moved, and what the feeler then says.
func (s *sheet) reset(g group, kind string, v Val, k float64, dec int) string {
	to, ok := s.setTo(kind, g.unit)
	if !ok {
		return ""
	}
	words := g.label + " from " + v.Text + " to " + quantity.FormatStep(to, g.unit, dec) + "\u2009" + g.unit.Symbol
	if k != 1 {
		words += " at the valve, " + quantity.FormatStep(to/k, g.unit, dec) + " under the feeler"
	}
	if to > v.SI {
		words += ", open it by "
	} else {
		words += ", close it by "
	}
	if g.is != "" {
		words += "at least "
	}
	words += quantity.FormatStep(math.Abs(to-v.SI), g.unit, dec)
	s.line("reset " + words)
	return words
}

// gapDigits: a gap between two feelers lies half a step between them, and
// "none felt" has no digits of its own.
func gapDigits(g group) int {
	switch {
	case g.dec == 0:
		return digitsFor(1e-5, g.unit)
	case slices.ContainsFunc(g.own, func(p quantity.Part) bool { return p.What == "between the two" }):
		return g.dec + 1
	}
	return g.dec
}

// setTo is what a valve is set to: the type sheet's gap, else the middle of
// the limits, else the only limit there is.
func (s *sheet) setTo(kind string, u quantity.Unit) (float64, bool) {
	if s.given(kind) {
		m, ok := s.one(kind, kind+" is set to")
		return m.si, ok
	}
	lo, hi, _, _ := bounds(s.in.Limits[kind], u)
	switch {
	case math.IsInf(lo, -1):
		return hi, !math.IsInf(hi, 1)
	case math.IsInf(hi, 1):
		return lo, true
	}
	return (lo + hi) / 2, true
}

// valveKinds are the kinds of valves, in the order that they are told in.
var valveKinds = []string{"inlet", "exhaust"}

// valveKind says inlet or exhaust of "1I", "2117/E3" and the like; "" of what
// is no valve.
func valveKind(label string) string {
	name := label[strings.LastIndex(label, "/")+1:]
	digits := strings.Trim(strings.ToUpper(name), "IE")
	if digits == "" || strings.Trim(digits, "0123456789") != "" {
		return ""
	}
	switch strings.Replace(strings.ToUpper(name), digits, "", 1) {
	case "I":
		return "inlet"
	case "E":
		return "exhaust"
	}
	return ""
}
