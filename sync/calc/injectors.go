package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

var injectorsSpec = Spec{
	Name: "injectors", Version: "1", Title: "Injectors: opening pressure, shims and delivery",
	Needs: []Need{
		{"opening", "opening pressure of each injector, as 2123/5", "pressure", "item", true},
		{"shim", "shim added at each injector, − where taken out", "length", "item", true},
		{"delivery", "delivery of each line over the same strokes", "volume", "item", true},
		{"wanted", "opening pressure wanted", "pressure", "nominal", true},
		{"shim_rate", "what 0.10 mm of shim changes, measured on this injector", "pressure", "nominal", true},
		{"trial_shim", "shim added in a trial, to measure that", "length", "nominal", true},
		{"trial_before", "opening pressure before the trial", "pressure", "nominal", true},
		{"trial_after", "opening pressure after the trial", "pressure", "nominal", true},
		{"seat_below", "how far below opening the seat is held", "pressure", "nominal", true},
		{"seat_time", "how long the seat is held", "time", "nominal", true},
		{"dripped", "the injectors that dripped, separated by spaces", "", "option", true},
		{"opening", "opening pressure allowed", "pressure", "limit", true},
		{"spread", "highest less lowest allowed", "pressure", "limit", true},
		{"delivery", "delivery allowed", "volume", "limit", true},
		{"delivery_spread", "most less least delivered, of the mean", "1", "limit", true},
	},
	Above: "opening delivery wanted shim_rate trial_shim trial_before trial_after seat_below seat_time",
	run:   runInjectors,
}

const cautionInjectors = "Spray enters skin like a needle: never a hand in front of it, and look for leaks with card, not fingers. Any penetration is a hospital case at once, even where it does not hurt. Fumes: air and no flame. The maker's pressures come before any figure here."

// tenthMM is the shim that a shim rate goes by, m.
const tenthMM = 1e-4

// runInjectors: shim to change = (wanted − found)/rate × 0.10 mm, with the
// rate measured on this injector: handbooks differ from 10 to 19 bar.
func runInjectors(s *sheet) {
	s.caution(cautionInjectors)
	opening, delivery := potsOf(s.pooled("opening", "opening pressure")), potsOf(s.pooled("delivery", "delivery"))
	if len(opening)+len(delivery) == 0 {
		s.missing("opening pressure or delivery of the injectors")
	}
	rate, okRate := s.shimRate()
	shims := s.pooled("shim", "shim added")
	for _, e := range sorted(opening) {
		b := newBank(e, opening[e])
		s.openings(b)
		s.shims(b, rate, okRate, shims)
		s.seats(b)
	}
	for _, e := range sorted(delivery) {
		s.deliveries(newBank(e, delivery[e]))
	}
	if d := strings.Fields(s.in.Opts["dripped"]); len(d) > 0 && len(s.Vals) > 0 {
		s.line("dripped at the seat test: " + strings.Join(d, ", "))
		s.saysWorst(" Dripped at the seat test, so not to be fitted: " + strings.Join(d, ", ") + ".")
	}
}

// shimRate is the pressure for 0.10 mm of shim: given, or from a trial.
func (s *sheet) shimRate() (measured, bool) {
	if m, ok := s.maybeRead("shim_rate", "0.10 mm of shim changes"); ok {
		return m, true
	}
	d, ok1 := s.maybeRead("trial_shim", "trial shim")
	a, ok2 := s.maybeRead("trial_before", "before the trial")
	b, ok3 := s.maybeRead("trial_after", "after the trial")
	if !ok1 || !ok2 || !ok3 {
		return measured{}, false
	}
	k := tenthMM / d.si
	m := measured{si: float64((b.si - a.si) * k), unit: a.unit, dec: min(a.dec, b.decIn(a.unit)) + 1, own: times(difference(a, b), k)}
	if m.si <= 0 {
		s.missing("the trial: more shim must raise the opening pressure; write it again")
		return m, false
	}
	s.line("0.10 mm of shim changes: (" + text(b, b.dec) + " − " + text(a, a.dec) + ") × 0.10 mm ÷ " + shownAs(d, d.dec) + " = " + figureIn(m.si, m.unit, m.dec))
	s.value("shim_rate", "What 0.10 mm of shim changes", m.si, m.own, m.unit, m.dec, "")
	return m, true
}

