package calc

import (
	"math"

	"witnessmark/sync/quantity"
)

// worstWords says the worst station.
func (s *sheet) worstWords(p sides, worst int) string {
	st := p.at[worst]
	u := st.l.unit
	var v Val
	for _, x := range s.Vals {
		if x.Name == "difference."+st.point {
			v = x
		}
	}
	if math.Abs(st.d) <= v.U {
		return "No difference that these readings can tell" + ruling(v) + "."
	}
	faster := p.right
	if st.d < 0 {
		faster = p.left
	}
	return faster + " runs " + figureIn(math.Abs(st.d), u, st.dec) + " faster" + atStation(st.point) + " (" +
		figureIn(math.Abs(st.d)/st.mean, percent, 1) + ")" + ruling(v) + "."
}

// governed is the point of the governed no-load speed: the governor sets it,
// not the linkage.
func (s *sheet) governed() string {
	if g := s.in.Opts["governed"]; g != "" {
		return g
	}
	return "governed"
}

// linked are the stations that the lever sets.
func (s *sheet) linked(p sides) []station {
	var out []station
	for _, st := range p.at {
		if st.point != s.governed() {
			out = append(out, st)
		}
	}
	return out
}

// stopOrRatio fits difference = a + b·speed over the lever's stations: what is
// there at idle is the stop's, what changes with speed the linkage's.
func (s *sheet) stopOrRatio(p sides) string {
	at := s.linked(p)
	x, y := make([]float64, len(at)), make([]float64, len(at))
	for i, st := range at {
		x[i], y[i] = st.mean, st.d
	}
	f, ok := line(x, y)
	if !ok || f.dof < 1 {
		s.line("three stations and more tell a stop from a linkage; there are " + quantity.Fixed(float64(len(at)), 0))
		return ""
	}
	u, dec := at[0].l.unit, at[0].dec+1
	idle, uIdle := f.at(x[0])
	s.line("straight line through " + quantity.Fixed(f.n, 0) + " stations: difference = " + quantity.FormatStep(f.a, u, dec) + " + (" + quantity.Fixed(f.b, 4) +
		") × speed; standard errors " + quantity.FormatStep(f.ua, u, dec) + " and " + quantity.Fixed(f.ub, 4) + "; scatter " + figureIn(f.s, u, dec))
	s.value("stop", "Difference at idle, on the line: the idle stop", idle, []quantity.Part{{What: "scatter", U: uIdle, DoF: f.dof}}, u, dec, "")
	s.value("ratio", "Change of the difference with speed: the linkage", f.b, []quantity.Part{{What: "scatter", U: f.ub, DoF: f.dof}}, percent, 2, "")
	stop, slope := f.clear(idle, uIdle), f.clear(f.b, f.ub)
	words := " It grows with speed: the linkage, its lever lengths or a rod that is not square at mid-travel."
	switch {
	case !stop && !slope:
		words = " Neither a stop nor a linkage stands clear of the scatter."
	case !slope:
		words = " It is much the same at every speed: the idle stop or the length of a rod, not the ratio of the levers."
	case f.b*idle < 0:
		words = " It is largest at idle and dies away as speed rises: the idle stop first; measure again before a lever is touched."
	case stop:
		words = " It is there at idle and grows with speed: the idle stop first, then the linkage."
	}
	s.line("what the line says:" + words)
	return words
}

// screws says which engine to turn at idle, and by how much.
func (s *sheet) screws(p sides) string {
	at := s.linked(p)
	if len(at) == 0 {
		return ""
	}
	st := at[0]
	k, _ := s.maybeRead("per_turn", "one turn of the screw")
	wanted, ok := s.maybeRead("idle", "idle speed wanted")
	if !ok {
		if math.Abs(st.d) <= expanded(st.parts) {
			return ""
		}
		s.turn(k, "turns", "idle stop of one engine", math.Abs(st.d))
		return " Which of the two is wrong, the idle speed wanted would say."
	}
	left, right := wanted.si-st.l.si, wanted.si-st.r.si
	a := s.idleOff(k, "left", p.left, left, st.l)
	b := s.idleOff(k, "right", p.right, right, st.r)
	if math.Abs(right) > math.Abs(left) {
		a, b = b, a
	}
	switch {
	case a == "" && b == "":
		return " Both idle as wanted."
	case b == "":
		return " At idle " + a + "."
	case a == "":
		return " At idle " + b + "."
	}
	return " At idle " + a + "; then, with its rod back on, " + b + "."
}

