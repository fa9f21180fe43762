// Package ink draws the limit glyph of a verdict for paper, in the style of the core's drawings in ink (draw.Ink).
package ink

import (
	"fmt"
	"strings"

	"witnessmark/sync/calc"
)

const (
	glyphWidth  = 64.0
	glyphHeight = 20.0
)

// Glyph draws the limit glyph: stops are the limits, the mark is the value, the bar its uncertainty. It stands beside its word
// and is hidden from readers aloud.
func Glyph(g calc.Glyph, verdict calc.Verdict) string {
	var b strings.Builder
	missing := ""
	if verdict == calc.Incomplete {
		missing = " missing"
	}
	fmt.Fprintf(&b, `<svg class="glyph" viewBox="0 0 %g %g" aria-hidden="true">`, glyphWidth, glyphHeight)
	fmt.Fprintf(&b, `<path class="g-line%s" d="M%.1f 10H%.1f"/>`, missing, at(or(g.Lo, 40)), at(or(g.Hi, 960)))
	for _, stop := range []struct{ at, drawn int }{{g.Lo, 200}, {g.Hi, 800}} {
		if stop.at >= 0 || missing != "" {
			fmt.Fprintf(&b, `<path class="g-stop%s" d="M%.1f 2V18"/>`, missing, at(or(stop.at, stop.drawn)))
		}
	}
	if missing == "" {
		b.WriteString(mark(g, verdict))
	}
	b.WriteString("</svg>")
	return b.String()
}

// mark is the value with its uncertainty, or the two values that differ.
func mark(g calc.Glyph, verdict calc.Verdict) string {
	if verdict == calc.Contested {
		return fmt.Sprintf(`<circle class="g-dot" cx="%.1f" cy="10" r="3.5"/><circle class="g-dot" cx="%.1f" cy="10" r="3.5"/>`,
			at(max(60, g.Val-110)), at(min(940, g.Val+110)))
	}
	bar := ""
	if g.Bar > 0 {
		bar = fmt.Sprintf(`<path class="g-bar" d="M%.1f 10H%.1f"/>`, at(max(0, g.Val-g.Bar)), at(min(1000, g.Val+g.Bar)))
	}
	return bar + fmt.Sprintf(`<circle class="g-dot" cx="%.1f" cy="10" r="3.5"/>`, at(g.Val))
}

// at turns a place of the glyph's thousand into one of the drawing.
func at(p int) float64 { return 4 + float64(p)*(glyphWidth-8)/1000 }

func or(p, instead int) int {
	if p < 0 {
		return instead
	}
	return p
}
