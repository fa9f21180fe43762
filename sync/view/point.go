package view

import (
	"cmp"
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// point is one point of a place: what was read there, what may be read next,
// and the twin's readings, hidden until one's own is kept or asked for.
func (v *viewer) point() (jcs.Value, error) {
	e, err := v.theEngine()
	if err != nil {
		return jcs.Null(), err
	}
	at, point := v.arg("at"), v.arg("point")
	pl, ok := e.Pattern.Find(at)
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	conds := v.condsOf(e, at)
	cond := v.arg("cond")
	if cond == "" {
		cond = conds[0]
		if have := v.st.Conditions(e.Holds(at), at); len(have) > 0 {
			cond = have[len(have)-1]
		}
	}
	blind := v.blind(e, at, point, cond)
	own, hidden := v.own(e, at, point, cond, blind)
	return jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("of", of(e, at, point)), str("words", e.Pattern.Words(at)), text("point_words", pattern.PointWords(point)), jcs.M("shops", jcs.Strs(v.shopsAt(e, at))),
		str("unit", pl.Feature.Unit), str("nominal", nominal(e, pl)), str("cond", cond), list("conds", conds, condLine), v.pointsOf(e, pl), v.instruments(e, pl), jcs.M("point_help", jcs.Strs(e.Pattern.PointHelp(pl.Feature))),
		yes("blind", blind), jcs.M("own", jcs.Arr(own...)), num("hidden", hidden), jcs.M("twin", v.twinReadings(e, at, point, cond, standing(own))),
		v.resultLines(e, at, blind), jcs.M("next", v.next(e, at, point)), v.skips(e, at, point), v.notesAt(e, at), v.photosAt(e, at), v.voicesAt(e, at), num("snags", v.snagsAt(e, at)), str("lead", v.leadDigits(e, at, point, cond, blind))), nil
}

func nominal(e *record.Engine, pl pattern.Place) string {
	if w, ok := e.Pattern.Nominal[pl.Feature.Size]; ok && pl.Feature.Size != "" {
		return w.String()
	}
	return ""
}

func condLine(c string) jcs.Value { return jcs.Obj(str("cond", c), str("words", pattern.CondWords(c))) }

// condsOf offers the conditions that are used here, and the plain ones.
func (v *viewer) condsOf(e *record.Engine, at string) []string {
	conds := append([]string{"found", "machined:1", "built"}, v.st.Conditions(e.Holds(at), at)...)
	conds = append(conds, v.trials()...)
	order.By(conds, record.CompareConditions)
	return slices.Compact(conds)
}

func (v *viewer) pointsOf(e *record.Engine, pl pattern.Place) jcs.Member {
	return list("points", pl.Feature.PointsOf(), func(p string) jcs.Value {
		return jcs.Obj(text("point", p), text("words", pattern.PointWords(p)), yes("done", v.measured(e.Holds(pl.At), pl.At, p)), v.isSkipped(e.Holds(pl.At), pl.At, p))
	})
}

// blind: the lead asked for a check reading here, of this person or of
// anybody, and it has not been given.
func (v *viewer) blind(e *record.Engine, at, point, cond string) bool {
	me := v.arg("me")
	return slices.ContainsFunc(v.st.Asks, func(a record.Ask) bool {
		return !a.Answered && a.Of.Asm == e.Serial && a.Of.At == at && a.Of.Point == point && a.Cond == cond && (a.Who == "" || a.Who == me)
	})
}

// unseen: the lead asked for a check reading at what a result rests on, of this person or of whoever reads next, and it is
// not kept yet: the result would tell what it should be. Who asked for it sees it.
func (v *viewer) unseen(r *result.Res) bool {
	me := v.arg("me")
	return slices.ContainsFunc(v.st.Asks, func(a record.Ask) bool {
		return !a.Answered && slices.Contains(strings.Split(r.Asm, "+"), a.Of.Asm) && (a.Of.At == r.At || strings.HasPrefix(a.Of.At, r.At+".")) &&
			(a.Who == me || a.Who == "" && a.By != me)
	})
}

// hiddenWords stand where a result would.
const hiddenWords = "hidden until your check reading is kept"

// own is what was read at the point; while a check reading is asked for, only
// what this person read, and how many others are hidden.
func (v *viewer) own(e *record.Engine, at, point, cond string, blind bool) (out []jcs.Value, hidden int) {
	for _, r := range v.st.At(e.Holds(at), at, point, cond) {
		if blind && r.ReadBy != v.arg("me") {
			hidden++
			continue
		}
		out = append(out, v.reading(r))
	}
	// What stands comes first: it is what one looks for, and what can be corrected.
	slices.SortStableFunc(out, func(x, y jcs.Value) int {
		return cmp.Compare(min(1, len(x.Get("actions").Items())), min(1, len(y.Get("actions").Items()))) * -1
	})
	return out, hidden
}

