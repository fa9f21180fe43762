package view

import (
	"slices"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// card is what a new run of an engine is begun with.
func (v *viewer) card(e *record.Engine) jcs.Value {
	var with []jcs.Value
	for _, o := range v.inOrder() {
		if o.Serial != e.Serial {
			with = append(with, jcs.Obj(jcs.M("engine", v.tag(o)), jcs.M("of", of(o, "", "")), jcs.M("holds", jcs.Arr(v.releases(o)...))))
		}
	}
	return jcs.Obj(jcs.M("of", of(e, "", "")), list("checks", cardLines, func(c runCheck) jcs.Value { return jcs.Obj(text("key", c.key), text("words", c.words)) }),
		jcs.M("posts", jcs.Strs(runPosts)), list("people", v.st.People, func(p record.Person) jcs.Value { return jcs.Obj(text("key", p.Key), text("name", p.Name)) }),
		jcs.M("holds", jcs.Arr(v.releases(e)...)), jcs.M("with", jcs.Arr(with...)), list("limits", result.RunLimits(result.Stations(v.st)), func(l result.LimitOf) jcs.Value { return v.runLimit(e, l) }),
		jcs.M("before", jcs.Strs(v.runsBefore(e))), jcs.M("cautions", jcs.Strs(runCautions)), text("knows", runKnows), str("type", e.Type))
}

// releases are the hold points of an engine that are signed, the last one
// first, with the signatures; and those of its stages that are not, to be seen.
func (v *viewer) releases(e *record.Engine) []jcs.Value {
	var out []jcs.Value
	for _, s := range v.st.Stages {
		if s.Hold == nil {
			continue
		}
		es := []*record.Engine{e}
		if s.Pair {
			es = v.inOrder()
		}
		key, word := v.stateOfHold(s.Hold, es).state()
		sign := v.signOf(s.Hold.Key, es)
		if key != "signed" && key != "conceded" || sign == nil {
			continue
		}
		if sign.Before() {
			word += ", as written down"
		}
		out = append(out, jcs.Obj(text("key", s.Hold.Key), text("title", s.Hold.Title), text("word", word), text("sign", string(sign.ID)), text("by", v.person(sign.By)), str("why", sign.Reason())))
	}
	slices.Reverse(out)
	return out
}

// runLimit is a limit that a run is watched by, as it stands.
func (v *viewer) runLimit(e *record.Engine, of result.LimitOf) jcs.Value {
	members := []jcs.Member{text("name", of.Names[0]), text("words", of.Words)}
	l, ok := v.st.Limit(of.Names[0], e.Serial, e.Type)
	if !ok {
		return jcs.Obj(members...)
	}
	if l.Asm == "" && l.Pattern == e.Type {
		members = append(members, str("id", string(l.ID)))
	}
	return jcs.Obj(append(members, text("says", limitSays(l)), yes("accepted", v.st.Accepted(l)))...)
}

// runsBefore are the earlier runs of an engine that are over, the newest last.
func (v *viewer) runsBefore(e *record.Engine) []string {
	var out []string
	for i := range v.st.Runs {
		r := &v.st.Runs[i]
		if _, over := r.Stop(e.Serial); over && r.Has(e.Serial) && r.Struck == "" && r.Title != "" {
			out = append(out, string(r.ID))
		}
	}
	return out[max(0, len(out)-maxBefore):]
}

// maxBefore bounds the earlier runs that a new one names: those that can still
// be told apart in a drawing.
const maxBefore = 4

// runCard is the card as it was answered when the run began.
func (v *viewer) runCard(r *record.Run) jcs.Value {
	var lines []jcs.Value
	add := func(name, words string) {
		if words != "" {
			lines = append(lines, jcs.Obj(text("name", name), text("text", words)))
		}
	}
	add("stand", r.Stand)
	add("fluids", r.Fluids)
	for _, n := range r.NotFitted {
		add("not fitted", n)
	}
	if r.Most != nil {
		add("may run", r.Most.String())
	}
	for _, p := range r.Posts {
		add(p.Post, v.person(p.Who))
	}
	words := map[string]string{}
	for _, c := range cardLines {
		words[c.key] = c.words
	}
	for _, c := range r.Checks {
		add(orElse(words[c.Check], c.Check), c.Answer)
	}
	return jcs.Arr(lines...)
}
