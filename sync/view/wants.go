package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// want lists what one condition of a hold point still waits for on an engine.
func (v *viewer) want(w record.Want, e *record.Engine) []todo {
	switch w.What {
	case "measured":
		return v.unmeasured(e, w.Of)
	case "within":
		return v.notWithin(e, w.Of)
	case "settled":
		return v.unsettled(e)
	case "tightened":
		return v.untightened(e, w.Of, false)
	case "again":
		return v.untightened(e, w.Of, true)
	case "tried":
		return v.untriedClutch(e)
	case "photo":
		return v.noPhoto(e, w.Of)
	case "decided":
		return v.undecided(e, w.Of)
	case "proven":
		return v.unproven(e)
	}
	return []todo{{"A newer version of this tool, to know what '" + w.What + "' asks for", jcs.Obj(str("screen", "job"))}}
}

func (v *viewer) unmeasured(e *record.Engine, sheet string) []todo {
	if e.Pattern == nil {
		return []todo{{e.Serial + ": its type sheet", jcs.Obj(str("screen", "job"))}}
	}
	var out []todo
	for _, pl := range e.Pattern.Places() {
		if pl.Feature.Sheet != sheet {
			continue
		}
		var open []string
		for _, p := range pl.Feature.PointsOf() {
			if !v.answered(e.Holds(pl.At), pl.At, p) {
				open = append(open, p)
			}
		}
		switch len(open) {
		case 0:
		case 1:
			out = append(out, todo{"Measure " + e.Serial + " · " + v.placeName(e, pl.At, open[0]), pointLink(e, pl.At, open[0])})
		default:
			out = append(out, todo{"Measure " + e.Serial + " · " + e.Pattern.Words(pl.At) + " (" + strconv.Itoa(len(open)) + " points)", pointLink(e, pl.At, open[0])})
		}
	}
	return out
}

func pointLink(e *record.Engine, at, point string) jcs.Value {
	return jcs.Obj(str("screen", "point"), str("asm", e.Serial), str("at", at), text("point", point))
}

// notWithin lists the newest results of a sheet that prove nothing. One with
// no limit at all is nobody's promise and holds nothing up, nor does a hold test that is still being held.
func (v *viewer) notWithin(e *record.Engine, sheet string) []todo {
	var out []todo
	for i := range v.rs {
		r := &v.rs[i]
		if r.Sheet != sheet || !slices.Contains(strings.Split(r.Asm, "+"), e.Serial) || r.Verdict == calc.Within || r.Verdict == calc.NoLimit || !v.latest(r.ID) || v.stillHeld(r) {
			continue
		}
		out = append(out, todo{r.Asm + " · " + r.Words + ", " + pattern.CondWords(r.Cond) + ": " + word(r.Verdict, r.Close), jcs.Obj(str("screen", "result"), str("id", r.ID))})
	}
	return out
}

func (v *viewer) unsettled(e *record.Engine) []todo {
	var out []todo
	for _, c := range v.st.Contests {
		if slices.ContainsFunc(c.Places, func(o record.Of) bool { return o.Asm == e.Serial }) {
			out = append(out, todo{"Settle " + v.contestWords(c), jcs.Obj(str("screen", "contest"), str("id", string(c.ID)))})
		}
	}
	return out
}

// untightened: every pass of the joint complete as built, and, after the first
// heat, one more.
func (v *viewer) untightened(e *record.Engine, joint string, again bool) []todo {
	open := jcs.Obj(str("screen", "tighten"), str("asm", e.Serial), str("joint", joint), str("cond", "built"))
	if e.Pattern == nil {
		return []todo{{"Tighten " + e.Serial + " · " + joint, open}}
	}
	sheet, ok := e.Pattern.Joint(joint)
	if !ok {
		return []todo{{"A joint called " + joint + " on the type sheet of " + e.Serial, open}}
	}
	have := v.joint(e.Serial, joint, "built")
	last := len(sheet.Passes)
	if again {
		if p := passOf(have, last+1); p.Whole || len(p.Done) == len(sheet.Fasteners) {
			return nil
		}
		return []todo{{"Tighten " + e.Serial + " · " + sheet.Words + " again after the first heat", open}}
	}
	if n := openPass(sheet, have); n < last || nextFastener(sheet, have, last) != "" || last == 0 {
		return []todo{{"Tighten " + e.Serial + " · " + sheet.Words, open}}
	}
	return nil
}

func (v *viewer) noPhoto(e *record.Engine, at string) []todo {
	if slices.ContainsFunc(v.st.Photos, func(p *record.Photo) bool { return p.Of.Asm == e.Serial && p.Of.At == at }) {
		return nil
	}
	return []todo{{"A photo of " + e.Serial + " · " + v.placeName(e, at, ""), pointLink(e, at, "")}}
}

// undecided: a decision about the engine that does not rest on what has
// changed since.
func (v *viewer) undecided(e *record.Engine, what string) []todo {
	open := jcs.Obj(str("screen", "job"))
	for _, d := range v.st.Decisions {
		if d.Decide != what || !slices.Contains(d.Asm, e.Serial) {
			continue
		}
		if s := v.stale(d); s != "" {
			return []todo{{"Decide " + what + " for " + e.Serial + " anew: " + s, open}}
		}
		return nil
	}
	return []todo{{"Decide " + what + " for " + e.Serial, open}}
}

// unsigned: an earlier hold point, of each engine or of the pair.
func (v *viewer) unsigned(hold string, es []*record.Engine) []todo {
	var out []todo
	for _, s := range v.st.Stages {
		if s.Hold == nil || s.Hold.Key != hold {
			continue
		}
		groups := [][]*record.Engine{v.inOrder()}
		if !s.Pair {
			groups = nil
			for _, e := range es {
				groups = append(groups, []*record.Engine{e})
			}
		}
		for _, g := range groups {
			if key, words := v.stateOfHold(s.Hold, g).state(); key != "signed" && key != "conceded" {
				out = append(out, todo{hold + ", " + s.Hold.Title + ", " + serials(g) + ": " + words, jcs.Obj(str("screen", "stages"))})
			}
		}
		return out
	}
	return []todo{{"A hold point " + hold + " in the plan", jcs.Obj(str("screen", "stages"))}}
}

func serials(es []*record.Engine) string {
	var out []string
	for _, e := range es {
		out = append(out, e.Serial)
	}
	return strings.Join(out, " and ")
}
