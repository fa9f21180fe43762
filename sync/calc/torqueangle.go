package calc

import "witnessmark/sync/quantity"

var torqueangleSpec = Spec{
	Name: "torqueangle", Version: "1", Title: "Load of a stud from the turn after snug, or from its stretch",
	Needs: []Need{
		{"angle", "turn of the nut after snug", "angle", "nominal", true},
		{"stretch", "stretch measured, free length taken off", "length", "item", true},
		{"stretch", "stretch, where it is typed", "length", "nominal", true},
		{"wanted", "load wanted, for the turn and the stretch that give it", "force", "nominal", true},
		{"length", "free length of the stud under load, between nut and first thread held", "length", "nominal", false},
		{"modulus", "modulus of elasticity of the stud", "pressure", "nominal", false},
		{"pitch", "pitch, where the thread is not named", "length", "nominal", true},
		{"area", "area that carries the load, where no thread or shank is given", "area", "nominal", true},
		{"shank", "diameter of a plain or waisted shank", "length", "nominal", true},
		{"joint", "share of the movement that the joint takes; a rigid joint if not given", "1", "nominal", true},
		{"thread", "thread, as M14, M14x1.5, 1/2-13 UNC, 1/2 BSW", "", "option", true},
		{"preload", "load allowed", "force", "limit", true},
		{"stretch", "stretch allowed", "length", "limit", true},
	},
	Above: "angle stretch wanted length modulus pitch area shank",
	run:   runTorqueangle,
}

const cautionAngle = "Count the turn from snug, with the joint closed up metal to metal; a soft gasket eats turn and the load stays unknown. A stud that comes to its greatest stretch before its least torque, or to its greatest torque before its least stretch, is replaced (TM 9-2815-220-24, WP 0139), and so is one stretched for good. Do not lean over a stud. The maker's turn comes before any figure here."

// stud is what stretches: E × A ÷ L is its stiffness.
type stud struct {
	stiff float64         // N/m
	parts []quantity.Part // relative
	len   measured
}

// runTorqueangle: the nut comes down by pitch × angle ÷ 360, of which the stud
// takes its share in stretch; F = E × A × stretch ÷ L (Hooke).
func runTorqueangle(s *sheet) {
	s.caution(cautionAngle)
	th, named := s.thread("thread")
	st, ok := s.stud(th, named)
	if !s.given("angle") && !s.given("stretch") && !s.given("wanted") {
		s.missing("the turn after snug, the stretch measured, or the load wanted")
	}
	if !ok {
		return
	}
	pitch, known := s.threadPitch(th, named)
	share, rigid, ok := s.studShare()
	if !ok {
		return
	}
	if a, ok := s.maybe("angle", "turn after snug"); ok && known {
		s.fromTurn(st, a, pitch, share, rigid)
	}
	if x, ok := s.maybe("stretch", "stretch"); ok {
		f := float64(st.stiff * x.si)
		s.line("load from the stretch: E × A × stretch ÷ L = " + in(f, mustUnit("kN"), 1))
		s.value("stretched", "Stretch", x.si, x.all(), x.unit, x.dec, "stretch")
		s.value("preload", "Load from the stretch", f, append(times(x.all(), st.stiff), times(st.parts, f)...), mustUnit("kN"), 1, "preload")
	}
	if f, ok := s.maybe("wanted", "load wanted"); ok {
		s.turnFor(st, f, pitch, share, known, rigid)
	}
}

// stud reads what stretches.
func (s *sheet) stud(th thread, named bool) (stud, bool) {
	l, ok1 := s.one("length", "free length of the stud under load")
	e, ok2 := s.one("modulus", "modulus of elasticity of the stud (steel about 207 GPa: from memory)")
	a, ok3 := s.carrying(th, named)
	if !ok1 || !ok2 || !ok3 {
		return stud{}, false
	}
	k := float64(e.si*a) / l.si
	s.line("stiffness of the stud: E × A ÷ L = " + in(e.si, e.unit, e.dec) + " × " + mm2(a) + " ÷ " + in(l.si, l.unit, l.dec) + " = " +
		quantity.Fixed(k/1e6, 1) + "\u2009kN per mm")
	return stud{k, append(times(l.all(), 1/l.si), times(e.all(), 1/e.si)...), l}, true
}

