package draw

import (
	"slices"

	"witnessmark/sync/pattern"
)

// Joint draws the fasteners of a joint, the row along the engine running down
// the page. done lists the passes that reached each; next is filled in.
func Joint(j *pattern.Joint, serial string, done map[string][]int, next string) string {
	return joint(j, serial, done, next, true)
}

// JointStill is Joint for a print: nothing on it can be touched, and none is next.
func JointStill(j *pattern.Joint, serial string, done map[string][]int) string {
	return joint(j, serial, done, "", false)
}

func joint(j *pattern.Joint, serial string, done map[string][]int, next string, live bool) string {
	rows := ranks(j.Fasteners)
	height := float64(len(rows))*row + 16
	c := newCanvas(width, height, "map joint-map", j.Words+" of "+serial)
	for _, f := range j.Fasteners {
		x := 60 + float64(f.Y)*270/1000
		y := 8 + row/2 + float64(slices.Index(rows, f.X))*row
		state, word := "open", "not yet"
		if passes := done[f.Name]; len(passes) > 0 {
			state, word = "done", "done in pass "+list(passes)
		}
		if f.Name == next {
			state, word = "next", "next"
		}
		if live {
			c.raw(`<g class="fastener ` + state + `" data-fastener="` + esc(f.Name) + `" role="button" tabindex="0" aria-label="` + esc(serial+", "+j.Words+", stud "+f.Name+": "+word) + `">`)
			c.rect("hit", x-target/2, y-target/2, target, target)
		} else {
			c.raw(`<g class="fastener ` + state + `"><title>` + esc("stud "+f.Name+": "+word) + `</title>`)
		}
		c.circle("nut", x, y, 20)
		c.strokes(done[f.Name], x, y)
		c.text("nut-name", x, y+5, "middle", f.Name) // over the strokes, on a ground of its own: it must be read
		c.raw("</g>")
	}
	return c.done()
}

// strokes crosses a fastener once for each pass, each in its own direction.
func (c *canvas) strokes(passes []int, x, y float64) {
	ends := [][4]float64{{-18, 18, 18, -18}, {-18, -18, 18, 18}, {-24, 0, 24, 0}, {0, -24, 0, 24}}
	for _, p := range passes {
		e := ends[(p-1)%len(ends)]
		c.line("stroke", x+e[0], y+e[1], x+e[2], y+e[3])
	}
}

// ranks lists the distinct positions along the engine, in order.
func ranks(fs []pattern.Fastener) []int {
	var out []int
	for _, f := range fs {
		out = append(out, f.X)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func list(passes []int) string {
	s := ""
	for i, p := range passes {
		if i > 0 {
			s += ", "
		}
		s += n(float64(p))
	}
	return s
}
