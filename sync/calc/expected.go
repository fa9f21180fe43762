package calc

import "witnessmark/sync/quantity"

var expectedSpec = Spec{
	Name: "expected", Version: "2", Title: "Compression pressure that a ratio lets expect",
	Needs: []Need{
		{"ratio", "compression ratio of this build", "1", "nominal", false},
		{"n", "polytropic exponent, found on this engine when it was in order", "1", "nominal", true},
		{"p1", "absolute pressure when the inlet closes; the atmosphere when left out", "pressure", "nominal", true},
		{"p_atm", "atmosphere on the day", "pressure", "nominal", true},
		{"ratio_other", "compression ratio of the other build", "1", "nominal", true},
		{"measured", "mean cranking compression of this build, gauge", "pressure", "nominal", true},
		{"measured_other", "mean cranking compression of the other build, gauge", "pressure", "nominal", true},
		{"exponent", "exponent between two builds; 1.22, from memory, when left out", "1", "nominal", true},
		{"agree", "how far measured and predicted may be apart", "1", "limit", true},
	},
	Above: "ratio n p1 p_atm ratio_other measured measured_other exponent",
	run:   runExpected,
}

// buildExponent is from memory: between two builds of one engine, cranked at
// one speed, (CR1/CR2)^1.22.
const buildExponent = 1.22

// runExpected: p2 = p1·CR^n − p_atm for one build. For two, the absolute
// pressures stand as (CR1/CR2)^1.22 (from memory), whatever n is.
func runExpected(s *sheet) {
	s.caution(cautionCranking)
	cr, ok := s.compressionRatio("ratio", "compression ratio of this build")
	if !ok {
		return
	}
	n, okN := s.polytropic()
	two := s.given("ratio_other")
	if !okN && !two {
		s.missing("the exponent n found on this engine, or the ratio of another build to compare with")
		return
	}
	if okN {
		s.pressureOf(cr, n)
	}
	if two {
		s.builds(cr)
	}
}

func (s *sheet) compressionRatio(name, what string) (measured, bool) {
	m, ok := s.oneRead(name, what)
	if ok && (m.si <= 1 || m.si > 100) {
		s.missing(what + ": " + m.text + " cannot be; a compression ratio is above 1, as 16.2. Write it again")
		return m, false
	}
	return m, ok
}

func (s *sheet) polytropic() (measured, bool) {
	n, ok := s.maybeRead("n", "exponent n")
	if ok && (n.si < 1 || n.si > 1.67) {
		s.missing("exponent n: " + n.text + " cannot be; it lies between 1, all heat lost, and 1.4, none lost. Write it again")
		return n, false
	}
	return n, ok
}

// pressureOf adds the pressure of one build, and the way back from a measured
// one to the ratio.
func (s *sheet) pressureOf(cr, n measured) {
	u := mustUnit("bar")
	m, okM := s.maybeRead("measured", "measured")
	if okM {
		u = m.unit
	}
	air := s.atmosphere(u)
	p1, ok := s.maybeRead("p1", "pressure when the inlet closes")
	if !ok {
		p1 = measured{si: air, unit: u, dec: 3}
	}
	abs := float64(p1.si * quantity.Pow(cr.si, n.si))
	s.line("expected: " + quantity.FormatStep(p1.si, u, 3) + " × " + text(cr, cr.dec) + " to the " + text(n, n.dec) + " − " + quantity.FormatStep(air, u, 3) + " = " + figureIn(abs-air, u, 2))
	slope := float64(n.si*abs) / cr.si
	parts := append(scaled(cr, slope), scaled(n, float64(abs*quantity.Ln(cr.si)))...)
	s.value("pressure", "Compression expected", abs-air, parts, u, 2, "")
	if okM {
		back := quantity.Pow((m.si+air)/p1.si, 1/n.si)
		s.line("ratio from the measured pressure: ((" + text(m, m.dec) + " + " + quantity.FormatStep(air, u, 3) + ") ÷ " + quantity.FormatStep(p1.si, u, 3) + ") to the 1/" + text(n, n.dec) + " = " + quantity.Fixed(back, 2))
		s.value("ratio", "Ratio that the measured pressure lets expect", back, scaled(m, back/float64(n.si*(m.si+air))), ratio1, 2, "")
	}
}

// builds compares two builds of one engine.
func (s *sheet) builds(cr measured) {
	other, ok := s.compressionRatio("ratio_other", "compression ratio of the other build")
	if !ok {
		return
	}
	k := buildExponent
	if m, ok := s.maybeRead("exponent", "exponent between two builds"); ok {
		if m.si < 0.5 || m.si > 2 {
			s.missing("exponent between two builds: " + m.text + " cannot be; it lies near 1.2. Write it again")
			return
		}
		k = m.si
	} else {
		s.line("exponent between two builds: 1.22, from memory")
	}
	want := quantity.Pow(cr.si/other.si, k)
	s.line("predicted: (" + text(cr, cr.dec) + " ÷ " + text(other, other.dec) + ") to the " + quantity.Fixed(k, 2) + " = " + quantity.Fixed(want, 3))
	parts := append(scaled(cr, float64(k*want)/cr.si), scaled(other, float64(k*want)/other.si)...)
	s.value("predicted", "Predicted, this build to the other", want, parts, ratio1, 3, "")
	a, ok1 := s.maybeRead("measured", "measured, this build")
	b, ok2 := s.maybeRead("measured_other", "measured, the other build")
	if ok1 && ok2 {
		s.againstPrediction(a, b, want, k, other, parts)
	}
}

// againstPrediction holds measured pressures against the predicted ratio.
func (s *sheet) againstPrediction(a, b measured, want, k float64, other measured, parts []quantity.Part) {
	air := s.atmosphere(a.unit)
	gauge, abs := a.si/b.si, (a.si+air)/(b.si+air)
	s.line("measured, gauge: " + text(a, a.dec) + " ÷ " + quantity.FormatStep(b.si, a.unit, b.dec) + " = " + quantity.Fixed(gauge, 3) + "; absolute: " +
		quantity.FormatStep(a.si+air, a.unit, 3) + " ÷ " + quantity.FormatStep(b.si+air, a.unit, 3) + " = " + quantity.Fixed(abs, 3))
	read := times(difference(a, b), 1/(b.si+air))
	s.value("measured_gauge", "Measured, gauge pressures", gauge, read, ratio1, 3, "")
	s.value("measured_absolute", "Measured, absolute pressures", abs, read, ratio1, 3, "")
	v := s.value("agree", "Measured less predicted", abs-want, append(read, parts...), ratio1, 3, "")
	if l, ok := s.in.Limits["agree"]; ok && s.given("exponent") {
		s.judgeSize(v, l, ratio1, 3)
	} else if ok {
		v.Limit = &l
		s.line("the exponent is from memory, so the agreement is not judged: give the exponent to have it judged")
	}
	agree := *v
	back := float64(other.si * quantity.Pow(abs, 1/k))
	s.value("ratio_found", "Ratio of this build that the pressures let expect", back, times(read, back/float64(k*abs)), ratio1, 2, "")
	s.says("Measured " + quantity.Fixed(abs, 3) + " against " + quantity.Fixed(want, 3) + " predicted from the two ratios" + ruling(agree) +
		". As far as they agree, the geometry explains the difference and the rings are not to blame.")
}
