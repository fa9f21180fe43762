package view

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// moment is a line of a run, or a row of a block of samples (row 0 and up).
type moment struct {
	ms   int64
	line *record.RunLine
	row  int // -1: the line itself
}

// moments are all that stands of an engine in the order of its times: blocks
// reach over what was typed meanwhile.
func moments(r *record.Run, asm string) []moment {
	var out []moment
	sorted := true
	for i := range r.Lines {
		l := &r.Lines[i]
		if l.Of.Asm != asm || l.Struck != "" {
			continue
		}
		sorted = sorted && (len(out) == 0 || out[len(out)-1].ms <= l.MS)
		if l.Block == nil {
			out = append(out, moment{l.MS, l, -1})
			continue
		}
		for k, at := range l.Block.At {
			out = append(out, moment{l.MS + at, l, k})
		}
	}
	if !sorted {
		order.By(out, func(a, b moment) int { return cmp.Compare(a.ms, b.ms) })
	}
	return out
}

// rows are the figures of a block as they are gone through: each gauge with
// the line that its figure would be, had somebody typed it.
type rows struct{ gauges []gaugeRow }

type gaugeRow struct {
	figures []string
	line    record.RunLine
	unit    quantity.Unit
	value   quantity.Written
	q       quantity.Q
	reads   bool
}

func rowsOf(l *record.RunLine) *rows {
	out := &rows{gauges: make([]gaugeRow, len(l.Block.Columns))}
	for i, c := range l.Block.Columns {
		g := &out.gauges[i]
		g.figures, g.line, g.value = strings.Split(c.Values, " "), *l, quantity.Written{Unit: c.Unit}
		g.unit, _ = quantity.Lookup(c.Unit)
		g.line.What, g.line.Instrument, g.line.Value = c.What, c.Instrument, &g.value
	}
	return out
}

// row takes what the gauges gave at one time. A row leaves its line behind for
// the next one to change, so whoever keeps it longer than that takes a copy.
func (w *watch) row(b *rows, m moment) {
	for i := range b.gauges {
		g := &b.gauges[i]
		text := g.figures[m.row]
		if text == "-" {
			continue
		}
		if text != g.value.Text {
			g.value.Text = text
			g.q, g.reads = quantity.Figure(text, g.unit)
		}
		if !g.reads {
			continue
		}
		g.line.MS = m.ms
		w.sample(&g.line, &g.q)
	}
}

// blockWords says a block in the log.
func blockWords(l *record.RunLine) string {
	var gauges []string
	for _, c := range l.Block.Columns {
		u, _ := quantity.Lookup(c.Unit)
		gauges = append(gauges, gaugeWords(c.What)+" in "+u.Symbol)
	}
	rows := len(l.Block.At)
	words := strings.Join(gauges, ", ") + ": " + count(rows) + " samples, " + l.Block.StepWords() + ", until " + clockWords(l.MS+l.Block.At[rows-1])
	if l.Block.File != "" {
		words += ", from " + l.Block.File
	}
	return words
}

// sampled is what a gauge of an engine gave by itself in a run: a point for
// each row, and a break where there was none for more than twice the usual step.
func sampled(r *record.Run, asm, what string, u quantity.Unit, c *calc.Curve) {
	last, usual := int64(-1), int64(0)
	for i := range r.Lines {
		l := &r.Lines[i]
		if l.Block == nil || l.Of.Asm != asm || l.Struck != "" {
			continue
		}
		k := slices.IndexFunc(l.Block.Columns, func(c record.BlockColumn) bool { return c.What == what })
		if k < 0 {
			continue
		}
		if step := usualStep(l.Block.At); step > 0 {
			usual = step
		}
		own, _ := quantity.Lookup(l.Block.Columns[k].Unit)
		y, before := 0.0, ""
		for row, text := range strings.Split(l.Block.Columns[k].Values, " ") {
			if text != before {
				before, y = text, math.NaN()
				if q, ok := quantity.Figure(text, own); ok && own.Dim == u.Dim {
					y = u.From(q.SI)
				}
			}
			at := l.MS + l.Block.At[row]
			if last >= 0 && (at-last > 2*usual || at <= last) { // a gap, or two that sampled at once
				c.X, c.Y = append(c.X, float64(last)/60000), append(c.Y, math.NaN())
			}
			c.X, c.Y = append(c.X, float64(at)/60000), append(c.Y, y)
			last = at
		}
	}
}

// usualStep is the middle one of the times between rows, ms; 0 for one row.
func usualStep(at []int64) int64 {
	if len(at) < 2 {
		return 0
	}
	steps := make([]int64, 0, len(at)-1)
	for i := 1; i < len(at); i++ {
		steps = append(steps, at[i]-at[i-1])
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// sampledGraphs draw what sampled by itself over the time, but for the
// temperatures, which have their drawing.
func (v *viewer) sampledGraphs(r *record.Run, add func(title, svg string)) {
	for _, g := range runGauges {
		if g.what == "coolant" || g.what == "oil.temp" || !samples(r, g.what) {
			continue
		}
		u := v.unitIn(r, g)
		p := noLimits(gaugeSign(u), u)
		for _, asm := range result.Sides(v.st, r) {
			p.Lines = append(p.Lines, v.timeCurves(r, asm, g.what, u, asm)...)
		}
		if e, ok := v.st.Engine(r.Of[0].Asm); ok {
			if b, ok := v.bound(e, "run."+g.what); ok {
				p.Min, p.Max = endIn(b.lo, u), endIn(b.hi, u)
			}
		}
		title := g.words + " against time"
		add(title, draw.Graph(strings.ToLower(title), "t / min", p))
	}
}

func endIn(q *quantity.Q, u quantity.Unit) float64 {
	if q == nil || q.Unit.Dim != u.Dim {
		return math.NaN()
	}
	return u.From(q.SI)
}

func gaugeSign(u quantity.Unit) string {
	switch u.Dim {
	case quantity.Pressure:
		return "p"
	case quantity.Speed:
		return "n"
	}
	return "T"
}

// timeCurves are a gauge of an engine over the minutes since the start: the
// line of what it gave by itself with what was typed as points, or a line
// through what was typed.
func (v *viewer) timeCurves(r *record.Run, asm, what string, u quantity.Unit, name string) []calc.Curve {
	typed := overTime(r, asm, what, u, name, v.style(asm))
	if !samples(r, what) {
		return []calc.Curve{typed}
	}
	line := calc.Curve{Name: name, Style: v.style(asm), Sampled: true}
	sampled(r, asm, what, u, &line)
	if len(line.X) > 0 {
		typed.Name, typed.Points = "", true
	}
	return []calc.Curve{line, typed}
}

// samples reports whether a gauge sampled by itself in a run.
func samples(r *record.Run, what string) bool {
	return slices.ContainsFunc(r.Lines, func(l record.RunLine) bool {
		return l.Struck == "" && l.Block != nil && slices.ContainsFunc(l.Block.Columns, func(c record.BlockColumn) bool { return c.What == what })
	})
}
