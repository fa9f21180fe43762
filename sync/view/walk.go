package view

import (
	"slices"

	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// stop is one point of a walk.
type stop struct {
	pl    pattern.Place
	point string
}

// walk lists every point of an engine in the order in which the fitter goes
// round: journal by journal, as the sheet has it, or all of one direction
// first, which turns the crank less often, or as it was done on the other engine.
func (v *viewer) walk(e *record.Engine) []stop {
	if t := v.twin(e); t != nil && v.arg("walk") == "twin" {
		return v.twinWalk(e, t)
	}
	return v.roundBy(e, v.arg("walk") == "direction")
}

func (v *viewer) roundBy(e *record.Engine, direction bool) []stop {
	var out []stop
	places := e.Pattern.Places()
	for len(places) > 0 {
		n := 1
		for n < len(places) && places[n].Feature == places[0].Feature {
			n++
		}
		row, points := places[:n], places[0].Feature.PointsOf()
		places = places[n:]
		if direction {
			for _, p := range points {
				for _, pl := range row {
					out = append(out, stop{pl, p})
				}
			}
			continue
		}
		for _, pl := range row {
			for _, p := range points {
				out = append(out, stop{pl, p})
			}
		}
	}
	return out
}

// next is the first point after this one in the walk that nobody has answered;
// of the whole walk when none is named.
func (v *viewer) next(e *record.Engine, at, point string) jcs.Value {
	after := at == ""
	for _, s := range v.walk(e) {
		switch {
		case s.pl.At == at && s.point == point:
			after = true
		case after && !v.answered(e.Holds(s.pl.At), s.pl.At, s.point):
			return v.target(e, s.pl.At, s.point)
		}
	}
	return jcs.Null()
}

// answered reports whether a point was measured, or skipped with a reason.
func (v *viewer) answered(key, at, point string) bool {
	if v.measured(key, at, point) {
		return true
	}
	_, ok := v.skipped(key, at, point)
	return ok
}

// skipped returns why somebody passed a point by.
func (v *viewer) skipped(key, at, point string) (record.Check, bool) {
	i := slices.IndexFunc(v.st.Checks, func(c record.Check) bool {
		return c.Answer == "skipped" && c.Key == key && c.Of.At == at && c.Of.Point == point
	})
	if i < 0 {
		return record.Check{}, false
	}
	return v.st.Checks[i], true
}

// isSkipped says of a point that nobody measured that it was passed by.
func (v *viewer) isSkipped(key, at, point string) jcs.Member {
	_, ok := v.skipped(key, at, point)
	return flag("skipped", ok && !v.measured(key, at, point))
}

// skips are the skips of a point, to see and to take back.
func (v *viewer) skips(e *record.Engine, at, point string) jcs.Member {
	var out []jcs.Value
	key := e.Holds(at)
	for _, c := range v.st.Checks {
		if c.Answer == "skipped" && c.Key == key && c.Of.At == at && c.Of.Point == point {
			out = append(out, jcs.Obj(str("id", string(c.ID)), text("why", c.Why), text("by", v.person(c.By)), text("at", c.At)))
		}
	}
	return jcs.M("skips", jcs.Arr(out...))
}
