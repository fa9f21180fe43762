package view

import (
	"slices"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// entry is one reading with its story, or another standing entry.
func (v *viewer) entry() (jcs.Value, error) {
	id := entry.ID(v.arg("id"))
	for _, p := range v.st.Places {
		for _, r := range p.Readings {
			if r.ID == id {
				return v.readingEntry(p, r), nil
			}
		}
	}
	if m, ok := v.st.Saying(id); ok {
		return jcs.Obj(str("id", string(id)), str("kind", strings.ReplaceAll(m.Kind, "-", " ")), text("words", m.Words), text("by", v.person(m.By)), text("at", m.At), str("state", "stands"),
			jcs.M("lines", jcs.Arr()), jcs.M("over", jcs.Arr()), jcs.M("covered_by", jcs.Arr()), jcs.M("actions", jcs.Strs([]string{"withdraw"})), jcs.M("engine", v.engineOf(m.Body))), nil
	}
	return jcs.Null(), ErrNowhere
}

func (v *viewer) readingEntry(p record.Place, r record.Reading) jcs.Value {
	json := v.reading(r)
	lines := []jcs.Value{}
	add := func(name, s string) {
		if s != "" {
			lines = append(lines, jcs.Obj(str("name", name), str("text", s)))
		}
	}
	add("value", r.Value.String())
	add("condition", pattern.CondWords(p.Cond))
	add("engine as shown", join(r.Asm, r.Side))
	add("instrument", r.Instrument)
	add("zero check", zeroWords(r))
	if r.Temp != nil {
		add("temperature", r.Temp.String())
	}
	add("measured", r.When)
	add("clock", v.earlyReading(p, r))
	add("read by", v.person(r.ReadBy))
	add("written by", v.person(r.By))
	add("note", r.Note)
	open, engine := jcs.Null(), jcs.Null()
	if e, ok := v.st.Engine(r.Asm); ok && e.Pattern != nil {
		open = v.target(e, p.At, p.Point).With("cond", jcs.Str(p.Cond))
		if c, ok := v.st.Contest(r.Contest); !ok || !asksEngine(c) {
			engine = v.tag(e)
		}
	}
	actions := json.Get("actions").Texts()
	var by []jcs.Value
	for _, id := range r.StruckBy {
		m, _ := v.st.Saying(id)
		by = append(by, jcs.Obj(str("id", string(id)), text("words", m.Words)))
		if m.Kind == "withdraw" {
			actions = append(actions, "restore")
		}
	}
	slices.Sort(actions)
	return jcs.Obj(str("id", string(r.ID)), str("kind", "reading"), str("words", placeWords(v, p)), text("by", v.person(r.ReadBy)), text("at", r.At),
		jcs.M("state", json.Get("state")), jcs.M("why", json.Get("why")), jcs.M("lines", jcs.Arr(lines...)), jcs.M("over", jcs.Arr()),
		jcs.M("covered_by", jcs.Arr(by...)), jcs.M("actions", jcs.Strs(slices.Compact(actions))), jcs.M("open", open), jcs.M("engine", engine))
}

// engineOf is the engine that an entry is about, if it says one.
func (v *viewer) engineOf(body jcs.Value) jcs.Value {
	e, ok := v.st.Engine(body.Get("of").Get("asm").Text())
	if !ok {
		return jcs.Null()
	}
	return v.tag(e)
}
