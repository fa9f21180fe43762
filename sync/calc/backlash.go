package calc

import "witnessmark/sync/quantity"

var backlashSpec = Spec{
	Name: "backlash", Version: "1", Title: "Gear backlash round the wheel, and of a train",
	Needs: []Need{
		{"reading", "movement on the dial, the neighbour held; each position round the wheel, the mesh as label", "length", "item", false},
		{"pitch_radius", "pitch radius of the wheel, where the dial stood elsewhere", "length", "nominal", true},
		{"pitch_radius", "the same, mesh by mesh", "length", "item", true},
		{"dial_radius", "radius at which the dial stood", "length", "nominal", true},
		{"dial_radius", "the same, mesh by mesh", "length", "item", true},
		{"backlash", "backlash allowed, least and most", "length", "limit", true},
		{"train", "backlash allowed in the whole train", "length", "limit", true},
	},
	Above: "pitch_radius dial_radius",
	run:   runBacklash,
}

const cautionGears = "Gears are turned by hand only, with the starter isolated: they take fingers. Hold the shafts against their end float, for in slanted teeth it reads as backlash. The maker's limit comes before any figure here."

// mesh is the backlash of two wheels at the pitch line.
type mesh struct {
	label       string
	least, most group
	mean, high  float64 // at the pitch line
	parts       []quantity.Part
}

// runBacklash: at the pitch line, b = reading × r_pitch ÷ r_dial (arcs of one
// angle are as their radii). Least and most are judged, not the mean.
func runBacklash(s *sheet) {
	s.caution(cautionGears)
	pitch, dial := s.source("pitch_radius", "pitch radius"), s.source("dial_radius", "radius of the dial")
	all := s.groups("reading", "dial")
	if len(all) == 0 {
		s.missing("a reading of the dial, at three or four positions round the wheel")
	}
	var meshes []mesh
	for i := 0; i < len(all); {
		j := i
		for j < len(all) && all[j].label == all[i].label {
			j++
		}
		if m, ok := s.mesh(all[i:j], pitch, dial); ok {
			meshes = append(meshes, m)
		}
		i = j
	}
	if len(meshes) > 1 {
		s.train(meshes)
	}
}

// mesh brings the readings of one mesh to the pitch line and adds its values.
func (s *sheet) mesh(gs []group, pitch, dial *source) (mesh, bool) {
	m := mesh{label: gs[0].label}
	k, words, rel, ok := s.radii(m.label, pitch, dial)
	if !ok {
		return m, false
	}
	x := make([]float64, len(gs))
	for i, g := range gs {
		x[i] = float64(g.si * k)
		if i == 0 || g.si < m.least.si {
			m.least = g
		}
		if i == 0 || g.si > m.most.si {
			m.most = g
		}
		if k != 1 {
			s.line(where("backlash", g) + ": " + text(g.measured, g.dec) + words + " = " + quantity.FormatStep(x[i], g.unit, g.dec))
		}
	}
	if m.least.si < 0 {
		s.missing(where("dial", m.least) + ": " + m.least.text + " cannot be; backlash is not below nought. Write it again")
		return m, false
	}
	low := float64(m.least.si * k)
	m.mean, m.high = quantity.Mean(x), float64(m.most.si*k)
	m.parts = append(times(m.most.all(), k), times(rel, m.high)...)
	u, dec := m.most.unit, m.most.dec
	s.value(nameFor("least", m.label), where("Least backlash", m.least), low, append(times(m.least.all(), k), times(rel, low)...), u, dec, "backlash")
	s.value(nameFor("most", m.label), where("Most backlash", m.most), m.high, m.parts, u, dec, "backlash")
	s.value(nameFor("mean", m.label), about("Mean backlash", m.label), m.mean, m.parts, u, dec, "")
	s.runout(m, len(gs), m.high-low, k)
	return m, true
}

// runout adds what the backlash varies by round the wheel.
func (s *sheet) runout(m mesh, positions int, varies, k float64) {
	if positions < 3 {
		s.line(about("mesh", m.label) + ": three or four positions round the wheel show whether it runs out; one or two do not")
		return
	}
	u, dec := m.most.unit, m.most.dec
	s.line(about("round the wheel", m.label) + ": it varies by " + quantity.FormatStep(varies, u, dec) + "\u2009" + u.Symbol)
	s.value(nameFor("runout", m.label), about("Most less least, from wheels that run out", m.label), varies, times(difference(m.most.measured, m.least.measured), k), u, dec, "")
}

func where(what string, g group) string { return spot(what, Item{Label: g.label, Point: g.point}) }

// radii is the pitch radius over the dial's, and what it is uncertain by as a
// part of itself; 1 where the dial stood on the pitch line and neither is given.
func (s *sheet) radii(label string, pitch, dial *source) (k float64, words string, rel []quantity.Part, ok bool) {
	p, ok1 := pitch.of(s, label)
	d, ok2 := dial.of(s, label)
	_, typed1 := s.in.Nominal["pitch_radius"]
	_, typed2 := s.in.Nominal["dial_radius"]
	if !ok1 && !ok2 && !typed1 && !typed2 {
		s.line(about("dial", label) + ": taken as on the pitch line, for no radius is given")
		return 1, "", nil, true
	}
	if !ok1 {
		s.missing(about("pitch radius of the wheel", label))
	}
	if !ok2 {
		s.missing(about("radius at which the dial stood", label))
	}
	if !ok1 || !ok2 {
		return 0, "", nil, false
	}
	words = " × " + quantity.FormatStep(p.si, p.unit, p.dec) + " ÷ " + quantity.FormatStep(d.si, p.unit, max(p.dec, digitsFor(1e-4, p.unit)))
	return p.si / d.si, words, append(times(p.all(), 1/p.si), times(d.all(), 1/d.si)...), true
}

// train adds up the meshes, at their mean and at their worst.
func (s *sheet) train(ms []mesh) {
	sum, worst := 0.0, 0.0
	var parts []quantity.Part
	words := ""
	u, dec := ms[0].most.unit, 9
	for _, m := range ms {
		dec = min(dec, digitsFor(lastDigit(m.most.measured), u))
	}
	for i, m := range ms {
		sum += m.mean
		worst += m.high
		parts = append(parts, m.parts...)
		if i > 0 {
			words += " + "
		}
		words += quantity.FormatStep(m.mean, u, dec)
	}
	s.line("train: " + words + " = " + quantity.FormatStep(sum, u, dec) + "\u2009" + u.Symbol + "; so they add where each wheel only passes its motion on; behind two wheels on one shaft, as their radii")
	s.value("train", "Backlash of the train, means", sum, parts, u, dec, "train")
	s.value("train_most", "Backlash of the train, all at their most", worst, parts, u, dec, "")
}
