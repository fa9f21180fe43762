package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

var fitSpec = Spec{
	Name: "fit", Version: "1", Title: "Limits and fits to ISO 286",
	Needs: []Need{
		{"size", "nominal size", "length", "nominal", false},
		{"fit", "hole and shaft, as H7/p6", "", "option", false},
		{"hole", "hole as measured, for the shaft that gives it this fit", "length", "item", true},
		{"shaft", "shaft as measured, with the hole, for the clearance there is", "length", "item", true},
	},
	Above: "size hole shaft",
	Typed: "hole shaft",
	run:   runFit,
}

const cautionFit = "A fit of the book is for new parts at 20 °C. Measure both parts at one temperature; a press that grows heavier all at once is not square: stop. The maker's fit comes before any chosen here."

// fitStep is one step of nominal sizes: over the step before and up to upTo,
// in millimetres; the rest in micrometres.
type fitStep struct {
	upTo  float64
	grade [5]float64 // IT5 to IT9
	shaft [7]float64 // es of f, g, h; ei of k, m, n, p
}

const fitShafts = "fghkmnp"

// fitSteps: ISO 286-1:2010, tables 1, 4 and 5; k is of grades 4 to 7.
var fitSteps = []fitStep{
	{3, [5]float64{4, 6, 10, 14, 25}, [7]float64{-6, -2, 0, 0, 2, 4, 6}},
	{6, [5]float64{5, 8, 12, 18, 30}, [7]float64{-10, -4, 0, 1, 4, 8, 12}},
	{10, [5]float64{6, 9, 15, 22, 36}, [7]float64{-13, -5, 0, 1, 6, 10, 15}},
	{18, [5]float64{8, 11, 18, 27, 43}, [7]float64{-16, -6, 0, 1, 7, 12, 18}},
	{30, [5]float64{9, 13, 21, 33, 52}, [7]float64{-20, -7, 0, 2, 8, 15, 22}},
	{50, [5]float64{11, 16, 25, 39, 62}, [7]float64{-25, -9, 0, 2, 9, 17, 26}},
	{80, [5]float64{13, 19, 30, 46, 74}, [7]float64{-30, -10, 0, 2, 11, 20, 32}},
	{120, [5]float64{15, 22, 35, 54, 87}, [7]float64{-36, -12, 0, 3, 13, 23, 37}},
	{180, [5]float64{18, 25, 40, 63, 100}, [7]float64{-43, -14, 0, 3, 15, 27, 43}},
	{250, [5]float64{20, 29, 46, 72, 115}, [7]float64{-50, -15, 0, 4, 17, 31, 50}},
}

// fitLimits are deviations from the nominal size, m.
type fitLimits struct{ EI, ES, ei, es float64 }

// runFit: hole from EI to ES = EI + IT, shaft from ei to es; clearance =
// hole − shaft, interference where it is below nought.
func runFit(s *sheet) {
	s.caution(cautionFit)
	d, ok := s.one("size", "nominal size")
	if s.in.Opts["fit"] == "" {
		s.missing("the fit, as H7/p6")
		return
	}
	if !ok {
		return
	}
	l, ok := s.fitOf(d)
	if !ok {
		return
	}
	u, dec := d.unit, 3
	if u.Code != "mm" {
		dec = quantity.Decimals(1e-6, u)
	}
	size := func(name, label string, dev float64) {
		s.line(strings.ToLower(label) + ": " + quantity.FormatStep(d.si, u, dec) + plusMinus(dev, u, dec) + " = " + in(d.si+dev, u, dec))
		s.value(name, label, d.si+dev, nil, u, dec, "")
	}
	size("hole.min", "Hole, smallest", l.EI)
	size("hole.max", "Hole, largest", l.ES)
	size("shaft.min", "Shaft, smallest", l.ei)
	size("shaft.max", "Shaft, largest", l.es)
	least, most := l.EI-l.es, l.ES-l.ei
	s.line("clearance: " + in(least, u, dec) + " to " + in(most, u, dec) + " (below nought: interference)")
	s.value("fit.min", "Clearance at the least", least, nil, u, dec, "")
	s.value("fit.max", "Clearance at the most", most, nil, u, dec, "")
	s.Says = s.in.Opts["fit"] + " at " + in(d.si, d.unit, d.dec) + ": " + kindOfFit(least, most) + ", " + fitSpan(least, most, u, dec) + "."
	s.fitAsMeasured(least, most, u, dec)
}

