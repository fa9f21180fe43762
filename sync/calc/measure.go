package calc

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

// alphaSteel is the expansion of a steel tool, 10⁻⁶ per kelvin (from memory;
// testdata/reference/thermal_expansion.csv has 11.5 for plain steel).
const alphaSteel = 11.5

// measured is a reading brought to what it says: corrected, with its own
// uncertainty apart from what it shares with others by the same tool.
type measured struct {
	si    float64
	own   []quantity.Part // independent of all other readings
	tool  string          // "" when none is named
	toolU float64         // standard uncertainty of the tool's calibration
	zero  string
	zeroU float64
	setIn string // the tool that a bore gauge was set in
	unit  quantity.Unit
	dec   int
	text  string // as written, with corrections
	is    string // "at least", "at most", or "" for a value
	at    string // the spot that was read
	res   float64
}

// read reads one item and writes its working. It reports false for what is
// not a value, which then is missing with its reason.
func (s *sheet) read(it Item, what string) (measured, bool) {
	q, ok := s.parse(it.V, what)
	if !ok {
		return measured{}, false
	}
	s.use(it.Ref)
	m := measured{si: q.SI, unit: q.Unit, dec: q.Dec, text: it.V.String(), is: boundIs(q.Is), at: it.Label + "\x00" + it.Point, res: q.Res}
	m.own = append(m.own, quantity.Part{What: "resolution", U: quantity.Resolution(q.Res)})
	if q.Half > 0 {
		m.own = append(m.own, quantity.Part{What: "between the two", U: quantity.Rect(q.Half)})
	}
	s.inOneUnit(&m, q.Res)
	if it.Tool != nil {
		m.tool, m.toolU = it.Tool.Key, it.Tool.U/2
	} else if !it.Gauge && slices.Contains(byInstrument, m.unit.Dim) {
		m.own = append(m.own, unnamed)
	}
	s.correctZero(&m, it)
	s.correctTemperature(&m, it)
	s.line(what + ": " + m.text)
	return m, true
}

// unnamed marks a reading that names no instrument: nobody can say what that adds to its uncertainty.
var unnamed = quantity.Part{What: "an instrument that is not named"}

// byInstrument are the kinds of quantity that an instrument can be entered for, so that a reading can name it.
var byInstrument = []quantity.Dim{quantity.Length, quantity.Volume, quantity.Torque, quantity.Pressure, quantity.Speed, quantity.Angle, quantity.Temperature,
	quantity.Force, quantity.Mass}

func noTool(p quantity.Part) bool { return p.What == unnamed.What }

// boundIs is what is left of how a value was written: "nil" is a value, nought.
func boundIs(is string) string {
	if is == "nil" {
		return ""
	}
	return is
}

// opposite is what a bound on b says of a − b.
func opposite(is string) string {
	switch is {
	case "at least":
		return "at most"
	case "at most":
		return "at least"
	}
	return ""
}

// both is what the bounds of a and b say of a + b; false where they pull
// apart and nothing follows.
func both(a, b string) (string, bool) {
	if a == "" || a == b {
		return b, true
	}
	return a, b == ""
}

// one is a single input: the mean of its readings, else the size given. It
// reports false, and lists it as missing, when there is neither.
func (s *sheet) one(name, what string) (measured, bool) {
	before := len(s.Missing)
	m, ok := s.maybe(name, what)
	if !ok && len(s.Missing) == before {
		s.missing(what)
	}
	return m, ok
}

// maybe is one for what may be left out. Of a size typed as between two, it
// may be anywhere between them.
func (s *sheet) maybe(name, what string) (measured, bool) {
	var ms []measured
	for _, it := range s.in.Items[name] {
		if m, ok := s.read(it, spot(what, it)); ok {
			ms = append(ms, m)
		}
	}
	if len(ms) > 0 {
		return s.mean(ms, what), true
	}
	w, ok := s.in.Nominal[name]
	if !ok {
		return measured{}, false
	}
	q, ok := s.parse(w, what)
	if !ok {
		return measured{}, false
	}
	s.line(what + ": " + w.String())
	m := measured{si: q.SI, unit: q.Unit, dec: q.Dec, text: w.String(), is: boundIs(q.Is)}
	if q.Half > 0 {
		m.own = append(m.own, quantity.Part{What: "between the two", U: quantity.Rect(q.Half)})
	}
	return m, true
}

// parse reads a value as written; false, and missing with its reason, for what
// is none, or only a bound where a figure is needed.
func (s *sheet) parse(w quantity.Written, what string) (quantity.Q, bool) {
	q, err := quantity.Parse(w)
	if err != nil {
		s.missing(what + ": " + err.Error())
		return q, false
	}
	if !s.bounds && boundIs(q.Is) != "" {
		s.missing(what + ": '" + w.String() + "' bounds the value; a figure is needed")
		return q, false
	}
	return q, true
}

