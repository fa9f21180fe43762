package calc

import (
	"math"

	"witnessmark/sync/quantity"
)

var torquesetSpec = Spec{
	Name: "torqueset", Version: "1", Title: "Setting of a torque wrench with an extension or crow-foot",
	Needs: []Need{
		{"torque", "torque wanted at the nut", "torque", "nominal", true},
		{"setting", "what the wrench is set to, for the torque that it gives", "torque", "nominal", true},
		{"length", "wrench, from its square to the middle of the hand", "length", "nominal", false},
		{"extension", "extension, from the square to the nut", "length", "nominal", false},
		{"angle", "angle between extension and handle: 0 straight out, 90 square, 180 folded back; 0 if not given", "angle", "nominal", true},
		{"torque", "torque allowed at the nut", "torque", "limit", true},
	},
	Above: "torque setting length",
	run:   runTorqueset,
}

const cautionWrench = "Do not lean over a stud: a long bar slips. Pull at the middle of the grip, square to the handle; a bar on the handle or a slack joint makes the setting untrue. A torque wrench does not undo nuts. The maker's torque, and whether it is for dry or oiled threads, comes before any figure here."

// runTorqueset: setting = T × L ÷ (L + E × cos a), TM 9-254, figure 4-6; in
// line with the handle also TM 1-1500-204-23-9. The wrench feels force × L,
// the nut gets force × (L + E × cos a).
func runTorqueset(s *sheet) {
	s.caution(cautionWrench)
	l, ok1 := s.one("length", "length of the wrench, square to hand")
	e, ok2 := s.one("extension", "length of the extension, square to nut")
	a, ok3 := s.extensionAngle()
	if !s.given("torque") && !s.given("setting") {
		s.missing("the torque wanted at the nut, or the setting of the wrench")
	}
	if !ok1 || !ok2 || !ok3 {
		return
	}
	if e.si < 0 {
		s.missing("length of the extension: " + e.text + " cannot be; it must not be below nought. Write it again")
		return
	}
	c := quantity.Cos(a.si)
	arm := l.si + float64(e.si*c)
	if quantity.Quantise(arm*1e6, 0) <= 0 || arm < float64(l.si*0.1) {
		s.missing("an extension that does not fold back past the hand: with " + e.text + " at " + a.text + " the wrench has next to no arm left")
		return
	}
	dec := max(l.dec, e.decIn(l.unit))
	s.line("arm at the nut: L + E × cos a = " + quantity.FormatStep(l.si, l.unit, dec) + " + " + quantity.FormatStep(e.si, l.unit, dec) + " × " +
		quantity.Fixed(c, 4) + " = " + in(arm, l.unit, dec))
	s.settings(l, e, a, arm)
}

// extensionAngle is the angle of the extension, straight out if not given.
func (s *sheet) extensionAngle() (measured, bool) {
	if !s.given("angle") {
		s.line("angle: none given, so the extension is taken as straight out, 0°")
		return measured{unit: mustUnit("deg"), text: "0\u2009°"}, true
	}
	a, ok := s.one("angle", "angle of the extension")
	if ok && math.Abs(a.si) > 180 {
		s.missing("angle of the extension: " + a.text + " cannot be; it lies between 0 and 180°. Write it again")
		return a, false
	}
	return a, ok
}

// settings goes both ways over the ratio of the two arms.
func (s *sheet) settings(l, e, a measured, arm float64) {
	k := l.si / arm
	parts := leverParts(l, e, a, arm)
	if t, ok := s.maybe("torque", "torque wanted"); ok {
		set := float64(t.si * k)
		dec := max(1, t.dec)
		s.line("setting: T × L ÷ (L + E × cos a) = " + in(t.si, t.unit, t.dec) + " × " + quantity.Fixed(k, 4) + " = " + in(set, t.unit, dec))
		s.value("setting", "Setting of the wrench", set, append(times(t.all(), k), times(parts, set)...), t.unit, dec, "")
		s.Says = "Set the wrench to " + in(set, t.unit, dec) + " for " + in(t.si, t.unit, t.dec) + " at the nut."
		over := t.si / k
		s.line("set at " + in(t.si, t.unit, t.dec) + " it would give " + in(over, t.unit, dec) + " at the nut")
		s.value("unset", "Torque at the nut if the wrench were set at "+in(t.si, t.unit, t.dec), over, nil, t.unit, dec, "")
	}
	if w, ok := s.maybe("setting", "setting of the wrench"); ok {
		real := w.si / k
		dec := max(1, w.dec)
		s.line("at the nut: setting × (L + E × cos a) ÷ L = " + in(w.si, w.unit, w.dec) + " ÷ " + quantity.Fixed(k, 4) + " = " + in(real, w.unit, dec))
		s.value("real", "Torque at the nut", real, append(times(w.all(), 1/k), times(parts, real)...), w.unit, dec, "torque")
		if s.Says != "" {
			s.Says += " Set at " + in(w.si, w.unit, w.dec) + " it gives " + in(real, w.unit, dec) + "." + s.verdictWords()
		}
	}
}

// leverParts are the relative uncertainties of L ÷ (L + E × cos a).
func leverParts(l, e, a measured, arm float64) []quantity.Part {
	c := quantity.Cos(a.si)
	parts := times(l.all(), float64(e.si*c)/float64(l.si*arm))
	parts = append(parts, times(e.all(), c/arm)...)
	return append(parts, times(a.all(), float64(e.si*quantity.Sin(a.si))*quantity.Pi/float64(180*arm))...)
}
