package calc

import (
	"math"
	"slices"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

var journalSpec = Spec{
	Name: "journal", Version: "2", Title: "Journal size, out-of-round and taper",
	Needs: []Need{
		{"diameter", "diameter at a point: plane a, b or c; V in the throw or H square to it", "length", "item", false},
		{"size", "smallest size at which the journal may be used again", "length", "limit", true},
		{"ovality", "largest out-of-round", "length", "limit", true},
		{"taper", "largest taper between planes a and c", "length", "limit", true},
		{"taper_rate", "largest taper for its length, as a limit 'per inch' has it", "1", "limit", true},
		{"length", "distance of planes a and c", "length", "nominal", true},
		{"points", "the points wanted, separated by spaces", "", "option", true},
		{"alpha", "expansion of the part, 10⁻⁶ per kelvin", "", "option", true},
	},
	Above: "diameter length",
	run:   runJournal,
}

const cautionCrank = "A crank rolls and falls: chock it, handle it by two. Diameters are taken dry, clean and off the fillet. The maker's manual comes before any figure here."

// runJournal: out-of-round is the largest |V − H| of a plane, taper the
// largest |a − c| of a direction, the size that counts the smallest reading.
func runJournal(s *sheet) {
	points := byPoint(s.groups("diameter", "diameter"))
	s.wanted("diameter", points)
	s.caution(cautionCrank)
	if len(points) == 0 || !s.oneThing("diameters", points) {
		return
	}
	least := points[0]
	for _, p := range points {
		if p.si < least.si {
			least = p
		}
	}
	s.line("smallest: " + PointWords(least.point) + least.equals() + "\u2009" + least.unit.Symbol)
	s.value("size", "Smallest size", least.si, least.all(), least.unit, least.dec, "size")
	s.extreme("ovality", "Out-of-round", pairs(points, func(plane, dir string) (string, string) { return plane + ".V", plane + ".H" }))
	taper := s.extreme("taper", "Taper", pairs(points, func(_, dir string) (string, string) { return "a." + dir, "c." + dir }))
	s.taperRate(taper)
	s.barrel(points)
}

// taperRate holds the taper against a limit that is given for a length.
func (s *sheet) taperRate(taper *Val) {
	_, wanted := s.in.Limits["taper_rate"]
	if taper == nil || !wanted {
		return
	}
	l, ok := s.one("length", "distance of planes a and c")
	if !ok {
		return
	}
	rate := taper.SI / l.si
	s.line("taper for its length: " + taper.Text + "\u2009" + taper.Unit + " ÷ " + l.text + " = " + quantity.Fixed(float64(rate*1000), 3) + "\u2009mm/m")
	s.value("taper_rate", "Taper for its length", rate, []quantity.Part{{What: "taper", U: taper.U / taper.K / l.si, DoF: taper.DoF}}, mustUnit("mm/m"), 3, "taper_rate")
}

// barrel says whether the middle stands above or below the ends: worn hollow
// or left proud between the fillets.
func (s *sheet) barrel(points []group) {
	at := map[string]group{}
	for _, p := range points {
		at[p.point] = p
	}
	for _, dir := range []string{"V", "H"} {
		a, ok1 := at["a."+dir]
		b, ok2 := at["b."+dir]
		c, ok3 := at["c."+dir]
		if !ok1 || !ok2 || !ok3 {
			continue
		}
		d := b.si - float64((a.si+c.si)/2)
		word := "hollow"
		if d > 0 {
			word = "barrelled"
		}
		if quantity.Quantise(b.unit.FromStep(d), b.dec) != 0 {
			s.line(word + ", " + dir + ": middle less the mean of the ends = " + quantity.FormatStep(d, b.unit, b.dec) + "\u2009" + b.unit.Symbol)
		}
	}
}

// wanted lists the points that the type sheet wants and nobody measured.
func (s *sheet) wanted(what string, have []group) {
	for _, p := range strings.Fields(s.in.Opts["points"]) {
		if !slices.ContainsFunc(have, func(g group) bool { return g.point == p }) {
			s.missing(what + " at " + PointWords(p))
		}
	}
	if len(have) == 0 && s.in.Opts["points"] == "" {
		s.missing(what)
	}
}

func byPoint(gs []group) []group {
	order.By(gs, func(a, b group) int { return strings.Compare(a.point, b.point) })
	return gs
}

// pairs finds the two points of each comparison that are there, each once.
func pairs(points []group, of func(plane, dir string) (string, string)) [][2]group {
	find := func(name string) (group, bool) {
		i := slices.IndexFunc(points, func(g group) bool { return g.point == name })
		if i < 0 {
			return group{}, false
		}
		return points[i], true
	}
	var out [][2]group
	for _, p := range points {
		plane, dir, _ := strings.Cut(p.point, ".")
		first, second := of(plane, dir)
		a, ok := find(first)
		b, ok2 := find(second)
		if ok && ok2 && a.point == p.point {
			out = append(out, [2]group{a, b})
		}
	}
	return out
}

// extreme adds the largest difference of the pairs, nil if there are none.
func (s *sheet) extreme(name, label string, ps [][2]group) *Val {
	if len(ps) == 0 {
		return nil
	}
	most, at := -1.0, ps[0]
	for _, p := range ps {
		d := math.Abs(p[0].si - p[1].si)
		m := p[0].measured
		s.line(strings.ToLower(label) + ": " + PointWords(p[0].point) + " against " + PointWords(p[1].point) + ": " +
			quantity.FormatStep(d, m.unit, m.dec) + "\u2009" + m.unit.Symbol)
		if d > most {
			most, at = d, p
		}
	}
	return s.value(name, label, most, difference(at[0].measured, at[1].measured), at[0].unit, min(at[0].dec, at[1].decIn(at[0].unit)), name)
}
