package quantity

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Written is a value as somebody wrote it; nothing ever overwrites it.
type Written struct {
	Text string // "74.981", "1/64", "2 1/2", "12,34"
	To   string // the upper of two: 'between Text and To'
	Unit string // a unit's code
	Is   string // "", "at least", "at most", "nil" (none felt)
}

// IsZero reports whether nothing was written.
func (w Written) IsZero() bool { return w == Written{} }

// Q is a value that has been read.
type Q struct {
	SI   float64 // the value; of two, the middle
	Half float64 // half the way between two; 0 otherwise
	Res  float64 // one step of the last digit written, in SI; 0 when nil
	Is   string  // as Written.Is
	Unit Unit
	Dec  int // digits after the decimal mark, as written; of a fraction, enough to tell it from its neighbours
}

// Lo returns the least that the value says, Hi the most.
func (q Q) Lo() float64 { return q.SI - q.Half }

// Hi returns the most that the value says.
func (q Q) Hi() float64 { return q.SI + q.Half }

// The ways in which a text is not a value.
const (
	NotWritten = "nothing written"
	NotNumber  = "not a number"
	Ambiguous  = "ambiguous"
	NoUnit     = "no unit"
	NotBetween = "not between"
)

// Error says why a text is not a value, and what to do.
type Error struct {
	Code string
	Says string
}

func (e *Error) Error() string { return e.Says }

func fail(code, says string) *Error { return &Error{code, says} }

// maxDigits keeps mantissas whole in float64; maxFraction does so for the
// whole, the top and the bottom of a fraction together.
const (
	maxDigits   = 15
	maxFraction = 5
)

// Parse reads a value as written. A bare comma before three digits is asked
// about, never guessed; powers of ten and digits of other scripts are refused.
func Parse(w Written) (Q, error) {
	u, ok := Lookup(w.Unit)
	if !ok {
		return Q{}, fail(NoUnit, "choose the unit: '"+w.Unit+"' is not one that this tool knows")
	}
	if w.Is == "nil" {
		return Q{SI: u.SI(0), Is: "nil", Unit: u}, nil
	}
	a, err := number(w.Text)
	if err != nil {
		return Q{}, err
	}
	q := Q{SI: a.in(u), Res: a.step(u), Is: w.Is, Unit: u, Dec: a.decimals()}
	if w.To == "" {
		return q, nil
	}
	b, err := number(w.To)
	if err != nil {
		return Q{}, err
	}
	lo, hi := q.SI, b.in(u)
	if hi <= lo {
		return Q{}, fail(NotBetween, "between "+w.Text+" and "+w.To+": the second must be the larger")
	}
	q.SI, q.Half = (lo+hi)/2, (hi-lo)/2
	q.Res, q.Dec = max(q.Res, b.step(u)), max(q.Dec, b.decimals())
	return q, nil
}

// Figure reads a plain decimal figure with a point, as 2.85 or -3, exactly as
// Parse does, in a tenth of the time: for what gauges sample by the thousand.
// False for any other text.
func Figure(text string, u Unit) (Q, bool) {
	r, seen, point := rational{bottom: 1}, 0, -1
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '-' && i == 0:
			r.neg = true
		case c == '.' && point < 0 && seen > 0:
			point = seen
		case c >= '0' && c <= '9':
			r.top = float64(r.top*10) + float64(c-'0')
			seen++
		default:
			return Q{}, false
		}
	}
	if seen == 0 || seen > maxDigits || point == seen {
		return Q{}, false
	}
	if point >= 0 {
		r.dec = seen - point
		r.bottom = pow10(r.dec)
	}
	r.neg = r.neg && r.top != 0
	return Q{SI: r.in(u), Res: r.step(u), Unit: u, Dec: r.dec}, true
}

// rational is a number as written: whole·top/bottom.
type rational struct {
	neg     bool
	top     float64 // below 2^53, whole
	bottom  float64 // a power of ten, or the denominator of a fraction
	dec     int
	divided bool
}

// in returns the number in SI when it counts units u.
func (r rational) in(u Unit) float64 {
	if r.neg {
		return u.ratio(-r.top, r.bottom)
	}
	return u.ratio(r.top, r.bottom)
}

// step is one unit of the last digit, in SI.
func (r rational) step(u Unit) float64 { return u.num / float64(r.bottom*u.den) }

// decimals: 1/64 is told from 2/64 by three digits.
func (r rational) decimals() int {
	if !r.divided {
		return r.dec
	}
	n := 0
	for p := 1.0; p < r.bottom; p *= 10 {
		n++
	}
	return n + 1
}

