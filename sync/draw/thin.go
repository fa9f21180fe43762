package draw

import (
	"math"

	"witnessmark/sync/calc"
)

// kept are the points of a line that are drawn: all, or of a sampled one, for
// each column of the drawing one unit wide, the first, the least, the most and
// the last, in their order. So no peak vanishes and no gap closes, however many
// there were.
func (p *plot) kept(l calc.Curve) []int {
	var out []int
	if !l.Sampled {
		for k := range l.X {
			out = append(out, k)
		}
		return out
	}
	for from := 0; from < len(l.X); {
		if !finite(l.Y[from]) {
			if len(out) == 0 || finite(l.Y[out[len(out)-1]]) {
				out = append(out, from)
			}
			from++
			continue
		}
		column := math.Floor(p.x(l.X[from]))
		to := from + 1
		for to < len(l.X) && finite(l.Y[to]) && math.Floor(p.x(l.X[to])) == column {
			to++
		}
		out = append(out, ends(l.Y, from, to)...)
		from = to
	}
	return out
}

// ends are the first, the least, the most and the last of Y from..to, to left
// out, each once and in their order.
func ends(y []float64, from, to int) []int {
	lo, hi := from, from
	for k := from; k < to; k++ {
		if y[k] < y[lo] {
			lo = k
		}
		if y[k] > y[hi] {
			hi = k
		}
	}
	var out []int
	for _, k := range []int{from, min(lo, hi), max(lo, hi), to - 1} {
		if len(out) == 0 || out[len(out)-1] < k {
			out = append(out, k)
		}
	}
	return out
}

// polylines draws a line in pieces: it is broken where a value is wanting. A
// point that stands alone is a short stroke.
func (p *plot) polylines(class string, l calc.Curve, s scale, at []int) {
	d, n1 := "", 0
	end := func() {
		if n1 == 1 && l.Sampled {
			d += d
		}
		if d != "" {
			p.raw(`<polyline class="` + class + `" points="` + d[1:] + `"/>`)
		}
		d, n1 = "", 0
	}
	for _, k := range at {
		if !finite(l.Y[k]) {
			end()
			continue
		}
		d += " " + n(p.x(l.X[k])) + "," + n(s.at(l.Y[k]))
		n1++
	}
	end()
}
