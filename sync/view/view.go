// Package view says what a screen shows: words, positions and drafts, worked
// out once for phone, desk and volunteers' page. The shapes stand in
// pwa/src/core/types.ts.
package view

import (
	"errors"
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// ErrUnknown is for a name that is no view.
var ErrUnknown = errors.New("there is no such screen in this version")

// ErrNowhere is for an engine or place that the job does not have.
var ErrNowhere = errors.New("this job has no such engine or place")

// View returns what the screen of that name shows.
func View(st *record.State, rs []result.Res, name string, args jcs.Value) (jcs.Value, error) {
	v := &viewer{st: st, rs: rs, args: args}
	switch name {
	case "job":
		return v.job(), nil
	case "engine":
		return v.engine()
	case "sheet":
		return v.sheet()
	case "paper":
		return v.paper()
	case "lines":
		return v.lines(), nil
	case "point":
		return v.point()
	case "say":
		return v.say(), nil
	case "result":
		return v.result()
	case "results":
		return v.results(), nil
	case "lead":
		return v.lead(), nil
	case "contest":
		return v.contest()
	case "tighten":
		return v.tighten()
	case "holds":
		return v.holds()
	case "hold":
		return v.hold()
	case "clutch":
		return v.clutch(), nil
	case "runs":
		return v.runs()
	case "run":
		return v.run()
	case "logger":
		return v.logger()
	case "snags":
		return v.snags()
	case "snag":
		return v.snag()
	case "decision":
		return v.theDecision()
	case "instruction":
		return v.instruction()
	case "parts":
		return v.parts(), nil
	case "part":
		return v.part()
	case "orders":
		return v.orders(), nil
	case "setup":
		return v.setUp(), nil
	case "wrench":
		return v.wrench(), nil
	case "gasket":
		return v.gasket()
	case "undo":
		return v.undo()
	case "entry":
		return v.entry()
	case "photo":
		return v.photoScreen()
	case "public":
		return v.public(), nil
	case "machinist":
		return v.machinist(), nil
	case "types":
		return v.types(), nil
	case "type":
		return v.typeSheet(), nil
	case "stages":
		return v.stages(), nil
	case "came":
		return v.came(), nil
	case "printed":
		return v.printed(), nil
	case "plan":
		return v.plan(), nil
	case "limits":
		return v.limits(), nil
	case "calcs":
		return v.calcs(), nil
	case "workout":
		return v.workout()
	case "search":
		return v.search(), nil
	case "tag":
		return v.theTag()
	case "tags":
		return v.tagSheet(), nil
	case "drawing":
		return jcs.Obj(text("file", draw.File(v.arg("svg"), v.arg("caption")))), nil
	}
	return jcs.Null(), ErrUnknown
}

// viewer is View at work.
type viewer struct {
	st   *record.State
	rs   []result.Res
	args jcs.Value

	watches map[watchKey]*watch // runs that were gone through
}

func (v *viewer) arg(name string) string { return v.args.Get(name).Text() }

// theEngine is the engine that the arguments name.
func (v *viewer) theEngine() (*record.Engine, error) {
	e, ok := v.st.Engine(v.arg("asm"))
	if !ok || e.Pattern == nil {
		return nil, ErrNowhere
	}
	return e, nil
}

// tag is an engine as it is named everywhere.
func (v *viewer) tag(e *record.Engine) jcs.Value {
	return jcs.Obj(str("asm", e.Serial), str("name", e.Name), str("band", e.Band), str("side", e.Fit.Side), str("where", v.where(e)),
		str("fitting", string(e.Fit.ID)), flag("contested", e.Contested))
}

// where says an engine's place in words.
func (v *viewer) where(e *record.Engine) string {
	side := ""
	switch n := v.st.Numbering; e.Fit.Side {
	case "left":
		side = join("left", n.Left)
	case "right":
		side = join("right", n.Right)
	}
	switch {
	case e.Contested:
		return "place not settled"
	case side != "":
		return side
	case e.Fit.Place != "":
		return "not fitted: " + e.Fit.Place
	}
	return "not fitted"
}

func join(a, b string) string {
	if b == "" {
		return a
	}
	return a + " · " + b
}

// of is what an entry made here is about.
func of(e *record.Engine, at, point string) jcs.Value {
	members := []jcs.Member{str("asm", e.Serial), str("side", e.Fit.Side), str("fitting", string(e.Fit.ID)), str("at", at), str("point", point)}
	if key := e.Holds(at); key != e.Serial {
		members = append(members, str("part", key))
	}
	return jcs.Obj(members...)
}

func (v *viewer) person(key string) string {
	p, _ := v.st.Person(key)
	return p.Name
}

// word is a verdict on a screen.
func word(verdict calc.Verdict, close bool) string {
	switch verdict {
	case calc.Within:
		if close {
			return "within, close"
		}
		return "within"
	case calc.NotProven:
		return "too close to call"
	case calc.Contested:
		return "readings differ"
	case calc.NoLimit:
		return "no limit"
	}
	return string(verdict)
}

// resultWord is a result's verdict; one that waits for the lead to accept its
// limit says so.
func resultWord(r *result.Res) string {
	waits := func(x calc.Val) bool { return x.Limit != nil && !x.Limit.Accepted }
	if r.Verdict == calc.NoLimit && slices.ContainsFunc(r.Vals, waits) {
		return notAccepted
	}
	return word(r.Verdict, r.Close)
}

const notAccepted = "limit not accepted"

// line is a result in one line of a list.
func (v *viewer) line(r *result.Res) jcs.Value {
	return r.Shown(func(r *result.Res) jcs.Value { return jcs.Obj(lineMembers(r)...) })
}

func lineMembers(r *result.Res) []jcs.Member {
	return []jcs.Member{str("id", r.ID), str("asm", r.Asm), str("at", r.At), str("cond", r.Cond), str("cond_words", pattern.CondWords(r.Cond)),
		str("words", r.Words), jcs.M("verdict", jcs.Str(string(r.Verdict))), str("word", resultWord(r)), flag("close", r.Close),
		str("says", r.Says), jcs.M("glyph", glyphOf(r).JSON())}
}

// glyphOf is the glyph of the value that decides a result.
func glyphOf(r *result.Res) calc.Glyph {
	best := calc.Glyph{Lo: -1, Hi: -1, Val: 500}
	for _, val := range r.Vals {
		if val.Limit == nil {
			continue
		}
		if val.Verdict == r.Verdict {
			return val.Glyph
		}
		best = val.Glyph
	}
	return best
}

// of results those that concern a place: by its name or by its base.
func (v *viewer) resultsAt(asm, at string) []*result.Res {
	base := at
	if i := strings.LastIndexByte(at, '.'); i >= 0 {
		base = at[:i]
	}
	bound := ""
	if e, ok := v.st.Engine(asm); ok && e.Pattern != nil {
		if pl, ok := e.Pattern.Find(at); ok {
			bound = pl.Feature.Calc
		}
	}
	var out []*result.Res
	for i := range v.rs {
		r := &v.rs[i]
		if strings.Contains(r.Asm, asm) && (r.At == at || r.At == base || bound != "" && r.Calc == bound) {
			out = append(out, r)
		}
	}
	return out
}

func str(key, s string) jcs.Member       { return jcs.M(key, jcs.Opt(s)) }
func text(key, s string) jcs.Member      { return jcs.M(key, jcs.Str(s)) }
func flag(key string, b bool) jcs.Member { return jcs.M(key, jcs.Flag(b)) }
func yes(key string, b bool) jcs.Member  { return jcs.M(key, jcs.Bool(b)) }
func num(key string, n int) jcs.Member   { return jcs.M(key, jcs.Int(int64(n))) }

func list[T any](key string, of []T, one func(T) jcs.Value) jcs.Member {
	items := make([]jcs.Value, 0, len(of))
	for _, x := range of {
		items = append(items, one(x))
	}
	return jcs.M(key, jcs.Arr(items...))
}
