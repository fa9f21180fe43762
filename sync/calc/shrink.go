package calc

import "witnessmark/sync/quantity"

var shrinkSpec = Spec{
	Name: "shrink", Version: "1", Title: "Heating a part to shrink it on",
	Needs: []Need{
		{"diameter", "bore of the part to be heated", "length", "nominal", false},
		{"interference", "by how much the shaft is larger than the bore, cold", "length", "nominal", false},
		{"clearance", "clearance wanted to slip it on", "length", "nominal", true},
		{"room", "temperature of the workshop and of both parts", "temperature", "nominal", false},
		{"metal", "metal of the part heated, by the name in the table", "", "option", true},
		{"alpha", "its expansion, where the metal is not named", "expansion", "nominal", true},
		{"heat", "temperature that the oven or bath gives, for the clearance that it makes", "temperature", "nominal", true},
		{"temperature", "hottest that the part may be", "temperature", "limit", true},
		{"clearance", "clearance needed to slip it on", "length", "limit", true},
	},
	Above: "diameter interference clearance alpha",
	run:   runShrink,
}

const cautionShrink = "Hot metal burns and does not look hot: gloves, tongs, a clear way to the shaft, a stop to push against. No flame on a hardened or an old part: its hardness goes and old castings crack. Bearings not above 120 °C (common practice, no source). The maker's figure comes before any here."

// runShrink: temperature = room + (interference + clearance) ÷ (α × diameter).
func runShrink(s *sheet) {
	s.caution(cautionShrink)
	d, ok1 := s.one("diameter", "bore of the part")
	i, ok2 := s.one("interference", "interference when cold")
	room, ok3 := s.one("room", "temperature of the workshop")
	alpha, alphaParts, ok4 := s.alpha("metal", "alpha")
	if !s.given("clearance") && !s.given("heat") {
		s.missing("the clearance wanted to slip it on, or the temperature that it is given")
	}
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return
	}
	per := float64(alpha * d.si)
	if c, ok := s.maybe("clearance", "clearance to slip it on"); ok {
		k := (i.si + c.si) / per
		dec := max(i.dec, c.decIn(i.unit))
		s.line("rise: (interference + clearance) ÷ (α × diameter) = (" + quantity.FormatStep(i.si, i.unit, dec) + " + " + quantity.FormatStep(c.si, i.unit, dec) + ") ÷ (" +
			ppm(alpha) + " × " + in(d.si, d.unit, d.dec) + ") = " + degreesWarmer(k, room.unit))
		parts := append(times(append(i.all(), c.all()...), 1/per), times(alphaParts, k/alpha)...)
		s.temperature("temperature", "Heat it to", room.si+k, append(parts, room.all()...), room.unit, 0, "temperature")
		s.line("heat it to: " + room.text + " + " + degreesWarmer(k, room.unit) + " = " + quantity.Format(room.si+k, room.unit, 0) + "\u2009" + room.unit.Symbol)
	}
	if h, ok := s.maybe("heat", "temperature that it is given"); ok {
		s.heated(h, room, i, per, alpha, alphaParts)
	}
}

// heated goes the other way: the clearance that a temperature makes.
func (s *sheet) heated(h, room, i measured, per, alpha float64, alphaParts []quantity.Part) {
	if h.si <= room.si {
		s.missing("temperature that it is given: " + h.text + " is not above the workshop's, " + room.text)
		return
	}
	g := float64(per * (h.si - room.si))
	free := g - i.si
	u, dec := i.unit, i.dec+1
	s.line("at " + h.text + " the bore grows by " + in(g, u, dec) + "; less the interference: " + in(free, u, dec))
	parts := append(times(alphaParts, g/alpha), times(append(h.all(), room.all()...), per)...)
	s.value("growth", "Growth of the bore at "+h.text, g, parts, u, dec, "")
	s.value("clearance", "Clearance at "+h.text, free, append(parts, i.all()...), u, dec, "clearance")
	if free <= 0 {
		s.caution("At that heat it does not go on: it would stick half way.")
	}
}
