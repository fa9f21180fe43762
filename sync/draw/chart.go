package draw

import (
	"cmp"
	"math"

	"witnessmark/sync/calc"
	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

const (
	chartLeft   = 52.0
	chartRight  = 316.0
	panelHeight = 190.0
	panelGap    = 34.0
)

// Chart draws a result over the quantity to be chosen: one panel for each
// quantity, its limits hatched on the forbidden side, the window shaded with
// rules, one line for each engine, named at its end, solid and dashed.
func Chart(c calc.Chart) string {
	height := 24 + float64(len(c.Panels))*(panelHeight+panelGap) + 52
	s := &plot{newCanvas(width, height, "chart", "the choice over "+c.XName), c}
	y := 24.0
	for _, p := range c.Panels {
		s.panel(p, y)
		y += panelHeight + panelGap
	}
	s.window(y - panelGap)
	s.xAxis(y-panelGap, c.XName+" / "+c.XUnit+", compressed")
	return s.done()
}

type plot struct {
	*canvas
	c calc.Chart
}

func (p *plot) x(v float64) float64 {
	return chartLeft + float64((v-p.c.Lo)*(chartRight-chartLeft))/(p.c.Hi-p.c.Lo)
}

// scale maps a panel's values to heights, with room around lines and limits.
type scale struct{ lo, hi, y float64 }

func (s scale) at(v float64) float64 {
	t := float64((s.hi-v)*panelHeight) / (s.hi - s.lo)
	return s.y + math.Max(0, math.Min(panelHeight, t))
}

func rangeOf(p calc.Panel, y float64) scale {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, l := range p.Lines {
		for _, v := range l.Y {
			if !finite(v) { // a gap
				continue
			}
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	for _, v := range []float64{p.Min, p.Max} {
		if finite(v) {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	room := (hi - lo) * 0.12
	switch {
	case !finite(room):
		return scale{0, 1, y}
	case room == 0: // one value only
		room = 1
	}
	return scale{lo - room, hi + room, y}
}

func (p *plot) panel(panel calc.Panel, y float64) {
	s := rangeOf(panel, y)
	p.limit(s, panel.Min, s.at(panel.Min), y+panelHeight)
	p.limit(s, panel.Max, y, s.at(panel.Max))
	p.line("axis-line", chartLeft, y, chartLeft, y+panelHeight)
	p.line("axis-line", chartLeft, y+panelHeight, chartRight, y+panelHeight)
	p.text("axis-name", 8, y-8, "start", panel.YName+" / "+panel.YUnit)
	step, dec := ticks(s.lo, s.hi)
	for v := math.Ceil(s.lo/step) * step; v <= s.hi; v += step {
		p.line("tick", chartLeft-5, s.at(v), chartLeft, s.at(v))
		p.text("tick-text", chartLeft-8, s.at(v)+4, "end", quantity.Fixed(v, dec))
	}
	p.lines(panel, s)
}

// limit hatches what a limit forbids.
func (p *plot) limit(s scale, v, from, to float64) {
	if !finite(v) {
		return
	}
	p.hatch("forbidden", chartLeft, from, chartRight-chartLeft, to-from, 12)
	p.line("limit-line", chartLeft, s.at(v), chartRight, s.at(v))
}

// lines draws each engine's line and names it at its end.
func (p *plot) lines(panel calc.Panel, s scale) {
	var names []endName
	for i, l := range panel.Lines {
		class := "series solid"
		switch {
		case l.Style != "":
			class = "series " + l.Style
		case i%2 == 1:
			class = "series dashed"
		}
		at := p.kept(l)
		if !l.Points {
			p.polylines(class, l, s, at)
		}
		end := math.NaN()
		for _, k := range at {
			if !finite(l.Y[k]) {
				continue
			}
			end = s.at(l.Y[k]) + 4
			if l.Points || !l.Sampled && l.Style != "" && l.Style != "limit" {
				p.circle("mark-dot", p.x(l.X[k]), s.at(l.Y[k]), 2.6)
			}
		}
		if finite(end) && l.Name != "" {
			names = append(names, endName{end, l.Name})
		}
	}
	p.names(names)
}

// endName is a line's name at its end.
type endName struct {
	y    float64
	name string
}

// names writes them from the top down, those that would touch moved apart.
func (p *plot) names(of []endName) {
	order.By(of, func(a, b endName) int { return cmp.Compare(a.y, b.y) })
	last := math.Inf(-1)
	for _, e := range of {
		last = math.Max(e.y, last+16)
		p.text("series-name", chartRight+6, last, "start", e.name)
	}
}

// window marks the admissible thickness and the best one through all panels.
func (p *plot) window(bottom float64) {
	if p.c.From <= p.c.To {
		a, b := p.x(p.c.From), p.x(p.c.To)
		p.rect("window", a, 24, b-a, bottom-24)
		p.line("window-edge", a, 24, a, bottom)
		p.line("window-edge", b, 24, b, bottom)
		if finite(p.c.Best) {
			p.line("best", p.x(p.c.Best), 24, p.x(p.c.Best), bottom)
		}
	}
	for i, m := range p.c.Marks {
		x := p.x(m.X)
		y := bottom - 16 - float64(16*i)
		p.raw(`<path class="trial-mark" d="M` + n(x) + ` ` + n(bottom) + `l-6 -12h12z"/>`)
		p.text("mark-name", math.Min(x, chartRight-44), y, "middle", m.Name)
	}
}

func (p *plot) xAxis(y float64, name string) {
	step, dec := ticks(p.c.Lo, p.c.Hi)
	for v := math.Ceil(p.c.Lo/step-1e-9) * step; v <= p.c.Hi+step*1e-9; v += step {
		p.line("tick", p.x(v), y, p.x(v), y+5)
		p.text("tick-text", p.x(v), y+20, "middle", quantity.Fixed(v, dec))
	}
	p.text("axis-name", (chartLeft+chartRight)/2, y+42, "middle", name)
}

// ticks chooses a step of 1, 2 or 5 that makes about five of them.
func ticks(lo, hi float64) (step float64, dec int) {
	want := (hi - lo) / 5
	step = 1
	for step > want {
		step /= 10
		dec++
	}
	for step*10 < want {
		step *= 10
	}
	switch {
	case step*5 <= want:
		step *= 5
	case step*2 <= want:
		step *= 2
	}
	return step, dec
}
