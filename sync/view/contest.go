package view

import (
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

func (v *viewer) contestWords(c record.Contest) string {
	if words := v.holdContest(c); words != "" {
		return words
	}
	if words := v.runContest(c); words != "" {
		return words
	}
	if part, ok := strings.CutPrefix(c.Register, "part/"); ok { // it may be in no engine at all
		return "part " + part
	}
	for _, p := range c.Places {
		if e, ok := v.st.Engine(p.Asm); ok && e.Pattern != nil && p.At != "" {
			return e.Serial + " · " + v.placeName(e, p.At, p.Point)
		}
	}
	if key, ok := strings.CutPrefix(c.Register, "person/"); ok {
		return "person " + v.person(key)
	}
	if c.Register != "" {
		return strings.ReplaceAll(c.Register, "/", " ")
	}
	return "two entries"
}

func (v *viewer) contestSays(c record.Contest) string {
	if c.Why != "" {
		return c.Why + v.takesAlong(c)
	}
	var texts []string
	for _, id := range c.Members {
		if m := v.member(id); m.text != "" {
			texts = append(texts, m.text+" ("+v.person(m.by)+")")
		}
	}
	return "two entries stand against each other: " + strings.Join(texts, " and ")
}

// takesAlong warns that an entry which is not chosen goes with all that it
// was applied to.
func (v *viewer) takesAlong(c record.Contest) string {
	for _, id := range c.Members {
		if m, ok := v.st.Saying(id); ok && m.Kind == "apply" && len(m.Body.Get("to").Items()) > 1 {
			return ". The one that is not chosen is taken back for every reading that it was applied to"
		}
	}
	return ""
}

// member is an entry of a contest in words.
type member struct{ text, by, at, kind string }

func (v *viewer) member(id entry.ID) member {
	for _, p := range v.st.Places {
		for _, r := range p.Readings {
			if r.ID == id {
				return member{r.Value.String(), r.By, r.At, "reading"}
			}
		}
	}
	if m, ok := v.st.Saying(id); ok {
		return member{m.Words + v.fittedIn(m), m.By, m.At, m.Kind}
	}
	return member{"an entry", "", "", ""}
}

// fittedIn says into which engine, and where in it, a step fitted a part.
func (v *viewer) fittedIn(m record.Saying) string {
	if m.Kind != "part" || m.Body.Get("state").Text() != "fitted" {
		return ""
	}
	asm := m.Body.Get("asm").Text()
	if e, ok := v.st.Engine(asm); ok {
		return " in " + join(e.Serial+" "+e.Name, v.spot(e, m.Body.Get("at").Text()))
	}
	return " in " + asm
}

// contest is what stands against each other, with the ruling that each choice
// would be: an entry over all of them.
func (v *viewer) contest() (jcs.Value, error) {
	c, ok := v.st.Contest(v.arg("id"))
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	var members []jcs.Value
	for _, id := range c.Members {
		m := v.member(id)
		members = append(members, jcs.Obj(str("id", string(id)), text("text", m.text), text("by", v.person(m.by)), text("at", m.at), text("kind", m.kind), jcs.M("ruling", v.ruling(c, id))))
	}
	var places []jcs.Value
	for _, p := range c.Places {
		if e, ok := v.st.Engine(p.Asm); ok && e.Pattern != nil {
			places = append(places, v.target(e, p.At, p.Point))
		}
	}
	return jcs.Obj(str("id", string(c.ID)), str("words", v.contestWords(c)), str("says", sentence(v.contestSays(c))), v.enginesOf(c), flag("which", asksEngine(c)), jcs.M("places", jcs.Arr(places...)),
		jcs.M("members", jcs.Arr(members...)), jcs.M("nothing", jcs.Obj(str("kind", "withdraw"), jcs.M("over", jcs.Strs(c.Members))))), nil
}

// ruling is the draft that says what one member says, over all of them.
func (v *viewer) ruling(c record.Contest, id entry.ID) jcs.Value {
	m, ok := v.st.Saying(id)
	if !ok || m.Body.IsNull() {
		return jcs.Null()
	}
	after := jcs.Null()
	if len(m.After) > 0 {
		after = jcs.Strs(m.After)
	}
	return jcs.Obj(str("kind", m.Kind), jcs.M("body", m.Body), jcs.M("over", jcs.Strs(c.Members)), jcs.M("after", after))
}

// enginesOf names every engine that a contest is about, once.
func (v *viewer) enginesOf(c record.Contest) jcs.Member {
	var tags []jcs.Value
	seen := map[string]bool{}
	for _, p := range c.Places {
		if e, ok := v.st.Engine(p.Asm); ok && !seen[p.Asm] {
			seen[p.Asm] = true
			tags = append(tags, v.tag(e))
		}
	}
	return jcs.M("engines", jcs.Arr(tags...))
}

// asksEngine: the question is which engine something is in, or was made on.
func asksEngine(c record.Contest) bool {
	return strings.HasPrefix(c.Register, "part/") || strings.HasPrefix(c.Register, "engine of ")
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + strings.TrimSuffix(s[1:], ".") + "."
}
