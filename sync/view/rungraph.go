package view

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// graphs are the drawings of a run, those that have something to show.
func (v *viewer) graphs(r *record.Run) []jcs.Value {
	var out []jcs.Value
	add := func(title, svg string) {
		if svg != "" {
			out = append(out, jcs.Obj(text("title", title), text("svg", svg)))
		}
	}
	add("Oil pressure against speed", v.pressureGraph(r))
	add("Temperature against time", v.warmthGraph(r))
	v.sampledGraphs(r, add)
	add("Right less left, each round", v.differenceGraph(r))
	return out
}

// style is how an engine's line is drawn: as its band, for life.
func (v *viewer) style(asm string) string {
	if e, ok := v.st.Engine(asm); ok && e.Band == "hatched" {
		return "dashed"
	}
	return "solid"
}

// styleBefore is how an engine's earlier runs are drawn: as its line, but thin.
func (v *viewer) styleBefore(asm string) string {
	if v.style(asm) == "dashed" {
		return "thin dashed"
	}
	return "thin"
}

func noLimits(name string, u quantity.Unit) calc.Panel {
	return calc.Panel{YName: name, YUnit: u.Symbol, Min: math.NaN(), Max: math.NaN()}
}

// pressureGraph: the last pressure at each station over the speed read there,
// each engine, the runs before thin, and the least that is allowed.
func (v *viewer) pressureGraph(r *record.Run) string {
	bar := v.unitIn(r, runGauges[0])
	p := noLimits("p", bar)
	for _, asm := range result.Sides(v.st, r) {
		for _, id := range r.Before {
			if b, ok := v.st.Run(id); ok && b.Has(asm) && b.Struck == "" {
				p.Lines = append(p.Lines, pressures(b, asm, bar, dayShort(b.At), v.styleBefore(asm)))
			}
		}
		p.Lines = append(p.Lines, pressures(r, asm, bar, asm, v.style(asm)))
	}
	if !slices.ContainsFunc(p.Lines, func(c calc.Curve) bool { return len(c.X) > 0 }) {
		return ""
	}
	if e, ok := v.st.Engine(r.Of[0].Asm); ok {
		p.Lines = append(p.Lines, v.leastCurve(e, bar))
	}
	return draw.Graph("oil pressure against speed", "n / rpm", p)
}

// dayShort is the day of a run as it fits beside a line: 04-10.
func dayShort(at string) string {
	if len(at) < 10 {
		return "before"
	}
	return at[5:10]
}

func pressures(r *record.Run, asm string, u quantity.Unit, name, style string) calc.Curve {
	c := calc.Curve{Name: name, Style: style}
	for _, at := range pointsOf(r, asm) {
		if at.p != nil && at.p.Unit.Dim == u.Dim {
			c.X, c.Y = append(c.X, at.speed), append(c.Y, u.From(at.p.SI))
		}
	}
	return c
}

// point is a station of an engine with what was read there last.
type point struct {
	station string
	speed   float64 // rpm
	p       *quantity.Q
}

// pointsOf are the stations of an engine by their speed: as read, else as named.
func pointsOf(r *record.Run, asm string) []point {
	var out []point
	for i := range r.Lines {
		l := &r.Lines[i]
		if l.Does != "sample" || l.Of.Asm != asm || l.Struck != "" || l.Value == nil || l.Station == "" {
			continue
		}
		k := slices.IndexFunc(out, func(p point) bool { return p.station == l.Station })
		if k < 0 {
			k = len(out)
			out = append(out, point{station: l.Station, speed: math.NaN()})
			if n, err := strconv.Atoi(l.Station); err == nil {
				out[k].speed = float64(n)
			}
		}
		q, err := quantity.Parse(*l.Value)
		switch {
		case err != nil:
		case l.What == "oil.pressure":
			out[k].p = &q
		case l.What == "speed" && q.Unit.Dim == quantity.Speed:
			out[k].speed = float64(q.SI * 60)
		}
	}
	out = slices.DeleteFunc(out, func(p point) bool { return math.IsNaN(p.speed) })
	order.By(out, func(a, b point) int { return cmp.Compare(a.speed, b.speed) })
	return out
}

