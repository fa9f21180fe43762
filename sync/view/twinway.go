package view

import (
	"cmp"
	"slices"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// visit is one point as it was come to on the other engine: when, with what and
// how often, or why it was skipped. Never what was read: the twin's value stays
// hidden until one's own is kept.
type visit struct {
	stop
	when  string // as the phone wrote it
	depth int
	tools []string
	units []string
	count int
	why   string
}

// way is how a sheet was measured on the other engine, in the condition in
// which most of its points were.
type way struct {
	cond   string
	also   []string // other conditions that something was measured in
	visits []visit
}

// wayOf finds how a sheet of the engine t was measured; nothing when it was not.
func (v *viewer) wayOf(t *record.Engine, sheet string) way {
	var places []pattern.Place
	for _, pl := range t.Pattern.Places() {
		if pl.Feature.Sheet == sheet {
			places = append(places, pl)
		}
	}
	w := way{cond: v.mostUsed(t, places)}
	if w.cond == "" {
		return w
	}
	for _, pl := range places {
		for _, c := range v.st.Conditions(t.Holds(pl.At), pl.At) {
			if c != w.cond && !slices.Contains(w.also, c) {
				w.also = append(w.also, c)
			}
		}
		for _, point := range pl.Feature.PointsOf() {
			if s, ok := v.visitTo(t, stop{pl, point}, w.cond); ok {
				w.visits = append(w.visits, s)
			}
		}
	}
	order.By(w.also, record.CompareConditions)
	order.By(w.visits, func(a, b visit) int { return cmp.Or(cmp.Compare(a.when, b.when), cmp.Compare(a.depth, b.depth)) })
	return w
}

// mostUsed is the condition in which most points of the places were measured;
// of equals the one that comes first in the work.
func (v *viewer) mostUsed(t *record.Engine, places []pattern.Place) string {
	count := map[string]int{}
	var conds []string
	for _, pl := range places {
		for _, p := range v.st.Spot(t.Holds(pl.At), pl.At) {
			if !slices.ContainsFunc(p.Readings, stands) {
				continue
			}
			if count[p.Cond]++; count[p.Cond] == 1 {
				conds = append(conds, p.Cond)
			}
		}
	}
	order.By(conds, record.CompareConditions)
	best := ""
	for _, c := range conds {
		if best == "" || count[c] > count[best] {
			best = c
		}
	}
	return best
}

func stands(r record.Reading) bool { return r.Struck == "" }

// visitTo is how one point was come to: measured, or skipped with a reason.
func (v *viewer) visitTo(t *record.Engine, s stop, cond string) (visit, bool) {
	key := t.Holds(s.pl.At)
	rs := slices.Clone(v.st.At(key, s.pl.At, s.point, cond))
	order.By(rs, func(a, b record.Reading) int { return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Depth, b.Depth)) })
	if i := firstKept(rs); i >= 0 {
		out := visit{stop: s, when: rs[i].At, depth: rs[i].Depth}
		for _, r := range rs {
			if stands(r) {
				out.with(r)
			}
		}
		return out, true
	}
	if c, ok := v.skipped(key, s.pl.At, s.point); ok {
		return visit{stop: s, when: c.At, depth: c.Depth, why: c.Why}, true
	}
	return visit{}, false
}

func (s *visit) with(r record.Reading) {
	s.count++
	if r.Instrument != "" && !slices.Contains(s.tools, r.Instrument) {
		s.tools = append(s.tools, r.Instrument)
	}
	if !slices.Contains(s.units, r.Value.Unit) {
		s.units = append(s.units, r.Value.Unit)
	}
}

// firstKept is the first reading that stands or that a later one here put
// right: a slip of the pen mended on Sunday does not move Saturday's walk.
func firstKept(rs []record.Reading) int {
	if !slices.ContainsFunc(rs, stands) {
		return -1
	}
	return slices.IndexFunc(rs, func(r record.Reading) bool {
		return stands(r) || slices.ContainsFunc(rs, func(o record.Reading) bool { return slices.Contains(r.StruckBy, o.ID) })
	})
}

