package view

import (
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// result is one result whole: values, working, inputs, cautions.
func (v *viewer) result() (jcs.Value, error) {
	r := v.find(v.arg("id"))
	if r == nil {
		return jcs.Null(), ErrNowhere
	}
	return v.whole(r), nil
}

func (v *viewer) whole(r *result.Res) jcs.Value {
	var engines, inputs []jcs.Value
	for _, serial := range strings.Split(r.Asm, "+") {
		if e, ok := v.st.Engine(serial); ok {
			engines = append(engines, v.tag(e))
		}
	}
	words := v.inputWords()
	for _, id := range r.Inputs {
		inputs = append(inputs, jcs.Obj(str("id", id), str("words", words[id])))
	}
	members := append(lineMembers(r), jcs.M("engines", jcs.Arr(engines...)), list("vals", r.Vals, val), jcs.M("working", jcs.Strs(r.Working)),
		jcs.M("missing", jcs.Strs(r.Missing)), jcs.M("measure", jcs.Arr(v.toMeasure(r)...)), jcs.M("cautions", jcs.Strs(r.Cautions)), jcs.M("mixes", jcs.Strs(r.Mixes)),
		jcs.M("inputs", jcs.Arr(inputs...)), str("calc", r.Calc), str("version", r.Version), jcs.M("decide", v.decideHere(r)))
	return jcs.Obj(members...)
}

// toMeasure are the points that an incomplete result still wants, engine by
// engine, in the order in which the fitter walks.
func (v *viewer) toMeasure(r *result.Res) []jcs.Value {
	if len(r.Missing) == 0 {
		return nil
	}
	var out []jcs.Value
	for _, serial := range strings.Split(r.Asm, "+") {
		e, ok := v.st.Engine(serial)
		if !ok || e.Pattern == nil {
			continue
		}
		var points []jcs.Value
		for _, s := range v.walk(e) {
			i := slices.IndexFunc(r.Wants, func(w result.Want) bool { return w.Asm == serial && w.At == s.pl.At })
			if i >= 0 && !v.has(e, s, r.Wants[i].Cond) {
				points = append(points, v.target(e, s.pl.At, s.point).With("cond", jcs.Str(r.Wants[i].Cond)))
			}
		}
		if len(points) > 0 {
			out = append(out, jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("points", jcs.Arr(points...))))
		}
	}
	return out
}

// has reports whether a point was read in a condition, or skipped with a reason.
func (v *viewer) has(e *record.Engine, s stop, cond string) bool {
	key := e.Holds(s.pl.At)
	for _, p := range v.st.Spot(key, s.pl.At) {
		if p.Point == s.point && p.Cond == cond && slices.ContainsFunc(p.Readings, func(r record.Reading) bool { return r.Struck == "" }) {
			return true
		}
	}
	_, skipped := v.skipped(key, s.pl.At, s.point)
	return skipped
}

func val(x calc.Val) jcs.Value {
	limit, words, page, verdict := "", "", "", word(x.Verdict, x.Close)
	if x.Limit != nil {
		limit, words, page = record.LimitSays(x.Limit.Min, x.Limit.Max), x.Limit.Words, x.Limit.Page
		if x.Verdict == calc.NoLimit && !x.Limit.Accepted {
			verdict = notAccepted
		}
	}
	return jcs.Obj(str("label", x.Label), str("text", x.Text), str("unit", x.Unit), str("u_text", x.UText), jcs.M("verdict", jcs.Str(string(x.Verdict))),
		str("word", verdict), flag("close", x.Close), jcs.M("glyph", x.Glyph.JSON()), str("limit", limit), str("limit_words", words), str("limit_page", page))
}

// inputWords says what each entry is that a result may rest on.
func (v *viewer) inputWords() map[string]string {
	out := map[string]string{}
	for _, p := range v.st.Places {
		for _, r := range p.Readings {
			out[string(r.ID)] = join(r.Value.String(), placeWords(v, p)) + ", " + v.person(r.ReadBy)
		}
	}
	for _, z := range v.st.Zeros {
		out[string(z.ID)] = "zero check of " + z.Instrument + ": " + z.Read.String() + " on " + z.Bar.String()
	}
	v.holdInputs(out)
	v.runInputs(out)
	for _, l := range v.st.Limits {
		out[string(l.ID)] = "limit " + l.Name + ": " + limitSays(l)
	}
	return out
}

func placeWords(v *viewer, p record.Place) string {
	for i := range v.st.Engines {
		if e := &v.st.Engines[i]; e.Pattern != nil && (e.Serial == p.Key || e.Holds(p.At) == p.Key) {
			return v.placeName(e, p.At, p.Point)
		}
	}
	return p.Key + " " + p.At
}

// results are all results, by engine.
func (v *viewer) results() jcs.Value {
	var engines, both, twins []jcs.Value
	for _, e := range v.inOrder() {
		if a := v.arg("asm"); a != "" && a != e.Serial {
			continue
		}
		var lines []jcs.Value
		for i := range v.rs {
			if v.rs[i].Asm == e.Serial {
				lines = append(lines, v.line(&v.rs[i]))
			}
		}
		engines = append(engines, jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("lines", jcs.Arr(lines...))))
	}
	for i := range v.rs {
		switch r := &v.rs[i]; {
		case r.Calc == "twin":
			twins = append(twins, v.line(r))
		case strings.Contains(r.Asm, "+"):
			both = append(both, v.line(r))
		}
	}
	return jcs.Obj(jcs.M("engines", jcs.Arr(engines...)), jcs.M("both", jcs.Arr(both...)), jcs.M("twins", jcs.Arr(twins...)))
}