// leastCurve is the least pressure at each station that has one.
func (v *viewer) leastCurve(e *record.Engine, u quantity.Unit) calc.Curve {
	c := calc.Curve{Name: "least", Style: "limit"}
	for _, s := range result.Stations(v.st) {
		n, err := strconv.Atoi(s)
		b, ok := v.bound(e, result.StationLimit(s))
		if err == nil && ok && b.lo != nil && b.lo.Unit.Dim == u.Dim {
			c.X, c.Y = append(c.X, float64(n)), append(c.Y, u.From(b.lo.SI))
		}
	}
	return c
}

// warmthGraph: coolant over the minutes since the start, the runs before thin.
func (v *viewer) warmthGraph(r *record.Run) string {
	u := v.unitIn(r, runGauges[1])
	p := noLimits("T", u)
	for _, asm := range result.Sides(v.st, r) {
		for _, id := range r.Before {
			if b, ok := v.st.Run(id); ok && b.Has(asm) && b.Struck == "" {
				p.Lines = append(p.Lines, v.earlier(b, asm, u))
			}
		}
		p.Lines = append(append(p.Lines, v.timeCurves(r, asm, "coolant", u, asm)...), v.timeCurves(r, asm, "oil.temp", u, "oil "+asm)...)
	}
	if e, ok := v.st.Engine(r.Of[0].Asm); ok {
		if b, ok := v.bound(e, "run.coolant"); ok && b.hi != nil && b.hi.Unit.Dim == u.Dim {
			p.Max = u.From(b.hi.SI)
		}
	}
	return draw.Graph("temperature against time", "t / min", p)
}

// earlier is the coolant of an earlier run: what was typed, or what the gauge
// gave by itself where nobody typed.
func (v *viewer) earlier(b *record.Run, asm string, u quantity.Unit) calc.Curve {
	c := overTime(b, asm, "coolant", u, dayShort(b.At), v.styleBefore(asm))
	if len(c.X) == 0 {
		c.Sampled = true
		sampled(b, asm, "coolant", u, &c)
	}
	return c
}

func overTime(r *record.Run, asm, what string, u quantity.Unit, name, style string) calc.Curve {
	c := calc.Curve{Name: name, Style: style}
	for _, l := range r.Lines {
		if l.What != what || l.Of.Asm != asm || l.Struck != "" || l.Value == nil {
			continue
		}
		if q, err := quantity.Parse(*l.Value); err == nil && q.Unit.Dim == u.Dim {
			c.X, c.Y = append(c.X, float64(l.MS)/60000), append(c.Y, u.From(q.SI))
		}
	}
	return c
}

// differenceGraph: right less left over the mean speed, a line for each round,
// the last one heavy.
func (v *viewer) differenceGraph(r *record.Run) string {
	if len(r.Of) < 2 {
		return ""
	}
	rpm, _ := quantity.Lookup("rpm")
	p := noLimits("Δn", rpm)
	rounds := result.Rounds(r)
	for i, n := range rounds {
		c := calc.Curve{Name: "round " + strconv.Itoa(n), Style: "thin"}
		if i == len(rounds)-1 {
			c.Style = "solid"
		}
		for _, row := range v.matchRows(r, n) {
			if row.left != nil && row.right != nil {
				c.X, c.Y = append(c.X, float64((row.left.SI+row.right.SI)*30)), append(c.Y, float64((row.right.SI-row.left.SI)*60))
			}
		}
		p.Lines = append(p.Lines, c)
	}
	if e, ok := v.st.Engine(r.Of[0].Asm); ok {
		if b, ok := v.bound(e, "match.match"); ok && b.hi != nil && b.hi.Unit.Dim == quantity.Speed {
			p.Max, p.Min = float64(b.hi.SI*60), -float64(b.hi.SI*60)
		}
	}
	return draw.Graph("difference of the speeds, each round", "n / rpm", p)
}
