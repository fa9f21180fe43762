package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

// growth is what makes a gap smaller when the engine runs.
type growth struct {
	given bool
	sum   float64
	parts []quantity.Part
}

// growths adds up what makes the running gap smaller than the cold one, each on
// its own line. What cannot be read is listed, and nothing is given then.
func (s *sheet) growths() growth {
	var all growth
	ok := true
	for _, g := range []struct {
		height, name, words string
		sign                float64
	}{{"piston_height", "piston", "piston grows", 1}, {"rod_length", "rod", "rod grows", 1}, {"block_height", "block", "block grows and gives back", -1}} {
		if s.given(g.height) || s.given("alpha_"+g.name) || s.given("rise_"+g.name) {
			x, parts, read := s.grown(g.height, g.name, g.words)
			all.given, ok = true, ok && read
			all.sum, all.parts = all.sum+float64(g.sign*x), append(all.parts, parts...)
		}
	}
	for _, g := range [][2]string{{"rod_stretch", "rod stretches"}, {"bearing_clearance", "bearing clearance taken up"}} {
		if s.given(g[0]) {
			m, read := s.notBelow(g[0], g[1])
			all.given, ok = true, ok && read
			all.sum, all.parts = all.sum+m.si, append(all.parts, m.all()...)
		}
	}
	if _, wanted := s.in.Limits["running"]; wanted && !all.given {
		s.missing("what piston and rod grow and stretch by, for the running gap")
	}
	all.given = all.given && ok
	return all
}

// grown is height × expansion × rise.
func (s *sheet) grown(height, name, words string) (float64, []quantity.Part, bool) {
	h, ok1 := s.one(height, strings.Replace(height, "_", " ", 1))
	a, ok2 := s.one("alpha_"+name, "expansion of the "+name)
	t, ok3 := s.one("rise_"+name, "degrees that the "+name+" runs hotter")
	if !ok1 || !ok2 || !ok3 {
		return 0, nil, false
	}
	kelvin := t.unit.Step(t.unit.From(t.si)) // a rise, not a temperature
	if kelvin < 0 {
		s.missing("degrees that the " + name + " runs hotter: " + t.text + " is below nought; write it again")
		return 0, nil, false
	}
	x := float64(float64(h.si*a.si) * kelvin)
	s.line(words + ": " + text(h, h.dec) + "\u2009" + h.unit.Symbol + " × " + text(a, a.dec) + a.unit.Symbol + " × " + quantity.Fixed(kelvin, 0) + "\u2009K = " +
		quantity.FormatStep(x, h.unit, digitsFor(1e-6, h.unit)) + "\u2009" + h.unit.Symbol)
	parts := append(times(h.all(), x/h.si), times(a.all(), x/a.si)...)
	return x, append(parts, times(t.all(), float64(h.si*a.si))...), true
}

// notBelow is a length of nought or more.
func (s *sheet) notBelow(name, what string) (measured, bool) {
	m, ok := s.one(name, what)
	if ok && m.si < 0 {
		s.missing(what + ": " + m.text + " cannot be below nought; write it again")
		return measured{}, false
	}
	return m, ok
}