// idleOff is what one engine is off the idle wanted; "" when the tachometer
// cannot tell it.
func (s *sheet) idleOff(k measured, side, name string, off float64, m measured) string {
	v := s.value("off."+side, "To change at idle, "+name, off, m.all(), m.unit, m.dec, "")
	if math.Abs(off) <= v.U {
		return ""
	}
	way := "raise "
	if off < 0 {
		way = "lower "
	}
	return way + name + " by " + figureIn(math.Abs(off), m.unit, m.dec) + s.turn(k, "turns."+side, "idle stop of "+name, off)
}

// turn gives a change of speed as turns of the stop screw, which changes k in
// one turn.
func (s *sheet) turn(k measured, name, what string, d float64) string {
	if k.si <= 0 {
		return ""
	}
	s.line("turns, " + what + ": " + quantity.FormatStep(d, k.unit, k.dec) + " ÷ " + shownAs(k, k.dec) + " = " + quantity.Fixed(d/k.si, 2))
	s.value(name, "Turns of the screw, "+what, d/k.si, scaled(k, d/float64(k.si*k.si)), ratio1, 2, "")
	return ", " + quantity.Fixed(math.Abs(d)/k.si, 2) + " of a turn"
}

// loadShare: two governors Δ apart share a load unequally by Δ/droop of full
// load, coupled (common practice; holds while both are on their governors).
func (s *sheet) loadShare(p sides) {
	droop, ok := s.maybeRead("droop", "droop, no load to full load")
	for _, st := range p.at {
		if st.point != s.governed() {
			continue
		}
		if !ok {
			s.line("load share is not worked out: the droop is not given")
			return
		}
		share := math.Abs(st.d) / droop.si
		s.line("load share, coupled: " + quantity.FormatStep(math.Abs(st.d), st.l.unit, st.dec) + " ÷ " + shownAs(droop, droop.dec) + " = " + figureIn(share, percent, 1) + " of full load more on the faster engine")
		s.value("share", "Share of full load more on the faster engine", share, times(st.parts, 1/droop.si), percent, 1, "share")
		if torque, ok := s.maybeRead("torque", "full-load torque"); ok {
			s.value("torque", "Torque more on the faster engine", float64(share*torque.si), times(st.parts, torque.si/droop.si), torque.unit, torque.dec, "")
		}
		s.shareAllows(droop, st)
	}
}

// shareAllows is the difference of the governors that the share's limit leaves.
func (s *sheet) shareAllows(droop measured, st station) {
	l, ok := s.in.Limits["share"]
	if _, hi, _, why := bounds(l, percent); ok && why == "" && !infinite(hi) {
		s.value("share_allows", "Difference of the governors that the limit of the share leaves", float64(hi*droop.si), nil, st.l.unit, st.dec+1, "")
	}
}

// beat: two shafts Δ apart come round together Δ times a second (Δ in turns a
// second), their exhausts so many times more as there are firings in a turn.
func (s *sheet) beat(st station) {
	d := math.Abs(st.d)
	s.line("beat" + atStation(st.point) + ": " + quantity.Fixed(d*60, st.dec) + " ÷ 60 = " + quantity.Fixed(d, 2) + " a second at the shafts")
	s.value("beat", "Beats a second at the shafts"+atStation(st.point), d, st.parts, ratio1, 2, "")
	if n, ok := s.maybeRead("firings", "firings in one turn"); ok {
		s.value("exhaust", "Beats a second in the exhaust"+atStation(st.point), float64(d*n.si), times(st.parts, n.si), ratio1, 2, "")
	}
}

// heard is the way back: the difference from beats counted by ear.
func (s *sheet) heard() bool {
	n, ok1 := s.maybeRead("beats", "beats counted")
	t, ok2 := s.maybeRead("beat_time", "time of counting")
	if !ok1 || !ok2 {
		return false
	}
	k, where := 1.0, "at the shafts"
	if f, ok := s.maybeRead("firings", "firings in one turn"); ok {
		k, where = f.si, "in the exhaust"
	}
	rpm := mustUnit("rpm")
	per := 1 / float64(t.si*k)
	s.line("difference by ear: " + n.text + " beats " + where + " ÷ " + shownAs(t, t.dec) + " ÷ " + quantity.Fixed(k, 1) + " = " + figureIn(float64(n.si*per), rpm, 1))
	s.value("heard", "Difference by ear", float64(n.si*per), []quantity.Part{{What: "one beat", U: quantity.Rect(per)}}, rpm, 1, "")
	return true
}
