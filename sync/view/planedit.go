package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// wantWords is what a hold point may wait for, in the order in which it is
// offered; of says what kind of thing it names, "" for none.
var wantWords = []struct{ what, of, words string }{
	{"measured", "sheet", "every point answered"}, {"within", "judged", "nothing outside, undecided or incomplete"}, {"settled", "", "no question open"},
	{"tightened", "joint", "tightened, complete"}, {"again", "joint", "tightened again after the first heat"}, {"photo", "place", "a photo"},
	{"decided", "decision", "decided, on readings that have not changed"}, {"proven", "", "every snag seen dry"}, {"signed", "hold", "signed before"},
	{"matched", "", "the speeds of both matched"}, {"tried", "", "every try of the clutch, hot, and good"},
}

// plan is the plan of the job as it is being changed: each stage with what its
// hold point waits for in words, what it may wait for, what is wrong with it,
// which signatures would no longer show, and the entry that keeps it.
func (v *viewer) plan() jcs.Value {
	given := v.args.Get("stages")
	if given.IsNull() {
		given = jcs.Arr(planJSON(v.st.Stages)...)
	}
	p := v.planType()
	wrong := v.planWrong(given)
	same := given.String() == jcs.Arr(planJSON(v.st.Stages)...).String()
	draft := jcs.Null()
	if len(wrong) == 0 && !same {
		over := []string{}
		if v.st.Plan != "" {
			over = append(over, string(v.st.Plan))
		}
		draft = jcs.Obj(str("kind", "stages"), jcs.M("body", jcs.Obj(jcs.M("stages", given))), jcs.M("over", jcs.Strs(over)))
	}
	return jcs.Obj(jcs.M("stages", given), jcs.M("wants", jcs.Arr(v.wantsWords(given, p)...)), jcs.M("choices", jcs.Arr(v.choices(given, p)...)),
		jcs.M("wrong", jcs.Strs(wrong)), jcs.M("unsigned", jcs.Strs(v.signsLost(given))), jcs.M("draft", draft))
}

// planType is the type that the plan speaks of: that of the first engine.
func (v *viewer) planType() *pattern.Pattern {
	for _, e := range v.inOrder() {
		if e.Pattern != nil {
			return e.Pattern
		}
	}
	return &pattern.Pattern{}
}

func planJSON(stages []record.Stage) []jcs.Value {
	out := make([]jcs.Value, 0, len(stages))
	for _, s := range stages {
		hold := jcs.Null()
		if s.Hold != nil {
			hold = jcs.Obj(text("key", s.Hold.Key), text("title", s.Hold.Title), list("wants", s.Hold.Wants, func(w record.Want) jcs.Value { return wantJSON(w.What, w.Of) }))
		}
		out = append(out, jcs.Obj(text("key", s.Key), text("title", s.Title), flag("pair", s.Pair), jcs.M("hold", hold)))
	}
	return out
}

// wantsWords says each want of each stage, in its order.
func (v *viewer) wantsWords(stages jcs.Value, p *pattern.Pattern) []jcs.Value {
	var out []jcs.Value
	for _, s := range stages.Items() {
		words := []string{}
		for _, w := range s.Get("hold").Get("wants").Items() {
			words = append(words, wantSays(p, w.Get("what").Text(), w.Get("of").Text()))
		}
		out = append(out, jcs.Strs(words))
	}
	return out
}

func wantSays(p *pattern.Pattern, what, of string) string {
	for _, w := range wantWords {
		if w.what != what {
			continue
		}
		if w.of == "joint" || w.of == "place" {
			of = p.Words(of)
		}
		return strings.TrimPrefix(of+": "+w.words, ": ")
	}
	return "something that only a newer version knows: " + what
}

// choices is what a hold point may wait for, each with what it may be of.
func (v *viewer) choices(stages jcs.Value, p *pattern.Pattern) []jcs.Value {
	of := map[string][][2]string{}
	for _, s := range p.Sheets() {
		of["sheet"] = append(of["sheet"], [2]string{s, s})
	}
	of["judged"] = slices.Clone(of["sheet"])
	for _, s := range result.Gathered {
		of["judged"] = append(of["judged"], [2]string{s, s})
	}
	for _, j := range p.Joints {
		of["joint"] = append(of["joint"], [2]string{j.Joint, j.Words})
	}
	for _, pl := range p.Places() {
		of["place"] = append(of["place"], [2]string{pl.At, p.Words(pl.At)})
	}
	for _, d := range v.st.Decisions {
		of["decision"] = append(of["decision"], [2]string{d.Decide, d.Decide})
	}
	for _, s := range stages.Items() {
		if k := s.Get("hold").Get("key").Text(); k != "" {
			of["hold"] = append(of["hold"], [2]string{k, k})
		}
	}
	var out []jcs.Value
	for _, w := range wantWords {
		if w.of == "" || len(of[w.of]) > 0 {
			out = append(out, jcs.Obj(text("what", w.what), text("words", w.words), list("of", of[w.of], func(o [2]string) jcs.Value {
				return jcs.Obj(text("key", o[0]), text("words", o[1]))
			})))
		}
	}
	return out
}

// planWrong says what keeps a plan from being kept, and what to do.
func (v *viewer) planWrong(stages jcs.Value) []string {
	out := []string{}
	if len(stages.Items()) == 0 {
		out = append(out, "a plan has a stage at least")
	}
	keys, holds := map[string]bool{}, map[string]bool{}
	for i, s := range stages.Items() {
		name := "stage " + strconv.Itoa(i+1)
		if strings.TrimSpace(s.Get("title").Text()) == "" {
			out = append(out, name+" needs a name")
		}
		if k := s.Get("key").Text(); k == "" || keys[k] {
			out = append(out, name+" stands there twice")
		}
		keys[s.Get("key").Text()] = true
		h := s.Get("hold")
		if h.IsNull() {
			continue
		}
		k := h.Get("key").Text()
		if strings.TrimSpace(k) == "" || strings.TrimSpace(h.Get("title").Text()) == "" {
			out = append(out, name+": its hold point needs a number and what is looked for")
		}
		if holds[k] {
			out = append(out, name+": there are two hold points "+k)
		}
		for _, w := range h.Get("wants").Items() {
			if of := w.Get("of").Text(); w.Get("what").Text() == "signed" && !holds[of] {
				out = append(out, name+": it waits for "+of+", which does not come before it")
			}
		}
		holds[k] = true
	}
	return out
}

// signsLost are the signatures of hold points that a changed plan no longer has.
func (v *viewer) signsLost(stages jcs.Value) []string {
	out := []string{}
	for _, s := range v.st.Signs {
		there := false
		for _, st := range stages.Items() {
			there = there || st.Get("hold").Get("key").Text() == s.Hold
		}
		if !there && holdOf(v.st.Stages, s.Hold) {
			out = append(out, s.Hold+" of "+strings.Join(s.Asm, " and ")+", signed by "+v.person(s.By))
		}
	}
	return out
}

func holdOf(stages []record.Stage, key string) bool {
	for _, s := range stages {
		if s.Hold != nil && s.Hold.Key == key {
			return true
		}
	}
	return false
}
