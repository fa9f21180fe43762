package draw

import (
	"math"

	"witnessmark/sync/jcs"
)

// PhotoMark is an arrow or a ring on a photo, in thousandths of its width and height.
type PhotoMark struct {
	Shape          string
	X, Y, ToX, ToY int64
	Number         int // beside it and in the list; 0: none
}

// Sizes in thousandths of the photo's width.
const (
	headLong  = 46.0 // of an arrow's head
	tagRadius = 24.0
)

// Marks draws marks to lie over a photo of that many pixels. Every stroke is
// drawn twice, wide and then narrow, so that it is seen on dark and light.
func Marks(marks []PhotoMark, pixelsWide, pixelsHigh int64, label string) string {
	high := 750.0
	if pixelsWide > 0 && pixelsHigh > 0 {
		high = math.Round(1000 * float64(pixelsHigh) / float64(pixelsWide))
	}
	c := newCanvas(1000, high, "photo-marks", label)
	for _, m := range marks {
		c.photoMark(m, high)
	}
	return c.done()
}

func (c *canvas) photoMark(m PhotoMark, high float64) {
	x, y := float64(m.X), float64(m.Y)*high/1000
	tx, ty := float64(m.ToX), float64(m.ToY)*high/1000
	dx, dy := tx-x, ty-y
	long := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	if long == 0 {
		return
	}
	dx, dy = dx/long, dy/long
	if m.Shape == "ring" {
		for _, class := range []string{"pm-case", "pm-line"} {
			c.circle(class, x, y, long)
		}
		c.tag(m.Number, x+float64(0.7071*long)+tagRadius, y-float64(0.7071*long)-tagRadius, high)
		return
	}
	head := min(headLong, long/2)
	bx, by := tx-float64(dx*head), ty-float64(dy*head)
	wing := 0.45 * head
	for _, class := range []string{"pm-case", "pm-line"} {
		c.line(class, x, y, bx, by)
		c.raw(`<path class="` + class + ` pm-head" d="M` + n(tx) + ` ` + n(ty) + `L` + n(bx-float64(dy*wing)) + ` ` + n(by+float64(dx*wing)) +
			`L` + n(bx+float64(dy*wing)) + ` ` + n(by-float64(dx*wing)) + `Z"/>`)
	}
	c.tag(m.Number, x-float64(dx*1.4*tagRadius), y-float64(dy*1.4*tagRadius), high)
}

// tag writes a mark's number, inside the photo.
func (c *canvas) tag(number int, x, y, high float64) {
	if number == 0 {
		return
	}
	x = min(max(x, tagRadius+2), 1000-tagRadius-2)
	y = min(max(y, tagRadius+2), max(high-tagRadius-2, tagRadius+2))
	c.circle("pm-tag", x, y, tagRadius)
	c.text("pm-number", x, y+11, "middle", jcs.Int(int64(number)).String())
}
