package view

import (
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// state is how far a place is and what its results say.
type state struct {
	verdict     calc.Verdict
	close       bool
	done, total int
	glyph       calc.Glyph
	contested   bool
}

func (s state) word() string {
	switch {
	case s.contested:
		return "readings differ"
	case s.done == 0:
		return "not measured"
	case s.verdict == calc.NoLimit && s.done < s.total:
		return "begun"
	case s.verdict == calc.NoLimit:
		return "measured"
	}
	return word(s.verdict, s.close)
}

// stateOf works out a place's state over all its points and conditions.
func (v *viewer) stateOf(e *record.Engine, pl pattern.Place) state {
	s := state{glyph: calc.Glyph{Lo: -1, Hi: -1, Val: 500}}
	key := e.Holds(pl.At)
	for _, point := range pl.Feature.PointsOf() {
		s.total++
		if v.answered(key, pl.At, point) {
			s.done++
		}
	}
	if s.done == 0 && len(v.st.Conditions(key, pl.At)) == 0 {
		return s
	}
	for _, r := range v.resultsAt(e.Serial, pl.At) {
		if r.At == "gasket" && !strings.HasPrefix(pl.At, "gasket.") || !v.latest(r.ID) {
			continue // what a later condition has overtaken is history, not state
		}
		if w := calc.Worse(s.verdict, r.Verdict); w != s.verdict || s.glyph.Lo < 0 && s.glyph.Hi < 0 {
			s.verdict, s.close, s.glyph = w, r.Close, glyphOf(r)
		}
	}
	for _, p := range v.st.Spot(key, pl.At) {
		for _, r := range p.Readings {
			s.contested = s.contested || r.Contest != ""
		}
	}
	if s.contested {
		s.verdict = calc.Contested
	}
	return s
}

// measured reports whether a point was read in any condition, and stands.
func (v *viewer) measured(key, at, point string) bool {
	for _, p := range v.st.Spot(key, at) {
		if p.Point == point && slices.ContainsFunc(p.Readings, func(r record.Reading) bool { return r.Struck == "" }) {
			return true
		}
	}
	return false
}

// engine is the map of an engine and the list of the same places.
func (v *viewer) engine() (jcs.Value, error) {
	e, err := v.theEngine()
	if err != nil {
		return jcs.Null(), err
	}
	var places []jcs.Value
	states := map[string]draw.State{}
	for _, pl := range e.Pattern.Places() {
		s := v.stateOf(e, pl)
		words := e.Pattern.Words(pl.At)
		states[pl.At] = draw.State{Word: s.word(), Class: class(s), Words: words}
		places = append(places, jcs.Obj(str("at", pl.At), str("words", words), str("short", short(pl)), jcs.M("verdict", jcs.Str(string(s.verdict))),
			str("word", s.word()), num("done", s.done), num("total", s.total), jcs.M("glyph", s.glyph.JSON()), str("sheet", pl.Feature.Sheet)))
	}
	return jcs.Obj(jcs.M("engine", v.tag(e)), str("where", v.arg("where")), str("svg", v.drawing(e, v.arg("where"), true, states)),
		jcs.M("places", jcs.Arr(places...)), jcs.M("twin", v.twinTag(e)), str("end1", e.Pattern.End1), str("end2", e.Pattern.End2)), nil
}

func (v *viewer) drawing(e *record.Engine, where string, live bool, states map[string]draw.State) string {
	return draw.Engine(draw.Map{Pattern: e.Pattern, Serial: e.Serial, Name: e.Name, Band: e.Band, Where: v.where(e), From: where,
		Number1: v.st.Numbering.End1, Live: live, States: states})
}

// class is the state as the style sheet knows it.
func class(s state) string {
	switch {
	case s.contested:
		return "contested"
	case s.done == 0:
		return "empty"
	case s.verdict == calc.NoLimit:
		return "measured"
	}
	return strings.ReplaceAll(string(s.verdict), " ", "-")
}

func short(pl pattern.Place) string {
	if pl.N == "" {
		return pl.At
	}
	return pl.N
}

// twin is the other engine of the same type.
func (v *viewer) twin(e *record.Engine) *record.Engine {
	for i := range v.st.Engines {
		if t := &v.st.Engines[i]; t.Serial != e.Serial && t.Type == e.Type && t.Pattern != nil {
			return t
		}
	}
	return nil
}

func (v *viewer) twinTag(e *record.Engine) jcs.Value {
	if t := v.twin(e); t != nil {
		return v.tag(t)
	}
	return jcs.Null()
}

// sheet is what an engine needs measured, in the order of the walk.
func (v *viewer) sheet() (jcs.Value, error) {
	e, err := v.theEngine()
	if err != nil {
		return jcs.Null(), err
	}
	var groups []jcs.Value
	for _, name := range e.Pattern.Sheets() {
		groups = append(groups, v.sheetGroup(e, name))
	}
	return jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("groups", jcs.Arr(groups...)), jcs.M("next", v.next(e, "", "")), str("twin", v.twinName(e))), nil
}

