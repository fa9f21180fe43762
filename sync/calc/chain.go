package calc

import (
	"math"
	"strings"

	"witnessmark/sync/quantity"
)

var chainSpec = Spec{
	Name: "chain", Version: "1", Title: "Chain wear, and how far it lets the cam lag",
	Needs: []Need{
		{"length", "length over a number of pitches, pulled tight, pin to pin", "length", "item", false},
		{"links", "the pitches measured over", "1", "nominal", false},
		{"chain", "the chain by ISO 606, as 08B-1", "", "option", true},
		{"pitch", "pitch of the new chain, where it is not of ISO 606", "length", "nominal", true},
		{"run", "pitches in the tight run, crank to cam", "1", "nominal", true},
		{"teeth", "teeth of the cam's wheel", "1", "nominal", true},
		{"elongation", "elongation allowed", "1", "limit", true},
		{"lag", "lag allowed, in degrees of the crank", "angle", "limit", true},
	},
	Above: "length links pitch run teeth",
	Typed: "length",
	run:   runChain,
}

const cautionChain = "Fingers out of chain and wheels: turn by hand, one person speaking, and take the barring tool out first. A chain within its limit of wear may still put the timing out: check the timing itself. The maker's limit comes before any figure here."

// isoPitches are the pitches of ISO 606, table 1, short pitch, series B, mm
// (testdata/reference/chains_iso606.csv, from memory).
var isoPitches = []struct{ name, pitch string }{{"05B", "8.00"}, {"06B", "9.525"}, {"08B", "12.70"}, {"10B", "15.875"}, {"12B", "19.05"}, {"16B", "25.40"}}

// runChain: elongation = length ÷ (n × pitch) − 1; the cam lags by tight run ×
// elongation on a radius of teeth × pitch ÷ 2π, the crank turning twice as fast.
func runChain(s *sheet) {
	s.caution(cautionChain)
	length, ok1 := s.one("length", "length of the chain over the pitches")
	n, ok2 := s.whole("links", "the pitches measured over")
	pitch, ok3 := s.pitch()
	if !ok1 || !ok2 || !ok3 {
		return
	}
	u, dec := length.unit, length.dec
	fresh := float64(n * pitch.si)
	e := (length.si - fresh) / fresh
	s.line("new: " + quantity.Fixed(n, 0) + " × " + quantity.FormatStep(pitch.si, u, max(dec, digitsFor(1e-6, u))) + " = " + quantity.FormatStep(fresh, u, dec) + "\u2009" + u.Symbol)
	if quantity.Quantise(percent.FromStep(e), 2) < 0 {
		s.missing("links counted again: " + text(length, dec) + "\u2009" + u.Symbol + " is shorter than " + quantity.Fixed(n, 0) + " new pitches, " +
			quantity.FormatStep(fresh, u, dec) + "; a chain does not shrink, so the count is wrong or the chain was not pulled tight")
		return
	}
	if e >= 1/n {
		s.line("so long are also " + quantity.Fixed(math.Floor(length.si/pitch.si), 0) + " new pitches: count the links again before this is believed")
	}
	s.line("elongation: (" + text(length, dec) + " − " + quantity.FormatStep(fresh, u, dec) + ") ÷ " + quantity.FormatStep(fresh, u, dec) + " = " +
		quantity.FormatStep(e, percent, 2) + "\u2009%")
	v := s.value("elongation", "Elongation", e, times(length.all(), 1/fresh), percent, 2, "elongation")
	s.Says = "The chain is " + v.Text + "\u2009% longer than new" + verdictWords(*v)
	s.lag(e, times(length.all(), 1/fresh), pitch, u)
	s.say(s.Says)
}

