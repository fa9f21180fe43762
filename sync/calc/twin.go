package calc

import (
	"math"
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

var twinSpec = Spec{
	Name: "twin", Version: "1", Title: "Left engine against right, place by place",
	Needs: []Need{
		{"left", "readings of the left engine, as 2117/4", "any", "item", false},
		{"right", "the same places on the right engine, as 2123/4", "any", "item", false},
		{"difference", "difference allowed", "any", "limit", true},
	},
	run: runTwin,
}

const cautionTwin = "Two engines that agree may both be wrong: alike is no limit kept. Have the same person take both with the same tool on the same day, engines equally warm. The maker's manual comes before any figure here."

// place is one spot on both engines.
type place struct {
	name string
	l, r group
	d, u float64 // right less left, and its expanded uncertainty
}

// runTwin: a difference counts from E_n = |right − left|/U above 1, U being the
// expanded uncertainty of the difference (after ISO/IEC 17043); what both
// readings owe to one tool cancels.
func runTwin(s *sheet) {
	s.caution(cautionTwin)
	places := s.places()
	if len(places) == 0 {
		if len(s.Missing) == 0 {
			s.missing("readings of both engines at the same places")
		}
		return
	}
	if slices.ContainsFunc(places, func(p place) bool { return p.l.tool == "" || p.r.tool == "" }) {
		s.line("where no tool is named, only the last digit counts for what can be told")
	}
	beyond, worst := 0, 0
	for i, p := range places {
		if s.twinPlace(p) {
			beyond++
		}
		if math.Abs(p.d) > math.Abs(places[worst].d) {
			worst = i
		}
	}
	words := s.onTheWhole(places)
	w := places[worst]
	m := w.l.measured
	head := "Left and right agree as far as these tools tell"
	if beyond > 0 {
		head = quantity.Fixed(float64(beyond), 0) + " of " + quantity.Fixed(float64(len(places)), 0) + " places differ by more than these tools can tell"
	}
	v := s.Vals[slices.IndexFunc(s.Vals, func(x Val) bool { return x.Name == strings.TrimSuffix("difference."+w.name, ".") })]
	s.says(head + "; most, " + figureIn(math.Abs(w.d), m.unit, min(m.dec, w.r.decIn(m.unit))) + " ± " + v.UText + twinAt(w.name) + ruling(v) + "." + words)
}

func twinAt(name string) string {
	if name == "" {
		return ""
	}
	return ", at " + name
}

// places finds the spots that were read on both. What is missing on one side
// is listed.
func (s *sheet) places() []place {
	left, right := s.groups("left", "left"), s.groups("right", "right")
	plain := oneLabel(left) && oneLabel(right)
	name := func(g group) string { return placeName(g, plain) }
	var out []place
	for _, l := range left {
		i := slices.IndexFunc(right, func(r group) bool { return name(r) == name(l) })
		switch {
		case i < 0:
			s.missing("right engine" + twinAt(name(l)))
		case right[i].unit.Dim != l.unit.Dim:
			s.missing("left and right" + twinAt(name(l)) + ": " + l.unit.Symbol + " and " + right[i].unit.Symbol + " cannot be compared")
		default:
			r := right[i]
			out = append(out, place{name(l), l, r, r.si - l.si, expanded(difference(l.measured, r.measured))})
		}
	}
	for _, r := range right {
		if !slices.ContainsFunc(left, func(l group) bool { return name(l) == name(r) }) {
			s.missing("left engine" + twinAt(name(r)))
		}
	}
	return out
}

// oneLabel: all readings bear the engine's name alone, so that their points
// tell the places.
func oneLabel(gs []group) bool {
	return !slices.ContainsFunc(gs, func(g group) bool { return g.label != gs[0].label || strings.Contains(g.label, "/") })
}

// placeName is a place without its engine: "4.b.V" of cylinder or pin 4.
func placeName(g group, plain bool) string {
	label := g.label
	if _, after, ok := strings.Cut(label, "/"); ok {
		label = after
	} else if plain {
		label = ""
	}
	return strings.Trim(label+"."+g.point, ".")
}

// twinPlace adds one place and reports whether it differs by more than the
// tools can tell.
func (s *sheet) twinPlace(p place) bool {
	m := p.l.measured
	dec := min(m.dec, p.r.measured.decIn(m.unit))
	name := strings.TrimSuffix("difference."+p.name, ".")
	parts := difference(m, p.r.measured)
	what := "Right less left" + twinAt(p.name)
	words := "right less left" + twinAt(p.name) + ": " + quantity.Format(p.r.si, m.unit, dec) + " − " + text(m, dec) + " = " + figureIn(p.d, m.unit, dec)
	en := 0.0
	if p.u > 0 {
		en = math.Abs(p.d) / p.u
		words += "; these tools tell " + figureIn(p.u, m.unit, dec+1) + ", the difference is " + quantity.Fixed(en, 2) + " times that"
	}
	s.line(words)
	lim, judged := s.in.Limits["difference"]
	if judged && m.unit.Dim == quantity.Temperature {
		s.step(name, "Difference of right and left"+twinAt(p.name), math.Abs(p.d), parts, m.unit, dec, "difference")
	} else if v := s.value(name, what, p.d, parts, m.unit, dec, ""); judged {
		s.judgeSize(v, lim, m.unit, dec)
	}
	if p.u == 0 {
		return p.d != 0
	}
	s.value(strings.TrimSuffix("en."+p.name, "."), "Difference, in times what these tools can tell"+twinAt(p.name), en, nil, ratio1, 2, "")
	return quantity.Quantise(en, 3) > 1000
}

// onTheWhole: from three places on, the mean difference against its scatter
// shows whether one engine is larger altogether.
func (s *sheet) onTheWhole(places []place) string {
	x := make([]float64, len(places))
	for i, p := range places {
		x[i] = p.d
		if p.l.unit.Dim != places[0].l.unit.Dim {
			return ""
		}
	}
	if len(x) < 3 {
		return ""
	}
	n := float64(len(x))
	m := places[0].l.measured
	v := s.value("mean", "Mean of right less left", quantity.Mean(x), []quantity.Part{{What: "scatter", U: quantity.SD(x) / math.Sqrt(n), DoF: n - 1}}, m.unit, m.dec+1, "")
	s.line("mean of " + quantity.Fixed(n, 0) + " differences: " + figureIn(v.SI, m.unit, m.dec+1) + " ± " + quantity.FormatStep(v.U, m.unit, m.dec+1))
	if math.Abs(v.SI) <= v.U {
		return " On the whole neither side is larger."
	}
	side := "right"
	if v.SI < 0 {
		side = "left"
	}
	return " On the whole the " + side + " is larger by " + figureIn(math.Abs(v.SI), m.unit, m.dec+1) + "."
}
