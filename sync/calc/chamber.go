package calc

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

// chamber is what the compression calculations know of one cylinder.
type chamber struct {
	label, engine                              string
	bowl, recess, protrusion, opening, squeeze measured // squeeze: compressed gasket thickness
}

// geometry is what all cylinders share, SI.
type geometry struct {
	swept, bore measured // swept volume, piston area in si
}

var (
	cubic   = mustUnit("cm3")
	square  = mustUnit("cm2")
	ratio1  = mustUnit("1")
	percent = mustUnit("%")
)

func mustUnit(code string) quantity.Unit {
	u, _ := quantity.Lookup(code)
	return u
}

// area is the area of a circle, m² for m.
func area(d float64) float64 { return float64(quantity.Pi*d) * d / 4 }

// geometry reads bore and stroke from the type sheet.
func (s *sheet) geometry() (geometry, bool) {
	bore, ok1 := s.nominal("bore", "bore")
	stroke, ok2 := s.nominal("stroke", "stroke")
	if !ok1 || !ok2 {
		return geometry{}, false
	}
	a := area(bore.si)
	v := float64(a * stroke.si)
	s.line("piston area: π/4 × bore² = " + quantity.FormatStep(a, square, 3) + "\u2009cm²; swept volume: area × stroke = " +
		quantity.FormatStep(v, cubic, 2) + "\u2009cm³")
	return geometry{swept: measured{si: v, unit: cubic, dec: 2}, bore: measured{si: a, unit: square, dec: 3}}, true
}

// pooled makes one value for each label of all its spots: their mean.
func (s *sheet) pooled(name, what string) map[string]measured {
	if done, ok := s.pools[name]; ok {
		return done
	}
	spots := map[string][]measured{}
	items := slices.Clone(s.in.Items[name])
	order.By(items, func(a, b Item) int {
		return cmp.Or(cmp.Compare(a.Label, b.Label), cmp.Compare(a.Point, b.Point), cmp.Compare(a.Ref, b.Ref))
	})
	var labels []string
	for _, it := range items {
		m, ok := s.read(it, spot(what, it))
		if !ok {
			continue
		}
		if len(spots[it.Label]) == 0 {
			labels = append(labels, it.Label)
		}
		spots[it.Label] = append(spots[it.Label], m)
	}
	out := map[string]measured{}
	for _, l := range labels {
		out[l] = s.mean(spots[l], spot(what, Item{Label: l}))
	}
	s.pools[name] = out
	return out
}

// source finds a value for a cylinder: its own, else its engine's, else the
// type sheet's, and says so in the working once.
type source struct {
	name, what string
	found      map[string]measured
	sheet      *measured
	told       bool
}

func (s *sheet) source(name, what string) *source {
	src := &source{name: name, what: what, found: s.pooled(name, what)}
	if w, ok := s.in.Nominal[name]; ok {
		if q, err := quantity.Parse(w); err == nil {
			src.sheet = &measured{si: q.SI, unit: q.Unit, dec: q.Dec, text: w.String(),
				own: []quantity.Part{{What: "as the type sheet has it", U: quantity.Resolution(q.Res)}}}
		}
	}
	return src
}

// of returns the value for a cylinder's label.
func (src *source) of(s *sheet, label string) (measured, bool) {
	for _, l := range []string{label, engineOf(label), ""} {
		if m, ok := src.found[l]; ok {
			return m, true
		}
	}
	if src.sheet == nil {
		return measured{}, false
	}
	if !src.told {
		s.line(src.what + ": " + src.sheet.text + ", from the type sheet, not measured")
		src.told = true
	}
	return *src.sheet, true
}

// engineOf is the engine's serial of "2117/4".
func engineOf(label string) string {
	e, _, _ := strings.Cut(label, "/")
	return e
}

// cylinderWords says "2117/4" in words.
func cylinderWords(label string) string {
	e, c, ok := strings.Cut(label, "/")
	switch {
	case label == "":
		return "the cylinder"
	case !ok:
		return e
	case strings.Trim(c, "0123456789") == "":
		return e + ", cylinder " + c
	}
	return e + ", valve " + c
}

// cylinders are the labels wanted, or those that protrusion was measured at.
func (s *sheet) cylinders() []string {
	if want := strings.Fields(s.in.Opts["cylinders"]); len(want) > 0 {
		return want
	}
	var out []string
	for _, it := range s.in.Items["protrusion"] {
		if !slices.Contains(out, it.Label) {
			out = append(out, it.Label)
		}
	}
	slices.Sort(out)
	return out
}

// chambers gathers what is known of every cylinder wanted; what is missing is
// listed, and the cylinder left out.
func (s *sheet) chambers(withGasket bool) []chamber {
	bowl, recess := s.source("bowl", "piston bowl"), s.source("recess", "head recess")
	protrusion, opening := s.source("protrusion", "piston protrusion"), s.source("gasket_bore", "gasket opening")
	squeeze := s.source("compressed", "compressed gasket thickness")
	var out []chamber
	for _, label := range s.cylinders() {
		c := chamber{label: label, engine: engineOf(label)}
		ok := s.take(&c.bowl, bowl, label) && s.take(&c.recess, recess, label)
		ok = s.take(&c.protrusion, protrusion, label) && ok
		if withGasket {
			ok = s.take(&c.squeeze, squeeze, label) && s.take(&c.opening, opening, label) && ok
		}
		if ok {
			out = append(out, c)
		}
	}
	if len(s.cylinders()) == 0 {
		s.missing("piston protrusion of the cylinders")
	}
	return out
}

func (s *sheet) take(to *measured, from *source, label string) bool {
	m, ok := from.of(s, label)
	if !ok {
		what := from.what + ", " + cylinderWords(label)
		if from.name == "compressed" || from.name == "gasket_bore" {
			what = from.what + ", " + engineOf(label)
		}
		if !slices.Contains(s.Missing, what) {
			s.missing(what)
		}
		return false
	}
	*to = m
	return true
}

// fixed is the clearance volume without the gasket, m³: bowl and head recess,
// less what the piston stands proud of the deck.
func (c chamber) fixed(g geometry) float64 {
	return c.bowl.si + c.recess.si - float64(g.bore.si*c.protrusion.si)
}

// fixedParts are its contributions, m³.
func (c chamber) fixedParts(g geometry) []quantity.Part {
	parts := append(scaled(c.bowl, 1), scaled(c.recess, 1)...)
	return append(parts, scaled(c.protrusion, g.bore.si)...)
}

// gasketParts are those of the gasket's volume, m³.
func (c chamber) gasketParts() []quantity.Part {
	return append(scaled(c.squeeze, area(c.opening.si)), scaled(c.opening, float64(quantity.Pi/2*c.opening.si)*c.squeeze.si)...)
}

// scaled is a value's contributions times a sensitivity.
func scaled(m measured, k float64) []quantity.Part {
	var out []quantity.Part
	for _, p := range m.all() {
		out = append(out, quantity.Part{What: p.What, U: p.U * math.Abs(k), DoF: p.DoF})
	}
	return out
}

func times(parts []quantity.Part, k float64) []quantity.Part {
	var out []quantity.Part
	for _, p := range parts {
		out = append(out, quantity.Part{What: p.What, U: p.U * math.Abs(k), DoF: p.DoF})
	}
	return out
}