// carrying is the area of the shank, else that of the thread.
func (s *sheet) carrying(th thread, named bool) (float64, bool) {
	if d, ok := s.maybe("shank", "diameter of the shank"); ok {
		s.line("area of the shank: π/4 × d² = " + mm2(area(d.si)))
		return area(d.si), true
	}
	a, ok := s.loadedArea(th, named)
	if !ok {
		s.missing("the thread, the diameter of the shank, or the area that carries the load")
	}
	return a, ok
}

// threadPitch is that of the thread, else the one typed; it is needed for a turn.
func (s *sheet) threadPitch(th thread, named bool) (float64, bool) {
	if named {
		s.line("pitch of " + th.name + ": " + in(th.pitch, mustUnit("mm"), 3))
		return th.pitch, true
	}
	if !s.given("angle") {
		m, ok := s.maybe("pitch", "pitch")
		return m.si, ok
	}
	m, ok := s.one("pitch", "the thread, or its pitch")
	return m.si, ok
}

// studShare is the part of the movement that stretches the stud.
func (s *sheet) studShare() (share float64, rigid, ok bool) {
	if !s.given("joint") {
		return 1, true, true
	}
	m, ok := s.one("joint", "share of the movement that the joint takes")
	if ok && (m.si < 0 || m.si >= 1) {
		s.missing("share of the movement that the joint takes: " + m.text + " cannot be; it lies from 0 to under 1")
		return 0, false, false
	}
	s.line("the stud takes 1 − " + m.text + " = " + quantity.Fixed(1-m.si, m.dec+2) + " of the movement")
	return 1 - m.si, false, ok
}

// fromTurn adds the load that a turn gives: with a rigid joint, the most.
func (s *sheet) fromTurn(st stud, a measured, pitch, share float64, rigid bool) {
	u := mustUnit("mm")
	down := float64(pitch*a.si) / 360
	f := float64(float64(st.stiff*down) * share)
	kn := mustUnit("kN")
	s.line("the nut comes down: pitch × angle ÷ 360 = " + in(pitch, u, 3) + " × " + a.text + " ÷ 360 = " + in(down, u, 3))
	is := ""
	if rigid {
		is = "at most"
		s.line("no share of the joint is known: it is taken as rigid, so the load is the most that the turn can give")
	}
	s.line("load on top of snug: " + is + " " + in(f, kn, 1))
	parts := append(times(a.all(), f/a.si), times(st.parts, f)...)
	s.bounded(is, "turned", "Load from the turn, on top of snug", f, parts, kn, 1, "preload")
	s.value("stretch", "Stretch from the turn", float64(down*share), nil, u, 3, "")
}

// turnFor goes the other way.
func (s *sheet) turnFor(st stud, f measured, pitch, share float64, known, rigid bool) {
	x := f.si / st.stiff
	u := st.len.unit
	dec := max(3, quantity.Decimals(1e-6, u))
	s.line("stretch for " + in(f.si, f.unit, f.dec) + ": F × L ÷ (E × A) = " + in(x, u, dec))
	s.value("needed", "Stretch for the load wanted", x, append(times(f.all(), 1/st.stiff), times(st.parts, x)...), u, dec, "stretch")
	if !known {
		return
	}
	turn := float64(x*360) / float64(pitch*share)
	s.line("turn after snug for it: stretch × 360 ÷ (pitch × share of the stud) = " + in(turn, mustUnit("deg"), 0))
	is := ""
	if rigid {
		is = "at least"
		s.line("no share of the joint is known: it is taken as rigid, so more turn than that is needed")
	}
	s.bounded(is, "turn", "Turn after snug for the load wanted", turn, nil, mustUnit("deg"), 0, "")
}
