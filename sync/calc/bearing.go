package calc

import (
	"math"
	"slices"

	"witnessmark/sync/quantity"
)

var bearingSpec = Spec{
	Name: "bearing", Version: "1", Title: "Bearing clearance from the drawing's sizes, and the wall for a regrind",
	Needs: []Need{
		{"housing", "housing bore, least and most, as 80.000 to 80.013", "length", "nominal", false},
		{"wall", "wall of a half shell, least and most", "length", "nominal", false},
		{"journal", "journal, least and most", "length", "nominal", false},
		{"undersize", "undersize that the journal is ground to", "length", "nominal", true},
		{"new_journal", "journal after grinding, least and most, where it has limits of its own", "length", "nominal", true},
		{"clearance", "running clearance allowed", "length", "limit", true},
		{"least", "smallest size allowed for the journal", "length", "limit", true},
	},
	Above: "housing wall journal undersize new_journal",
	Gaps:  "clearance",
	run:   runBearing,
}

const cautionSizes = "Sizes of a drawing are those of new parts: measure what is fitted, the bore with caps at full torque, before anything is ordered or ground. The maker's sizes, undersizes and clearances come before any figure here."

// extent is a size from its least to its most, as a drawing has it.
type extent struct{ least, most measured }

// bearing is a journal in a pair of half shells, as drawn.
type bearing struct {
	housing, wall, journal extent
	unit                   quantity.Unit
	dec                    int
}

// runBearing: the least clearance is that of the smallest housing, the
// thickest wall, twice, and the largest journal; the most is the other way
// round. After a regrind by an undersize the journal is smaller by it and each
// wall thicker by half of it, so that the clearance is as new.
func runBearing(s *sheet) {
	s.caution(cautionSizes)
	housing, okH := s.extent("housing", "housing bore")
	wall, okW := s.extent("wall", "wall of a half shell")
	journal, okJ := s.extent("journal", "journal")
	if !okH || !okW || !okJ {
		return
	}
	u := journal.least.unit
	b := bearing{housing, wall, journal, u, max(housing.least.decIn(u), wall.least.decIn(u), journal.least.dec)}
	if b.bore().least.si <= 0 {
		s.missing("a housing larger than two walls: " + housing.least.text + " is not")
		return
	}
	says := "Clearance " + s.drawnClearance(b, "", "")
	says += s.regrind(b)
	s.wants("least", "new_journal", "the undersize, for the least size of the journal")
	s.say(says)
}

// extent reads a size with its least and its most. Of readings, the least and
// the most of all count; there is no mean.
func (s *sheet) extent(name, what string) (extent, bool) {
	if len(s.in.Items[name]) == 0 {
		m, ok := s.one(name, what)
		return m.extent(s.in.Nominal[name]), ok
	}
	var all []extent
	for _, it := range s.in.Items[name] {
		if m, ok := s.read(it, spot(what, it)); ok {
			all = append(all, m.extent(it.V))
		}
	}
	if len(all) == 0 {
		return extent{}, false
	}
	out := all[0]
	dec := 0
	for _, r := range all {
		if r.least.si < out.least.si {
			out.least = r.least
		}
		if r.most.si > out.most.si {
			out.most = r.most
		}
		dec = max(dec, r.least.dec) // readings are all in one unit
	}
	out.least.dec, out.most.dec = dec, dec
	return out, true
}

// extent takes apart what was written as between two: both ends are meant, so
// the way between them is no uncertainty.
func (m measured) extent(w quantity.Written) extent {
	q, _ := quantity.Parse(w)
	m.own = slices.DeleteFunc(slices.Clone(m.own), func(p quantity.Part) bool { return p.What == "between the two" })
	r := extent{m, m}
	r.least.si, r.most.si = m.si-q.Half, m.si+q.Half
	return r
}

// by moves both ends.
func (r extent) by(step float64) extent {
	r.least.si, r.most.si = r.least.si+step, r.most.si+step
	return r
}

// bore is the bore with shells in.
func (b bearing) bore() extent {
	least, most := b.housing.least, b.housing.most
	least.si, most.si = least.si-float64(2*b.wall.most.si), most.si-float64(2*b.wall.least.si)
	least.own, most.own = twoWalls(least, b.wall.most), twoWalls(most, b.wall.least)
	return extent{least, most}
}

// twoWalls is what a housing less two walls is uncertain by, but for what the
// wall shares with other readings.
func twoWalls(housing, wall measured) []quantity.Part {
	return append(slices.Clone(housing.own), times(wall.own, 2)...)
}

// parts are those of a clearance. The error of one micrometer makes wall and
// journal wrong the same way, so it counts three times.
func (b bearing) parts(bore, wall, journal measured) []quantity.Part {
	parts := append(bore.all(), journal.own...)
	if wall.tool != "" && wall.tool == journal.tool {
		return append(parts, times(wall.shared(), 3)...)
	}
	return append(append(parts, times(wall.shared(), 2)...), journal.shared()...)
}

func (b bearing) text(si float64) string { return quantity.FormatStep(si, b.unit, b.dec) }

func (b bearing) span(least, most float64) string {
	return b.text(least) + " to " + b.text(most) + thin(b.unit.Symbol)
}

