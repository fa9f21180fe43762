package calc

import (
	"strconv"

	"witnessmark/sync/quantity"
)

var runoutSpec = Spec{
	Name: "runout", Version: "1", Title: "Run-out of a flange or shaft by clock position",
	Needs: []Need{
		{"reading", "dial at each clock position, plus pushed in: 12, 3, 6, 9, or top, right, bottom, left", "length", "item", false},
		{"back", "what the dial reads when it is back where it began", "length", "item", true},
		{"turned", "what was turned: one, or both together", "", "option", true},
		{"tir", "run-out allowed, between the highest and the lowest reading", "length", "limit", true},
		{"back", "by how much the dial may fail to come back", "length", "limit", true},
	},
	run: runRunout,
}

const cautionRunout = "Turn by hand, with the starter isolated, and call out before you turn; no fingers between flanges. Hold the end float the same way at every reading. The maker's run-out comes before any figure here."

// runRunout: total indicator reading = highest − lowest; an axis that lies off
// by e turns the dial through 2 e. A dial on something that stands still shows
// what turns; turned together it follows one spot, and the flange's own fault
// drops out (TM 55-1905-219-14-4, §3-54, does the same by feeler).
func runRunout(s *sheet) {
	s.caution(cautionRunout)
	all := s.groups("reading", "reading")
	back := s.pooled("back", "back where it began")
	if len(all) == 0 {
		s.missing("dial readings at four clock positions")
		return
	}
	for i := 0; i < len(all); {
		j := i
		for j < len(all) && all[j].label == all[i].label {
			j++
		}
		s.runoutOf(all[i:j])
		if b, ok := back[all[i].label]; ok {
			s.cameBack(all[i:j], b)
		}
		i = j
	}
	switch s.in.Opts["turned"] {
	case "one":
		s.line("one was turned, the dial on what stands still: this is the flange's own fault, bent or off its shaft's middle; a gap that travels with the flange is this")
	case "together", "both", "both together":
		s.line("both were turned together: the flange's own fault drops out, this is how the two axes lie; a gap that stays in its place is this")
	default:
		s.line("what was turned is not said: turned alone it is the flange, turned together it is the alignment")
	}
}

// runoutOf adds the run-out of one flange.
func (s *sheet) runoutOf(gs []group) {
	name := gs[0].label
	if len(gs) < 4 {
		s.missing(concerning("readings at four clock positions at the least", name))
	}
	if len(gs) < 2 {
		return
	}
	hi, lo := gs[0], gs[0]
	for _, g := range gs {
		if g.si > hi.si {
			hi = g
		}
		if g.si < lo.si {
			lo = g
		}
	}
	u, dec := hi.unit, min(hi.dec, lo.decIn(hi.unit))
	tir := hi.si - lo.si
	s.line(concerning("highest at "+clockWords(hi.point), name) + ", lowest at " + clockWords(lo.point) + ": " + quantity.Format(hi.si, u, dec) + " − " +
		quantity.Format(lo.si, u, dec) + " = " + in(tir, u, dec))
	parts := difference(hi.measured, lo.measured)
	s.value("tir."+name, concerning("Run-out", name), tir, parts, u, dec, "tir")
	s.value("offset."+name, concerning("Off its axis", name), tir/2, times(parts, 0.5), u, dec+1, "")
	s.acrossClock(hi.point, lo.point)
	if _, judged := s.in.Limits["tir"]; !judged && s.Says == "" {
		s.Says = concerning("Run-out", name) + " " + in(tir, u, dec) + ", high at " + clockWords(hi.point) + ": off its axis by " + in(tir/2, u, dec+1) + "."
	}
}

// concerning puts the name of the thing, if it has one, behind the words.
func concerning(words, name string) string {
	if name == "" {
		return words
	}
	return words + ", " + name
}

// acrossClock remarks on a high spot that does not lie opposite the low one.
func (s *sheet) acrossClock(high, low string) {
	a, ok1 := hour(high)
	b, ok2 := hour(low)
	if !ok1 || !ok2 {
		return
	}
	if d := (a - b + 12) % 12; d < 5 || d > 7 {
		s.line("high and low do not lie opposite: not only off its axis, but out of round or bent, or a reading is wrong")
	}
}

// hour is the hour of a clock position.
func hour(point string) (int, bool) {
	for i, word := range []string{"top", "right", "bottom", "left"} {
		if point == word {
			return i * 3, true
		}
	}
	n, err := strconv.Atoi(point)
	return n % 12, err == nil && n >= 1 && n <= 12
}

func clockWords(point string) string {
	if _, err := strconv.Atoi(point); err == nil {
		return point + " o'clock"
	}
	return point
}

// cameBack holds the dial's last reading against its first: the two of the
// top, or of what stands first.
func (s *sheet) cameBack(gs []group, back measured) {
	first := gs[0]
	for _, g := range gs {
		if h, ok := hour(g.point); ok && h == 0 {
			first = g
		}
	}
	off := back.si - first.si
	if off < 0 {
		off = -off
	}
	dec := max(first.dec, back.decIn(first.unit))
	s.line(concerning("back at "+clockWords(first.point), first.label) + " the dial is off by " + in(off, first.unit, dec))
	s.value("back."+first.label, concerning("Fails to come back by", first.label), off, difference(back, first.measured), first.unit, dec, "back")
}
