package view

import (
	"slices"
	"strings"

	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// paper is a sheet for those who won't use a phone: every place of it with its points, in the sheet's order, to be printed
// blank and keyed in at the desk afterwards. The same rows serve both, so that the eye goes down one and the hand down the
// other. Without a sheet named it lists those that there are.
func (v *viewer) paper() (jcs.Value, error) {
	e, err := v.theEngine()
	if err != nil {
		return jcs.Null(), err
	}
	cond := v.arg("cond")
	if cond == "" {
		cond = "found"
	}
	sheet := v.arg("sheet")
	var tables []jcs.Value
	n := 0
	for _, row := range sheetRows(e.Pattern, sheet) {
		tables = append(tables, v.paperTable(e, row, cond, &n))
	}
	svg := ""
	if len(tables) > 0 {
		svg = v.drawing(e, "", false, map[string]draw.State{})
	}
	return jcs.Obj(jcs.M("engine", v.tag(e)), text("title", v.st.Job.Title), jcs.M("numbering", v.numbering()), str("sheet", sheet),
		list("sheets", e.Pattern.Sheets(), func(s string) jcs.Value {
			return jcs.Obj(str("sheet", s), jcs.M("stages", jcs.Strs(v.stagesOf(s))))
		}),
		str("cond", cond), str("cond_words", pattern.CondWords(cond)), list("conds", v.paperConds(), condLine), str("svg", svg),
		str("end1", e.Pattern.End1), str("end2", e.Pattern.End2), num("rows", n), jcs.M("tables", jcs.Arr(tables...))), nil
}

// paperConds are the conditions that are used in this job, and the plain ones.
func (v *viewer) paperConds() []string {
	conds := append([]string{"found", "machined:1", "built"}, v.trials()...)
	for _, p := range v.st.Places {
		if !slices.Contains(conds, p.Cond) {
			conds = append(conds, p.Cond)
		}
	}
	order.By(conds, record.CompareConditions)
	return slices.Compact(conds)
}

// stagesOf are the titles of the stages that wait for a sheet.
func (v *viewer) stagesOf(sheet string) []string {
	var out []string
	for _, s := range v.st.Stages {
		if s.Hold != nil && slices.ContainsFunc(s.Hold.Wants, func(w record.Want) bool { return w.Of == sheet }) {
			out = append(out, s.Title)
		}
	}
	return out
}

// sheetRows are the places of a sheet, those of one feature together.
func sheetRows(p *pattern.Pattern, sheet string) [][]pattern.Place {
	var out [][]pattern.Place
	for _, pl := range p.Places() {
		switch k := len(out) - 1; {
		case pl.Feature.Sheet != sheet:
		case k >= 0 && out[k][0].Feature == pl.Feature:
			out[k] = append(out[k], pl)
		default:
			out = append(out, []pattern.Place{pl})
		}
	}
	return out
}

// paperTable is one feature: a row for each place, a column for each point. n counts the rows of the whole sheet.
func (v *viewer) paperTable(e *record.Engine, row []pattern.Place, cond string, n *int) jcs.Value {
	f := row[0].Feature
	points := f.PointsOf()
	return jcs.Obj(str("title", featureWords(f)), text("unit", f.Unit), list("units", unitsLike(f.Unit), unitLine), str("nominal", nominal(e, row[0])),
		list("points", points, func(p string) jcs.Value {
			return jcs.Obj(text("point", p), text("words", pattern.PointWords(p)))
		}),
		list("rows", row, func(pl pattern.Place) jcs.Value {
			*n++
			return jcs.Obj(num("n", *n), str("at", pl.At), str("short", short(pl)), str("words", e.Pattern.Words(pl.At)), list("cells", points, func(p string) jcs.Value {
				return jcs.Obj(text("point", p), jcs.M("of", ofOn(e, pl.At, p, v.arg("day"))), jcs.M("have", jcs.Strs(v.standing(e, pl.At, p, cond))))
			}))
		}))
}

// featureWords is what a feature is called without the number of a place.
func featureWords(f *pattern.Feature) string {
	return strings.Join(strings.Fields(strings.NewReplacer("{n}", "", "{m}", "").Replace(f.Words)), " ")
}

// standing is what was read at a point in that condition and stands; nothing while a check reading is asked for, which is
// taken unseen.
func (v *viewer) standing(e *record.Engine, at, point, cond string) []string {
	var out []string
	if v.blind(e, at, point, cond) {
		return out
	}
	for _, r := range v.st.At(e.Holds(at), at, point, cond) {
		if r.Struck == "" {
			out = append(out, r.Value.String())
		}
	}
	return out
}

// unitsLike are the units of the same kind as one.
func unitsLike(unit string) []quantity.Unit {
	u, ok := quantity.Lookup(unit)
	if !ok {
		return nil
	}
	return unitsFor(string(u.Dim))
}
