package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Format writes an SI value in the unit with so many digits after the decimal
// point, rounded half away from nought, with a true minus sign. It is the last
// step of a result and the only rounding.
func Format(si float64, u Unit, decimals int) string { return Fixed(u.From(si), decimals) }

// FormatStep is Format for a difference or an uncertainty.
func FormatStep(si float64, u Unit, decimals int) string { return Fixed(u.FromStep(si), decimals) }

// Fixed writes x with so many digits after the point. A value that stands a
// few units of its last binary place below a half, because it came from
// decimal texts, is rounded as if it were the half.
func Fixed(x float64, decimals int) string {
	if !Finite(x) {
		return "?"
	}
	n := Quantise(x, decimals)
	text := strconv.FormatFloat(math.Abs(n)/pow10(decimals), 'f', decimals, 64)
	if n < 0 {
		return "−" + text
	}
	return text
}

// Quantise returns x in steps of 10^-decimals, rounded half away from nought.
// Decisions are taken on quantised values, so that no machine and no order of
// sums can tip one over.
func Quantise(x float64, decimals int) float64 {
	y := float64(math.Abs(x) * pow10(decimals))
	n := math.Floor(y + 0.5 + float64(y*1e-12))
	if x < 0 {
		return -n
	}
	return n
}

// Decimals returns how many digits after the point an SI step needs in a unit.
func Decimals(step float64, u Unit) int {
	s := u.FromStep(step)
	n := 0
	for ; n < 9 && s < 0.999999; n++ {
		s *= 10
	}
	return n
}

// String writes the value as it was written, with its unit's symbol.
func (w Written) String() string {
	u, _ := Lookup(w.Unit)
	unit := u.Symbol
	if u.Symbol == "" && w.Unit != "1" {
		unit = w.Unit
	}
	text := strings.Replace(w.Text, "-", "−", 1)
	switch {
	case w.Is == "nil":
		return "none felt"
	case w.Is != "":
		text = w.Is + " " + text
	case w.To != "":
		text = text + " to " + w.To
	}
	if unit == "" || unit == "°" {
		return text + unit
	}
	return text + "\u2009" + unit
}