// tally counts the points of a sheet, and those that were read or passed over with a reason.
func (v *viewer) tally(e *record.Engine, sheet string) (done, total int) {
	for _, pl := range e.Pattern.Places() {
		if pl.Feature.Sheet != sheet {
			continue
		}
		for _, point := range pl.Feature.PointsOf() {
			total++
			if v.answered(e.Holds(pl.At), pl.At, point) {
				done++
			}
		}
	}
	return done, total
}

func (v *viewer) sheetGroup(e *record.Engine, name string) jcs.Value {
	done, total := v.tally(e, name)
	var places []jcs.Value
	for _, pl := range e.Pattern.Places() {
		if pl.Feature.Sheet != name {
			continue
		}
		var points []jcs.Value
		for _, point := range pl.Feature.PointsOf() {
			points = append(points, v.sheetPoint(e, pl, point))
		}
		places = append(places, jcs.Obj(str("at", pl.At), str("words", e.Pattern.Words(pl.At)), jcs.M("points", jcs.Arr(points...))))
	}
	return jcs.Obj(str("sheet", name), num("done", done), num("total", total), jcs.M("places", jcs.Arr(places...)), jcs.M("way", v.twinWay(e, name)))
}

func (v *viewer) sheetPoint(e *record.Engine, pl pattern.Place, point string) jcs.Value {
	key := e.Holds(pl.At)
	words, by, st := "", "", "missing"
	if c, ok := v.skipped(key, pl.At, point); ok {
		words, by, st = c.Why, v.person(c.By), "skipped"
	}
	if r := v.lastRead(key, pl.At, point); r != nil {
		words, by, st = r.Value.String(), v.person(r.ReadBy), "done"
		if r.Contest != "" {
			st = "contested"
		}
	}
	there := ""
	if st == "missing" {
		there = v.twinSkip(e, pl.At, point)
	}
	return jcs.Obj(text("point", point), text("words", pattern.PointWords(point)), text("text", words), text("by", by), str("state", st), str("there", there))
}

// lastRead is the last reading of a point that stands, in the last condition that it was read in; nil if there is none.
func (v *viewer) lastRead(key, at, point string) *record.Reading {
	var last *record.Reading
	for _, cond := range v.st.Conditions(key, at) {
		rs := v.st.At(key, at, point, cond)
		for i := range rs {
			if rs[i].Struck == "" {
				last = &rs[i]
			}
		}
	}
	return last
}

func (v *viewer) target(e *record.Engine, at, point string) jcs.Value {
	words := e.Pattern.Words(at)
	if point != "" {
		words += ", " + pattern.PointWords(point)
	}
	return jcs.Obj(str("asm", e.Serial), str("at", at), text("point", point), str("words", words))
}
