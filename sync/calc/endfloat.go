package calc

import "witnessmark/sync/quantity"

var endfloatSpec = Spec{
	Name: "endfloat", Version: "2", Title: "End float of a shaft",
	Needs: []Need{
		{"dial", "dial readings with the shaft levered one way and the other (Label the state, as 'clutch out')", "length", "item", true},
		{"feeler", "gap at the thrust face by feeler (Label the state)", "length", "item", true},
		{"float", "end float allowed", "length", "limit", true},
		{"washer", "thickness of the thrust washers now, both together", "length", "nominal", true},
	},
	Above:    "washer",
	NotBelow: "feeler",
	Gaps:     "float",
	Bounds:   true,
	run:      runEndfloat,
}

const cautionFloat = "Lever on a web, never on a journal; stand clear of the flywheel. With a clutch, take the float again with the clutch out: its spring holds the shaft to one side. The maker's figure comes first."

// runEndfloat: float = the largest less the smallest dial reading, or the gap
// found by feeler; both routes are kept apart. The inverse: the washers that
// would bring it to the middle of its limits.
func runEndfloat(s *sheet) {
	s.caution(cautionFloat)
	dials := s.groupsApart("dial", "dial")
	for _, label := range labelsOf(dials) {
		var lo, hi group
		n := 0
		for _, g := range dials {
			if g.label != label {
				continue
			}
			if n == 0 || g.si < lo.si {
				lo = g
			}
			if n == 0 || g.si > hi.si {
				hi = g
			}
			n++
		}
		if n < 2 {
			s.missing("dial with the shaft levered the other way" + ofLabel(label))
			continue
		}
		d := hi.si - lo.si
		s.line("float" + ofLabel(label) + ": " + hi.text + " − " + lo.text + " = " + quantity.FormatStep(d, hi.unit, hi.dec) + "\u2009" + hi.unit.Symbol)
		s.floatIs("", "dial", label, d, difference(hi.measured, lo.measured), hi.measured)
	}
	for _, g := range s.groups("feeler", "gap by feeler") {
		s.floatIs(g.is, "feeler", g.label, g.si, g.all(), g.measured)
	}
	if len(s.Vals) == 0 && len(s.Missing) == 0 {
		s.missing("dial readings with the shaft levered both ways, or the gap by feeler")
	}
}

func (s *sheet) floatIs(is, by, label string, d float64, parts []quantity.Part, m measured) {
	s.bounded(is, "float."+by+suffix(label), "End float by "+by+ofLabel(label), d, parts, m.unit, m.dec, "float")
	l, limited := s.in.Limits["float"]
	w, ok := s.maybe("washer", "thrust washers now")
	if !ok || !limited || l.Min == nil || l.Max == nil {
		return
	}
	lo, hi, _, why := bounds(l, m.unit)
	if why != "" {
		return
	}
	want := w.si + d - float64((lo+hi)/2)
	s.line("washers for the middle of the limits: " + w.text + " + " + quantity.FormatStep(d, m.unit, m.dec) + " − " + quantity.FormatStep((lo+hi)/2, m.unit, m.dec+1) +
		" = " + quantity.FormatStep(want, m.unit, m.dec))
	s.bounded(is, "washer."+by+suffix(label), "Washers for the middle of the limits"+ofLabel(label), want, parts, m.unit, m.dec, "")
}

// groupsApart is groups without drawing readings of one spot together: each
// stands by itself.
func (s *sheet) groupsApart(name, what string) []group {
	var out []group
	for _, it := range s.in.Items[name] {
		if m, ok := s.read(it, spot(what, it)); ok {
			out = append(out, group{it.Point, it.Label, m, []Item{it}})
		}
	}
	return out
}
