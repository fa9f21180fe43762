package draw

import (
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
)

// Sketch draws the part that is to be machined, seen from the side, with the
// end that number 1 is at on the left: a crank with its journals, or a row of
// bores. What has a size is hatched and dimensioned. It is "" when no place of
// the type sheet is among the sizes.
func Sketch(p *pattern.Pattern, serial string, sizes map[string]string) string {
	var journals, bores []pattern.Place
	cut := map[string]bool{}
	for _, pl := range p.Places() {
		_, here := sizes[pl.At]
		cut[pl.Feature.Shape] = cut[pl.Feature.Shape] || here
		if _, ok := rowOf(p, pl); ok && pl.Feature.Shape == "journal" {
			journals = append(journals, pl)
		}
		if pl.Feature.Shape == "cylinder" && strings.HasPrefix(pl.At, "cyl.") && strings.HasSuffix(pl.At, ".liner") {
			bores = append(bores, pl)
		}
	}
	switch {
	case cut["journal"]:
		return shaft(p, serial, journals, sizes)
	case cut["cylinder"]:
		return boreRow(p, serial, bores, sizes)
	}
	return ""
}

const (
	sketchStep = 56.0
	sketchTall = 210.0
)

func sketchOf(p *pattern.Pattern, serial, what string, n int) (*canvas, float64) {
	wide := float64(max(n, 4))*sketchStep + 40
	c := newCanvas(wide, sketchTall, "sketch", what+" of "+serial)
	c.text("s-end", 8, 16, "start", p.End1)
	c.text("s-end", wide-8, 16, "end", p.End2)
	c.line("s-axis", 8, 100, wide-8, 100)
	return c, wide
}

// shaft draws mains on the axis and pins beside it, in the order in which they stand.
func shaft(p *pattern.Pattern, serial string, journals []pattern.Place, sizes map[string]string) string {
	order.By(journals, func(x, y pattern.Place) int {
		a, _ := rowOf(p, x)
		b, _ := rowOf(p, y)
		if a < b {
			return -1
		}
		if a > b {
			return 1
		}
		return 0
	})
	c, _ := sketchOf(p, serial, "crank", len(journals))
	for i, pl := range journals {
		x, y := 20+float64(i)*sketchStep, 78.0
		if !strings.HasPrefix(pl.At, "main.") {
			y -= 26 * float64(1-2*(i/2%2)) // throws up and down in turn: a sketch, not the firing order
		}
		c.rect("s-part", x, y, sketchStep-16, 44)
		if i > 0 {
			c.rect("s-web", x-16, 44, 16, 112)
		}
		c.place(pl, x, y, sketchStep-16, 44, sizes[pl.At], i)
	}
	return c.done()
}

func boreRow(p *pattern.Pattern, serial string, bores []pattern.Place, sizes map[string]string) string {
	c, _ := sketchOf(p, serial, "bores", len(bores))
	for i, pl := range bores {
		x := 20 + float64(i)*sketchStep
		c.circle("s-part", x+20, 100, 22)
		c.place(pl, x, 78, 40, 44, sizes[pl.At], i)
	}
	return c.done()
}

// place numbers one position; what is machined is hatched, and its size stands
// under it, in two rows so that neighbours do not touch.
func (c *canvas) place(pl pattern.Place, x, y, w, h float64, size string, i int) {
	if size != "" {
		c.hatch("s-cut", x, y, w, h, 6)
		low := 174 + 16*float64(i/2%2)
		c.line("s-dim", x+w/2, y+h, x+w/2, low-12)
		c.text("s-size", x+w/2, low, "middle", size)
	}
	name, _, _ := strings.Cut(pl.At, ".")
	c.text("s-number", x+w/2, 36, "middle", name+" "+pl.N)
}
