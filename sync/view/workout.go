package view

import (
	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// calcs lists every calculation, group by group, to work something out by hand.
func (v *viewer) calcs() jcs.Value {
	var out []jcs.Value
	for _, group := range calc.Groups() {
		for _, s := range calc.Registry() {
			if about := s.About(); about.Group == group {
				out = append(out, jcs.Obj(text("name", s.Name), text("title", s.Title), text("group", group), text("formula", about.Formula)))
			}
		}
	}
	return jcs.Obj(jcs.M("calcs", jcs.Arr(out...)))
}

// workout is one calculation on figures that somebody typed: what goes in, and
// what comes out. Nothing of it is in the record.
func (v *viewer) workout() (jcs.Value, error) {
	spec, ok := calc.Find(v.arg("name"))
	if !ok {
		return jcs.Null(), ErrUnknown
	}
	in, err := calc.FromJSON(v.args.Get("in"))
	if err != nil {
		return jcs.Null(), err
	}
	r := spec.Run(in)
	return jcs.Obj(text("name", spec.Name), text("title", spec.Title), list("needs", spec.Needs, needed),
		text("verdict", string(r.Verdict)), text("word", word(r.Verdict, r.Close)), text("says", r.Says), list("vals", r.Vals, val),
		jcs.M("working", jcs.Strs(r.Working)), jcs.M("missing", jcs.Strs(r.Missing)), jcs.M("cautions", jcs.Strs(r.Cautions)),
		text("formula", spec.About().Formula), text("source", spec.About().Source), str("version", r.Version)), nil
}

// needed is an input with the units that it may be written in.
func needed(n calc.Need) jcs.Value {
	return jcs.Obj(text("name", n.Name), text("label", n.Label), text("kind", n.Kind), flag("optional", n.Optional),
		list("units", unitsFor(n.Unit), unitLine))
}

func unitLine(u quantity.Unit) jcs.Value {
	return jcs.Obj(text("code", u.Code), text("symbol", u.Symbol))
}

// unitsFor lists the units of a kind, the workshop's usual ones first as the
// table has them; of any kind, all.
func unitsFor(kind string) []quantity.Unit {
	if kind == "1" {
		kind = string(quantity.One)
	}
	var out []quantity.Unit
	for _, u := range quantity.Units() {
		if kind == "any" || string(u.Dim) == kind || kind == heldUnits && (u.Dim == quantity.Pressure || u.Dim == quantity.Fall || u.Dim == quantity.Flow) {
			out = append(out, u)
		}
	}
	return out
}
