package view

import (
	"slices"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// week is what happened since a day, the engines in the order in which they are drawn: what was read, sheet by sheet, what
// was tightened and held, decided and signed. Nothing was "since" no day.
func (v *viewer) week(since string, people bool) jcs.Member {
	var out []jcs.Value
	say := func(asm, words string) {
		out = append(out, jcs.Obj(str("asm", asm), text("words", words)))
	}
	if since == "" {
		return jcs.M("week", jcs.Arr())
	}
	var hands []string
	for _, e := range v.inOrder() {
		for _, w := range v.readSince(e, since, &hands) {
			say(e.Serial, w)
		}
		for _, w := range v.tightenedSince(e, since, &hands) {
			say(e.Serial, w)
		}
		held := 0
		for _, h := range v.st.Holds {
			if h.Of.Asm == e.Serial {
				held += since1(h.At, since, h.By, &hands)
			}
		}
		if held > 0 {
			say(e.Serial, counted(held, "hold test", "hold tests"))
		}
		for _, w := range v.ranSince(e, since, &hands) {
			say(e.Serial, w)
		}
	}
	photos := 0
	for _, p := range v.st.Photos {
		photos += since1(p.At, since, p.By, &hands)
	}
	if photos > 0 {
		say("", counted(photos, "photo", "photos")+" taken")
	}
	for _, d := range v.st.Decisions {
		if since1(d.At, since, d.By, &hands) > 0 {
			say("", "decided: "+d.Decide+", "+strings.Join(d.Asm, " and "))
		}
	}
	for _, s := range v.st.Signs {
		if since1(s.At, since, s.By, &hands) > 0 {
			say("", "signed: "+s.Hold+", "+strings.Join(s.Asm, " and "))
		}
	}
	if people && len(hands) > 0 {
		for i, key := range hands {
			hands[i] = v.person(key)
		}
		say("", "by "+strings.Join(hands, ", "))
	}
	return jcs.M("week", jcs.Arr(out...))
}

// ranSince counts an engine's runs since a day, the snags that were raised and seen dry on it, and the parts that went into it.
// What a snag is and who had it are not for people outside: only how many.
func (v *viewer) ranSince(e *record.Engine, since string, hands *[]string) []string {
	runs, raised, dry, fitted := 0, 0, 0, 0
	for i := range v.st.Runs {
		r := &v.st.Runs[i]
		if r.Struck == "" && slices.ContainsFunc(r.Of, func(of record.Of) bool { return of.Asm == e.Serial }) {
			runs += since1(r.At, since, r.By, hands)
		}
	}
	for i := range v.st.Snags {
		s := &v.st.Snags[i]
		if s.Of.Asm != e.Serial || s.Struck != "" {
			continue
		}
		raised += since1(s.At, since, s.By, hands)
		for _, st := range s.Steps {
			if st.State == record.SnagProven && !v.snagOpen(s) {
				dry += since1(st.At, since, st.By, hands)
			}
		}
	}
	for i := range v.st.Parts {
		for _, s := range v.st.Parts[i].Story {
			if s.State == "fitted" && s.Asm == e.Serial {
				fitted += since1(s.On, since, s.By, hands)
			}
		}
	}
	var out []string
	for _, c := range []struct {
		n         int
		one, many string
	}{{runs, "run on the bench", "runs on the bench"}, {raised, "snag raised", "snags raised"}, {dry, "snag seen dry", "snags seen dry"}, {fitted, "part fitted", "parts fitted"}} {
		if c.n > 0 {
			out = append(out, counted(c.n, c.one, c.many))
		}
	}
	return out
}

// since1 is 1 when something was done on that day or later, and notes whose hand did it.
func since1(at, since, by string, hands *[]string) int {
	if day(at) < since {
		return 0
	}
	if by != "" && !slices.Contains(*hands, by) {
		*hands = append(*hands, by)
	}
	return 1
}

// readSince counts what was read on an engine since a day, sheet by sheet. What was only written down since then, and measured
// before, is not of this week's work.
func (v *viewer) readSince(e *record.Engine, since string, hands *[]string) []string {
	if e.Pattern == nil {
		return nil
	}
	counts := map[string]int{}
	for _, p := range v.st.Places {
		pl, ok := e.Pattern.Find(p.At)
		if !ok {
			continue
		}
		for _, r := range p.Readings {
			if r.Asm == e.Serial && r.Struck == "" {
				counts[pl.Feature.Sheet] += since1(measuredOn(r), since, r.ReadBy, hands)
			}
		}
	}
	var out []string
	for _, sheet := range e.Pattern.Sheets() {
		if n := counts[sheet]; n > 0 {
			out = append(out, sheet+": "+counted(n, "reading", "readings"))
		}
	}
	return out
}

// measuredOn is the day on which a reading was taken, or its moment of writing when that is the same; "" when it is said in
// words, as "about 2019".
func measuredOn(r record.Reading) string {
	if r.When == "" {
		return r.At
	}
	if !entry.IsDay(r.When) {
		return ""
	}
	return r.When
}

// tightenedSince counts the entries of each joint of an engine since a day, whatever its condition.
func (v *viewer) tightenedSince(e *record.Engine, since string, hands *[]string) []string {
	counts := map[string]int{}
	var joints []string
	for _, j := range v.st.Joints {
		if j.Asm != e.Serial {
			continue
		}
		if !slices.Contains(joints, j.Joint) {
			joints = append(joints, j.Joint)
		}
		for _, p := range j.Passes {
			for _, l := range p.Lines {
				counts[j.Joint] += since1(l.At, since, l.By, hands)
			}
		}
	}
	var out []string
	for _, joint := range joints {
		if n := counts[joint]; n > 0 {
			out = append(out, v.jointWords(e, joint)+": tightening, "+counted(n, "entry", "entries"))
		}
	}
	return out
}

func (v *viewer) jointWords(e *record.Engine, joint string) string {
	if e.Pattern == nil {
		return joint
	}
	if j, ok := e.Pattern.Joint(joint); ok {
		return j.Words
	}
	return joint
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return count(n) + " " + many
}

// neededFor says who is needed for a want of a hold point.
var neededFor = map[string]string{
	"measured": "somebody to measure", "within": "somebody to measure again, and the lead", "settled": "the lead", "tightened": "two with the torque wrench",
	"again": "two with the torque wrench, cold", "photo": "somebody with a phone's camera", "decided": "the lead", "signed": "the lead",
	"proven": "somebody to see it dry", "tried": "one at the lever, one at the engine",
}

// nextUp is what comes next, engine by engine and then of the pair: the first stage that is not over, what it waits for, and
// who is needed. Without a plan it is what is left to measure and to settle.
func (v *viewer) nextUp() jcs.Member {
	if len(v.st.Stages) == 0 {
		return v.nextUnplanned()
	}
	var out []jcs.Value
	add := func(asm string, es []*record.Engine, pair bool) {
		open := v.openHolds(es, pair)
		if len(open) == 0 {
			return
		}
		s, state := open[0].stage, open[0].state
		var todo, needed []string
		for _, t := range state.todo {
			todo = append(todo, t.words)
		}
		for _, w := range s.Hold.Wants {
			if need := neededFor[w.What]; need != "" && !slices.Contains(needed, need) && v.wanting(w, es) {
				needed = append(needed, need)
			}
		}
		if len(todo) == 0 {
			needed = []string{"the lead, to sign"}
		}
		out = append(out, jcs.Obj(str("asm", asm), text("title", s.Title), str("hold", s.Hold.Key+": "+s.Hold.Title), num("more", max(0, len(todo)-maxNext)),
			jcs.M("todo", jcs.Strs(todo[:min(len(todo), maxNext)])), jcs.M("needed", jcs.Strs(needed))))
	}
	both := v.inOrder()
	for _, e := range both {
		add(e.Serial, []*record.Engine{e}, false)
	}
	if len(both) > 1 {
		add("", both, true)
	}
	return jcs.M("next", jcs.Arr(out...))
}

// maxNext is how many things to do a stage shows to people outside.
const maxNext = 5

// nextUnplanned is what comes next where nobody has put in a plan.
func (v *viewer) nextUnplanned() jcs.Member {
	var out []jcs.Value
	next := func(asm, title, needed string, todo []string) {
		if len(todo) > 0 {
			out = append(out, jcs.Obj(str("asm", asm), text("title", title), num("more", max(0, len(todo)-maxNext)),
				jcs.M("todo", jcs.Strs(todo[:min(len(todo), maxNext)])), jcs.M("needed", jcs.Strs([]string{needed}))))
		}
	}
	left := v.missing()
	for _, e := range v.inOrder() {
		var todo []string
		for _, m := range left {
			if m.Get("asm").Text() == e.Serial {
				todo = append(todo, strings.TrimPrefix(m.Get("title").Text(), e.Serial+" · ")+": "+m.Get("says").Text())
			}
		}
		next(e.Serial, "Measure", neededFor["measured"], todo)
	}
	var open []string
	for _, c := range v.st.Contests {
		open = append(open, v.contestWords(c))
	}
	next("", "Settle", neededFor["settled"], open)
	return jcs.M("next", jcs.Arr(out...))
}

// wanting reports whether one want of a hold point is not met.
func (v *viewer) wanting(w record.Want, es []*record.Engine) bool {
	if w.What == "signed" {
		return len(v.unsigned(w.Of, es)) > 0
	}
	return slices.ContainsFunc(es, func(e *record.Engine) bool { return len(v.want(w, e)) > 0 })
}
