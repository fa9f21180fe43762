package view

import (
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// answers are the values of a calculation that are its answer: when one of them
// would be another, what was decided on it is stale.
var answers = map[string][]string{
	"undersize": {"step", "finished"}, "gasket": {"best", "order"}, "target": {"best", "wall"}, "alignment": {"shim"}, "injectors": {"shim"},
}

func isAnswer(calc, name string) bool {
	return slices.ContainsFunc(answers[calc], func(a string) bool {
		return name == a || strings.HasPrefix(name, a+".") || strings.HasPrefix(name, a+"_")
	})
}

// choices are what is decided on a calculation as a rule; anything else can be
// written. Common practice, no source.
var choices = map[string][]string{
	"undersize": {"grind all alike to this undersize", "leave it as it is", "replace it"},
	"clearance": {"reuse it as it is", "finish new shells to suit", "grind the journal undersize", "replace it"},
	"journal":   {"reuse it as it is", "polish only", "grind it undersize", "replace it"},
	"bore":      {"reuse it as it is", "hone only", "bore it oversize", "fit a new liner and keep the old one", "replace it"},
	"alignment": {"shim as worked out", "leave it as it is"},
	"timing":    {"set it again", "leave it as it is"},
	"chain":     {"reuse it as it is", "replace it"},
}

// maxVals is how many values of a result a decision keeps.
const maxVals = 60

// decideHere is a decision on one result at its place. Which gasket has a
// screen of its own.
func (v *viewer) decideHere(r *result.Res) jcs.Value {
	if r.Calc == "gasket" {
		return jcs.Null()
	}
	offered := choices[r.Calc]
	if offered == nil {
		offered = []string{"reuse it as it is", "repair it", "replace it"}
	}
	out := v.decide(r, r.Calc+" "+r.At, jcs.Obj(str("says", r.Says))).With("choices", jcs.Strs(offered)).With("lines", v.workLines(r))
	if r.Verdict == calc.Incomplete || r.Verdict == calc.Contested || r.Verdict == calc.NotProven {
		out = out.With("must_open", jcs.Str(resultWord(r)))
	}
	return out
}

// decide is the draft of a decision that rests on a result, over what was
// decided of the same before. Who decides adds why.
func (v *viewer) decide(r *result.Res, what string, chosen jcs.Value) jcs.Value {
	var over []string
	for _, d := range v.st.Decisions {
		if d.Decide == what && strings.Join(d.Asm, "+") == r.Asm {
			over = append(over, string(d.ID))
		}
	}
	body := jcs.Obj(str("decide", what), jcs.M("asm", jcs.Strs(strings.Split(r.Asm, "+"))), jcs.M("chosen", chosen),
		jcs.M("rests", jcs.Arr(restOf(r))), jcs.M("inputs", jcs.Strs(r.Inputs)))
	return jcs.Obj(str("kind", "decision"), jcs.M("body", body), jcs.M("over", jcs.Strs(over)))
}

func restOf(r *result.Res) jcs.Value {
	var vals []jcs.Value
	for _, x := range r.Vals[:min(len(r.Vals), maxVals)] {
		vals = append(vals, jcs.Obj(str("name", x.Name), str("label", x.Label), str("text", x.Text), str("unit", x.Unit), flag("choice", isAnswer(r.Calc, x.Name))))
	}
	return jcs.Obj(str("result", r.ID), text("verdict", string(r.Verdict)), str("says", r.Says), jcs.M("vals", jcs.Arr(vals...)))
}

// workLines are the sizes of a machining that a result asks for.
func (v *viewer) workLines(r *result.Res) jcs.Value {
	e, ok := v.st.Engine(r.Asm)
	if r.Calc != "undersize" || !ok || e.Pattern == nil {
		return jcs.Arr()
	}
	size, tol := "", ""
	for _, x := range r.Vals {
		if x.Name == "finished" {
			size = x.Text + "\u2009" + x.Unit
		}
	}
	if t := e.Pattern.Undersizes[r.At].Tolerance; t != "" {
		tol = "+0 −" + t
	}
	var out []jcs.Value
	for _, pl := range e.Pattern.Places() {
		if family, _, _ := strings.Cut(pl.At, "."); size != "" && family == r.At && pl.Feature.Shape == "journal" {
			out = append(out, jcs.Obj(str("what", e.Pattern.Words(pl.At)), str("size", size), str("tol", tol), str("at", pl.At)))
		}
	}
	return jcs.Arr(out...)
}

// moved is what a decision rested on, old beside new.
type moved struct {
	label, was, now string
	counts          bool // a verdict, or a value of the answer
}

// movedUnder lists what is not as it was when a decision was taken.
func (v *viewer) movedUnder(rests []record.Rest) []moved {
	var out []moved
	for _, rest := range rests {
		r := v.find(rest.Result)
		if r == nil {
			if rest.Verdict != "" {
				out = append(out, moved{rest.Result, word(calc.Verdict(rest.Verdict), false), "gone: nothing is left to work it out from", true})
			}
			continue
		}
		if rest.Verdict != "" && string(r.Verdict) != rest.Verdict {
			out = append(out, moved{r.Words, word(calc.Verdict(rest.Verdict), false), word(r.Verdict, r.Close), true})
		}
		out = append(out, movedVals(rest, r)...)
	}
	return out
}

func movedVals(rest record.Rest, r *result.Res) []moved {
	var out []moved
	for _, was := range rest.Vals {
		now := "not worked out"
		if i := slices.IndexFunc(r.Vals, func(x calc.Val) bool { return x.Name == was.Name }); i >= 0 {
			now = figure(r.Vals[i].Text, r.Vals[i].Unit)
		}
		if old := figure(was.Text, was.Unit); old != now {
			out = append(out, moved{was.Label, old, now, was.Choice})
		}
	}
	return out
}

func figure(text, unit string) string {
	if unit == "" {
		return text
	}
	return text + "\u2009" + unit
}

// stale says what changed under a decision, or "" when its verdicts and its
// answer are as they were.
func (v *viewer) stale(d record.Decision) string {
	if d.Contested {
		return "two decisions that do not know of each other"
	}
	for _, m := range v.movedUnder(d.Rests) {
		if m.counts {
			return "decided on readings that have changed since: " + m.label + " was " + m.was + ", now " + m.now
		}
	}
	return ""
}

// decisionState is how a decision stands: as a word for the page, and in words.
func (v *viewer) decisionState(d record.Decision) (string, string) {
	switch {
	case d.Contested:
		return "contested", "not settled"
	case v.stale(d) != "":
		return "stale", "no longer holds"
	case d.Open != "":
		return "open", "decided, with an open point"
	case len(v.movedUnder(d.Rests)) > 0:
		return "again", "looked at again, same answer"
	}
	return "stands", "decided"
}

// decision says in a line what was decided, and whether it still holds.
func (v *viewer) decision(d record.Decision) jcs.Value {
	var says []string
	for _, r := range d.Rests {
		says = append(says, r.Says)
	}
	state, words := v.decisionState(d)
	return jcs.Obj(str("id", string(d.ID)), text("title", v.decisionTitle(d)), text("why", d.Why), text("by", v.person(d.By)),
		str("at", d.At), text("stale", v.stale(d)), jcs.M("rests", jcs.Strs(says)), text("state", state), text("word", words))
}

func (v *viewer) decisionTitle(d record.Decision) string {
	return d.Decide + ", " + strings.Join(d.Asm, " and ")
}

// theDecision is one whole: what was chosen, what it rests on, old beside new,
// and what came of it.
func (v *viewer) theDecision() (jcs.Value, error) {
	d, ok := v.st.Decision(v.arg("id"))
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	out := v.decision(*d)
	for _, m := range []jcs.Member{list("engines", v.named(d.Asm), v.tag), jcs.M("chosen", jcs.Strs(chosenWords(d.Chosen))), str("open", d.Open), flag("original", d.Original),
		str("alternatives", d.Alternatives), str("consent", d.Consent), list("moved", v.movedUnder(d.Rests), func(m moved) jcs.Value {
			return jcs.Obj(text("label", m.label), text("was", m.was), text("now", m.now), yes("counts", m.counts))
		}), list("on", d.Rests, v.restLine), list("orders", v.ordersOf(string(d.ID)), v.partLine), flag("work", d.Work != nil)} {
		out = out.With(m.Key, m.Val)
	}
	return out, nil
}

func (v *viewer) named(serials []string) []*record.Engine {
	return slices.DeleteFunc(v.inOrder(), func(e *record.Engine) bool { return !slices.Contains(serials, e.Serial) })
}

func (v *viewer) restLine(r record.Rest) jcs.Value {
	title, here := r.Result, false
	if now := v.find(r.Result); now != nil {
		title, here = now.Asm+" · "+now.Words+", "+pattern.CondWords(now.Cond), true
	}
	return jcs.Obj(str("id", r.Result), text("title", title), str("says", r.Says), yes("here", here))
}

// ordersOf are the parts that a decision wants.
func (v *viewer) ordersOf(id string) []partAt {
	var out []partAt
	for i := range v.st.Parts {
		p := &v.st.Parts[i]
		if p.Last(func(s *record.Step) bool { return string(s.Decision) == id }) != nil {
			out = append(out, v.now(p))
		}
	}
	return out
}

// chosenWords says what was chosen, member by member.
func chosenWords(canonical string) []string {
	c, err := jcs.Parse([]byte(canonical))
	if err != nil {
		return []string{canonical}
	}
	out := []string{}
	for _, m := range c.Members() {
		said := m.Val.Text()
		if m.Val.Kind() == jcs.KindObject {
			said = calc.WrittenFrom(m.Val).String()
		}
		if m.Key == "choice" {
			out = append(out, said)
		} else if m.Key != "says" && said != "" {
			out = append(out, strings.ReplaceAll(m.Key, "_", " ")+": "+said)
		}
	}
	return out
}

// instruction is one page for whoever machines: sizes, tolerances, a sketch,
// both numberings, and whether it may still be used.
func (v *viewer) instruction() (jcs.Value, error) {
	d, ok := v.st.Decision(v.arg("id"))
	if !ok || d.Work == nil {
		return jcs.Null(), ErrNowhere
	}
	engines := v.named(d.Asm)
	sketch := ""
	if len(engines) == 1 && engines[0].Pattern != nil {
		sizes := map[string]string{}
		for _, l := range d.Work.Lines {
			if l.At != "" {
				sizes[l.At] = l.Size
			}
		}
		sketch = draw.Sketch(engines[0].Pattern, engines[0].Serial, sizes)
	}
	theirs := ""
	i := slices.IndexFunc(v.st.Numbering.Machinists, func(m record.Machinist) bool { return m.Name == d.Work.To })
	if i >= 0 {
		theirs = d.Work.To
	}
	n := v.st.Numbering
	return jcs.Obj(list("engines", engines, v.tag), text("title", v.decisionTitle(*d)), text("stale", v.stale(*d)), str("open", d.Open), str("to", d.Work.To), str("note", d.Work.Note), text("why", d.Why),
		text("by", v.person(d.By)), text("at", d.At), text("job", v.st.Job.Title), str("number1", n.End1), str("theirs", theirs), str("svg", sketch), str("id", string(d.ID)),
		list("lines", d.Work.Lines, func(l record.WorkLine) jcs.Value {
			their := ""
			if i >= 0 && len(engines) > 0 && engines[0].Pattern != nil {
				_, _, their, _ = n.Machinists[i].Calls(engines[0].Pattern, l.At)
			}
			return jcs.Obj(text("what", l.What), text("size", l.Size), str("tol", l.Tol), str("theirs", their))
		}), text("caution", instructionCaution)), nil
}

const instructionCaution = "Measure the part again before the first cut, and hold both against this page. A fillet ground sharp breaks a crank. Where the maker's manual says otherwise, ask before cutting."
