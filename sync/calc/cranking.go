package calc

import (
	"cmp"
	"strconv"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

var crankingSpec = Spec{
	Name: "cranking", Version: "1", Title: "Cranking compression: spread and pattern",
	Needs: []Need{
		{"compression", "gauge pressure of each cylinder, as 2117/4", "pressure", "item", false},
		{"speed", "cranking speed, each engine", "speed", "item", true},
		{"temperature", "temperature of the engine", "temperature", "item", true},
		{"expected", "pressure expected at this compression ratio, gauge", "pressure", "nominal", true},
		{"rule", "the rule in force: spread, best, mean or difference", "", "option", true},
		{"spread", "rule spread: best less least, of the mean", "1", "limit", true},
		{"best", "rule best: each cylinder, of the best", "1", "limit", true},
		{"below", "rule mean: how far below the mean, of the mean", "1", "limit", true},
		{"difference", "rule difference: best less least", "pressure", "limit", true},
		{"compression", "compression of each cylinder", "pressure", "limit", true},
		{"speed", "cranking speed", "speed", "limit", true},
	},
	Above: "compression speed expected",
	Typed: "temperature",
	run:   runCranking,
}

const cautionCranking = "Fuel off, exhaust clear, nobody in line with the open holes: the first puff may fire and throws oil and soot. Same battery and a full charge for every cylinder. The maker's figures come before any here."

// crankingRules names the rules, each with its limit.
var crankingRules = [][2]string{{"spread", "spread"}, {"best", "best"}, {"mean", "below"}, {"difference", "difference"}}

// pot is one cylinder's compression.
type pot struct {
	label string
	no    int // its number, 0 when it has none
	measured
}

// runCranking: spread = (best − least)/mean; of best = least/best; below mean
// = (mean − least)/mean; difference = best − least. Which of them is judged is
// the rule's to say: handbooks differ.
func runCranking(s *sheet) {
	s.caution(cautionCranking)
	found := s.pooled("compression", "compression")
	rule, limit := s.crankingRule()
	engines := potsOf(found)
	speed, expected := s.pooled("speed", "cranking speed"), s.source("expected", "pressure expected")
	s.maybe("temperature", "temperature of the engine")
	var says []string
	for _, e := range sorted(engines) {
		s.crankingSpeed(e, speed)
		says = append(says, s.crankingEngine(newBank(e, engines[e]), rule, limit, expected))
	}
	if len(says) == 0 {
		s.missing("compression of the cylinders")
		return
	}
	s.says(strings.Join(says, " "))
}

// potsOf puts readings by engine, in the order of their numbers. Labels
// without an engine, as "4", are of one.
func potsOf(found map[string]measured) map[string][]pot {
	engines := map[string][]pot{}
	for _, label := range sorted(found) {
		e, c, ok := strings.Cut(label, "/")
		if !ok {
			e, c = "", label
		}
		no, _ := strconv.Atoi(c)
		engines[e] = append(engines[e], pot{label, no, found[label]})
	}
	for _, e := range sorted(engines) {
		order.By(engines[e], func(a, b pot) int { return cmp.Compare(a.no, b.no) })
	}
	return engines
}

// crankingRule is the rule in force and its limit's name.
func (s *sheet) crankingRule() (rule, limit string) {
	asked, given := s.in.Opts["rule"], 0
	for _, r := range crankingRules {
		if _, ok := s.in.Limits[r[1]]; ok {
			given++
		}
		if _, ok := s.in.Limits[r[1]]; ok && asked == "" || r[0] == asked {
			rule, limit = r[0], r[1]
		}
	}
	switch {
	case asked != "" && rule == "":
		s.missing("the rule in force: '" + asked + "' is none of spread, best, mean and difference")
	case asked == "" && given > 1:
		s.missing("the rule in force: limits for several are set; say spread, best, mean or difference")
		return "", ""
	case rule == "":
		s.line("no rule is in force: all four figures are shown and none is judged")
	default:
		s.line("rule in force: " + rule)
	}
	return rule, limit
}

func (s *sheet) crankingSpeed(engine string, found map[string]measured) {
	for _, e := range []string{engine, ""} {
		if m, ok := found[e]; ok {
			s.value(ofEngine("speed", engine), label("Cranking speed", engine), m.si, m.all(), m.unit, m.dec, "speed")
			return
		}
	}
	s.line(label("cranking speed", engine) + ": not noted; a slow crank makes all cylinders low")
}

// ofEngine is a value's name, with the engine where there is one.
func ofEngine(name, engine string) string {
	if engine == "" {
		return name
	}
	return name + "." + engine
}

// bank is the cylinders of one engine.
type bank struct {
	engine      string
	ps          []pot
	best, least pot
	mean        float64
	u           quantity.Unit
	dec         int
}

func newBank(engine string, ps []pot) bank {
	b := bank{engine: engine, ps: ps, best: ps[0], least: ps[0], u: ps[0].unit, dec: ps[0].dec}
	x := make([]float64, len(ps))
	for i, p := range ps {
		x[i] = p.si
		if p.si > b.best.si {
			b.best = p
		}
		if p.si < b.least.si {
			b.least = p
		}
	}
	b.mean = quantity.Mean(x)
	return b
}

func (s *sheet) crankingEngine(b bank, rule, limit string, expected *source) string {
	for _, p := range b.ps {
		s.value("compression."+p.label, "Compression, "+potWords(p), p.si, p.all(), p.unit, p.dec, "compression")
	}
	mean := quantity.FormatStep(b.mean, b.u, b.dec+1)
	s.line(label("mean of "+strconv.Itoa(len(b.ps)), b.engine) + ": " + mean + thin(b.u.Symbol) + "; best " + potWords(b.best) + ", " +
		text(b.best.measured, b.dec) + "; least " + potWords(b.least) + ", " + text(b.least.measured, b.dec))
	s.value(ofEngine("mean", b.engine), label("Mean", b.engine), b.mean, b.ps[0].all(), b.u, b.dec+1, "")
	says := strings.TrimPrefix(b.engine+": mean ", ": ") + mean + thin(b.u.Symbol) + "; "
	v, ok := s.crankingFigures(b, mean, limit)
	if !ok {
		return capital(says) + "spread " + v.Text + thin(v.Unit) + "." + s.crankingPattern(b, rule, limit, expected)
	}
	return capital(says) + strings.ToLower(strings.TrimSuffix(v.Label, ", "+b.engine)) + " " + v.Text + thin(v.Unit) + ruling(v) + "." + s.crankingPattern(b, rule, limit, expected)
}

// crankingFigures adds the figures of all four rules; the one in force is
// judged and returned, or the spread when there is none.
func (s *sheet) crankingFigures(b bank, mean, limit string) (Val, bool) {
	gap, parts := b.best.si-b.least.si, difference(b.best.measured, b.least.measured)
	top, bottom := text(b.best.measured, b.dec), text(b.least.measured, b.dec)
	s.line("spread: (" + top + " − " + bottom + ") ÷ " + mean + " = " + figureIn(gap/b.mean, percent, 1))
	s.line("of the best: " + bottom + " ÷ " + top + " = " + figureIn(b.least.si/b.best.si, percent, 1) + "; below the mean: (" + mean + " − " + bottom + ") ÷ " +
		mean + " = " + figureIn((b.mean-b.least.si)/b.mean, percent, 1))
	var first, judged Val
	for _, f := range []struct {
		name, label, limit string
		si, k              float64
		u                  quantity.Unit
		dec                int
	}{
		{"spread", "Spread of the mean", "spread", gap / b.mean, 1 / b.mean, percent, 1},
		{"of_best", "Least, of the best", "best", b.least.si / b.best.si, 1 / b.best.si, percent, 1},
		{"below", "Least, below the mean", "below", (b.mean - b.least.si) / b.mean, 1 / b.mean, percent, 1},
		{"difference", "Best less least", "difference", gap, 1, b.u, b.dec},
	} {
		in := f.limit
		if in != limit {
			in = ""
		}
		v := *s.value(ofEngine(f.name, b.engine), label(f.label, b.engine), f.si, times(parts, f.k), f.u, f.dec, in)
		if f.name == "spread" {
			first = v
		}
		if in != "" {
			judged = v
		}
	}
	if judged.Name == "" {
		return first, false
	}
	return judged, true
}

// thin sets a unit behind its figure: with a thin space, but for the sign of a
// degree.
func thin(unit string) string {
	if unit == "" || unit == "°" {
		return unit
	}
	return "\u2009" + unit
}

func potWords(p pot) string {
	if strings.Contains(p.label, "/") || p.label == "" {
		return cylinderWords(p.label)
	}
	return "cylinder " + p.label
}