// correctZero takes off what the tool read too much on its bar.
func (s *sheet) correctZero(m *measured, it Item) {
	if it.Zero == nil {
		return
	}
	bar, err1 := quantity.Parse(it.Zero.Bar)
	read, err2 := quantity.Parse(it.Zero.Read)
	if err1 != nil || err2 != nil || bar.Unit.Dim != m.unit.Dim || read.Unit.Dim != m.unit.Dim {
		return
	}
	s.use(it.Zero.Ref)
	m.zero, m.setIn = it.Zero.Ref, it.Zero.In
	m.zeroU = quantity.Resolution(read.Res)
	off := read.SI - bar.SI
	if quantity.Quantise(off*1e9, 0) == 0 {
		return
	}
	m.si -= off
	m.text += plus(-off, m) + " (zero check: " + m.tool + " read " + it.Zero.Read.String() + " on " + it.Zero.Bar.String() + ")" + m.equals()
}

// correctTemperature brings a part that is not of the tool's metal to 20 °C,
// part and tool having lain together at the temperature of the reading.
func (s *sheet) correctTemperature(m *measured, it Item) {
	alpha, err := quantity.Parse(quantity.Written{Text: s.in.Opts["alpha"], Unit: "1"})
	if err != nil || it.Temp == nil || m.unit.Dim != quantity.Length {
		return
	}
	t, err := quantity.Parse(*it.Temp)
	if err != nil || t.Unit.Dim != quantity.Temperature {
		return
	}
	off := float64(float64(m.si*(alphaSteel-alpha.SI)*1e-6) * (t.SI - 293.15))
	m.own = append(m.own, quantity.Part{What: "temperature", U: math.Abs(off) * 0.1})
	if quantity.Quantise(off*1e9, 0) == 0 {
		return
	}
	m.si += off
	m.text += plus(off, m) + " (" + it.Temp.String() + ", to 20 °C)" + m.equals()
}

func plus(x float64, m *measured) string {
	if x < 0 {
		return " − " + quantity.FormatStep(-x, m.unit, m.dec)
	}
	return " + " + quantity.FormatStep(x, m.unit, m.dec)
}

func (m *measured) equals() string { return " = " + quantity.Format(m.si, m.unit, m.dec) }

// all is every contribution, for a value that rests on this reading alone.
func (m measured) all() []quantity.Part {
	return append(slices.Clone(m.own), m.shared()...)
}

func (m measured) shared() []quantity.Part {
	var out []quantity.Part
	if m.toolU > 0 {
		out = append(out, quantity.Part{What: "calibration of " + m.tool, U: m.toolU})
	}
	if m.zeroU > 0 {
		out = append(out, quantity.Part{What: "zero check", U: m.zeroU})
	}
	return out
}

// difference is what a−b is uncertain by: what both share cancels, as the
// zero error of one tool does, or that of a gauge set in the other's tool.
func difference(a, b measured) []quantity.Part {
	parts := append(slices.Clone(a.own), b.own...)
	same := a.tool != "" && a.tool == b.tool
	switch {
	case same && a.zero == b.zero:
		return parts
	case same: // the calibration is common, the two settings are not
		return append(parts, quantity.Part{What: "zero check", U: a.zeroU}, quantity.Part{What: "zero check", U: b.zeroU})
	case a.setIn != "" && a.setIn == b.tool:
		return append(parts, onlyZero(a, b)...)
	case b.setIn != "" && b.setIn == a.tool:
		return append(parts, onlyZero(b, a)...)
	}
	return append(append(parts, a.shared()...), b.shared()...)
}

// onlyZero: a gauge that was set in the other's tool carries its own
// calibration; the tool's error cancels, and its zero check too when both rest
// on the same.
func onlyZero(gauge, other measured) []quantity.Part {
	if gauge.zero == other.zero {
		gauge.zeroU = 0
	}
	return gauge.shared()
}

// group is the readings of one point, as one.
type group struct {
	point, label string
	measured
	items []Item
}

