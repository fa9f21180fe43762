package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

var preloadSpec = Spec{
	Name: "preload", Version: "1", Title: "Load of a stud from its torque, or torque for a load",
	Needs: []Need{
		{"torque", "torque given", "torque", "nominal", true},
		{"wanted", "load wanted, for the torque that gives it", "force", "nominal", true},
		{"k", "nut factor K of the threads as they are, or between two", "1", "nominal", false},
		{"k_other", "K of the threads in their other state, oiled for dry", "1", "nominal", true},
		{"diameter", "major diameter, where the thread is not named", "length", "nominal", true},
		{"area", "stress area, where the thread is not named", "area", "nominal", true},
		{"proof", "proof stress, where the class is not named", "pressure", "nominal", true},
		{"thread", "thread, as M14, M14x1.5, 1/2-13 UNC, 1/2 BSW", "", "option", true},
		{"class", "class of ISO 898-1, as 8.8, or grade of SAE J429, as 5", "", "option", true},
		{"scatter", "scatter of the load that is known for this way of tightening, in %; 25 if not given", "", "option", true},
		{"state", "the threads: dry, oiled, or what compound", "", "option", true},
		{"preload", "load allowed", "force", "limit", true},
		{"share", "load allowed at the most, as a share of the proof load", "1", "limit", true},
	},
	Above: "torque wanted k k_other diameter area proof",
	run:   runPreload,
}

const cautionPreload = "Dry or oiled belongs beside every torque: the same torque on oiled threads pulls about a third harder. A stud that bottoms, or oil in a blind hole, makes the torque a lie and cracks the casting. Do not lean over a stud. The maker's torque comes before any figure here."

// runPreload: F = T ÷ (K × d), d the major diameter (NASA RP-1228, Fastener
// Design Manual). The scatter of 25 % is that of lubricated threads in NASA
// NSTS 08307, table of typical uncertainties; it has 35 % for dry ones.
func runPreload(s *sheet) {
	s.caution(cautionPreload)
	th, named := s.thread("thread")
	d, ok := s.majorDiameter(th, named)
	k, ok2 := s.one("k", "nut factor K (about 0.20 dry, 0.15 oiled: from memory)")
	if !s.given("torque") && !s.given("wanted") {
		s.missing("the torque given, or the load wanted")
	}
	if !ok || !ok2 {
		return
	}
	low, high := s.scatter(k)
	if t, ok := s.maybe("torque", "torque"); ok {
		f := s.load(t, k, d, low, high)
		s.otherState(t, d, f)
		s.proofShare(th, named, d, f, high)
	}
	if f, ok := s.maybe("wanted", "load wanted"); ok {
		s.torqueFor(f, k, d, low, high)
	}
	s.wants("share", "share.max", "torque, thread or stress area, and class or proof stress, for the share of the proof load")
}

// majorDiameter is that of the thread, else the one typed.
func (s *sheet) majorDiameter(th thread, named bool) (measured, bool) {
	if named {
		u := mustUnit("mm")
		s.line("major diameter of " + th.name + ": " + in(th.major, u, 2))
		return measured{si: th.major, unit: u, dec: 2}, true
	}
	if s.in.Opts["thread"] != "" && !s.given("diameter") {
		return measured{}, false
	}
	return s.one("diameter", "the thread, or its major diameter")
}

// scatter is by what factors the load may fall short of its mean and pass it:
// those of a K between two, else the scatter that is known, else 25 %.
func (s *sheet) scatter(k measured) (low, high float64) {
	if q, err := quantity.Parse(s.in.Nominal["k"]); err == nil && q.Half > 0 && len(s.in.Items["k"]) == 0 {
		s.line("scatter: from K between " + quantity.Fixed(q.Lo(), q.Dec) + " and " + quantity.Fixed(q.Hi(), q.Dec) + ", the mean at " + quantity.Fixed(k.si, q.Dec+1))
		return k.si / q.Hi(), k.si / q.Lo()
	}
	p, ok := s.optNumber("scatter", "scatter of the load, in %")
	switch {
	case ok && p >= 0 && p < 100:
		s.line("scatter: ± " + s.in.Opts["scatter"] + " %, as it is known for this way of tightening")
	case ok:
		s.missing("scatter of the load: " + s.in.Opts["scatter"] + " % cannot be; it lies from 0 to under 100")
		p = 25
	default:
		p = 25
		s.line("scatter: ± 25 %, as for lubricated threads by torque wrench (NASA NSTS 08307; dry ones 35 %)")
	}
	return 1 - p/100, 1 + p/100
}

// load adds the load at that torque and returns it.
func (s *sheet) load(t, k, d measured, low, high float64) float64 {
	f := t.si / float64(k.si*d.si)
	u, dec := forceUnit(t.unit, f)
	s.line("load: T ÷ (K × d) = " + in(t.si, t.unit, t.dec) + " ÷ (" + quantity.Fixed(k.si, max(2, k.dec)) + " × " + in(d.si, d.unit, d.dec) + ") = " + in(f, u, dec))
	s.line("between " + in(float64(f*low), u, dec) + " and " + in(float64(f*high), u, dec))
	parts := append(times(t.all(), f/t.si), times(d.all(), f/d.si)...)
	spread := append(parts, part("scatter of friction", quantity.Rect(float64(f*(high-low))/2)))
	s.value("preload", "Load"+s.state(), f, spread, u, dec, "preload")
	s.value("preload.min", "Load at the least", float64(f*low), parts, u, dec, "")
	s.value("preload.max", "Load at the most", float64(f*high), parts, u, dec, "")
	return f
}

