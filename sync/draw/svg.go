// Package draw makes the drawings as SVG text: engine maps, fastener maps and
// charts, the same for phone, desk and volunteers' page. It writes classes and
// presentation attributes only, never a style or a script, so that a strict
// content policy holds; colours and line widths are the style sheet's.
package draw

import (
	"math"
	"strings"

	"witnessmark/sync/quantity"
)

// canvas gathers SVG text.
type canvas struct{ b strings.Builder }

func newCanvas(width, height float64, class, label string) *canvas {
	c := &canvas{}
	c.raw(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ` + n(width) + ` ` + n(height) + `" class="` + class + `" role="group" aria-label="` + esc(label) + `">`)
	return c
}

func (c *canvas) raw(s string) { c.b.WriteString(s) }

func (c *canvas) done() string {
	c.raw("</svg>")
	return c.b.String()
}

// n writes a coordinate: at most two digits, none needlessly.
func n(x float64) string {
	s := strings.ReplaceAll(quantity.Fixed(x, 2), "−", "-")
	s = strings.TrimRight(s, "0")
	return strings.TrimSuffix(s, ".")
}

// esc makes text safe inside SVG.
func esc(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;").Replace(s)
}

func (c *canvas) line(class string, x1, y1, x2, y2 float64) {
	c.raw(`<line class="` + class + `" x1="` + n(x1) + `" y1="` + n(y1) + `" x2="` + n(x2) + `" y2="` + n(y2) + `"/>`)
}

func (c *canvas) rect(class string, x, y, w, h float64) {
	c.raw(`<rect class="` + class + `" x="` + n(x) + `" y="` + n(y) + `" width="` + n(w) + `" height="` + n(h) + `"/>`)
}

func (c *canvas) circle(class string, x, y, r float64) {
	c.raw(`<circle class="` + class + `" cx="` + n(x) + `" cy="` + n(y) + `" r="` + n(r) + `"/>`)
}

func (c *canvas) text(class string, x, y float64, anchor, s string) {
	c.raw(`<text class="` + class + `" x="` + n(x) + `" y="` + n(y) + `" text-anchor="` + anchor + `">` + esc(s) + `</text>`)
}

// hatch fills a rectangle with section lining at 45°, drawn line by line: a
// pattern would need an id, and two drawings may stand on one page.
func (c *canvas) hatch(class string, x, y, w, h, step float64) {
	for d := step / 2; d < w+h; d += step {
		x1, y1 := x, y+d
		if d > h {
			x1, y1 = x+d-h, y+h
		}
		x2, y2 := x+d, y
		if d > w {
			x2, y2 = x+w, y+d-w
		}
		c.line(class, x1, y1, x2, y2)
	}
}

// band draws an engine's band: solid, or hatched.
func (c *canvas) band(kind string, x, y, w, h float64) {
	if kind == "hatched" {
		c.rect("band-edge", x, y, w, h)
		c.hatch("band-hatch", x, y, w, h, 7)
		return
	}
	c.rect("band-solid", x, y, w, h)
}

// mark draws the small limit glyph of a state, about 24 by 12, centred.
func (c *canvas) mark(class string, x, y float64) {
	switch class {
	case "empty":
		c.raw(`<path class="mark mark-empty" d="M` + n(x-10) + ` ` + n(y-5) + `v10M` + n(x+10) + ` ` + n(y-5) + `v10"/>`)
		return
	case "measured":
		c.circle("mark-dot", x, y, 3.5)
		return
	}
	c.raw(`<path class="mark" d="M` + n(x-10) + ` ` + n(y-5) + `v10M` + n(x+6) + ` ` + n(y-5) + `v10M` + n(x-10) + ` ` + n(y) + `h16"/>`)
	switch class {
	case "within":
		c.circle("mark-dot", x-2, y, 3.5)
	case "outside":
		c.circle("mark-dot", x+13, y, 3.5)
	case "not-proven":
		c.raw(`<path class="mark-bar" d="M` + n(x-2) + ` ` + n(y) + `h16"/>`)
		c.circle("mark-dot", x+5, y, 3.5)
	case "contested":
		c.circle("mark-dot", x-6, y, 3.5)
		c.circle("mark-dot", x+2, y, 3.5)
	case "incomplete":
		c.raw(`<path class="mark mark-empty" d="M` + n(x-2) + ` ` + n(y-3) + `v6"/>`)
	}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