func plusMinus(x float64, u quantity.Unit, dec int) string {
	if x < 0 {
		return " − " + quantity.FormatStep(-x, u, dec)
	}
	return " + " + quantity.FormatStep(x, u, dec)
}

func kindOfFit(least, most float64) string {
	switch {
	case least >= 0:
		return "a clearance fit"
	case most <= 0:
		return "an interference fit"
	}
	return "a transition fit"
}

// fitSpan says what lies between the two in the words of a fitter.
func fitSpan(least, most float64, u quantity.Unit, dec int) string {
	switch {
	case least >= 0:
		return "clear by " + quantity.FormatStep(least, u, dec) + " to " + in(most, u, dec)
	case most <= 0:
		return "tight by " + quantity.FormatStep(-most, u, dec) + " to " + in(-least, u, dec)
	}
	return "from " + in(-least, u, dec) + " tight to " + in(most, u, dec) + " clear"
}

// fitOf looks the fit up; what the tables lack is refused in words.
func (s *sheet) fitOf(d measured) (fitLimits, bool) {
	mm := quantity.Quantise(d.si*1e3, 6) / 1e6
	i := 0
	for i < len(fitSteps) && mm > fitSteps[i].upTo {
		i++
	}
	hole, shaft, ok := strings.Cut(strings.ReplaceAll(s.in.Opts["fit"], " ", ""), "/")
	h, okH := gradeOf(hole)
	sh, okS := gradeOf(shaft)
	letter := strings.IndexByte(fitShafts, letterOf(shaft))
	switch {
	case i == len(fitSteps):
		s.missing("nominal size: the table goes to 250 mm, " + d.text + " is over it")
	case !ok || !okH || letterOf(hole) != 'H':
		s.missing("the fit: the table has holes H5 to H9 with a shaft, as H7/p6; '" + s.in.Opts["fit"] + "' is not one")
	case letter < 0 || !okS:
		s.missing("the fit: the table has shafts f g h k m n p of grades 5 to 9; '" + shaft + "' is not one")
	case letterOf(shaft) == 'k' && sh > 2:
		s.missing("the fit: the table has k only for grades 5 to 7; '" + shaft + "' is not one")
	default:
		return fitIn(fitSteps[i], h, sh, letter), true
	}
	return fitLimits{}, false
}

// letterOf is the letter of a tolerance class as p6.
func letterOf(class string) byte {
	if class == "" {
		return ' '
	}
	return class[0]
}

// gradeOf is the place of its grade among 5 to 9.
func gradeOf(class string) (int, bool) {
	if len(class) != 2 || class[1] < '5' || class[1] > '9' {
		return 0, false
	}
	return int(class[1] - '5'), true
}

func fitIn(step fitStep, hole, shaft, letter int) fitLimits {
	dev, it := step.shaft[letter], step.grade[shaft]
	l := fitLimits{ES: step.grade[hole] / 1e6, ei: dev / 1e6, es: (dev + it) / 1e6}
	if letter < strings.IndexByte(fitShafts, 'k') { // f, g and h hang below
		l.ei, l.es = (dev-it)/1e6, dev/1e6
	}
	return l
}

// fitAsMeasured gives the shaft for the hole there is, and the clearance of
// the pair there is.
func (s *sheet) fitAsMeasured(least, most float64, u quantity.Unit, dec int) {
	hole, ok := s.maybe("hole", "hole as measured")
	if !ok {
		return
	}
	s.line("shaft for this hole: " + in(hole.si-most, u, dec) + " to " + in(hole.si-least, u, dec))
	s.value("turn.min", "Shaft for this hole, smallest", hole.si-most, hole.all(), u, dec, "")
	s.value("turn.max", "Shaft for this hole, largest", hole.si-least, hole.all(), u, dec, "")
	shaft, ok := s.maybe("shaft", "shaft as measured")
	if !ok {
		return
	}
	c := hole.si - shaft.si
	s.line("hole less shaft as measured: " + in(c, u, dec) + ", where the fit has " + fitSpan(least, most, u, dec))
	s.value("clearance", "Clearance as measured", c, difference(hole, shaft), u, dec, "")
}