func (s *sheet) state() string {
	if s.in.Opts["state"] == "" {
		return ""
	}
	return ", threads " + s.in.Opts["state"]
}

// forceUnit is the unit of force that goes with one of torque.
func forceUnit(torque quantity.Unit, f float64) (quantity.Unit, int) {
	switch {
	case strings.HasPrefix(torque.Code, "lbf"):
		return mustUnit("lbf"), 0
	case strings.HasPrefix(torque.Code, "kgf"):
		return mustUnit("kgf"), 0
	}
	return mustUnit("kN"), max(1, places(f, mustUnit("kN"), 3))
}

// otherState says what the same torque does on threads in their other state.
func (s *sheet) otherState(t, d measured, f float64) {
	k, ok := s.maybe("k_other", "K of the threads in their other state")
	if !ok {
		return
	}
	other := t.si / float64(k.si*d.si)
	u, dec := forceUnit(t.unit, other)
	change := other/f - 1
	sign := ""
	if change > 0 {
		sign = "+"
	}
	s.line("the same torque on threads in their other state: " + in(other, u, dec) + " (" + sign + quantity.Fixed(change*100, 0) + " %)")
	s.value("other", "Load on threads in their other state", other, nil, u, dec, "")
	s.value("change", "Change of the load", change, nil, mustUnit("%"), 0, "")
}

// proofShare holds the load against the proof load, stress area × proof stress.
func (s *sheet) proofShare(th thread, named bool, d measured, f, high float64) {
	a, ok1 := s.loadedArea(th, named)
	sp, ok2 := s.proofStress(d.si)
	if !ok1 || !ok2 {
		return
	}
	proof := float64(a * sp)
	kn := mustUnit("kN")
	s.line("proof load: " + mm2(a) + " × " + in(sp, mustUnit("MPa"), 0) + " = " + in(proof, kn, 1))
	s.value("proof", "Proof load", proof, nil, kn, 1, "")
	s.value("share", "Share of the proof load", f/proof, nil, mustUnit("%"), 0, "")
	s.value("share.max", "Share of the proof load at the most", float64(f*high)/proof, nil, mustUnit("%"), 0, "share")
	if float64(f*high) > proof {
		s.caution("At its most the load passes the proof load: the stud may stay stretched. Ask for the torque again.")
	}
}

// loadedArea is the stress area of the thread, else the one typed.
func (s *sheet) loadedArea(th thread, named bool) (float64, bool) {
	if named {
		return s.stressArea(th), true
	}
	a, ok := s.maybe("area", "stress area")
	return a.si, ok
}

// proofClass is the proof stress of a class over a range of diameters.
type proofClass struct {
	name       string
	over, upTo float64 // m
	proof      float64 // Pa
}

// proofClasses: ISO 898-1:2013, table 3, and SAE J429.
var proofClasses = []proofClass{
	{"8.8", 0, 0.016, 580e6}, {"8.8", 0.016, 0.039, 600e6}, {"10.9", 0, 0.039, 830e6},
	{"1", 0, 1.5 * oneInch, psi(33000)}, {"2", 0, 0.75 * oneInch, psi(55000)}, {"2", 0.75 * oneInch, 1.5 * oneInch, psi(33000)},
	{"5", 0, oneInch, psi(85000)}, {"5", oneInch, 1.5 * oneInch, psi(74000)}, {"5.2", 0, oneInch, psi(85000)},
	{"8", 0, 1.5 * oneInch, psi(120000)}, {"8.2", 0, oneInch, psi(120000)},
}

func psi(x float64) float64 { return mustUnit("psi").Step(x) }

// proofStress is the one typed, else that of the class for the diameter.
func (s *sheet) proofStress(d float64) (float64, bool) {
	if s.given("proof") {
		m, ok := s.one("proof", "proof stress")
		return m.si, ok
	}
	class := s.in.Opts["class"]
	if class == "" {
		return 0, false
	}
	name := strings.NewReplacer("class", "", "grade", "", "sae", "", "iso", "").Replace(plainName(class))
	for _, c := range proofClasses {
		if c.name == name && quantity.Quantise(d*1e6, 0) > quantity.Quantise(c.over*1e6, 0) && quantity.Quantise(d*1e6, 0) <= quantity.Quantise(c.upTo*1e6, 0) {
			s.line("proof stress of class " + c.name + " at this diameter: " + in(c.proof, mustUnit("MPa"), 0))
			return c.proof, true
		}
	}
	s.missing("proof stress: the tables (ISO 898-1: 8.8, 10.9; SAE J429: 1, 2, 5, 5.2, 8, 8.2) have no class '" + class + "' of this diameter; give the proof stress")
	return 0, false
}

// torqueFor goes the other way.
func (s *sheet) torqueFor(f, k, d measured, low, high float64) {
	t := float64(float64(f.si*k.si) * d.si)
	u := mustUnit("N.m")
	if f.unit.Code == "lbf" {
		u = mustUnit("lbf.ft")
	}
	dec := max(1, places(t, u, 3))
	s.line("torque for " + in(f.si, f.unit, f.dec) + ": F × K × d = " + in(t, u, dec) + "; the load then lies between " +
		in(float64(f.si*low), f.unit, f.dec) + " and " + in(float64(f.si*high), f.unit, f.dec))
	s.value("torque", "Torque for the load wanted", t, append(times(f.all(), t/f.si), times(k.all(), t/k.si)...), u, dec, "")
}