// drawnClearance adds bore and clearance and says the clearance, with its verdict.
func (s *sheet) drawnClearance(b bearing, prefix, when string) string {
	bore := b.bore()
	least, most := bore.least.si-b.journal.most.si, bore.most.si-b.journal.least.si
	s.line("bore with shells in" + when + ": " + b.text(b.housing.least.si) + " − 2 × " + b.text(b.wall.most.si) + " = " + b.text(bore.least.si) +
		" to " + b.text(b.housing.most.si) + " − 2 × " + b.text(b.wall.least.si) + " = " + b.text(bore.most.si) + thin(b.unit.Symbol))
	s.line("clearance" + when + ": " + b.text(bore.least.si) + " − " + b.text(b.journal.most.si) + " = " + b.text(least) +
		" to " + b.text(bore.most.si) + " − " + b.text(b.journal.least.si) + " = " + b.text(most) + thin(b.unit.Symbol))
	value := func(name, label string, si float64, parts []quantity.Part, limit string) Val {
		return *s.value(prefix+name, label+when, si, parts, b.unit, b.dec, limit)
	}
	value("bore.min", "Bore with shells in, least", bore.least.si, append(bore.least.all(), times(b.wall.most.shared(), 2)...), "")
	value("bore.max", "Bore with shells in, most", bore.most.si, append(bore.most.all(), times(b.wall.least.shared(), 2)...), "")
	low := value("clearance.min", "Clearance at the least", least, b.parts(bore.least, b.wall.most, b.journal.most), "clearance")
	high := value("clearance.max", "Clearance at the most", most, b.parts(bore.most, b.wall.least, b.journal.least), "clearance")
	if Worse(low.Verdict, high.Verdict) != low.Verdict {
		low = high
	}
	return b.span(least, most) + verdictWords(low)
}

// regrind adds the journal, the wall and the clearance after grinding, and
// says them.
func (s *sheet) regrind(b bearing) string {
	if !s.given("undersize") {
		if s.given("new_journal") {
			s.missing("the undersize, for the wall of the new shells")
		}
		return ""
	}
	s.caution(cautionGrind)
	under, ok := s.undersize()
	if !ok {
		return ""
	}
	after := b
	if after.journal, ok = s.ground(b, under); !ok {
		return ""
	}
	half := float64(under.si / 2) // a compiler makes a product of it, and would fuse that with the wall
	after.wall = b.wall.by(half)
	walls := b
	walls.dec = max(b.dec, halfDigits(under, b.unit))
	thin, thick := after.wall.least, after.wall.most
	s.line("new wall: old wall + " + asText(under) + " ÷ 2 = " + walls.span(thin.si, thick.si))
	v := *s.value("new_journal.min", "Journal after grinding, least", after.journal.least.si, after.journal.least.all(), b.unit, b.dec, "least")
	s.value("new_journal.max", "Journal after grinding, most", after.journal.most.si, after.journal.most.all(), b.unit, b.dec, "")
	s.value("new_wall.min", "New wall, least", thin.si, thin.all(), b.unit, walls.dec, "")
	s.value("new_wall.max", "New wall, most", thick.si, thick.all(), b.unit, walls.dec, "")
	return "; ground " + asText(under) + " under, journal " + b.span(after.journal.least.si, after.journal.most.si) + verdictWords(v) +
		", wall " + walls.span(thin.si, thick.si) + ": clearance " + s.drawnClearance(after, "new_", ", after grinding") + asNew(b, after)
}

// undersize is one figure. It is what the grinder and the maker of the shells
// work to, so it adds no uncertainty of its own.
func (s *sheet) undersize() (measured, bool) {
	r, ok := s.extent("undersize", "undersize")
	if ok && r.least.si != r.most.si {
		s.missing("undersize: one figure, for all journals of a kind are ground alike")
		return measured{}, false
	}
	return r.least, ok
}

// ground is the journal after grinding: the old one less the undersize, unless
// its own limits are given.
func (s *sheet) ground(b bearing, under measured) (extent, bool) {
	if !s.given("new_journal") {
		after := b.journal.by(-under.si)
		if after.least.si <= 0 {
			s.missing("an undersize smaller than the journal: " + asText(under) + " is not")
			return extent{}, false
		}
		s.line("journal after grinding: " + b.text(b.journal.least.si) + " and " + b.text(b.journal.most.si) + " − " + asText(under) + " = " + b.span(after.least.si, after.most.si))
		return after, true
	}
	after, ok := s.extent("new_journal", "journal after grinding")
	if ok && after.most.si >= b.journal.most.si {
		s.missing("a journal after grinding that is smaller than before: " + after.most.text + " is not")
		return extent{}, false
	}
	return after, ok
}

// halfDigits is how many digits half of an undersize needs.
func halfDigits(under measured, u quantity.Unit) int {
	dec := under.decIn(u)
	if math.Mod(quantity.Quantise(u.FromStep(under.si), dec), 2) != 0 {
		dec++
	}
	return dec
}

// asNew says whether new shells on the ground journal have the clearance of
// the old ones.
func asNew(old, after bearing) string {
	same := func(a, b float64) bool {
		return quantity.Quantise(old.unit.FromStep(a-b), old.dec) == 0
	}
	x, y := old.bore(), after.bore()
	if same(x.least.si-old.journal.most.si, y.least.si-after.journal.most.si) && same(x.most.si-old.journal.least.si, y.most.si-after.journal.least.si) {
		return ", as new"
	}
	return ", not as new"
}
