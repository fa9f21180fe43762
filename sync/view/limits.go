package view

import (
	"slices"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// limits is what can be limited on each engine type: what is set, the units to
// write it in, and, where nothing is set, what common practice offers.
func (v *viewer) limits() jcs.Value {
	return jcs.Obj(v.limitsSet(), list("types", v.st.Patterns, func(s record.Sheet) jcs.Value {
		if s.Pattern == nil {
			return jcs.Obj(text("key", s.Key), text("name", s.Key), jcs.M("limits", jcs.Arr()))
		}
		return jcs.Obj(text("key", s.Key), text("name", s.Pattern.Name), v.ofType(s.Key), list("limits", v.limitsOf(s), func(l result.LimitOf) jcs.Value {
			return v.limitOf(s, l)
		}))
	}))
}

// limitsSet are the limits that stand, by whose they are: another one of the
// same name takes the place of the one that stands.
func (v *viewer) limitsSet() jcs.Member {
	return list("set", v.st.Limits, func(l record.Limit) jcs.Value {
		return jcs.Obj(text("limit", l.Name), str("asm", l.Asm), str("pattern", l.Pattern), text("id", string(l.ID)), text("says", limitSays(l)), text("words", l.Words))
	})
}

// ofType are the engines of a type: a limit may be for one of them alone.
func (v *viewer) ofType(key string) jcs.Member {
	var out []jcs.Value
	for _, e := range v.inOrder() {
		if e.Type == key {
			out = append(out, v.tag(e))
		}
	}
	return jcs.M("engines", jcs.Arr(out...))
}

// limitsOf is what can be limited on a type, places first, then runs, then hold tests; what a
// sheet names itself is listed once.
func (v *viewer) limitsOf(s record.Sheet) []result.LimitOf {
	out := result.Limits(s.Pattern)
	for _, l := range append(result.BenchLimits(result.Stations(v.st)), v.holdLimitsOf(s.Key)...) {
		if !slices.ContainsFunc(out, func(o result.LimitOf) bool { return o.Names[0] == l.Names[0] }) {
			out = append(out, l)
		}
	}
	return out
}

func (v *viewer) limitOf(s record.Sheet, l result.LimitOf) jcs.Value {
	members := []jcs.Member{text("name", l.Names[0]), text("words", l.Words), list("units", usualFirst(unitsFor(l.Unit), l.Usual), unitLine)}
	if l.Unit == heldUnits { // it may ask for a pressure
		members = append(members, list("pressures", usualFirst(unitsFor(string(quantity.Pressure)), l.Usual), unitLine))
	}
	for _, n := range l.Names {
		if set, ok := v.st.Limit(n, "", s.Key); ok {
			return jcs.Obj(append(members, text("says", limitSays(set)))...)
		}
	}
	if p, ok := result.PracticeFor(s.Pattern, l.Names[0]); ok {
		body := jcs.Obj(text("limit", l.Names[0]), text("pattern", s.Key), opt("min", p.Min), opt("max", p.Max), text("judged", "read"), text("words", p.Words))
		members = append(members, jcs.M("offer", jcs.Obj(text("says", record.LimitSays(p.Min, p.Max)), text("words", p.Words), jcs.M("body", body))))
	}
	return jcs.Obj(members...)
}

// usualFirst puts the unit of a place before the others of its kind.
func usualFirst(units []quantity.Unit, usual string) []quantity.Unit {
	i := slices.IndexFunc(units, func(u quantity.Unit) bool { return u.Code == usual })
	if i < 1 {
		return units
	}
	first := units[i] // before the others close up
	return append([]quantity.Unit{first}, slices.Delete(units, i, i+1)...)
}

// limitTitles are what limits are of, in the words of the sheets: by the
// type's key and the limit's name, and by "" and the name for any type.
type limitTitles map[[2]string]string

func (v *viewer) limitTitles() limitTitles {
	out := limitTitles{}
	for _, s := range v.st.Patterns {
		if s.Pattern == nil {
			continue
		}
		for _, of := range v.limitsOf(s) {
			for _, n := range of.Names {
				out[[2]string{s.Key, n}] = of.Words
				out[[2]string{"", n}] = of.Words
			}
		}
	}
	return out
}

// of is the title of a limit; of one that no sheet has, as of a hold test, its
// name.
func (t limitTitles) of(v *viewer, l record.Limit) string {
	key := l.Pattern
	if e, ok := v.st.Engine(l.Asm); ok {
		key = e.Type
	}
	if words, ok := t[[2]string{key, l.Name}]; ok {
		return words
	}
	return l.Name
}
