package calc

import "math"

var clutchdragSpec = Spec{
	Name: "clutchdrag", Version: "1", Title: "Drag of a clutch from a pull on an arm, both sides",
	Needs: []Need{
		{"force", "steady pull that keeps it turning, each clutch", "force", "item", false},
		{"arm", "arm, from the shaft's middle to the balance", "length", "nominal", false},
		{"torque", "drag wanted, for the pull that goes with it", "torque", "nominal", true},
		{"drag", "drag allowed", "torque", "limit", true},
		{"agree", "what the two may differ by", "torque", "limit", true},
	},
	Above: "arm torque",
	run:   runClutchdrag,
}

const cautionClutch = "Chock the wheels, nobody between buffers, coupling guards on, starter isolated. Old linings may hold asbestos: no blowing out. Pull square to the arm, steadily, cold and again hot. The maker's drag comes before any figure here."

// runClutchdrag: drag = force × arm.
func runClutchdrag(s *sheet) {
	s.caution(cautionClutch)
	forces := s.pooled("force", "pull")
	arm, ok := s.one("arm", "length of the arm")
	if len(forces) == 0 {
		s.missing("pull on the arm, each clutch")
	}
	if !ok || len(forces) == 0 {
		return
	}
	labels := sorted(forces)
	u := mustUnit("N.m")
	for _, l := range labels {
		f := forces[l]
		if f.si < 0 {
			s.missing(concerning("pull", l) + ": " + f.text + " cannot be; it must not be below nought. Write it again")
			return
		}
		drag := float64(f.si * arm.si)
		s.line(concerning("drag", l) + ": " + in(f.si, f.unit, f.dec) + " × " + in(arm.si, arm.unit, arm.dec) + " = " + in(drag, u, 1))
		s.value("drag."+l, concerning("Drag", l), drag, append(times(f.all(), arm.si), times(arm.all(), f.si)...), u, 1, "drag")
	}
	for i, a := range labels {
		for _, b := range labels[i+1:] {
			s.dragsApart(a, b, forces[a], forces[b], arm)
		}
	}
	s.wants("agree", "apart.", "pull on the arm of the other clutch")
	if t, ok := s.maybe("torque", "drag wanted"); ok {
		f := t.si / arm.si
		s.line("pull for " + in(t.si, t.unit, t.dec) + ": drag ÷ arm = " + in(f, mustUnit("N"), 1))
		s.value("pull", "Pull for the drag wanted", f, append(times(t.all(), 1/arm.si), times(arm.all(), f/arm.si)...), mustUnit("N"), 1, "")
	}
}

// dragsApart: the arm is common to both, so only its length times the
// difference of the pulls counts.
func (s *sheet) dragsApart(la, lb string, a, b, arm measured) {
	d := math.Abs(a.si - b.si)
	off := float64(d * arm.si)
	u := mustUnit("N.m")
	s.line("drag of " + la + " and " + lb + " apart: " + in(off, u, 1))
	parts := append(times(difference(a, b), arm.si), times(arm.all(), d)...)
	s.value("apart."+la+"-"+lb, "Drag of "+la+" and "+lb+" apart", off, parts, u, 1, "agree")
}
