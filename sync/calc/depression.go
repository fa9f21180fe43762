package calc

import (
	"math"

	"witnessmark/sync/quantity"
)

var depressionSpec = Spec{
	Name: "depression", Version: "1", Title: "Pneumatic governors: depression balance and leak-down",
	Needs: []Need{
		{"left", "depression at the governor, left engine", "pressure", "item", true},
		{"right", "depression at the governor, right engine", "pressure", "item", true},
		{"left_speed", "speed of the left engine at that reading", "speed", "item", true},
		{"right_speed", "speed of the right engine at that reading", "speed", "item", true},
		{"at_speed", "another speed, to get the depression there", "speed", "nominal", true},
		{"at_depression", "another depression, to get the speed there", "pressure", "nominal", true},
		{"left_start", "diaphragm chamber, left, at the start of a leak-down", "pressure", "nominal", true},
		{"left_end", "the same at its end", "pressure", "nominal", true},
		{"right_start", "diaphragm chamber, right, at the start", "pressure", "nominal", true},
		{"right_end", "the same at its end", "pressure", "nominal", true},
		{"leak_time", "time of the leak-down", "time", "nominal", true},
		{"balance", "difference of the depressions allowed", "pressure", "limit", true},
		{"leak", "loss of the diaphragm chamber in one second", "pressure", "limit", true},
	},
	Above: "left_speed right_speed at_speed leak_time",
	Typed: "left right left_speed right_speed",
	run:   runDepression,
}

const cautionDepression = "The intake takes in rags and sleeves. With a hose off the governor the engine runs away: air plate ready, a hand at the fuel stop. The maker's settings come before any figure here."

// sucked is one engine at idle: depression without a sign, and speed.
type sucked struct {
	p, n measured
	ok   bool
}

// runDepression: at one opening depression goes as speed², so the right engine
// is expected at left × (n_right/n_left)²; the openings stand as n/√depression.
func runDepression(s *sheet) {
	s.caution(cautionDepression)
	l, r := s.suction("left"), s.suction("right")
	leaks := s.leakDown("left") + s.leakDown("right")
	if l.ok && r.ok {
		s.balance(l, r)
	} else if l.ok || r.ok {
		s.missing("depression and speed of the other engine")
	}
	for _, e := range []struct {
		side string
		sucked
	}{{"left", l}, {"right", r}} {
		if e.ok {
			s.elsewhere(e.side, e.sucked)
		}
	}
	if !l.ok && !r.ok && leaks == 0 && len(s.Missing) == 0 {
		s.missing("depression and speed of both engines, or a leak-down")
	}
}

// suction reads one engine; depression may be written with or without a minus.
func (s *sheet) suction(side string) sucked {
	if !s.given(side) {
		return sucked{}
	}
	p, ok1 := s.oneRead(side, "depression, "+side)
	n, ok2 := s.oneRead(side+"_speed", "speed of the "+side+" engine at that depression")
	p.si = math.Abs(p.si)
	if ok1 && p.si == 0 {
		s.missing("depression, " + side + ": none at all; the hose is off or blocked. Write it again")
		return sucked{}
	}
	return sucked{p, n, ok1 && ok2}
}

func (s *sheet) balance(l, r sucked) {
	u, dec := l.p.unit, min(l.p.dec, r.p.decIn(l.p.unit))
	x := r.n.si / l.n.si
	want := float64(l.p.si * float64(x*x))
	s.line("expected on the right, were the openings equal: " + text(l.p, dec) + " × (" + text(r.n, r.n.dec) + " ÷ " + text(l.n, l.n.dec) + ")² = " + figureIn(want, u, dec) + "; it reads " + quantity.FormatStep(r.p.si, u, dec))
	parts := append(scaled(l.p, float64(x*x)), times(difference(l.n, r.n), float64(2*want)/l.n.si)...)
	s.value("expected", "Expected on the right at equal openings", want, parts, u, dec, "")
	open := float64(x * math.Sqrt(l.p.si/r.p.si))
	s.line("openings, right to left: " + quantity.Fixed(x, 4) + " × √(" + text(l.p, dec) + " ÷ " + quantity.FormatStep(r.p.si, u, dec) + ") = " + quantity.Fixed(open, 3))
	rel := append(scaled(l.p, open/(2*l.p.si)), scaled(r.p, open/(2*r.p.si))...)
	s.value("opening", "Opening, right to left", open, append(rel, times(difference(l.n, r.n), open/l.n.si)...), ratio1, 3, "")
	v := s.value("difference", "Difference of the depressions, right less left", r.p.si-l.p.si, difference(l.p, r.p), u, dec, "")
	if lim, ok := s.in.Limits["balance"]; ok {
		s.judgeSize(v, lim, u, dec)
	}
	s.depressionWords(*v, l, r, expanded(parts), want)
}