// groups reads all items of a name and makes one value of those which share
// label and point: their mean.
func (s *sheet) groups(name, what string) []group {
	items := slices.Clone(s.in.Items[name])
	order.By(items, func(a, b Item) int {
		return cmp.Or(cmp.Compare(a.Label, b.Label), cmp.Compare(a.Point, b.Point), cmp.Compare(a.Ref, b.Ref))
	})
	var out []group
	for i := 0; i < len(items); {
		j, where := i, spot(what, items[i])
		var ms []measured
		for ; j < len(items) && items[j].Label == items[i].Label && items[j].Point == items[i].Point; j++ {
			if m, ok := s.read(items[j], where); ok {
				ms = append(ms, m)
			}
		}
		if len(ms) > 0 {
			out = append(out, group{items[i].Point, items[i].Label, s.mean(ms, where), items[i:j]})
		}
		i = j
	}
	return out
}

func spot(what string, it Item) string {
	words := []string{what}
	if it.Label != "" {
		words = append(words, it.Label)
	}
	if it.Point != "" {
		words = append(words, PointWords(it.Point))
	}
	return strings.Join(words, ", ")
}

// mean makes one of several readings of one thing. Their scatter counts:
// three and more by their standard deviation, two as anywhere between them.
func (s *sheet) mean(ms []measured, what string) measured {
	if len(ms) == 1 {
		return ms[0]
	}
	x := make([]float64, len(ms))
	m := ms[0]
	for i, one := range ms {
		x[i] = one.si
		m.dec = min(m.dec, one.decIn(m.unit))
		is, known := both(m.is, one.is)
		if m.is = is; !known {
			s.missing(what + ": one reading bounds it from below, another from above; write it as between the two, as 0.30 to 0.35")
		}
		if wider(one.own, m.own) {
			m.own = one.own
		}
		m.toolU, m.zeroU = max(m.toolU, one.toolU), max(m.zeroU, one.zeroU)
		if one.tool != m.tool || one.zero != m.zero {
			m.tool, m.zero, m.setIn = "", "", "" // nothing cancels against a mixed mean
		}
	}
	m.si = quantity.Mean(x)
	n := float64(len(x))
	scatter := quantity.Part{What: "scatter", U: quantity.SD(x) / math.Sqrt(n), DoF: n - 1}
	if len(x) == 2 {
		scatter = quantity.Part{What: "scatter", U: quantity.Rect(math.Abs(x[0]-x[1]) / 2)}
	}
	m.own = append(slices.Clone(m.own), scatter)
	s.slips(ms, what)
	if slices.ContainsFunc(ms, func(one measured) bool { return slices.ContainsFunc(one.own, noTool) }) {
		m.own = append(m.own, unnamed)
	}
	s.line(what + ": mean of " + quantity.Fixed(n, 0) + m.equals() + thin(m.unit.Symbol))
	return m
}

// slips lists two sizes of one spot that are further apart than any instrument explains: a mean of them would hide a slip, as
// of half a turn of a thimble. Five times what two readings with the tool differ by, and 20 steps at least: common practice, no
// source.
func (s *sheet) slips(ms []measured, what string) {
	for i, a := range ms {
		for _, b := range ms[i+1:] {
			if a.at != b.at || a.unit.Dim != quantity.Length || a.is != "" || b.is != "" { // bounds may both be true
				continue
			}
			reach := max(10*math.Sqrt(float64(a.toolU*a.toolU)+float64(b.toolU*b.toolU)), 20*max(a.res, b.res))
			dec := min(a.dec, b.decIn(a.unit))
			if d := math.Abs(a.si - b.si); quantity.Quantise(a.unit.FromStep(d), dec+1) > quantity.Quantise(a.unit.FromStep(reach), dec+1) {
				s.missing(what + ": " + text(a, dec) + " and " + quantity.Format(b.si, a.unit, dec) + thin(a.unit.Symbol) + " are " + quantity.FormatStep(d, a.unit, dec) +
					" apart, more than any instrument explains; take the wrong one back")
				return
			}
		}
	}
}

// wider reports whether some contributions are more than others.
func wider(a, b []quantity.Part) bool {
	x, _ := quantity.Combine(a)
	y, _ := quantity.Combine(b)
	return x > y
}

// oneThing refuses readings of several things at once: those of one would be
// held against those of the other without a trace.
func (s *sheet) oneThing(what string, gs []group) bool {
	for _, g := range gs {
		if g.label != gs[0].label {
			s.missing(what + " of one at a time: these are of " + cmp.Or(gs[0].label, "one without a name") + " and of " + g.label)
			return false
		}
	}
	return true
}

// PointWords says a point of a journal or bore in the trade's words.
func PointWords(point string) string {
	plane, dir, ok := strings.Cut(point, ".")
	if !ok {
		return point
	}
	switch dir {
	case "V":
		dir = "in the throw"
	case "H":
		dir = "square to it"
	default: // a level of a bore: top, thrust
		return plane + ", " + dir
	}
	return "plane " + plane + ", " + dir
}
