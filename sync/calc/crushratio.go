package calc

import "witnessmark/sync/quantity"

var crushratioSpec = Spec{
	Name: "crushratio", Version: "1", Title: "Crush of a gasket, and the thickness to order",
	Needs: []Need{
		{"free", "free thickness at the fire ring, several spots", "length", "item", false},
		{"compressed", "thickness under full torque, several spots", "length", "item", false},
		{"wanted", "compressed thickness wanted", "length", "nominal", true},
		{"offered", "free thickness of another lot of the same make", "length", "nominal", true},
		{"crush", "crush allowed, as a part of the free thickness", "1", "limit", true},
	},
	Above: "free compressed wanted offered",
	Typed: "free compressed",
	run:   runCrushratio,
}

const cautionCrushed = "A gasket crushed once is spent. Old sandwich gaskets hold asbestos: wet it, bag it, do not brush, blow or sand. The maker's thickness comes first."

// runCrushratio: crush = (free − compressed) ÷ free; free to order = wanted ÷
// (1 − crush); compressed of another lot = free × (1 − crush).
func runCrushratio(s *sheet) {
	s.caution(cautionCrushed)
	free, ok1 := s.one("free", "free thickness at the fire ring")
	comp, ok2 := s.one("compressed", "thickness under full torque")
	if !ok1 || !ok2 {
		return
	}
	if comp.si > free.si {
		s.missing("free and compressed thickness of one gasket: " + comp.text + " under torque is more than " + free.text + " free")
		return
	}
	c := 1 - comp.si/free.si
	parts := append(times(comp.all(), 1/free.si), times(free.all(), comp.si/float64(free.si*free.si))...)
	s.line("crush: (" + free.text + " − " + comp.text + ") ÷ " + free.text + " = " + quantity.Fixed(100*c, 1) + "\u2009%")
	s.value("crush", "Crush", c, parts, percent, 1, "crush")
	if w, ok := s.maybe("wanted", "compressed thickness wanted"); ok {
		order := w.si / (1 - c)
		s.line("free thickness to order: " + w.text + " ÷ (1 − " + quantity.Fixed(c, 3) + ") = " + quantity.FormatStep(order, w.unit, w.dec) + "\u2009" + w.unit.Symbol)
		s.value("order", "Free thickness to order", order, times(parts, order/(1-c)), w.unit, w.dec, "")
	}
	if o, ok := s.maybe("offered", "free thickness offered"); ok {
		t := float64(o.si * (1 - c))
		s.line("it would crush to " + o.text + " × (1 − " + quantity.Fixed(c, 3) + ") = " + quantity.FormatStep(t, o.unit, o.dec) + "\u2009" + o.unit.Symbol)
		s.value("becomes", "Thickness under torque", t, times(parts, o.si), o.unit, o.dec, "")
	}
}
