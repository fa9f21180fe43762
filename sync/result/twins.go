package result

import (
	"slices"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// twins binds left against right: every feature that was read on both engines
// of a pair, in the same condition, at the places read on both. Where only one
// was read there is nothing to compare yet, and nothing of it shows.
func (b *binder) twins() {
	left, right, ok := b.pair()
	if !ok {
		return
	}
	places := left.Pattern.Places()
	for len(places) > 0 {
		n := 1
		for n < len(places) && places[n].Feature == places[0].Feature {
			n++
		}
		row := places[:n]
		places = places[n:]
		b.piece(func(b *binder) { b.twin(left, right, row) })
	}
}

// pair returns the two engines of one type that stand left and right.
func (b *binder) pair() (left, right *record.Engine, ok bool) {
	for i := range b.st.Engines {
		e := &b.st.Engines[i]
		switch {
		case e.Pattern == nil || e.Contested:
		case e.Fit.Side == "left" && left == nil:
			left = e
		case e.Fit.Side == "right" && right == nil:
			right = e
		}
	}
	return left, right, left != nil && right != nil && left.Type == right.Type
}

func (b *binder) twin(left, right *record.Engine, row []pattern.Place) {
	var conds []string
	for _, pl := range row {
		conds = append(conds, b.conditions(left.Holds(pl.At), pl.At)...)
		b.conditions(right.Holds(pl.At), pl.At) // looked at, though nothing is compared until it is read
	}
	order.By(conds, record.CompareConditions)
	f := row[0].Feature
	serials := []string{left.Serial, right.Serial}
	slices.Sort(serials)
	for _, cond := range slices.Compact(conds) {
		g := b.gather()
		for _, pl := range row {
			g.bothSides(left, right, pl, cond)
		}
		if len(g.in.Items["left"]) == 0 {
			continue
		}
		asm := strings.Join(serials, "+")
		b.add(g, "twin", Res{ID: id("twin", asm, f.At, cond), Asm: asm, At: f.At, Cond: cond, Words: strings.ReplaceAll(f.Words, " {n}", "") + " · left against right", Sheet: f.Sheet})
	}
}

// bothSides adds what was read at the points of a place that both engines were read at.
func (g *gathered) bothSides(left, right *record.Engine, pl pattern.Place, cond string) {
	ls, rs := g.spot(left.Holds(pl.At), pl.At, cond), g.spot(right.Holds(pl.At), pl.At, cond)
	for i := range ls {
		l := &ls[i]
		if l.Cond != cond || !stands(l) {
			continue
		}
		k := slices.IndexFunc(rs, func(r record.Place) bool { return r.Cond == cond && r.Point == l.Point })
		if k < 0 || !stands(&rs[k]) {
			continue
		}
		g.point("left", labelOf(left, pl), lately(l))
		g.point("right", labelOf(right, pl), lately(&rs[k]))
	}
}

// lately is a point with the newest of what stands there, as many as are held
// against each other: a reading on one side must not cost all that both hold.
func lately(p *record.Place) *record.Place {
	few := *p
	few.Readings = nil
	for i := len(p.Readings) - 1; i >= 0 && len(few.Readings) < maxCompared; i-- {
		if p.Readings[i].Struck == "" {
			few.Readings = append(few.Readings, p.Readings[i])
		}
	}
	slices.Reverse(few.Readings)
	return &few
}

func stands(p *record.Place) bool {
	return slices.ContainsFunc(p.Readings, func(r record.Reading) bool { return r.Struck == "" })
}

func labelOf(e *record.Engine, pl pattern.Place) string {
	if pl.N == "" {
		return e.Serial
	}
	return e.Serial + "/" + pl.N
}