// lag adds what the elongation does to the cam, and the other way round.
func (s *sheet) lag(e float64, parts []quantity.Part, pitch measured, u quantity.Unit) {
	if !s.given("run") && !s.given("teeth") {
		s.line("how far the cam lags needs the pitches of the tight run and the teeth of the cam's wheel")
		return
	}
	run, ok1 := s.whole("run", "the pitches in the tight run")
	teeth, ok2 := s.whole("teeth", "the teeth of the cam's wheel")
	if !ok1 || !ok2 {
		return
	}
	dec := digitsFor(1e-5, u)
	radius := float64(teeth*pitch.si) / (2 * quantity.Pi)
	late := float64(float64(run*pitch.si) * e)
	per := float64(360*run) / teeth // degrees of cam for a chain of twice its length
	s.line("cam wheel, radius taken as teeth × pitch ÷ 2π: " + quantity.Fixed(teeth, 0) + " × " + quantity.FormatStep(pitch.si, u, dec) + " ÷ 2π = " +
		quantity.FormatStep(radius, u, dec) + "\u2009" + u.Symbol)
	s.line("tight run: " + quantity.Fixed(run, 0) + " × " + quantity.FormatStep(pitch.si, u, dec) + " × " + quantity.Fixed(e, 5) + " = " +
		quantity.FormatStep(late, u, dec) + "\u2009" + u.Symbol + " late; on that radius " + quantity.Fixed(per*e, 2) + "° of cam, twice that at the crank")
	s.value("cam", "Lag at the cam", per*e, times(parts, per), degreeUnit, 2, "")
	v := s.value("lag", "Lag at the crank", 2*per*e, times(parts, 2*per), degreeUnit, 1, "lag")
	s.Says += "; the cam lags by " + v.Text + "° of the crank" + verdictWords(*v)
	s.limits(per)
}

// limits says each limit in the other's terms: what elongation a lag allows,
// and what lag an elongation.
func (s *sheet) limits(per float64) {
	if hi, ok := s.upper("lag", degreeUnit); ok {
		e := hi / (2 * per)
		v := s.value("allowed", "Elongation that the limit of the lag allows", e, nil, percent, 2, "")
		s.line("a lag of " + quantity.Fixed(hi, 1) + "° of the crank is " + v.Text + "\u2009% of elongation")
	}
	if hi, ok := s.upper("elongation", percent); ok {
		v := s.value("lag_allowed", "Lag that the limit of elongation lets through", 2*per*hi, nil, degreeUnit, 1, "")
		s.line("an elongation of " + quantity.FormatStep(hi, percent, 2) + "\u2009% is a lag of " + v.Text + "° of the crank")
	}
}

// upper is the upper end of a limit, SI.
func (s *sheet) upper(name string, u quantity.Unit) (float64, bool) {
	l, ok := s.in.Limits[name]
	if !ok {
		return 0, false
	}
	_, hi, _, why := bounds(l, u)
	return hi, why == "" && !math.IsInf(hi, 1)
}

// whole reads a count.
func (s *sheet) whole(name, what string) (float64, bool) {
	m, ok := s.one(name, what)
	if ok && (m.si != math.Floor(m.si) || m.si < 1) {
		s.missing(what + ": " + m.text + " is no whole number; count again")
		return 0, false
	}
	return m.si, ok
}

// pitch is that of the named chain, or the one given.
func (s *sheet) pitch() (measured, bool) {
	name := strings.TrimSpace(s.in.Opts["chain"])
	if name == "" {
		return s.one("pitch", "pitch of the new chain")
	}
	code, _, _ := strings.Cut(strings.ToUpper(name), "-")
	for _, p := range isoPitches {
		if p.name != code {
			continue
		}
		q, _ := quantity.Parse(quantity.Written{Text: p.pitch, Unit: "mm"})
		if typed, ok := s.maybe("pitch", "pitch of the new chain"); ok && quantity.Quantise((typed.si-q.SI)*1e5, 0) != 0 {
			s.missing("pitch: " + typed.text + " is not that of " + name + ", " + p.pitch + "\u2009mm; settle which chain it is")
			return measured{}, false
		}
		s.line("pitch of " + name + ": " + p.pitch + "\u2009mm (ISO 606)")
		return measured{si: q.SI, unit: q.Unit, dec: q.Dec, text: p.pitch}, true
	}
	s.missing("chain: '" + name + "' is not one that this tool knows; give its pitch instead")
	return measured{}, false
}
