package view

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// ErrNoSize is for a size or limit that no longer stands.
var ErrNoSize = errors.New("this size or limit does not stand any more: choose again")

// WhatIf is what would move if a limit, a size or the gasket were another:
// every result of both engines, the decisions and hold points that would no
// longer hold, and the orders behind them. It is worked out on a copy; nothing
// is written.
func WhatIf(w *result.Work, job entry.JobID, args jcs.Value) (jcs.Value, error) {
	st, rs := w.Now()
	v := &viewer{st: st, rs: rs, args: args}
	drafts, err := v.imagined()
	if err != nil {
		return jcs.Null(), err
	}
	then := v
	if len(drafts) > 0 {
		st2, rs2, err := w.Imagine(job, drafts)
		if err != nil {
			return jcs.Null(), err
		}
		then = &viewer{st: st2, rs: rs2, args: args}
	}
	return v.compared(then), nil
}

// imagined are the entries that the changes would be.
func (v *viewer) imagined() ([]entry.Entry, error) {
	var out []entry.Entry
	for _, c := range v.args.Get("changes").Items() {
		var made []entry.Entry
		switch c.Get("what").Text() {
		case "limit":
			made = v.otherLimit(c)
		case "size":
			made = v.otherSize(entry.ID(c.Get("id").Text()), c.Get("t").Text())
		case "gasket":
			made = v.otherGasket(c.Get("t").Text())
		}
		if len(made) == 0 {
			return nil, ErrNoSize
		}
		out = append(out, made...)
	}
	return out, nil
}

// otherLimit takes the place of a limit; one that nobody has accepted is
// imagined accepted, since it would judge nothing.
func (v *viewer) otherLimit(c jcs.Value) []entry.Entry {
	i := slices.IndexFunc(v.st.Limits, func(l record.Limit) bool { return string(l.ID) == c.Get("id").Text() })
	if i < 0 {
		return nil
	}
	l := v.st.Limits[i]
	accepted := l.Accepted
	if !v.st.Accepted(l) {
		accepted = v.aLead()
	}
	unit := limitUnit(l)
	body := v.limitLine(l, "").Get("body").With("accepted", jcs.Opt(accepted)).With("min", valueOr(c.Get("min").Text(), unit)).With("max", valueOr(c.Get("max").Text(), unit))
	return []entry.Entry{{By: "what if", Kind: "limit", Body: body, Over: []entry.ID{l.ID}}}
}

func (v *viewer) aLead() string {
	for _, p := range v.st.People {
		if p.Role == "lead" {
			return p.Key
		}
	}
	return ""
}

func limitUnit(l record.Limit) string {
	if l.Min != nil {
		return l.Min.Unit
	}
	return l.Max.Unit
}

func valueOr(t, unit string) jcs.Value {
	if t == "" {
		return jcs.Null()
	}
	return jcs.Obj(str("t", t), str("u", unit))
}

func (v *viewer) otherSize(id entry.ID, t string) []entry.Entry {
	m, ok := v.st.Saying(id)
	if !ok || m.Kind != "reading" || t == "" {
		return nil
	}
	body := m.Body.With("value", jcs.Obj(str("t", t), jcs.M("u", m.Body.Get("value").Get("u"))))
	return []entry.Entry{{By: "what if", Kind: "reading", Body: body, Over: []entry.ID{id}}}
}

// anotherGasket is the condition in which the gasket is imagined. What was
// measured through the old one (lead, clay, valves) was never measured through
// this one, so it does not go along.
const anotherGasket = "trial:another gasket"

// newestGasket is the newest condition in which an engine's gasket was
// measured under torque; "" when it never was.
func (v *viewer) newestGasket(e *record.Engine) string {
	conds := v.st.Conditions(e.Holds("gasket.compressed"), "gasket.compressed")
	if len(conds) == 0 {
		return ""
	}
	return conds[len(conds)-1]
}

// otherGasket imagines another gasket in every engine that has one: as thick
// as said, opened as the one that is there.
func (v *viewer) otherGasket(t string) []entry.Entry {
	var out []entry.Entry
	for i := range v.st.Engines {
		e := &v.st.Engines[i]
		cond := v.newestGasket(e)
		if cond == "" || t == "" {
			continue
		}
		for _, r := range v.st.Spot(e.Holds("gasket.compressed"), "gasket.compressed") {
			out = append(out, v.onAnother(r, cond, t)...)
		}
		lot, _ := strings.CutPrefix(cond, "trial:")
		for _, key := range []string{lot, e.Holds("gasket.opening")} {
			for _, r := range v.st.Spot(key, "gasket.opening") {
				out = append(out, v.onAnother(r, cond, "")...)
			}
		}
	}
	return out
}

