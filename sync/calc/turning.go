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
func (s *sheet) labelled(name, what string, dim quantity.Dim) []group {
	if !s.sameKind(name, what, dim) {
		return nil
	}
	var out []group
	found := s.pooled(name, what)
	for _, label := range sortedKeys(found) {
		out = append(out, group{label: label, measured: found[label]})
	}
	if len(s.in.Items[name]) > 0 {
		return out
	}
	if m, ok := s.maybe(name, what); ok && s.isFigure(m, what) {
		out = append(out, group{measured: m})
	}
	return out
}

// sizeOf is one for a size of that kind, which must be a figure.
func (s *sheet) sizeOf(name, what string, dim quantity.Dim) (measured, bool) {
	if !s.sameKind(name, what, dim) {
		return measured{}, false
	}
	m, ok := s.one(name, what)
	return m, ok && s.isFigure(m, what)
}

// isGiven reports whether a size was read or typed at all.
func (s *sheet) isGiven(name string) bool {
	_, typed := s.in.Nominal[name]
	return typed || len(s.in.Items[name]) > 0
}

// sameKind refuses readings of another kind: the screen looks only at those that
// a calculation names as readings.
func (s *sheet) sameKind(name, what string, dim quantity.Dim) bool {
	for _, it := range s.in.Items[name] {
		if q, err := quantity.Parse(it.V); err == nil && q.Unit.Dim != dim {
			s.missing(spot(what, it) + ": " + it.V.String() + " is not " + article(dim) + "; write it again in a unit of that kind")
			return false
		}
	}
	return true
}

// isFigure refuses a typed size of which only a bound is known.
func (s *sheet) isFigure(m measured, what string) bool {
	if m.is != "" && !s.bounds {
		s.missing(what + ": '" + m.text + "' bounds the value; a figure is needed")
		return false
	}
	return true
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
	case v.Limit == nil:
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
