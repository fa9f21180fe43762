package view

import (
	"cmp"
	"math"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// say reads a value as it is being typed: how it will be read back, what is
// wrong with it, or what to ask before it is kept. It never refuses to record
// a value that can be read.
func (v *viewer) say() jcs.Value {
	w := quantity.Written{Text: v.arg("t"), To: v.arg("to"), Unit: v.arg("u"), Is: v.arg("is")}
	if cell := v.arg("cell"); cell != "" { // all in one, as on a keyboard or in a list
		var why string
		if w, why = quantity.Typed(cell, w.Unit); why != "" {
			return jcs.Obj(yes("ok", false), text("text", w.Text), str("error", why))
		}
	}
	q, err := quantity.Parse(w)
	if err != nil {
		return jcs.Obj(yes("ok", false), text("text", w.Text), str("error", err.Error()))
	}
	question := ""
	if e, ok := v.st.Engine(v.arg("asm")); ok && e.Pattern != nil {
		question = v.question(e, q)
	}
	return jcs.Obj(yes("ok", true), text("text", w.String()), str("question", question), jcs.M("value", calc.WrittenJSON(w)))
}

// question asks when a value fits neither the nominal size nor what was read
// here before, or when it fits the twin better than its own history. The
// twin's figure is never said.
func (v *viewer) question(e *record.Engine, q quantity.Q) string {
	at, point, cond := v.arg("at"), v.arg("point"), v.arg("cond")
	pl, ok := e.Pattern.Find(at)
	if !ok {
		return ""
	}
	if u, ok := quantity.Lookup(pl.Feature.Unit); ok && u.Dim != q.Unit.Dim {
		return "this is measured in " + u.Symbol + " as a rule: is " + q.Unit.Symbol + " right?"
	}
	own := v.values(e, at, point, cond)
	refs := own
	if w, ok := e.Pattern.Nominal[pl.Feature.Size]; ok {
		if n, err := quantity.Parse(w); err == nil {
			refs = append(refs, n.SI)
		}
	}
	// A slipped point is asked first: no instrument reads it either.
	if ask := cmp.Or(askPoint(q, refs), v.askTool(q)); ask != "" {
		return ask
	}
	if len(refs) > 0 && far(q, refs) {
		if t := v.twin(e); t != nil && len(own) > 0 && !far(q, v.values(t, at, point, cond)) {
			return "this fits " + t.Serial + " better than " + e.Serial + ": is it still " + e.Serial + " that you are measuring?"
		}
		return "this fits neither the nominal size nor what was read here before: read it once more, and the thimble's half millimetre"
	}
	return ""
}

// askPoint asks when a value would belong here with its point moved.
func askPoint(q quantity.Q, refs []float64) string {
	if q.Unit.Dim == quantity.Temperature || len(refs) == 0 || !far(q, refs) {
		return ""
	}
	for _, slip := range []struct {
		by    float64
		words string
	}{{10, "10 times"}, {100, "100 times"}, {1000, "1000 times"}, {0.1, "a tenth of"}, {0.01, "a hundredth of"}, {0.001, "a thousandth of"}} {
		moved := q
		moved.SI /= slip.by
		if !far(moved, refs) {
			return "this is about " + slip.words + " what belongs here: has the point slipped?"
		}
	}
	return ""
}

// values are the standing readings of a point, SI.
func (v *viewer) values(e *record.Engine, at, point, cond string) []float64 {
	var out []float64
	for _, r := range v.st.At(e.Holds(at), at, point, cond) {
		if q, err := quantity.Parse(r.Value); err == nil && r.Struck == "" {
			out = append(out, q.SI)
		}
	}
	return out
}

// far reports whether a value is far from all of some: by more than 0.3 mm, or
// half of a small size; for what is not a length, by more than a fifth.
func far(q quantity.Q, refs []float64) bool {
	for _, r := range refs {
		reach := math.Abs(r) * 0.2
		if q.Unit.Dim == quantity.Length {
			reach = math.Min(0.3e-3, math.Abs(r)*0.5)
		}
		if math.Abs(q.SI-r) <= reach {
			return false
		}
	}
	return true
}
