package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

var expansionSpec = Spec{
	Name: "expansion", Version: "1", Title: "Growth by heat, and the gap between two metals",
	Needs: []Need{
		{"size", "size when cold; of two, the outer one, as the bore", "length", "nominal", false},
		{"metal", "its metal, by the name in the table", "", "option", true},
		{"alpha", "its expansion, where the metal is not named", "expansion", "nominal", true},
		{"from", "temperature at which the sizes are known", "temperature", "nominal", false},
		{"to", "temperature that it comes to", "temperature", "nominal", true},
		{"growth", "growth wanted, for the temperature that gives it", "length", "nominal", true},
		{"inner", "size when cold of the inner one, as the piston", "length", "nominal", true},
		{"inner_metal", "metal of the inner one", "", "option", true},
		{"inner_alpha", "expansion of the inner one", "expansion", "nominal", true},
		{"inner_to", "temperature that the inner one comes to; that of the outer if not given", "temperature", "nominal", true},
		{"gap", "gap allowed between the two when hot", "length", "limit", true},
	},
	Above: "size inner alpha inner_alpha",
	run:   runExpansion,
}

const cautionExpansion = "Hot metal burns and does not look hot. The expansion of an old casting is not that of a table: leave room for it. The maker's clearances come before any figure here."

// metals is testdata/reference/thermal_expansion.csv, 10⁻⁶ per kelvin: name
// and expansion, mostly of Callister, table B.6; grey iron and the steels of it
// from memory.
var metals = []struct {
	name  string
	alpha float64
}{
	{"grey cast iron (typical)", 11.4}, {"ductile iron 60-40-18", 11.2}, {"ductile iron 80-55-06", 10.6},
	{"plain carbon steel 1020", 11.7}, {"plain carbon steel 1040", 11.3}, {"alloy steel 4140 / 4340", 12.3}, {"gauge-block steel", 11.5},
	{"aluminium casting alloy 356.0", 21.5}, {"aluminium alloy 6061", 23.6}, {"aluminium alloy 2024", 22.9},
	{"bearing bronze C93200", 18}, {"tin (base of white metal)", 23.8},
}

// growing is a part: its size and what a kelvin adds to it.
type growing struct {
	size  measured
	alpha float64
	parts []quantity.Part // of alpha
}

// runExpansion: growth = α × size × rise.
func runExpansion(s *sheet) {
	s.caution(cautionExpansion)
	outer, ok1 := s.growing("size", "size when cold", "metal", "alpha")
	from, ok2 := s.one("from", "temperature at which the sizes are known")
	if !s.given("to") && !s.given("growth") {
		s.missing("the temperature that it comes to, or the growth wanted")
	}
	if !ok1 || !ok2 {
		return
	}
	to, hot := s.maybe("to", "temperature that it comes to")
	if hot {
		grown := s.grow("", "", outer, from, to)
		s.innerPart(outer, from, to, grown)
	}
	s.wants("gap", "gap.hot", "size of the inner one when cold, and the temperature, for the gap")
	if g, ok := s.maybe("growth", "growth wanted"); ok {
		per := float64(outer.alpha * outer.size.si)
		need := g.si / per
		s.line("rise for it: growth ÷ (α × size) = " + in(g.si, g.unit, g.dec) + " ÷ (" + ppm(outer.alpha) + " × " + in(outer.size.si, outer.size.unit, outer.size.dec) + ") = " + degreesWarmer(need, from.unit))
		parts := append(times(g.all(), 1/per), times(outer.parts, need/outer.alpha)...)
		s.temperature("temperature", "Temperature for the growth wanted", from.si+need, parts, from.unit, 0, "")
		s.Says = "Comes to that at " + quantity.Format(from.si+need, from.unit, 0) + "\u2009" + from.unit.Symbol + "." + s.verdictWords()
	}
}

// growing reads a part's size and its metal.
func (s *sheet) growing(name, what, metal, alpha string) (growing, bool) {
	m, ok1 := s.one(name, what)
	a, parts, ok2 := s.alpha(metal, alpha)
	return growing{m, a, parts}, ok1 && ok2
}

