package calc

import (
	"math"
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

var alignmentSpec = Spec{
	Name: "alignment", Version: "1", Title: "Engine to gearbox by rim and face",
	Needs: []Need{
		{"rim", "dial on the gearbox half, rim of the engine half, plus pushed in: top, right, bottom, left", "length", "item", false},
		{"face", "the same on the face of the engine half", "length", "item", false},
		{"face_circle", "diameter of the circle that the dial draws on the face", "length", "nominal", false},
		{"near", "near feet from the coupling face", "length", "nominal", false},
		{"far", "far feet from the coupling face", "length", "nominal", false},
		{"sag", "sag of the bracket: rim dial at the bottom against the top, on a stiff bar", "length", "nominal", true},
		{"planned", "how much lower the engine is to lie cold; minus for higher", "length", "nominal", true},
		{"engine_height", "engine, from feet to shaft", "length", "nominal", true},
		{"engine_alpha", "expansion of the engine's feet and block", "expansion", "nominal", true},
		{"engine_rise", "how much warmer the engine runs", "temperature", "nominal", true},
		{"gearbox_height", "gearbox, from feet to shaft", "length", "nominal", true},
		{"gearbox_alpha", "expansion of the gearbox", "expansion", "nominal", true},
		{"gearbox_rise", "how much warmer the gearbox runs", "temperature", "nominal", true},
		{"shim_near", "shims put in at the near feet, for where the engine then lies", "length", "nominal", true},
		{"shim_far", "shims put in at the far feet", "length", "nominal", true},
		{"offset", "offset allowed, from the planned one", "length", "limit", true},
		{"angle", "angle allowed", "angle", "limit", true},
		{"closure", "by how much the readings may fail to close", "length", "limit", true},
	},
	Above: "face_circle near far engine_height engine_alpha gearbox_height gearbox_alpha",
	run:   runAlignment,
}

const cautionAlignment = "Find a soft foot first: slacken each foot in turn, the dial must not move. Turn both shafts together, push them the same way at each reading, and see that the dial comes back to nought. Lift with jacks and packing both; no fingers under feet. The maker's offsets come before any figure here."

// clock is the readings of one dial.
type clock struct{ top, right, bottom, left measured }

// axis is where the engine's axis lies at the coupling, in one plane.
type axis struct {
	off   float64 // m; plus: engine low, or to the right
	slope float64 // plus: free end low, or to the right
	offU  []quantity.Part
	slopU []quantity.Part
}

// runAlignment: both shafts turned together, offset = (bottom − top) ÷ 2 and
// (right − left) ÷ 2, angle = (bottom − top) ÷ face circle (TM 10-4320-307-24,
// §3-7); shim at d = offset + angle × d − planned cold offset.
func runAlignment(s *sheet) {
	s.caution(cautionAlignment)
	rim, ok1 := s.clock("rim")
	face, ok2 := s.clock("face")
	circle, ok3 := s.one("face_circle", "diameter of the face circle")
	near, ok4 := s.one("near", "distance of the near feet from the coupling face")
	far, ok5 := s.one("far", "distance of the far feet from the coupling face")
	planned := s.planned()
	if ok1 {
		s.closes("rim", rim)
	}
	if ok2 {
		s.closes("face", face)
	}
	if !ok1 || !ok2 || !ok3 {
		return
	}
	u, dec := rim.top.unit, max(rim.dec(), face.decIn(rim.top.unit))+1
	sag := s.sag(&rim)
	v := axisOf(rim.bottom, rim.top, face.bottom, face.top, circle)
	h := axisOf(rim.right, rim.left, face.right, face.left, circle)
	s.asFound(v, h, planned, u, dec)
	if !ok4 || !ok5 {
		return
	}
	if far.si <= near.si {
		s.missing("distance of the far feet: " + far.text + " is not beyond the near ones, " + near.text)
		return
	}
	s.feet(v, h, planned, near, far, u, dec)
	s.afterShims(v, h, planned, sag, circle, near, far, u, dec)
}

// clock reads the four readings of a dial.
func (s *sheet) clock(name string) (clock, bool) {
	gs := s.groups(name, name)
	var c clock
	ok := true
	for _, want := range []struct {
		point string
		to    *measured
	}{{"top", &c.top}, {"right", &c.right}, {"bottom", &c.bottom}, {"left", &c.left}} {
		i := slices.IndexFunc(gs, func(g group) bool { return g.point == want.point })
		if i < 0 {
			s.missing(name + " reading at the " + want.point)
			ok = false
			continue
		}
		*want.to = gs[i].measured
	}
	if slices.ContainsFunc(gs, func(g group) bool { return g.label != gs[0].label }) {
		s.missing("readings of one coupling at a time: these are of " + gs[0].label + " and " + gs[len(gs)-1].label)
		ok = false
	}
	return c, ok
}

func (c clock) decIn(u quantity.Unit) int { return measured{unit: c.top.unit, dec: c.dec()}.decIn(u) }

func (c clock) dec() int {
	return max(c.top.dec, c.right.decIn(c.top.unit), c.bottom.decIn(c.top.unit), c.left.decIn(c.top.unit))
}

// closes checks that top and bottom add up to right and left, before anything
// else: if not, the bracket moved or a reading is wrong.
func (s *sheet) closes(name string, c clock) {
	u, dec := c.top.unit, c.dec()
	off := math.Abs(c.top.si + c.bottom.si - (c.right.si + c.left.si))
	steps := 0.0
	for _, m := range []measured{c.top, c.right, c.bottom, c.left} {
		steps += float64(lastDigit(m) / 2)
	}
	s.line(name + " closes: " + text(c.top, dec) + " + " + text(c.bottom, dec) + " against " + text(c.right, dec) + " + " + text(c.left, dec) +
		": " + in(off, u, dec) + " apart; the steps of the dial alone allow " + in(steps, u, dec))
	parts := append(difference(c.top, c.right), difference(c.bottom, c.left)...)
	s.value("closure."+name, "Closure, "+name, off, parts, u, dec, "closure")
	if quantity.Quantise(u.FromStep(off), dec+1) > quantity.Quantise(u.FromStep(steps), dec+1) {
		s.caution("The " + name + " readings do not close: look for a loose bracket, a bent flange or a misread minus, and take them again before shimming.")
	}
}

// sag takes the bracket's sag out of the rim readings.
func (s *sheet) sag(rim *clock) float64 {
	sag, ok := s.maybe("sag", "sag of the bracket")
	if !ok {
		s.line("sag of the bracket: none given, taken as none")
		return 0
	}
	for _, m := range []*measured{&rim.right, &rim.left} {
		m.si -= float64(sag.si / 2)
	}
	rim.bottom.si -= sag.si
	s.line("sag taken off: the bottom by " + sag.text + ", the sides by half of it")
	return sag.si
}

// axisOf is the axis from the two readings of a plane; the first is the one
// that a plus goes with.
func axisOf(rimA, rimB, faceA, faceB, circle measured) axis {
	slope := (faceA.si - faceB.si) / circle.si
	return axis{(rimA.si - rimB.si) / 2, slope, times(difference(rimA, rimB), 0.5),
		append(times(difference(faceA, faceB), 1/circle.si), times(circle.all(), slope/circle.si)...)}
}

// planned is how much lower the engine is to lie cold: as given, else the
// growth of the engine less that of the gearbox, else nought.
func (s *sheet) planned() float64 {
	engine, ok1 := s.growth("engine")
	gearbox, ok2 := s.growth("gearbox")
	grown := 0.0
	mm := mustUnit("mm")
	if ok1 && ok2 {
		grown = engine - gearbox
		s.line("growth of the engine less that of the gearbox: " + quantity.FormatStep(engine, mm, 3) + " − " + quantity.FormatStep(gearbox, mm, 3) + " = " + in(grown, mm, 3))
		s.value("growth", "Growth of the engine over the gearbox", grown, nil, mm, 3, "")
	}
	if p, ok := s.maybe("planned", "planned cold offset, engine low"); ok {
		return p.si
	}
	if !ok1 || !ok2 {
		s.line("planned cold offset: none given, the engine is to lie level with the gearbox")
	}
	return grown
}

// growth is α × height × rise of one of the two.
func (s *sheet) growth(of string) (float64, bool) {
	if !s.given(of+"_height") && !s.given(of+"_alpha") && !s.given(of+"_rise") {
		return 0, false
	}
	h, ok1 := s.one(of+"_height", of+", from feet to shaft")
	a, ok2 := s.one(of+"_alpha", "expansion of the "+of)
	t, ok3 := s.one(of+"_rise", "how much warmer the "+of+" runs")
	return float64(float64(h.si*a.si) * rise(t)), ok1 && ok2 && ok3
}

// asFound adds where the engine lies; it is judged unless shims were put in,
// when where it lies then is judged.
func (s *sheet) asFound(v, h axis, planned float64, u quantity.Unit, dec int) {
	s.line("offset in elevation: (bottom − top) ÷ 2 = " + in(v.off, u, dec) + ", engine " + lowHigh(v.off) + "; in plan: (right − left) ÷ 2 = " + in(h.off, u, dec))
	mrad := mustUnit("mrad")
	s.line("angle in elevation: (bottom − top) ÷ face circle = " + in(slopeAngle(v.slope), mrad, 2) + ", free end " + lowHigh(v.slope) + "; in plan: " + in(slopeAngle(h.slope), mrad, 2))
	s.value("offset.v", "Engine low at the coupling", v.off, v.offU, u, dec, "")
	s.value("offset.h", "Engine to the right at the coupling", h.off, h.offU, u, dec, "")
	s.value("angle.v", "Free end low", slopeAngle(v.slope), times(v.slopU, slopeAngle(1)), mrad, 2, "")
	s.value("angle.h", "Free end to the right", slopeAngle(h.slope), times(h.slopU, slopeAngle(1)), mrad, 2, "")
	if s.given("shim_near") && s.given("shim_far") {
		return
	}
	s.errors("", v, h, planned, u, dec)
}

// errors judges an axis by its distance from the plan.
func (s *sheet) errors(after string, v, h axis, planned float64, u quantity.Unit, dec int) {
	mrad := mustUnit("mrad")
	s.value(after+"error.offset.v", "Offset in elevation, from plan", math.Abs(v.off-planned), v.offU, u, dec, "offset")
	s.value(after+"error.offset.h", "Offset in plan", math.Abs(h.off), h.offU, u, dec, "offset")
	s.value(after+"error.angle.v", "Angle in elevation", math.Abs(slopeAngle(v.slope)), times(v.slopU, slopeAngle(1)), mrad, 2, "angle")
	s.value(after+"error.angle.h", "Angle in plan", math.Abs(slopeAngle(h.slope)), times(h.slopU, slopeAngle(1)), mrad, 2, "angle")
}

// slopeAngle is a small slope as an angle.
func slopeAngle(slope float64) float64 { return float64(slope*180) / quantity.Pi }

func lowHigh(x float64) string {
	if x < 0 {
		return "high"
	}
	return "low"
}

// feet adds what to put under each pair of feet and how far to move it.
func (s *sheet) feet(v, h axis, planned float64, near, far measured, u quantity.Unit, dec int) {
	var add []string
	for _, foot := range []struct {
		name string
		d    measured
	}{{"near", near}, {"far", far}} {
		d := foot.d.si
		shim := v.off - planned + float64(v.slope*d)
		side := -(h.off + float64(h.slope*d))
		s.line("shim at the " + foot.name + " feet: offset − planned + angle × distance = " + quantity.FormatStep(v.off, u, dec) + " − " +
			quantity.FormatStep(planned, u, dec) + " + " + quantity.FormatStep(float64(v.slope*d), u, dec) + " = " + in(shim, u, dec))
		s.value("shim."+foot.name, "Shim at the "+foot.name+" feet, plus to add", shim, append(slices.Clone(v.offU), times(v.slopU, d)...), u, dec, "")
		s.value("move."+foot.name, "Move sideways at the "+foot.name+" feet, plus to the right", side, append(slices.Clone(h.offU), times(h.slopU, d)...), u, dec, "")
		add = append(add, addTake(shim)+in(math.Abs(shim), u, dec)+" at the "+foot.name+" feet")
	}
	s.line("order of work: angle in elevation, offset in elevation, angle in plan, offset in plan (common practice, no source)")
	s.Says = "Engine " + in(math.Abs(v.off), u, dec) + " " + lowHigh(v.off) + " at the coupling: " + strings.Join(add, ", ") + "." + s.verdictWords()
}

func addTake(x float64) string {
	if x < 0 {
		return "take out "
	}
	return "add "
}

// afterShims says where the engine lies, and what the dials will read, with
// the shims that were put in.
func (s *sheet) afterShims(v, h axis, planned, sag float64, circle, near, far measured, u quantity.Unit, dec int) {
	a, ok1 := s.maybe("shim_near", "shims put in at the near feet")
	b, ok2 := s.maybe("shim_far", "shims put in at the far feet")
	if !ok1 || !ok2 {
		return
	}
	tilt := (b.si - a.si) / (far.si - near.si)
	gained := a.si - float64(near.si*tilt)
	v.off, v.slope = v.off-gained, v.slope-tilt
	s.line("fitted " + a.text + " near and " + b.text + " far: the engine tilts by " + in(slopeAngle(tilt), mustUnit("mrad"), 2) + " and rises " + in(gained, u, dec) + " at the coupling")
	s.value("after.offset.v", "Engine low at the coupling, with the shims", v.off, v.offU, u, dec, "")
	s.value("after.angle.v", "Free end low, with the shims", slopeAngle(v.slope), times(v.slopU, slopeAngle(1)), mustUnit("mrad"), 2, "")
	s.errors("after.", v, h, planned, u, dec)
	s.predict("rim", float64(2*v.off)+sag, float64(2*h.off), u, dec)
	s.predict("face", float64(v.slope*circle.si), float64(h.slope*circle.si), u, dec)
	s.Says = "With the shims fitted the engine lies " + in(math.Abs(v.off), u, dec) + " " + lowHigh(v.off) + " at the coupling; planned " + in(planned, u, dec) + " low." + s.verdictWords()
}

// predict adds what a dial set to nought at the top will read.
func (s *sheet) predict(dial string, bottom, across float64, u quantity.Unit, dec int) {
	for _, p := range []struct {
		point string
		si    float64
	}{{"right", (bottom + across) / 2}, {"bottom", bottom}, {"left", (bottom - across) / 2}} {
		s.value("after."+dial+"."+p.point, strings.ToUpper(dial[:1])+dial[1:]+" then reads, "+p.point+", nought at the top", p.si, nil, u, dec, "")
	}
}
