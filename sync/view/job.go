package view

import (
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

func (v *viewer) job() jcs.Value {
	st := v.st
	return jcs.Obj(
		text("title", st.Job.Title), str("vehicle", st.Job.Vehicle), jcs.M("numbering", v.numbering()), v.engines("engines"),
		list("people", st.People, func(p record.Person) jcs.Value {
			return jcs.Obj(str("id", string(p.ID)), str("key", p.Key), str("name", p.Name), str("role", p.Role))
		}),
		list("instruments", st.Instruments, v.instrument), v.joints(), list("types", st.Patterns, typeLine),
		list("parts", st.Parts, func(p record.Part) jcs.Value {
			return jcs.Obj(str("part", p.Key), text("what", p.What), str("state", p.State), str("asm", p.Asm))
		}),
		v.limitLines(), list("decisions", st.Decisions, v.decision), list("machinists", st.Numbering.Machinists, func(m record.Machinist) jcs.Value { return jcs.Str(m.Name) }),
		list("unusable", st.Unusable, func(b record.Bad) jcs.Value {
			return jcs.Obj(str("id", string(b.ID)), str("why", b.Why), text("by", v.person(b.By)), str("what", b.Kind))
		}),
		num("entries", st.Entries), num("readings", v.readings()), num("newer", len(st.NeedsNewer)), num("forks", st.Forks), jcs.M("trials", jcs.Strs(v.trials())))
}

// readings counts those that stand.
func (v *viewer) readings() int {
	n := 0
	for _, p := range v.st.Places {
		for _, r := range p.Readings {
			if r.Struck == "" {
				n++
			}
		}
	}
	return n
}

func typeLine(s record.Sheet) jcs.Value {
	name := s.Key
	if s.Pattern != nil {
		name = s.Pattern.Name
	}
	return jcs.Obj(str("key", s.Key), str("name", name), str("why", s.Why))
}

func (v *viewer) numbering() jcs.Value {
	n := v.st.Numbering
	if n.Name == "" {
		return jcs.Null()
	}
	machinists, counts := record.Shops(n.Machinists)
	return jcs.Obj(str("id", string(n.ID)), list("shops", n.Machinists, v.shop), jcs.M("machinists", jcs.Arr(machinists...)), jcs.M("counts", jcs.Arr(counts...)), str("name", n.Name), str("end1", n.End1), str("end2", n.End2), str("facing", n.Facing), str("left", n.Left), str("right", n.Right))
}

// shop is one that counts otherwise, in words, with the groups that it does.
func (v *viewer) shop(m record.Machinist) jcs.Value {
	return jcs.Obj(text("name", m.Name), text("says", Counts(v.st, m)), list("counts", m.Counts, func(c record.Count) jcs.Value {
		return jcs.Obj(text("of", c.Of), text("says", countSays(countedOn(v.st), c)))
	}))
}

func (v *viewer) engines(key string) jcs.Member {
	var tags []jcs.Value
	for _, e := range v.inOrder() {
		tags = append(tags, v.tag(e))
	}
	return jcs.M(key, jcs.Arr(tags...))
}

// inOrder is the engines as they are drawn: the left one left.
func (v *viewer) inOrder() []*record.Engine {
	var left, rest, right []*record.Engine
	for i := range v.st.Engines {
		switch e := &v.st.Engines[i]; e.Fit.Side {
		case "left":
			left = append(left, e)
		case "right":
			right = append(right, e)
		default:
			rest = append(rest, e)
		}
	}
	return append(append(left, rest...), right...)
}

func (v *viewer) instrument(i record.Instrument) jcs.Value {
	zero := jcs.Null()
	for _, z := range v.st.Zeros {
		if z.Instrument == i.Key {
			zero = jcs.Obj(str("id", string(z.ID)), str("text", "read "+z.Read.String()+" on "+z.Bar.String()), str("at", z.At))
		}
	}
	return jcs.Obj(str("id", string(i.ID)), str("key", i.Key), str("what", i.What), jcs.M("res", calc.WrittenJSON(i.Res)), str("due", i.Due), jcs.M("zero", zero))
}

func (v *viewer) joints() jcs.Member {
	var out []jcs.Value
	for i := range v.st.Engines {
		e := &v.st.Engines[i]
		if e.Pattern == nil {
			continue
		}
		for _, j := range e.Pattern.Joints {
			out = append(out, jcs.Obj(str("asm", e.Serial), str("joint", j.Joint), str("words", j.Words)))
		}
	}
	return jcs.M("joints", jcs.Arr(out...))
}

func (v *viewer) limitLines() jcs.Member {
	titles := v.limitTitles()
	return list("limits", v.st.Limits, func(l record.Limit) jcs.Value { return v.limitLine(l, titles.of(v, l)) })
}

func (v *viewer) limitLine(l record.Limit, title string) jcs.Value {
	judged := "read"
	if l.Margin {
		judged = "margin"
	}
	body := jcs.Obj(str("limit", l.Name), str("asm", l.Asm), str("pattern", l.Pattern), opt("min", l.Min), opt("max", l.Max), opt("also_min", l.AlsoMin), opt("also_max", l.AlsoMax),
		opt("test_pressure", l.TestPressure), opt("test_time", l.TestTime), str("judged", judged), str("words", l.Words), str("page", l.Page), jcs.M("photos", idsOrNot(l.Photos)))
	return jcs.Obj(str("also", limitSays(record.Limit{Min: l.AlsoMin, Max: l.AlsoMax})), str("doubt", printedDoubt(l)), str("id", string(l.ID)), str("name", l.Name), text("title", title), str("asm", l.Asm), str("says", limitSays(l)), str("words", l.Words), str("page", l.Page),
		yes("accepted", v.st.Accepted(l)), str("by", v.person(l.Accepted)), v.photosOf("photos", l.Photos), jcs.M("body", body))
}

func opt(key string, w *quantity.Written) jcs.Member {
	if w == nil {
		return jcs.M(key, jcs.Null())
	}
	return jcs.M(key, calc.WrittenJSON(*w))
}

func limitSays(l record.Limit) string {
	if asks := l.Asks(); asks != "" {
		return record.LimitSays(l.Min, l.Max) + ", tested " + asks
	}
	return record.LimitSays(l.Min, l.Max)
}

// trials are the conditions of trials that the job knows.
func (v *viewer) trials() []string {
	seen := map[string]bool{}
	var out []string
	for _, p := range v.st.Places {
		if strings.HasPrefix(p.Cond, "trial:") && !seen[p.Cond] {
			seen[p.Cond] = true
			out = append(out, p.Cond)
		}
	}
	return out
}

func (v *viewer) find(id string) *result.Res {
	i, ok := slices.BinarySearchFunc(v.rs, id, func(o result.Res, id string) int { return strings.Compare(o.ID, id) })
	if !ok {
		return nil
	}
	return &v.rs[i]
}
