package calc

import (
	"math"
	"strings"

	"witnessmark/sync/quantity"
)

var convertSpec = Spec{
	Name: "convert", Version: "1", Title: "A value in every unit of its kind, and whether two printed figures agree",
	Needs: []Need{
		{"value", "the value as it is written", "any", "nominal", false},
		{"other", "the same as printed beside it in another unit", "any", "nominal", true},
	},
	Bounds: true,
	run:    runConvert,
}

const cautionConvert = "Handbooks misprint: two figures that do not agree are a doubt to settle from the maker's manual, not by choosing one. In old books kg·m and mkg mean kgf·m."

// runConvert: the factors are those of NIST SP 811, appendix B. A value gets
// as many digits as keep its last place no coarser than the one written.
func runConvert(s *sheet) {
	s.caution(cautionConvert)
	w, ok := s.written("value")
	if !ok {
		s.missing("the value to convert")
		return
	}
	q, err := quantity.Parse(w)
	if err != nil {
		s.missing("the value: " + err.Error())
		return
	}
	s.line("as written: " + w.String())
	var all []string
	for _, u := range quantity.Units() {
		if u.Dim == q.Unit.Dim && u.Code != q.Unit.Code {
			all = append(all, s.converted(q, u))
		}
	}
	s.Says = w.String() + " is " + strings.Join(all, ", ") + "."
	if other, ok := s.written("other"); ok {
		s.printed(w, q, other)
	}
}

// written is a value as it was written, read or typed.
func (s *sheet) written(name string) (quantity.Written, bool) {
	if items := s.in.Items[name]; len(items) > 0 {
		s.use(items[0].Ref)
		return items[0].V, true
	}
	w, ok := s.in.Nominal[name]
	return w, ok
}

// converted adds the value in a unit; of two, both ends.
func (s *sheet) converted(q quantity.Q, u quantity.Unit) string {
	dec := quantity.Decimals(justified(q), u)
	text := quantity.Format(q.Lo(), u, dec)
	is := boundIs(q.Is)
	if q.Half == 0 {
		v := s.bounded(is, "in."+u.Code, "In "+unitWords(u), q.SI, nil, u, dec, "")
		v.Text = strings.TrimSpace(is + " " + text)
	} else {
		s.value("in."+u.Code+".from", "In "+unitWords(u)+", from", q.Lo(), nil, u, dec, "").Text = text
		text = quantity.Format(q.Hi(), u, dec)
		s.value("in."+u.Code+".to", "In "+unitWords(u)+", to", q.Hi(), nil, u, dec, "").Text = text
		text = quantity.Format(q.Lo(), u, dec) + " to " + text
	}
	text = strings.TrimSpace(strings.TrimSpace(is+" "+text) + "\u2009" + u.Symbol)
	s.line(text)
	return text
}

func unitWords(u quantity.Unit) string {
	if u.Symbol == "" {
		return "plain numbers"
	}
	return u.Symbol
}

// justified is one step of the last place that the writing claims, in SI: of a
// fraction, that of the decimals which tell it from its neighbours.
func justified(q quantity.Q) float64 {
	return lastDigit(measured{unit: q.Unit, dec: q.Dec})
}

// printed holds the second figure against the first.
func (s *sheet) printed(w quantity.Written, a quantity.Q, other quantity.Written) {
	b, err := quantity.Parse(other)
	switch {
	case err != nil:
		s.missing("the figure printed beside it: " + err.Error())
		return
	case b.Unit.Dim != a.Unit.Dim:
		s.missing("the figure printed beside it: " + other.String() + " is not " + article(a.Unit.Dim) + ", " + w.String() + " is")
		return
	}
	dec := max(b.Dec, quantity.Decimals(justified(a), b.Unit))
	shown := quantity.Format(a.Lo(), b.Unit, dec)
	if a.Half > 0 {
		shown += " to " + quantity.Format(a.Hi(), b.Unit, dec)
	}
	says := w.String() + " is " + shown + "\u2009" + b.Unit.Symbol + ", printed " + other.String()
	lo, hi := agreement(a, b, a.Lo(), b.Lo()), agreement(a, b, a.Hi(), b.Hi())
	off := b.Lo() - a.Lo()
	if lo == agrees {
		lo, off = hi, b.Hi()-a.Hi()
	}
	switch lo {
	case agrees:
		says = "The two agree: " + says + "."
	case agreesRound:
		says = "The two agree only as round figures: " + says + "."
	default:
		says = "The two do not agree: " + says + ", " + apart(lo, off, b.Unit, dec) + "."
	}
	s.line(says)
	s.value("difference", "Printed less worked out", off, nil, b.Unit, dec, "")
	s.Says = says
}

// How two printed figures stand to each other: further values are the power of
// ten between them.
const (
	agrees      = 0
	agreesRound = 100
	agreesNot   = 101
)

// agreement: one figure is a rounding of the other when they differ by no more
// than half of the coarser last place; of round figures, by half of the last
// place that is not nought. All is reckoned in the unit of b.
func agreement(a, b quantity.Q, x, y float64) int {
	worked, seen := b.Unit.From(x), b.Unit.From(y)
	sa, sb := b.Unit.FromStep(justified(a)), b.Unit.FromStep(justified(b))
	near := func(k float64) bool {
		off := math.Abs(float64(worked*k) - seen)
		return quantity.Quantise(off, b.Dec+6) <= quantity.Quantise(math.Max(float64(sa*k), sb)/2, b.Dec+6)
	}
	if near(1) {
		return agrees
	}
	for n, k := range []float64{10, 100, 1000} {
		switch {
		case near(k):
			return n + 1
		case near(1 / k):
			return -n - 1
		}
	}
	if rounded(b, y, x) || rounded(a, x, y) {
		return agreesRound
	}
	return agreesNot
}

// rounded reports whether x has the figures of y, a whole number that ends in
// noughts, when it is rounded to as many; both in y's unit.
func rounded(q quantity.Q, y, x float64) bool {
	n, m := quantity.Quantise(q.Unit.From(y), 0), q.Unit.From(x)
	if q.Dec > 0 || n <= 0 || m < 1 {
		return false
	}
	figures := n
	for math.Floor(figures/10)*10 == figures {
		figures /= 10
	}
	size, step := 1.0, 1.0
	for size*10 <= figures {
		size *= 10
	}
	for step*size*10 <= m {
		step *= 10
	}
	return figures < n && quantity.Quantise(m/step, 0)*step == n
}

func apart(n int, off float64, u quantity.Unit, dec int) string {
	switch n {
	case 1, -1:
		return "ten times out"
	case 2, -2:
		return "a hundred times out"
	case 3, -3:
		return "a thousand times out"
	}
	return in(math.Abs(off), u, dec) + " out"
}
