package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

// What the calculations of the valve gear and the timing share.

const cautionTurning = "Bar the engine over by hand, fingers clear of gears and belts, and take the barring tool out before anything else is done. Come to the mark in the running direction and never turn back over it. The maker's timing comes before any figure here."

var degreeUnit = mustUnit("deg")

// twoTurns is the whole cycle of a four-stroke; what lies beyond was mistyped.
const twoTurns = 720.0

// arc is the length of so many degrees on a circle.
func arc(diameter, degrees float64) float64 {
	return float64(float64(quantity.Pi*diameter)*degrees) / 360
}

// digitsFor is how many digits show a step of so many metres in the unit.
func digitsFor(step float64, u quantity.Unit) int { return quantity.Decimals(step, u) }

func (s *sheet) beyond(what string, g group) string {
	s.missing(about(what, g.label) + ": " + g.text + " is more than two turns of the crank; write it again")
	return ""
}

// nameFor names the value of one thing of several.
func nameFor(name, label string) string {
	if label == "" {
		return name
	}
	return name + "." + label
}

// about says what a value is of, of several things.
func about(what, label string) string { return spot(what, Item{Label: label}) }

// labelled is the readings of a name by label, each the mean of its spots, or
// the one that was typed.
func (s *sheet) labelled(name, what string) []group {
	var out []group
	found := s.pooled(name, what)
	for _, label := range sortedKeys(found) {
		out = append(out, group{label: label, measured: found[label]})
	}
	if len(s.in.Items[name]) > 0 {
		return out
	}
	if m, ok := s.maybe(name, what); ok {
		out = append(out, group{measured: m})
	}
	return out
}

// degreesOf writes an angle in degrees, with the digits it was written with.
func degreesOf(m measured) string {
	if m.unit.Code == degreeUnit.Code {
		return text(m, m.dec) + "°"
	}
	return quantity.Fixed(m.si, 2) + "°"
}

// capital makes the first letter of a plain sentence a large one.
func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// verdictWords says a value's verdict after the sentence about it.
func verdictWords(v Val) string {
	switch {
	case v.Limit == nil || v.Verdict == NoLimit && v.Limit.Accepted:
		return ""
	case v.Verdict == NoLimit:
		return " (the limit is not accepted yet)"
	}
	return " (" + string(v.Verdict) + ", limit " + limitWords(*v.Limit) + ")"
}

// say makes the sentence of a result, with what is still missing.
func (s *sheet) say(text string) {
	s.Says = text + "."
	if len(s.Missing) > 0 {
		s.Says += " Missing: " + s.Missing[0] + "."
	}
}
