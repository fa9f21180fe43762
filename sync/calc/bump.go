package calc

import "witnessmark/sync/quantity"

var bumpSpec = Spec{
	Name: "bump", Version: "3", Title: "Bump clearance (piston to head), calculated and measured",
	Needs: []Need{
		{"compressed", "gasket thickness under full torque, an engine, several spots", "length", "item", false},
		{"protrusion", "piston protrusion, each cylinder, + above the deck", "length", "item", false},
		{"lead", "lead or solder crushed over the pin axis, each cylinder", "length", "item", true},
		{"clay", "clay over the pin axis, each cylinder", "length", "item", true},
		{"bump", "bump clearance allowed", "length", "limit", true},
		{"agree", "what calculated and lead may differ by", "length", "limit", true},
		{"cylinders", "the cylinders wanted, as 2117/1, separated by spaces", "", "option", true},
	},
	Above: "compressed lead clay",
	Gaps:  "bump",
	Typed: "compressed protrusion",
	run:   runBump,
}

const cautionBar = "Bar the engine over by hand, injectors or decompressors out, starter isolated, key in a pocket. Cold is not running: rod and piston grow, so never build to the bare minimum. The maker's figure comes first."

// runBump: calculated is gasket less protrusion; lead and clay are measured.
// The routes are kept apart, and their difference is a result. Clay springs
// back and reads high (common practice, no source: 0.05 to 0.10 mm).
func runBump(s *sheet) {
	s.caution(cautionBar)
	squeeze := s.source("compressed", "compressed gasket thickness")
	protrusion := s.source("protrusion", "piston protrusion")
	lead, clay := s.pooled("lead", "lead"), s.pooled("clay", "clay")
	for _, label := range s.cylinders() {
		var t, p measured
		if !s.take(&t, squeeze, label) || !s.take(&p, protrusion, label) {
			continue
		}
		c := t.si - p.si
		dec := min(t.dec, p.decIn(t.unit))
		parts := difference(t, p)
		s.line("calculated, " + cylinderWords(label) + ": " + text(t, dec) + " − " + quantity.Format(p.si, t.unit, dec) + " = " + quantity.FormatStep(c, t.unit, dec))
		s.value("bump."+label, "Bump clearance, "+cylinderWords(label), c, parts, t.unit, dec, "bump")
		s.beside("lead", "Lead", label, lead, c, parts)
		s.beside("clay", "Clay", label, clay, c, parts)
	}
	if len(s.cylinders()) == 0 {
		s.missing("piston protrusion of the cylinders")
	}
}

// beside adds a measured clearance and its difference from the calculated one.
func (s *sheet) beside(name, title, label string, found map[string]measured, calculated float64, parts []quantity.Part) {
	m, ok := found[label]
	if !ok {
		return
	}
	// Clay stands high by its nature, so only lead is held against the limits.
	limit, agree := "bump", "agree"
	if name == "clay" {
		limit, agree = "", ""
	}
	s.value(name+"."+label, title+", "+cylinderWords(label), m.si, m.all(), m.unit, m.dec, limit)
	s.value(name+"-calculated."+label, title+" less calculated, "+cylinderWords(label), m.si-calculated, append(m.all(), parts...), m.unit, m.dec, "")
	if l, ok := s.in.Limits[agree]; ok {
		s.judgeSize(&s.Vals[len(s.Vals)-1], l, m.unit, m.dec)
	}
}