func number(text string) (rational, error) {
	s := tidy(text)
	if s == "" {
		return rational{}, fail(NotWritten, "nothing is written yet")
	}
	neg := false
	if s[0] == '-' || s[0] == '+' {
		neg, s = s[0] == '-', strings.TrimLeft(s[1:], " ")
	}
	r, err := unsigned(s, text)
	r.neg = neg && r.top != 0
	return r, err
}

// tidy turns the minus signs and spaces that keyboards offer into plain ones.
func tidy(s string) string {
	s = strings.Map(func(c rune) rune {
		switch c {
		case '−', '‒', '–', '﹣', '－':
			return '-'
		case '\u00a0', '\u2009', '\u202f', '\u2007', '\t':
			return ' '
		}
		return c
	}, s)
	return strings.TrimSpace(s)
}

func unsigned(s, text string) (rational, error) {
	if !utf8.ValidString(s) {
		return rational{}, notNumber(text)
	}
	for _, c := range s {
		if (c < '0' || c > '9') && !strings.ContainsRune(".,/ ", c) {
			return rational{}, notNumber(text)
		}
	}
	if strings.Contains(s, "/") {
		return fraction(s, text)
	}
	return decimal(s, text)
}

func notNumber(text string) error {
	return fail(NotNumber, "'"+text+"' is not a number as this tool reads it: write it with the digits 0 to 9, as 74.981, 74,98 or 1/64")
}

// decimal reads 74.981, 12,34 and .5.
func decimal(s, text string) (rational, error) {
	points, commas := strings.Count(s, "."), strings.Count(s, ",")
	whole, rest, _ := strings.Cut(strings.Replace(s, ",", ".", 1), ".")
	switch {
	case strings.Contains(s, " ") || whole+rest == "" || slip(s):
		return rational{}, notNumber(text)
	case points+commas > 1 || commas == 1 && len(rest) == 3 && whole != "" && whole[0] != '0' && len(whole) <= 3:
		return rational{}, ambiguous(text, s)
	case len(whole+rest) > maxDigits:
		return rational{}, fail(NotNumber, "'"+text+"' has "+strconv.Itoa(len(whole+rest))+" digits and this tool reads at most "+strconv.Itoa(maxDigits)+": write no more than were read")
	}
	return rational{top: digits(whole + rest), bottom: pow10(len(rest)), dec: len(rest)}, nil
}

// slip reports whether a mark has nothing after it, or another mark, as in
// 74..9: that is no group of digits.
func slip(s string) bool {
	for i := range len(s) {
		if !isDigit(s[i]) && (i+1 == len(s) || !isDigit(s[i+1])) {
			return true
		}
	}
	return false
}

// ambiguous offers both readings: of several marks only the last can be the
// decimal one.
func ambiguous(text, s string) error {
	sign := strings.TrimSpace(strings.TrimSuffix(tidy(text), s))
	last := strings.LastIndexAny(s, ".,")
	whole := sign + strings.NewReplacer(",", "", ".", "").Replace(s[:last])
	return fail(Ambiguous, "'"+text+"' can be read in two ways: write "+whole+"."+s[last+1:]+" with a point, or "+whole+s[last+1:]+" with none")
}

// fraction reads 1/64 and 3 1/2.
func fraction(s, text string) (rational, error) {
	s = strings.ReplaceAll(strings.ReplaceAll(s, " /", "/"), "/ ", "/")
	before, frac, mixed := strings.Cut(s, " ")
	if !mixed {
		before, frac = "0", s
	}
	top, bottom, _ := strings.Cut(strings.TrimLeft(frac, " "), "/")
	for _, d := range []string{before, top, bottom} {
		if len(d) > maxFraction && strings.Trim(d, "0123456789") == "" {
			return rational{}, fail(NotNumber, "'"+text+"' has too many digits: this tool reads fractions of at most "+strconv.Itoa(maxFraction)+" digits above and below")
		}
		if d == "" || strings.ContainsAny(d, "., /") {
			return rational{}, notNumber(text)
		}
	}
	den := digits(bottom)
	if den == 0 {
		return rational{}, notNumber(text)
	}
	return rational{top: float64(digits(before)*den) + digits(top), bottom: den, divided: true}, nil
}

func digits(s string) float64 {
	v := 0.0
	for i := 0; i < len(s); i++ {
		v = float64(v*10) + float64(s[i]-'0')
	}
	return v
}

// pow10 is exact up to 10^22.
func pow10(n int) float64 {
	p := 1.0
	for range n {
		p *= 10
	}
	return p
}

// Finite reports whether x is a number that arithmetic may go on with.
func Finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