// depressionWords tells the stop screw from the diaphragm. Depressions are the
// same when the limit says so, or, without one, when the manometer cannot
// tell them apart.
func (s *sheet) depressionWords(v Val, l, r sucked, uWant, want float64) {
	same := math.Abs(v.SI) <= v.U
	if v.Verdict == Within || v.Verdict == Outside {
		same = v.Verdict == Within
	}
	equal := math.Abs(r.n.si-l.n.si) <= expanded(difference(l.n, r.n))
	words := "both differ: first the stop screw to equal speed, then read again"
	switch {
	case same && equal:
		words = "speed and depression are the same: balanced"
	case same:
		words = "same depression at different speeds: the governor springs agree, the openings differ; stop screw, not diaphragm"
	case equal:
		words = "different depression at the same speed: leak, diaphragm or spring"
	case math.Abs(r.p.si-want) <= uWant+expanded(r.p.all()):
		words = "depressions as the squares of the speeds: the openings agree; governor spring or its setting"
	}
	s.line(words)
	s.says(capital(words) + "; difference " + v.Text + thin(v.Unit) + ruling(v) + ".")
}

// elsewhere is one engine at another speed or another depression, its opening
// left alone.
func (s *sheet) elsewhere(side string, e sucked) {
	if n, ok := s.maybeRead("at_speed", "another speed"); ok {
		x := n.si / e.n.si
		p := float64(e.p.si * float64(x*x))
		s.line("at " + shownAs(n, n.dec) + ", " + side + ": " + text(e.p, e.p.dec) + " × (" + text(n, n.dec) + " ÷ " + text(e.n, e.n.dec) + ")² = " + figureIn(p, e.p.unit, e.p.dec))
		s.value("at_speed."+side, "Depression at that speed, "+side, p, scaled(e.p, float64(x*x)), e.p.unit, e.p.dec, "")
	}
	if p, ok := s.maybeRead("at_depression", "another depression"); ok {
		x := math.Sqrt(math.Abs(p.si) / e.p.si)
		n := float64(e.n.si * x)
		s.line("at " + shownAs(p, p.dec) + ", " + side + ": " + text(e.n, e.n.dec) + " × √(" + text(p, p.dec) + " ÷ " + quantity.FormatStep(e.p.si, p.unit, p.dec) + ") = " + figureIn(n, e.n.unit, e.n.dec))
		s.value("at_depression."+side, "Speed at that depression, "+side, n, scaled(e.n, x), e.n.unit, e.n.dec, "")
	}
}

// leakDown is what the diaphragm chamber loses in one second; it returns 1
// when there was a test.
func (s *sheet) leakDown(side string) int {
	if !s.given(side + "_start") {
		return 0
	}
	a, ok1 := s.oneRead(side+"_start", "diaphragm chamber at the start, "+side)
	b, ok2 := s.oneRead(side+"_end", "diaphragm chamber at the end, "+side)
	t, ok3 := s.oneRead("leak_time", "time of the leak-down")
	if !ok1 || !ok2 || !ok3 {
		return 1
	}
	secs := mustUnit("s")
	loss := math.Abs(a.si) - math.Abs(b.si)
	rate := loss / t.si
	dec := a.dec + 1
	s.line("diaphragm chamber, " + side + ": (" + text(a, a.dec) + " − " + quantity.Format(b.si, a.unit, a.dec) + ") ÷ " + figureIn(t.si, secs, 0) + " = " + figureIn(rate, a.unit, dec) + " in one second")
	if rate < 0 {
		s.missing("leak-down, " + side + ": the end is above the start; write it again")
		return 1
	}
	s.value("leak."+side, "Loss of the diaphragm chamber in one second, "+side, rate, times(difference(a, b), 1/t.si), a.unit, dec, "leak")
	return 1
}
