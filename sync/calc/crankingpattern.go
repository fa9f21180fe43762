package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

// crankingPattern says what the low cylinders have in common. What is low,
// the limit of the rule in force says; without one, none is called low.
func (s *sheet) crankingPattern(b bank, rule, limit string, expected *source) string {
	engine, best, mean := b.engine, b.best.measured, b.mean
	floor, ok := s.crankingFloor(best, mean, rule, limit)
	if !ok {
		return s.lowTogether(engine, best, mean, expected)
	}
	u, dec := best.unit, best.dec+1
	s.value(ofEngine("floor", engine), label("Least that the rule allows here", engine), floor, nil, u, dec, "")
	var low []pot
	for _, p := range b.ps {
		if quantity.Quantise(u.FromStep(p.si), dec) < quantity.Quantise(u.FromStep(floor), dec) {
			low = append(low, p)
		}
	}
	switch {
	case len(low) == 0:
		return s.lowTogether(engine, best, mean, expected)
	case len(low) == 1:
		return " " + capital(potWords(low[0])) + " alone is low: a leak there, at a valve, the rings, the injector seat or the gasket to the outside."
	case neighbours(low):
		return " " + capital(potList(low)) + " are low and neighbours: the gasket between them first."
	}
	return " " + capital(potList(low)) + " are low and no neighbours: each has a leak of its own."
}

// crankingFloor is the least compression that the rule allows beside this
// best and this mean.
func (s *sheet) crankingFloor(best measured, mean float64, rule, limit string) (float64, bool) {
	l, ok := s.in.Limits[limit]
	if !ok || !l.Accepted {
		return 0, false
	}
	u := percent
	if rule == "difference" {
		u = best.unit
	}
	lo, hi, _, why := bounds(l, u)
	if why != "" || rule == "best" && infinite(lo) || rule != "best" && infinite(hi) {
		return 0, false
	}
	switch rule {
	case "spread":
		return best.si - float64(hi*mean), true
	case "best":
		return float64(lo * best.si), true
	case "mean":
		return mean - float64(hi*mean), true
	}
	return best.si - hi, true
}

// lowTogether: when even the best cylinder falls short of what the geometry
// lets expect, while they agree with each other, no single part of one
// cylinder is to blame.
func (s *sheet) lowTogether(engine string, best measured, mean float64, expected *source) string {
	e, ok := expected.of(s, engine)
	if !ok {
		s.line("no pressure is given that this compression ratio lets expect, so that all low together cannot be told")
		return ""
	}
	s.line(label("mean of the expected", engine) + ": " + quantity.FormatStep(mean, e.unit, best.dec+1) + " ÷ " + text(e, e.dec) + " = " + quantity.Fixed(mean/e.si, 3))
	s.value(ofEngine("of_expected", engine), label("Mean of the expected", engine), mean/e.si, scaled(best, 1/e.si), ratio1, 3, "")
	if quantity.Quantise(e.unit.FromStep(best.si), e.dec+1) >= quantity.Quantise(e.unit.FromStep(e.si), e.dec+1) {
		return ""
	}
	return " Even the best is below the " + figureIn(e.si, e.unit, e.dec) + " expected: all are low together, so look at the geometry (gasket, stand-out, valve timing) and the cranking speed, not at the rings."
}

// neighbours reports whether every low cylinder stands beside another.
func neighbours(low []pot) bool {
	for i, p := range low {
		before := i > 0 && p.no-low[i-1].no == 1
		after := i+1 < len(low) && low[i+1].no-p.no == 1
		if p.no == 0 || !before && !after {
			return false
		}
	}
	return true
}

func potList(low []pot) string {
	var names []string
	for _, p := range low {
		names = append(names, potWords(p))
	}
	return strings.Join(names[:len(names)-1], "; ") + " and " + names[len(names)-1]
}