// standing reports whether some reading of these is not struck.
func standing(own []jcs.Value) bool {
	return slices.ContainsFunc(own, func(r jcs.Value) bool { return r.Get("state").Text() != "struck" })
}

func (v *viewer) reading(r record.Reading) jcs.Value {
	state, actions := "stands", []string{"correct", "withdraw"}
	switch {
	case r.Struck != "":
		state, actions = "struck", nil
	case r.Contest != "":
		state = "contested"
	}
	return jcs.Obj(str("id", string(r.ID)), str("text", r.Value.String()), jcs.M("value", calc.WrittenJSON(r.Value)), text("by", v.person(r.ReadBy)), str("taker", r.ReadBy),
		text("at", r.At), str("when", r.When), str("tool", r.Instrument), str("zero", zeroWords(r)), str("note", r.Note), str("state", state), str("why", why(r)),
		flag("blind", r.Blind), str("contest", r.Contest), jcs.M("actions", jcs.Strs(actions)))
}

func why(r record.Reading) string {
	switch {
	case r.Struck != "":
		return r.Struck
	case len(r.Waits) > 0:
		return "waits for an entry that has not arrived"
	case r.NeedsNewer:
		return "replaced by an entry that needs a newer version"
	}
	return ""
}

func zeroWords(r record.Reading) string {
	switch r.ZeroHow {
	case "own":
		return "zero checked"
	case "applied":
		return "zero check applied later"
	case "none":
		return "zero not checked"
	case "withdrawn":
		return "its zero check was withdrawn"
	}
	return ""
}

// twinReadings are those of the other engine at the same point.
func (v *viewer) twinReadings(e *record.Engine, at, point, cond string, kept bool) jcs.Value {
	t := v.twin(e)
	if t == nil {
		return jcs.Null()
	}
	var out []jcs.Value
	for _, r := range v.st.At(t.Holds(at), at, point, cond) {
		if r.Struck == "" {
			out = append(out, v.reading(r))
		}
	}
	if len(out) == 0 {
		return jcs.Null()
	}
	hidden := !kept && !v.args.Get("shown").IsTrue()
	count := len(out)
	if hidden {
		out = nil
	}
	return jcs.Obj(jcs.M("engine", v.tag(t)), num("count", count), yes("hidden", hidden), jcs.M("readings", jcs.Arr(out...)))
}

// resultLines are the results of the place; none while a reading is blind, for
// they would tell what it should be.
func (v *viewer) resultLines(e *record.Engine, at string, blind bool) jcs.Member {
	var out []jcs.Value
	if !blind {
		for _, r := range v.resultsAt(e.Serial, at) {
			out = append(out, v.line(r))
		}
	}
	return jcs.M("results", jcs.Arr(out...))
}

// leadDigits are the figures that stand faint on the pad: those of the last
// own reading less its last three.
func (v *viewer) leadDigits(e *record.Engine, at, point, cond string, blind bool) string {
	if blind {
		return ""
	}
	rs := v.st.At(e.Holds(at), at, point, cond)
	if len(rs) == 0 {
		return ""
	}
	t := rs[len(rs)-1].Value.Text
	if len(t) <= 3 || !strings.Contains(t[:len(t)-3], ".") {
		return ""
	}
	return t[:len(t)-3]
}

func (v *viewer) notesAt(e *record.Engine, at string) jcs.Member {
	var out []jcs.Value
	for _, n := range v.st.Notes {
		if n.Of.Asm == e.Serial && n.Of.At == at {
			out = append(out, jcs.Obj(str("id", string(n.ID)), text("text", n.Text), text("by", v.person(n.By)), text("at", n.At)))
		}
	}
	return jcs.M("notes", jcs.Arr(out...))
}

func (v *viewer) photosAt(e *record.Engine, at string) jcs.Member {
	var out []jcs.Value
	for _, p := range v.st.Photos {
		if p.Of.Asm == e.Serial && p.Of.At == at {
			out = append(out, v.photo(p, true).With("marked", jcs.Opt(v.marked(p))))
		}
	}
	return jcs.M("photos", jcs.Arr(out...))
}

func (v *viewer) photo(p *record.Photo, people bool) jcs.Value {
	where, by := "", ""
	if e, ok := v.st.Engine(p.Of.Asm); ok && e.Pattern != nil {
		where = join(e.Serial, e.Pattern.Words(p.Of.At))
	}
	if people {
		by = v.person(p.By)
	}
	return jcs.Obj(str("id", string(p.ID)), str("sha", p.SHA), str("caption", p.Caption), str("by", by), text("at", p.At), text("where", where), str("asm", p.Of.Asm))
}