// onAnother says a place's readings again of the imagined gasket, as they were
// or as thick as said.
func (v *viewer) onAnother(p record.Place, cond, t string) []entry.Entry {
	var out []entry.Entry
	for _, r := range p.Readings {
		m, ok := v.st.Saying(r.ID)
		if !ok || p.Cond != cond || r.Struck != "" {
			continue
		}
		body := m.Body.With("cond", jcs.Str(anotherGasket)).Without("blind")
		if t != "" {
			body = body.With("value", jcs.Obj(str("t", t), str("u", "mm")))
		}
		if of := body.Get("of"); !of.Get("part").IsNull() {
			lot, _ := strings.CutPrefix(anotherGasket, "trial:")
			body = body.With("of", of.With("part", jcs.Str(lot)))
		}
		out = append(out, entry.Entry{By: "what if", Kind: "reading", Body: body})
	}
	return out
}

// window says where the imagined thickness lies in what both engines allow:
// ratio, gap and valves together.
func (v *viewer) window() string {
	t := ""
	for _, c := range v.args.Get("changes").Items() {
		if c.Get("what").Text() == "gasket" {
			t = c.Get("t").Text()
		}
	}
	if t == "" {
		return ""
	}
	for i := len(v.rs) - 1; i >= 0; i-- {
		r := &v.rs[i]
		if r.Calc != "gasket" || r.Cond == anotherGasket {
			continue
		}
		ends := map[string]string{}
		for _, x := range r.Vals {
			ends[x.Name] = x.Text
		}
		if ends["from"] == "" {
			return "No thickness meets every limit of both engines."
		}
		in := inside(t, ends["from"], ends["to"])
		if in == "" {
			return ""
		}
		return t + "\u2009mm lies " + in + " the window " + ends["from"] + " to " + ends["to"] + "\u2009mm in which both engines meet ratio, gap and valves."
	}
	return ""
}

func inside(t, from, to string) string {
	var at [3]float64
	for i, text := range []string{t, from, to} {
		q, err := quantity.Parse(quantity.Written{Text: text, Unit: "mm"})
		if err != nil {
			return ""
		}
		at[i] = quantity.Quantise(q.Unit.FromStep(q.SI), 3)
	}
	if at[0] < at[1] || at[0] > at[2] {
		return "outside"
	}
	return "inside"
}

// compared says what differs between the job as it is and as it would be.
func (v *viewer) compared(then *viewer) jcs.Value {
	var engines []jcs.Value
	for _, e := range v.inOrder() {
		engines = append(engines, jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("moved", jcs.Arr(v.movedResults(then, e.Serial)...))))
	}
	var decisions, orders, holds []jcs.Value
	for _, d := range v.st.Decisions {
		if now, was := then.stale(d), v.stale(d); now != was {
			decisions = append(decisions, jcs.Obj(str("id", string(d.ID)), text("title", v.decisionTitle(d)), text("says", now)))
			for _, a := range v.ordersOf(string(d.ID)) {
				orders = append(orders, v.partLine(a))
			}
		}
	}
	for _, s := range v.st.Stages {
		holds = append(holds, v.movedHolds(then, s)...)
	}
	return jcs.Obj(jcs.M("engines", jcs.Arr(engines...)), jcs.M("both", jcs.Arr(v.movedResults(then, "")...)), jcs.M("decisions", jcs.Arr(decisions...)),
		jcs.M("orders", jcs.Arr(orders...)), jcs.M("holds", jcs.Arr(holds...)), v.limitsToChange(), v.placesToChange(), v.sizesToChange(), yes("gasket", len(v.otherGasket("1")) > 0), str("window", v.window()))
}

func (v *viewer) movedHolds(then *viewer, s record.Stage) []jcs.Value {
	if s.Hold == nil {
		return nil
	}
	groups := [][]*record.Engine{v.inOrder()}
	if !s.Pair {
		groups = nil
		for _, e := range v.inOrder() {
			groups = append(groups, []*record.Engine{e})
		}
	}
	var out []jcs.Value
	for _, g := range groups {
		a, was := v.stateOfHold(s.Hold, g).state()
		b, now := then.stateOfHold(s.Hold, g).state()
		if a != b {
			out = append(out, jcs.Obj(text("title", s.Hold.Key+", "+s.Hold.Title+", "+serials(g)), text("was", was), text("now", now)))
		}
	}
	return out
}

// movedResults are the results of one engine, or of more than one, that would
// say something else: a changed verdict first.
func (v *viewer) movedResults(then *viewer, asm string) []jcs.Value {
	type change struct {
		old, now *result.Res
		verdict  bool
	}
	of := func(r *result.Res) bool {
		if asm == "" {
			return strings.Contains(r.Asm, "+")
		}
		return r.Asm == asm
	}
	var all []change
	for i := range v.rs {
		if old := &v.rs[i]; of(old) {
			if now := then.find(old.ID); now == nil || !sameWords(old, now) {
				all = append(all, change{old, now, now == nil || now.Verdict != old.Verdict})
			}
		}
	}
	for i := range then.rs {
		now := &then.rs[i]
		// One thickness thought of for both engines says nothing of how they differ, nor of which to choose.
		if !of(now) || v.find(now.ID) != nil || (now.Calc == "gasket" || now.Calc == "twin") && now.Cond == anotherGasket {
			continue
		}
		if old := v.beforeThat(now); old == nil || !sameWords(old, now) {
			all = append(all, change{old, now, old == nil || old.Verdict != now.Verdict})
		}
	}
	order.By(all, func(x, y change) int { return cmp.Compare(rankOf(x.verdict), rankOf(y.verdict)) })
	out := make([]jcs.Value, 0, len(all))
	for _, c := range all {
		out = append(out, movedLine(c.old, c.now))
	}
	return out
}