// alpha is the expansion typed, else that of the metal named.
func (s *sheet) alpha(metal, alpha string) (float64, []quantity.Part, bool) {
	if s.given(alpha) {
		m, ok := s.one(alpha, "expansion")
		return m.si, append(m.all(), part("expansion as written", quantity.Resolution(lastDigit(m)))), ok
	}
	want := strings.ToLower(strings.TrimSpace(s.in.Opts[metal]))
	if want == "" {
		s.missing("the metal, or its expansion in 10⁻⁶ per kelvin")
		return 0, nil, false
	}
	var found []string
	a := 0.0
	for _, m := range metals {
		name := strings.ToLower(m.name)
		if name == want || strings.HasPrefix(name, want) {
			found, a = append(found, m.name), m.alpha*1e-6
		}
	}
	if len(found) != 1 {
		s.missing("the metal: '" + s.in.Opts[metal] + "' is " + choice(found))
		return 0, nil, false
	}
	s.line("expansion of " + found[0] + ": " + ppm(a) + " (table; the metal of your part may differ)")
	return a, []quantity.Part{part("expansion as tabulated", quantity.Resolution(1e-7))}, true
}

func choice(found []string) string {
	if len(found) > 0 {
		return "more than one in the table: " + strings.Join(found, ", ")
	}
	var all []string
	for _, m := range metals {
		all = append(all, m.name)
	}
	return "not in the table, which has " + strings.Join(all, ", ") + "; give its expansion instead"
}

func ppm(alpha float64) string {
	return quantity.Fixed(alpha*1e6, 1) + "\u2009×\u200910⁻⁶/K"
}

// degreesWarmer is a rise in the degrees of a thermometer.
func degreesWarmer(k float64, u quantity.Unit) string {
	return quantity.FormatStep(k, u, 0) + "\u2009" + u.Symbol
}

// grow adds growth and size of a part.
func (s *sheet) grow(name, whose string, p growing, from, to measured) float64 {
	u := p.size.unit
	dec := p.size.dec + 1
	g := float64(float64(p.alpha*p.size.si) * (to.si - from.si))
	s.line(whose + "growth: α × size × rise = " + ppm(p.alpha) + " × " + in(p.size.si, u, p.size.dec) + " × " + degreesWarmer(to.si-from.si, from.unit) + " = " + in(g, u, dec))
	parts := append(times(p.parts, float64(p.size.si*(to.si-from.si))), times(append(to.all(), from.all()...), float64(p.alpha*p.size.si))...)
	s.value(name+"growth", "Growth"+of(whose), g, parts, u, dec, "")
	s.value(name+"hot", "Size when hot"+of(whose), p.size.si+g, append(parts, p.size.all()...), u, dec, "")
	return g
}

func of(whose string) string {
	if whose == "" {
		return ""
	}
	return ", " + strings.TrimSuffix(whose, ", ")
}

// innerPart adds the inner part, and the gap between the two, cold and hot.
func (s *sheet) innerPart(outer growing, from, to measured, grown float64) {
	if !s.given("inner") {
		return
	}
	inner, ok := s.growing("inner", "size of the inner one when cold", "inner_metal", "inner_alpha")
	if !ok {
		return
	}
	hot := to
	if s.given("inner_to") {
		if hot, ok = s.one("inner_to", "temperature that the inner one comes to"); !ok {
			return
		}
	}
	g := s.grow("inner.", "inner one, ", inner, from, hot)
	u, dec := outer.size.unit, max(outer.size.dec, inner.size.decIn(outer.size.unit))+1
	cold := outer.size.si - inner.size.si
	gap := cold + grown - g
	s.line("gap when cold: " + in(cold, u, dec) + "; when hot: " + quantity.FormatStep(cold, u, dec) + " + " + quantity.FormatStep(grown, u, dec) + " − " + quantity.FormatStep(g, u, dec) + " = " + in(gap, u, dec))
	parts := append(difference(outer.size, inner.size), times(outer.parts, float64(outer.size.si*(to.si-from.si)))...)
	parts = append(parts, times(inner.parts, float64(inner.size.si*(hot.si-from.si)))...)
	s.value("gap.cold", "Gap when cold", cold, difference(outer.size, inner.size), u, dec, "")
	s.value("gap.hot", "Gap when hot", gap, parts, u, dec, "gap")
	if gap < 0 {
		s.caution("Hot, the inner one is larger than the outer: it seizes.")
	}
}
