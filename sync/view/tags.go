package view

import (
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// tagSheet is what tags can be printed of: for each engine itself, its places
// by sheet and its joints; parts and lots; stands. No tag names a side.
func (v *viewer) tagSheet() jcs.Value {
	var groups []jcs.Value
	add := func(title string, engine jcs.Value, tags []jcs.Value) {
		if len(tags) > 0 {
			groups = append(groups, jcs.Obj(str("title", title), jcs.M("engine", engine), jcs.M("tags", jcs.Arr(tags...))))
		}
	}
	for _, e := range v.inOrder() {
		add("the engine itself", v.tag(e), []jcs.Value{printed(e.Serial, e.Name, "", str("a", e.Serial))})
		if e.Pattern == nil {
			continue
		}
		for _, sheet := range e.Pattern.Sheets() {
			add(sheet, v.tag(e), placeTags(e, sheet))
		}
		add("fasteners", v.tag(e), jointTags(e))
	}
	var parts, stands []jcs.Value
	for _, p := range v.st.Parts {
		parts = append(parts, printed(p.Key, p.Key, p.What, str("t", p.Key)))
	}
	for _, place := range v.stands() {
		stands = append(stands, printed(place, place, "", str("s", place)))
	}
	add("Parts and lots", jcs.Null(), parts)
	add("Stands", jcs.Null(), stands)
	return jcs.Obj(jcs.M("groups", jcs.Arr(groups...)))
}

func placeTags(e *record.Engine, sheet string) []jcs.Value {
	var out []jcs.Value
	for _, pl := range e.Pattern.Places() {
		if pl.Feature.Sheet == sheet {
			out = append(out, printed(e.Serial+"."+pl.At, e.Pattern.Words(pl.At), "", str("a", e.Serial), str("p", pl.At)))
		}
	}
	return out
}

func jointTags(e *record.Engine) []jcs.Value {
	var out []jcs.Value
	for _, j := range e.Pattern.Joints {
		out = append(out, printed(e.Serial+"."+j.Joint, j.Words+", fasteners", "", str("a", e.Serial), str("p", j.Joint)))
	}
	return out
}

// printed is one tag: its words, its code in print, and what its address
// holds. No dot stands on it: on the metal, dots are bearing numbers.
func printed(tag, words, under string, address ...jcs.Member) jcs.Value {
	code := strings.ReplaceAll(codeOf(tag, nil).text(), ".", " ")
	return jcs.Obj(text("words", undotted(words)), str("under", undotted(under)), str("code", code), jcs.M("address", jcs.Obj(address...)))
}

func undotted(s string) string { return strings.ReplaceAll(s, " · ", ", ") }