// beforeThat is the result of the gasket that is there, beside one of the
// imagined gasket; nil for any other.
func (v *viewer) beforeThat(now *result.Res) *result.Res {
	e, ok := v.st.Engine(now.Asm)
	if !ok || now.Cond != anotherGasket {
		return nil
	}
	return v.find(strings.TrimSuffix(now.ID, anotherGasket) + v.newestGasket(e))
}

func rankOf(first bool) int {
	if first {
		return 0
	}
	return 1
}

func sameWords(a, b *result.Res) bool {
	return a.Verdict == b.Verdict && a.Close == b.Close && a.Says == b.Says && slices.EqualFunc(a.Vals, b.Vals, func(x, y calc.Val) bool {
		return x.Name == y.Name && x.Text == y.Text && x.Unit == y.Unit && x.Verdict == y.Verdict
	})
}

func movedLine(old, now *result.Res) jcs.Value {
	some := now
	if some == nil {
		some = old
	}
	var vals []jcs.Value
	if old != nil && now != nil {
		for _, x := range old.Vals {
			i := slices.IndexFunc(now.Vals, func(y calc.Val) bool { return y.Name == x.Name })
			if i >= 0 && now.Vals[i].Text != x.Text {
				vals = append(vals, jcs.Obj(str("label", x.Label), text("was", figure(x.Text, x.Unit)), text("now", figure(now.Vals[i].Text, now.Vals[i].Unit))))
			}
		}
	}
	return jcs.Obj(str("id", some.ID), str("asm", some.Asm), str("words", some.Words), str("cond_words", pattern.CondWords(some.Cond)), jcs.M("was", verdictOf(old)), jcs.M("now", verdictOf(now)),
		jcs.M("vals", jcs.Arr(vals...)), str("says", some.Says))
}

func verdictOf(r *result.Res) jcs.Value {
	if r == nil {
		return jcs.Null()
	}
	return jcs.Obj(jcs.M("verdict", jcs.Str(string(r.Verdict))), str("word", resultWord(r)), jcs.M("glyph", glyphOf(r).JSON()))
}

func (v *viewer) limitsToChange() jcs.Member {
	titles := v.limitTitles()
	bound := func(w *quantity.Written) string {
		if w == nil {
			return ""
		}
		return w.Text
	}
	return list("limits", v.st.Limits, func(l record.Limit) jcs.Value {
		return jcs.Obj(str("id", string(l.ID)), text("title", titles.of(v, l)), str("asm", l.Asm), str("says", limitSays(l)), text("min", bound(l.Min)), text("max", bound(l.Max)), text("unit", limitUnit(l)))
	})
}

// placesToChange are the places of the chosen engine where something was read.
func (v *viewer) placesToChange() jcs.Member {
	e, ok := v.st.Engine(v.arg("asm"))
	if !ok || e.Pattern == nil {
		return jcs.M("places", jcs.Arr())
	}
	var out []jcs.Value
	for _, pl := range e.Pattern.Places() {
		if len(v.st.Spot(e.Holds(pl.At), pl.At)) > 0 {
			out = append(out, jcs.Obj(str("at", pl.At), text("words", e.Pattern.Words(pl.At))))
		}
	}
	return jcs.M("places", jcs.Arr(out...))
}

// sizesToChange are the readings that stand at the chosen place.
func (v *viewer) sizesToChange() jcs.Member {
	e, ok := v.st.Engine(v.arg("asm"))
	if !ok || e.Pattern == nil || v.arg("at") == "" {
		return jcs.M("sizes", jcs.Arr())
	}
	var out []jcs.Value
	for _, p := range v.st.Spot(e.Holds(v.arg("at")), v.arg("at")) {
		for _, r := range p.Readings {
			if r.Struck == "" {
				words := strings.TrimPrefix(pattern.PointWords(p.Point)+", ", ", ") + pattern.CondWords(p.Cond) + ": " + r.Value.String() + ", " + v.person(r.ReadBy)
				out = append(out, jcs.Obj(str("id", string(r.ID)), text("words", words), text("t", r.Value.Text), text("unit", r.Value.Unit), text("place", e.Serial+" · "+v.placeName(e, p.At, p.Point))))
			}
		}
	}
	return jcs.M("sizes", jcs.Arr(out...))
}
