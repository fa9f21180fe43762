package view

import (
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// latestPhotos is how many photos a volunteer sees, the newest first.
const latestPhotos = 12

// public is the job as it stands, for people outside. Who did what is left out
// unless the link says so; names in its sentences are the office's to take out,
// which does it in one way for all that leaves the workshop.
func (v *viewer) public() jcs.Value {
	people := v.args.Get("people").IsTrue()
	var engines, both, contested, missing []jcs.Value
	for _, e := range v.inOrder() {
		engines = append(engines, v.publicEngine(e))
		for _, m := range v.missing() {
			if m.Get("asm").Text() == e.Serial {
				missing = append(missing, jcs.Obj(str("asm", e.Serial), str("words", m.Get("title").Text()+": "+m.Get("says").Text())))
			}
		}
	}
	for i := range v.rs {
		if strings.Contains(v.rs[i].Asm, "+") {
			both = append(both, v.line(&v.rs[i]))
		}
	}
	for _, c := range v.st.Contests {
		says := c.Why
		if says == "" {
			says = "two entries stand against each other; the lead settles it"
		}
		contested = append(contested, jcs.Obj(str("words", v.contestWords(c)), str("says", says)))
	}
	n := v.st.Numbering
	numbering := ""
	if n.Name != "" {
		numbering = "Left and right " + n.Facing + "; number 1 is at the " + n.End1 + "."
	}
	return jcs.Obj(text("title", v.st.Job.Title), str("vehicle", v.st.Job.Vehicle), str("numbering", numbering), list("running", v.runningRuns(), v.publicRun), jcs.M("engines", jcs.Arr(engines...)),
		jcs.M("both", jcs.Arr(both...)), jcs.M("contested", jcs.Arr(contested...)), jcs.M("missing", jcs.Arr(missing...)),
		list("decisions", v.st.Decisions, func(d record.Decision) jcs.Value { return v.publicDecision(d, people) }), v.publicPhotos(people),
		v.week(v.arg("since"), people), v.nextUp(), num("entries", v.st.Entries))
}

// publicRun is a run that goes on: what was read last of each engine, and what
// stands against going on. It names nobody.
func (v *viewer) publicRun(r *record.Run) jcs.Value {
	var sides []jcs.Value
	for _, asm := range result.Sides(v.st, r) {
		e, ok := v.st.Engine(asm)
		if !ok {
			continue
		}
		w := v.watched(e, r)
		var read, alarms []string
		for _, g := range runGauges {
			if l := w.last[g.what]; l != nil && l.Value != nil {
				read = append(read, g.words+" "+l.Value.String()+" at "+clockWords(l.MS))
			}
		}
		for _, a := range w.standing {
			alarms = append(alarms, a.title)
		}
		sides = append(sides, jcs.Obj(text("asm", asm), text("state", w.stateWords()), jcs.M("read", jcs.Strs(read)), jcs.M("alarms", jcs.Strs(alarms))))
	}
	return jcs.Obj(text("title", r.Title), jcs.M("sides", jcs.Arr(sides...)))
}

func (v *viewer) publicDecision(d record.Decision, people bool) jcs.Value {
	out := v.decision(d).Without("id").Without("rests")
	if !people {
		out = out.Without("by")
	}
	return out
}

func (v *viewer) publicEngine(e *record.Engine) jcs.Value {
	counts := map[calc.Verdict]int{}
	var lines []jcs.Value
	for i := range v.rs {
		if r := &v.rs[i]; r.Asm == e.Serial && v.latest(r.ID) {
			counts[r.Verdict]++
			lines = append(lines, v.line(r))
		}
	}
	var tally []jcs.Value
	for _, verdict := range []calc.Verdict{calc.Contested, calc.Outside, calc.NotProven, calc.Incomplete, calc.Within, calc.NoLimit} {
		if counts[verdict] > 0 {
			tally = append(tally, jcs.Obj(str("word", word(verdict, false)), jcs.M("verdict", jcs.Str(string(verdict))), num("n", counts[verdict])))
		}
	}
	svg := ""
	if e.Pattern != nil {
		states := map[string]draw.State{}
		for _, pl := range e.Pattern.Places() {
			s := v.stateOf(e, pl)
			states[pl.At] = draw.State{Word: s.word(), Class: class(s), Words: e.Pattern.Words(pl.At)}
		}
		svg = v.drawing(e, "", false, states)
	}
	out := v.tag(e).Without("fitting")
	for _, m := range v.farAlong(e) {
		out = out.With(m.Key, m.Val)
	}
	return out.With("svg", jcs.Str(svg)).With("counts", jcs.Arr(tally...)).With("lines", jcs.Arr(lines...))
}

// farAlong counts what is measured on an engine, and which of its hold points are signed or conceded.
func (v *viewer) farAlong(e *record.Engine) []jcs.Member {
	if e.Pattern == nil {
		return nil
	}
	done, total := 0, 0
	for _, name := range e.Pattern.Sheets() {
		d, t := v.tally(e, name)
		done, total = done+d, total+t
	}
	signed, holds := 0, 0
	for _, s := range v.st.Stages {
		if s.Pair || s.Hold == nil {
			continue
		}
		holds++
		if key, _ := v.stateOfHold(s.Hold, []*record.Engine{e}).state(); key == "signed" || key == "conceded" {
			signed++
		}
	}
	return []jcs.Member{num("done", done), num("total", total), num("signed", signed), num("holds", holds)}
}

func (v *viewer) publicPhotos(people bool) jcs.Member {
	photos := slices.DeleteFunc(slices.Clone(v.st.Photos), func(p *record.Photo) bool { return v.ofLimit(p.ID) })
	order.By(photos, func(a, b *record.Photo) int { return strings.Compare(b.At, a.At) })
	if len(photos) > latestPhotos {
		photos = photos[:latestPhotos]
	}
	return list("photos", photos, func(p *record.Photo) jcs.Value { return v.photo(p, people) })
}

// ofLimit says whether a photo is of the page that a limit was taken from: a book that somebody else has printed goes to nobody
// outside.
func (v *viewer) ofLimit(id entry.ID) bool {
	return slices.ContainsFunc(v.st.Limits, func(l record.Limit) bool { return slices.Contains(l.Photos, id) })
}
