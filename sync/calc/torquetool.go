package calc

import (
	"witnessmark/sync/quantity"
)

var torquetoolSpec = Spec{
	Name: "torquetool", Version: "1", Title: "Torque wrench in its range and in date",
	Needs: []Need{
		{"torque", "torque to be given", "torque", "nominal", false},
		{"low", "lowest mark of the scale", "torque", "nominal", false},
		{"high", "full scale", "torque", "nominal", false},
		{"trusted", "share of full scale from which its certificate vouches for it; 20 % if not given", "1", "nominal", true},
		{"on", "day of use, as 2027-03-27", "", "option", false},
		{"until", "day until which its check holds", "", "option", false},
		{"checked", "day on which it was last checked", "", "option", true},
	},
	Above: "torque low high trusted",
	run:   runTorquetool,
}

const cautionTorqueTool = "Slacken a click wrench to its lowest mark after use, never below; have it checked again after a fall. It does not undo nuts. To check a tight nut, back it off one turn and tighten it again. The maker's torque comes before any figure here."

// runTorquetool: a torque wrench is true to 4 % only from 20 % of its full
// scale upwards and at its best from 30 to 80 % (TM 1-1500-204-23-9, table 8-1).
func runTorquetool(s *sheet) {
	s.caution(cautionTorqueTool)
	t, ok1 := s.one("torque", "torque to be given")
	low, ok2 := s.one("low", "lowest mark of the wrench's scale")
	high, ok3 := s.one("high", "full scale of the wrench")
	share, ok4 := s.trusted()
	late, dated := s.inDate()
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return
	}
	if high.si <= low.si {
		s.missing("full scale of the wrench: " + high.text + " is not above its lowest mark, " + low.text)
		return
	}
	u := high.unit
	from := float64(high.si * share)
	dec := max(high.dec, places(from, u, 2))
	says := asPercent(share) + " of " + in(high.si, u, high.dec) + " is " + in(from, u, dec)
	s.line("trusted from " + says)
	s.value("trusted", "Trusted from", from, nil, u, dec, "")
	part := t.si / high.si
	s.value("share", "Share of full scale", part, times(t.all(), 1/high.si), mustUnit("%"), 0, "")
	s.line("share of full scale: " + in(t.si, t.unit, t.dec) + " ÷ " + in(high.si, u, high.dec) + " = " + asPercent(part))
	s.inRange(t, low, high, from, says, late, dated)
}

// trusted is the share of full scale from which the wrench may be relied on.
func (s *sheet) trusted() (float64, bool) {
	if !s.given("trusted") {
		s.line("no accuracy is promised below 20 % of full scale (TM 1-1500-204-23-9, table 8-1)")
		return 0.2, true
	}
	m, ok := s.one("trusted", "share from which the certificate vouches for it")
	if ok && m.si >= 1 {
		s.missing("share from which the certificate vouches for it: " + m.text + " is not a part of full scale")
		return 0, false
	}
	return m.si, ok
}

// inRange says whether the wrench may be used for the torque.
func (s *sheet) inRange(t, low, high measured, from float64, says, late string, dated bool) {
	q := func(si float64) float64 { return quantity.Quantise(high.unit.FromStep(si), 6) }
	asked := in(t.si, t.unit, t.dec)
	s.Verdict = Outside
	switch {
	case q(t.si) > q(high.si):
		s.Says = "Refused: " + asked + " is over its full scale, " + high.text + "."
	case q(t.si) < q(low.si):
		s.Says = "Refused: " + asked + " is under its lowest mark, " + low.text + ". Trusted from " + says + "."
	case q(t.si) < q(from):
		s.Says = "Refused: " + asked + " is below where it can be trusted: " + says + "."
	case late != "":
		s.Says = "Refused: in range for " + asked + ", but " + late + "."
	case !dated:
		s.Verdict = NoLimit
		s.Says = "In range for " + asked + ": " + says + ". Whether it is in date is not known."
	default:
		s.Verdict = Within
		s.Says = "In range and in date for " + asked + ": " + says + "." + best(t.si/high.si)
	}
	s.line(s.Says)
}

// best is the remark on where such a wrench is at its best.
func best(share float64) string {
	if p := quantity.Quantise(share, 6); p >= 300000 && p <= 800000 {
		return ""
	}
	return " It is at its best from 30 to 80 % of full scale (TM 1-1500-204-23-9, table 8-1)."
}

func asPercent(share float64) string { return quantity.Fixed(share*100, 0) + " %" }

// inDate says why the wrench is out of date on the day of use, "" when it is
// not, and whether both days are known.
func (s *sheet) inDate() (late string, known bool) {
	on, ok1 := s.day("on", "day of use")
	until, ok2 := s.day("until", "day until which the wrench's check holds")
	checked, ok3 := "", true
	if s.in.Opts["checked"] != "" {
		checked, ok3 = s.day("checked", "day on which the wrench was last checked")
	}
	if !ok1 || !ok2 || !ok3 {
		return "", false
	}
	s.line("used on " + on + "; its check holds until " + until)
	switch {
	case on > until:
		return "its check ran out on " + until, true
	case checked > on:
		return "it was checked on " + checked + " only, after the day of use", true
	}
	return "", true
}