// twinWalk is the walk of the other engine, the chosen sheet first. What was
// not come to there follows at the end of its sheet: nothing is left out.
func (v *viewer) twinWalk(e, t *record.Engine) []stop {
	sheets := e.Pattern.Sheets()
	if i := slices.Index(sheets, v.arg("sheet")); i >= 0 {
		sheets = slices.Concat([]string{sheets[i]}, sheets[:i], sheets[i+1:])
	}
	plain := v.roundBy(e, false)
	var out []stop
	for _, name := range sheets {
		first := len(out)
		for _, s := range v.wayOf(t, name).visits {
			if i := indexOf(plain, s.stop); i >= 0 {
				out = append(out, plain[i])
			}
		}
		for _, s := range plain {
			if s.pl.Feature.Sheet == name && indexOf(out[first:], s) < 0 {
				out = append(out, s)
			}
		}
	}
	return out
}

func indexOf(stops []stop, s stop) int {
	return slices.IndexFunc(stops, func(o stop) bool { return o.pl.At == s.pl.At && o.point == s.point })
}

// twinWay is a sheet as it was measured on the other engine, to do it the same way.
func (v *viewer) twinWay(e *record.Engine, sheet string) jcs.Value {
	t := v.twin(e)
	if t == nil {
		return jcs.Null()
	}
	w := v.wayOf(t, sheet)
	if len(w.visits) == 0 {
		return jcs.Null()
	}
	var tools, units []string
	for _, s := range w.visits {
		for _, k := range s.tools {
			if !slices.Contains(tools, k) {
				tools = append(tools, k)
			}
		}
		for _, u := range s.units {
			if !slices.Contains(units, u) {
				units = append(units, u)
			}
		}
	}
	return jcs.Obj(str("cond", w.cond), str("cond_words", pattern.CondWords(w.cond)), list("also", w.also, condLine), list("tools", tools, v.toolLine),
		jcs.M("units", jcs.Strs(units)), str("start_with", v.toolToStart(e, w)), jcs.M("steps", jcs.Arr(steps(t, w.visits)...)))
}

func (v *viewer) toolLine(key string) jcs.Value {
	what := ""
	for _, i := range v.st.Instruments {
		if i.Key == key {
			what = i.What
		}
	}
	return jcs.Obj(str("key", key), str("what", what))
}

// toolToStart is the instrument of the first point that is still open here.
func (v *viewer) toolToStart(e *record.Engine, w way) string {
	for _, s := range w.visits {
		if len(s.tools) > 0 && !v.answered(e.Holds(s.pl.At), s.pl.At, s.point) {
			return s.tools[0]
		}
	}
	return ""
}

// steps puts the points together that were taken at one place with the same
// instruments, one after the other.
func steps(t *record.Engine, visits []visit) []jcs.Value {
	var out []jcs.Value
	for len(visits) > 0 {
		n := 1
		for n < len(visits) && visits[n].pl.At == visits[0].pl.At && slices.Equal(visits[n].tools, visits[0].tools) {
			n++
		}
		s := visits[0]
		out = append(out, jcs.Obj(str("at", s.pl.At), str("words", t.Pattern.Words(s.pl.At)), str("tool", strings.Join(s.tools, " and ")), list("points", visits[:n], visitPoint)))
		visits = visits[n:]
	}
	return out
}

func visitPoint(s visit) jcs.Value {
	return jcs.Obj(text("point", s.point), text("words", pattern.PointWords(s.point)), num("readings", s.count), str("skipped", s.why))
}

// twinSkip says that the point was skipped on the other engine, and why; only
// while it is missing here, so that the one who comes to it knows.
func (v *viewer) twinSkip(e *record.Engine, at, point string) string {
	t := v.twin(e)
	if t == nil || v.measured(t.Holds(at), at, point) {
		return ""
	}
	c, ok := v.skipped(t.Holds(at), at, point)
	if !ok {
		return ""
	}
	return "skipped on " + cmp.Or(sideWords(t, ""), t.Serial) + ": " + c.Why
}

// twinName is the other engine as it is spoken of: the left engine.
func (v *viewer) twinName(e *record.Engine) string {
	t := v.twin(e)
	if t == nil {
		return ""
	}
	return cmp.Or(sideWords(t, " engine"), "engine "+t.Serial)
}

func sideWords(t *record.Engine, noun string) string {
	if t.Fit.Side == "" || t.Contested {
		return ""
	}
	return "the " + t.Fit.Side + noun
}
