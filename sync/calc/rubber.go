package calc

import (
	"math"
	"strings"

	"witnessmark/sync/quantity"
)

var rubberSpec = Spec{
	Name: "rubber", Version: "1", Title: "Rubber of a flexible coupling: hardness, set and age",
	Needs: []Need{
		{"hardness", "hardness at several spots of each element, IRHD or Shore A (ISO 48-4, ISO 868)", "1", "item", false},
		{"free", "thickness as new, each element", "length", "item", true},
		{"now", "thickness as it is now, slack", "length", "item", true},
		{"cracks", "cracks seen on bending, in words; none if there are none", "", "option", true},
		{"made", "day on which it was made, as 2024-05-01", "", "option", true},
		{"on", "day of this inspection", "", "option", true},
		{"hardness", "hardness allowed", "1", "limit", true},
		{"pair", "what two elements may differ by", "1", "limit", true},
		{"set", "set allowed, as a share of the thickness as new", "1", "limit", true},
		{"age", "age allowed, in years", "1", "limit", true},
	},
	Above: "hardness free now",
	run:   runRubber,
}

const cautionRubber = "Rubber of an age that nobody knows is a pattern, not a part. Replace both sides together, of one batch. Oil on it, cracks, or a bond that lifts end its life whatever the hardness. The maker's limits come before any figure here."

// runRubber: set = (free − now) ÷ free.
func runRubber(s *sheet) {
	s.caution(cautionRubber)
	mean := s.hardness()
	if len(mean) == 0 {
		s.missing("hardness at several spots of each element")
	}
	labels := sorted(mean)
	for i, a := range labels {
		for _, b := range labels[i+1:] {
			off := math.Abs(mean[a].si - mean[b].si)
			dec := max(mean[a].dec, mean[b].dec) + 1
			s.line("hardness of " + a + " and " + b + " apart: " + quantity.Fixed(off, dec) + " (common practice, no source: a pair within 5)")
			s.value("pair."+a+"-"+b, "Hardness of "+a+" and "+b+" apart", off, difference(mean[a], mean[b]), ratio1, dec, "pair")
		}
	}
	s.wants("pair", "pair.", "hardness of a second element, for the pair")
	s.set()
	s.wants("set", "set.", "thickness as new and now, for the set")
	s.cracks()
	s.age()
}

// hardness adds the mean and the range of each element.
func (s *sheet) hardness() map[string]measured {
	spots := map[string][]measured{}
	for _, g := range s.groups("hardness", "hardness") {
		spots[g.label] = append(spots[g.label], g.measured)
	}
	mean := map[string]measured{}
	for _, l := range sorted(spots) {
		lo, hi, dec := spots[l][0].si, spots[l][0].si, 0
		for _, m := range spots[l] {
			lo, hi, dec = math.Min(lo, m.si), math.Max(hi, m.si), max(dec, m.dec)
		}
		m := s.mean(spots[l], concerning("hardness", l))
		mean[l] = m
		s.value("hardness."+l, concerning("Hardness", l), m.si, m.all(), ratio1, dec+1, "hardness")
		s.value("range."+l, concerning("Hardness, highest less lowest spot", l), hi-lo, nil, ratio1, dec, "")
	}
	return mean
}

// set adds how much of its thickness each element has lost for good.
func (s *sheet) set() {
	free, now := s.pooled("free", "thickness as new"), s.pooled("now", "thickness now")
	for _, l := range sorted(now) {
		f, ok := free[l]
		if !ok {
			s.missing(concerning("thickness as new", l))
			continue
		}
		n := now[l]
		set := (f.si - n.si) / f.si
		s.line(concerning("set", l) + ": (" + text(f, f.dec) + " − " + quantity.Format(n.si, f.unit, f.dec) + ") ÷ " + text(f, f.dec) + " = " + quantity.Fixed(set*100, 1) + " %")
		parts := append(times(f.all(), n.si/float64(f.si*f.si)), times(n.all(), 1/f.si)...)
		s.value("set."+l, concerning("Set", l), set, parts, mustUnit("%"), 1, "set")
	}
}

// cracks repeats what was seen.
func (s *sheet) cracks() {
	switch seen := s.in.Opts["cracks"]; strings.ToLower(strings.TrimSpace(seen)) {
	case "":
	case "none", "no", "none seen":
		s.line("cracks on bending: none seen")
	default:
		s.line("cracks on bending: " + seen)
		s.caution("Cracks were seen: " + seen + ". A cracked element is not put back.")
	}
}

// age adds the years since it was made.
func (s *sheet) age() {
	_, wanted := s.in.Limits["age"]
	if !wanted && s.in.Opts["made"] == "" {
		s.line("age: not known")
		return
	}
	made, ok1 := s.day("made", "day on which the rubber was made")
	on, ok2 := s.day("on", "day of this inspection")
	if !ok1 || !ok2 {
		return
	}
	a, _ := dayNumber(made)
	b, _ := dayNumber(on)
	if b < a {
		s.missing("day of this inspection: " + on + " is before the rubber was made, " + made)
		return
	}
	years := float64(b-a) / 365.2425
	s.line("age: from " + made + " to " + on + " = " + quantity.Fixed(years, 2) + " years")
	s.value("age", "Age in years", years, nil, ratio1, 2, "age")
}
