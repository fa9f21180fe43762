package entry

import (
	"strings"

	"witnessmark/sync/jcs"
)

// Bounds of one block of what gauges sampled by themselves: ten minutes at one
// a second. Longer ones are kept in several blocks, so that nothing is large
// and a phone that dies loses little.
const (
	MaxRows    = 600
	MaxColumns = 8
)

// column is a gauge of a block: what, its unit as written, and its figures.
var column = form{func(v jcs.Value) bool {
	return isPlace(v.Get("what")) && v.Get("u").Text() != "" && optional(v.Get("instrument"), isKey) && areFigures(v.Get("values").Text())
}, "a gauge, its unit and its figures, in a row with one space between, '-' for none"}

// offsets are the times of the rows.
var offsets = form{func(v jcs.Value) bool { return areFigures(v.Text()) }, "seconds since 'elapsed', in a row with one space between"}

// areFigures: plain decimal figures with a point, or '-' where there is none.
func areFigures(s string) bool {
	for _, f := range strings.Split(s, " ") {
		if f != "-" && !IsFigure(f) {
			return false
		}
	}
	return true
}

// IsFigure reports whether s is a plain decimal figure with a point, as 2.85 or
// -3: the one spelling in a block.
func IsFigure(s string) bool {
	s = strings.TrimPrefix(s, "-")
	whole, part, point := strings.Cut(s, ".")
	return allDigits(whole) && (!point || allDigits(part)) && len(whole)+len(part) <= 15
}

func allDigits(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// block says what is wrong with the rows of a run, or "".
func block(b jcs.Value) string {
	cols := b.Get("columns").Items()
	if len(cols) == 0 || len(cols) > MaxColumns {
		return "what a gauge samples by itself is of one gauge or more, eight at the most"
	}
	rows := figures(cols[0])
	for _, c := range cols {
		if figures(c) != rows {
			return "every gauge of a block has a figure in each row, or '-'"
		}
	}
	times := b.Get("times").Text()
	switch {
	case rows > MaxRows:
		return "a block holds at most 600 rows: keep the rest in another one"
	case b.Get("step").IsNull() == (times == ""):
		return "a block says how far its rows are apart, or the time of each, and not both"
	case times != "" && (strings.Count(times, " ")+1 != rows || strings.Contains(times, "-")):
		return "a block says the time of every row"
	}
	return ""
}

func figures(c jcs.Value) int { return strings.Count(c.Get("values").Text(), " ") + 1 }
