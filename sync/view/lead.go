package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// lead is the lead's list, in at most three groups: what cannot go on, what to
// look at again, what can be done now. Each line opens its place.
func (v *viewer) lead() jcs.Value {
	var stop, again, now []jcs.Value
	for _, c := range v.st.Contests {
		stop = append(stop, v.leadLine(v.contestWords(c), v.contestSays(c), "to settle", firstAsm(c), jcs.Obj(str("screen", "contest"), str("id", string(c.ID)))))
	}
	for i := range v.rs {
		r := &v.rs[i]
		open := jcs.Obj(str("screen", "result"), str("id", r.ID))
		title, says := r.Asm+" · "+r.Words, r.Says
		if v.unseen(r) {
			says = hiddenWords
		}
		switch {
		case r.Calc == "twin": // what it rests on is listed by itself
		case r.Verdict == calc.Contested && len(r.Disagree) > 0 && r.Disagree[0].B != "":
			stop = append(stop, v.leadLine(title, says, "readings differ", r.Asm, open))
		case r.Verdict == calc.Outside && v.latest(r.ID):
			stop = append(stop, v.leadLine(title, says, "outside", r.Asm, open))
		case (r.Verdict == calc.NotProven || r.Close) && !v.heldAgain(r) && !v.ranAgain(r):
			again = append(again, v.leadLine(title, says, word(r.Verdict, r.Close), r.Asm, open))
		}
	}
	for _, d := range v.st.Decisions {
		if s := v.stale(d); s != "" {
			again = append(again, v.leadLine("decision: "+d.Decide, s, "look again", "", opens("decision", str("id", string(d.ID)))))
		}
	}
	running, looked, held := v.runLead()
	halts, doubts, todo := v.snagLead()
	stop, again = append(append(stop, running...), halts...), append(append(again, looked...), doubts...)
	now = append(append(append(now, held...), v.beingHeld()...), todo...)
	for _, a := range v.st.Asks {
		if !a.Answered {
			now = append(now, v.ask(a))
		}
	}
	broken, next := v.holdLead()
	again, now = append(again, broken...), append(now, next...)
	odd, inward := v.partLead()
	again, now = append(again, odd...), append(now, inward...)
	now = append(now, v.missing()...)
	titles := v.limitTitles()
	for _, l := range v.st.Limits {
		if !v.st.Accepted(l) {
			now = append(now, v.leadLine("limit, "+titles.of(v, l), limitSays(l)+": nobody has accepted it yet, so it judges nothing", "to accept", l.Asm, jcs.Obj(str("screen", "job"))))
		}
	}
	return jcs.Obj(jcs.M("groups", jcs.Arr(group("Cannot go on", "stop", stop), group("Look again", "look", again), group("Can be done now", "now", now))),
		num("snags", len(v.openSnags(""))))
}

func group(title, word string, lines []jcs.Value) jcs.Value {
	return jcs.Obj(str("title", title), str("word", word), jcs.M("lines", jcs.Arr(lines...)))
}

func (v *viewer) leadLine(title, says, word, asm string, open jcs.Value) jcs.Value {
	return jcs.Obj(str("title", title), text("says", says), str("word", word), str("asm", asm), jcs.M("open", open))
}

func firstAsm(c record.Contest) string {
	if len(c.Places) == 0 {
		return ""
	}
	return c.Places[0].Asm
}

// latest reports whether no newer condition of the same place has a result:
// an old fault that was machined away holds nothing up. Results are in order
// of id, so those of one place stand together.
func (v *viewer) latest(id string) bool {
	r := v.find(id)
	if v.heldAgain(r) || v.ranAgain(r) {
		return false
	}
	same := id[:strings.LastIndexByte(id, '/')+1]
	i, _ := slices.BinarySearchFunc(v.rs, same, func(o result.Res, id string) int { return strings.Compare(o.ID, id) })
	for ; i < len(v.rs) && strings.HasPrefix(v.rs[i].ID, same); i++ {
		if record.CompareConditions(v.rs[i].Cond, r.Cond) > 0 {
			return false
		}
	}
	return true
}

func (v *viewer) ask(a record.Ask) jcs.Value {
	title := a.Of.Asm
	if e, ok := v.st.Engine(a.Of.Asm); ok && e.Pattern != nil {
		title = e.Serial + " · " + v.placeName(e, a.Of.At, a.Of.Point)
	}
	says := "a check reading, unseen, was asked for"
	if a.Who != "" {
		says += ", of " + v.person(a.Who)
	}
	return v.leadLine(title, says, "to read", a.Of.Asm, jcs.Obj(str("screen", "point"), str("asm", a.Of.Asm), str("at", a.Of.At), text("point", a.Of.Point), str("cond", a.Cond)))
}

func (v *viewer) placeName(e *record.Engine, at, point string) string {
	words := e.Pattern.Words(at)
	if point != "" {
		words += ", " + pattern.PointWords(point)
	}
	return words
}

// missing counts, for each sheet that was begun, what is left on it.
func (v *viewer) missing() []jcs.Value {
	var out []jcs.Value
	for _, e := range v.inOrder() {
		if e.Pattern == nil {
			continue
		}
		for _, name := range e.Pattern.Sheets() {
			if done, total := v.tally(e, name); done < total {
				out = append(out, v.leadLine(e.Serial+" · "+name, count(total-done)+" of "+count(total)+" points are not measured", "to measure", e.Serial,
					jcs.Obj(str("screen", "sheet"), str("asm", e.Serial))))
			}
		}
	}
	return out
}

func count(n int) string { return strconv.Itoa(n) }