func (s *sheet) openings(b bank) {
	for _, p := range b.ps {
		s.value("opening."+p.label, "Opening pressure, "+injectorWords(p), p.si, p.all(), p.unit, p.dec, "opening")
	}
	if len(b.ps) < 2 {
		return
	}
	gap := b.best.si - b.least.si
	s.line(label("spread", b.engine) + ": " + text(b.best.measured, b.dec) + " (" + injectorWords(b.best) + ") − " + text(b.least.measured, b.dec) + " (" + injectorWords(b.least) + ") = " + figureIn(gap, b.u, b.dec))
	s.value(ofEngine("spread", b.engine), label("Spread of the opening pressures", b.engine), gap, difference(b.best.measured, b.least.measured), b.u, b.dec, "spread")
}

// shims adds what each injector wants, and what those with a changed shim are
// to open at.
func (s *sheet) shims(b bank, rate measured, ok bool, fitted map[string]measured) {
	wanted, okW := s.maybeRead("wanted", "opening pressure wanted")
	if okW && !ok {
		s.missing("what 0.10 mm of shim changes, measured on this injector (handbooks differ from 10 to 19 bar, so none is taken)")
	}
	if !ok {
		return
	}
	mm := mustUnit("mm")
	for _, p := range b.ps {
		if okW {
			d := float64((wanted.si-p.si)/rate.si) * tenthMM
			s.line("shim, " + injectorWords(p) + ": (" + text(wanted, wanted.dec) + " − " + text(p.measured, p.dec) + ") ÷ " + text(rate, rate.dec) + " × 0.10 = " + figureIn(d, mm, 2))
			s.value("shim."+p.label, "Shim to add, "+injectorWords(p), d, append(scaled(p.measured, tenthMM/rate.si), scaled(rate, d/rate.si)...), mm, 2, "")
		}
		if f, ok := fitted[p.label]; ok {
			after := p.si + float64(float64(f.si/tenthMM)*rate.si)
			s.line("with " + shownAs(f, f.dec) + " more, " + injectorWords(p) + ": " + figureIn(after, p.unit, p.dec))
			s.value("after."+p.label, "Expected after the change, "+injectorWords(p), after, append(p.all(), scaled(rate, f.si/tenthMM)...), p.unit, p.dec, "opening")
		}
	}
}

// seats says at what pressure each seat is to be held.
func (s *sheet) seats(b bank) {
	below, ok := s.maybeRead("seat_below", "seat held below opening")
	if !ok {
		s.line("seat test: hold below opening and watch the tip; one handbook holds 28 to 35 bar below for 5 s without a drip (TM 9-4310-397-14, of another engine)")
		return
	}
	hold := "no drip"
	if t, ok := s.maybeRead("seat_time", "seat held for"); ok {
		hold = "no drip in " + shownAs(t, t.dec)
	}
	for _, p := range b.ps {
		if p.si <= below.si {
			s.missing("seat test, " + injectorWords(p) + ": it opens below what the seat is to be held under; write it again")
			continue
		}
		s.line("seat test, " + injectorWords(p) + ": hold at " + figureIn(p.si-below.si, p.unit, p.dec) + ", " + hold)
	}
}

func (s *sheet) deliveries(b bank) {
	for _, p := range b.ps {
		s.value("delivery."+p.label, "Delivery, "+injectorWords(p), p.si, p.all(), p.unit, p.dec, "delivery")
	}
	if len(b.ps) < 2 {
		return
	}
	gap := (b.best.si - b.least.si) / b.mean
	s.value(ofEngine("delivery_mean", b.engine), label("Mean delivery", b.engine), b.mean, b.ps[0].all(), b.u, b.dec+1, "")
	s.line(label("delivery", b.engine) + ": (" + text(b.best.measured, b.dec) + " − " + text(b.least.measured, b.dec) + ") ÷ " + quantity.FormatStep(b.mean, b.u, b.dec+1) + " = " + figureIn(gap, percent, 1))
	s.value(ofEngine("delivery_spread", b.engine), label("Spread of the deliveries, of the mean", b.engine), gap, times(difference(b.best.measured, b.least.measured), 1/b.mean), percent, 1, "delivery_spread")
}

func injectorWords(p pot) string {
	if e, n, ok := strings.Cut(p.label, "/"); ok {
		return e + ", injector " + n
	}
	return strings.TrimSpace("injector " + p.label)
}
