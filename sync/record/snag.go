package record

import (
	"cmp"
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

// The states of a snag, the least finished first.
const (
	SnagRaised   = "raised"
	SnagReopened = "reopened"
	SnagCured    = "cured"
	SnagProven   = "proven"
)

// Snag is what is wrong somewhere, with the steps by which it is put right.
type Snag struct {
	ID, Origin   entry.ID
	Of           Of
	What, Rate   string
	Stop         bool // the engine is not run until it is proven
	Photos       []entry.ID
	By, At, Note string
	State        string
	NotProven    string // why somebody's proof does not count, or ""
	Steps        []SnagStep
	Fate
}

// SnagStep is one step: cured, proven or reopened.
type SnagStep struct {
	ID, Origin               entry.ID
	State, Did, Twin, SeenBy string
	Test                     entry.ID
	Photos                   []entry.ID
	By, At, Note             string
	NotProven                string
	Fate
}

// Open reports whether a snag still waits for something.
func (s *Snag) Open() bool { return s.Struck == "" && (s.State != SnagProven || s.Contest != "") }

// Known are the entries that a new step comes after: the snag, and its steps
// that stand.
func (s *Snag) Known() []entry.ID {
	out := []entry.ID{s.ID}
	for _, st := range s.Steps {
		if st.Struck == "" {
			out = append(out, st.ID)
		}
	}
	return out
}

// snags gathers what is wrong, each with its steps. It looks at nothing that
// State.Extend adds.
func (b *builder) snags() {
	at := map[entry.ID]int{}
	b.eachSnag(true, func(it *reconcile.Item) {
		at[it.ID] = len(b.s.Snags)
		b.s.Snags = append(b.s.Snags, b.snag(it))
	})
	steps := map[int][]*reconcile.Item{}
	b.eachSnag(false, func(it *reconcile.Item) { b.snagStep(it, at, steps) })
	p := newPast(b)
	for i := range b.s.Snags {
		b.snagState(p, &b.s.Snags[i], steps[i])
	}
}

func (b *builder) eachSnag(raised bool, visit func(*reconcile.Item)) {
	for _, it := range b.r.Ordered {
		if it.Says == "snag" && it.State != reconcile.Unusable && (stateOf(it) == SnagRaised) == raised {
			visit(it)
		}
	}
}

func (b *builder) snag(it *reconcile.Item) Snag {
	v := it.Effective
	s := Snag{ID: it.ID, Of: ofBody(v.Get("of")), What: v.Get("what").Text(), Rate: v.Get("rate").Text(), Stop: v.Get("stop").IsTrue(),
		Photos: refs(v.Get("photos")), By: it.By, At: it.At, Note: v.Get("note").Text(), State: SnagRaised}
	if o := b.origin(it); o != nil {
		s.Origin, s.By, s.At = o.ID, o.By, o.At
	}
	s.Fate = b.fate(it, s.Of, s.At)
	if !b.takenBy(it, SnagRaised) {
		s.Struck, s.StruckBy = "", nil
	}
	if _, ok := b.s.Engine(s.Of.Asm); !ok && s.Struck == "" {
		out := bad(it, "nobody has entered an engine "+s.Of.Asm+" yet")
		out.Of = s.Of
		b.s.Unusable = append(b.s.Unusable, out)
	}
	return s
}

// takenBy reports whether a covered entry was taken back, or replaced by one of
// the same state: a step that claims the place of another ends nothing.
func (b *builder) takenBy(it *reconcile.Item, state string) bool {
	return slices.ContainsFunc(it.CoveredBy, func(id entry.ID) bool {
		by := b.r.Item(id)
		return by.Kind == "withdraw" || by.Says == "snag" && stateOf(by) == state
	})
}

func refs(v jcs.Value) []entry.ID {
	var out []entry.ID
	for _, t := range v.Texts() {
		out = append(out, entry.ID(t))
	}
	return out
}

// snagStep puts a step to its snag, or to what stands in the snag's place.
func (b *builder) snagStep(it *reconcile.Item, at map[entry.ID]int, steps map[int][]*reconcile.Item) {
	v := it.Effective
	id := entry.ID(v.Get("snag").Text())
	on := b.testsOf(id, at)
	switch {
	case len(on) == 0 && b.r.Item(id) == nil:
		on, at[id] = []int{len(b.s.Snags)}, len(b.s.Snags)
		b.s.Snags = append(b.s.Snags, Snag{ID: id, State: SnagRaised, Fate: Fate{Waits: []entry.ID{id}}})
	case len(on) == 0 && it.State != reconcile.Covered:
		b.s.Unusable = append(b.s.Unusable, bad(it, "what it names is no snag"))
	}
	st := SnagStep{ID: it.ID, State: stateOf(it), Did: v.Get("did").Text(), Twin: v.Get("twin").Text(), SeenBy: v.Get("seen_by").Text(),
		Test: entry.ID(v.Get("test").Text()), Photos: refs(v.Get("photos")), By: it.By, At: it.At, Note: v.Get("note").Text()}
	if o := b.origin(it); o != nil {
		st.Origin, st.By, st.At = o.ID, o.By, o.At
	}
	st.Fate = b.fate(it, Of{}, st.At)
	for _, i := range on {
		b.s.Snags[i].Steps = append(b.s.Snags[i].Steps, st)
		if st.Struck == "" {
			steps[i] = append(steps[i], it)
		}
	}
}

// snagState works out how far a snag is: what the steps say that count and
// that no other follows. A proof that proves nothing does not count.
func (b *builder) snagState(p *past, s *Snag, steps []*reconcile.Item) {
	var count []*reconcile.Item
	for _, it := range steps {
		why := ""
		if stateOf(it) == SnagProven {
			why = b.notProven(p, s, entry.ID(it.Effective.Get("test").Text()), earlier(p, it, steps))
		}
		if why == "" {
			count = append(count, it)
			continue
		}
		i := slices.IndexFunc(s.Steps, func(st SnagStep) bool { return st.ID == it.ID })
		s.Steps[i].NotProven = why
	}
	tips := unfollowed(p, count)
	var ids []entry.ID
	states := map[string]bool{}
	for _, it := range tips {
		ids = append(ids, it.ID)
		states[stateOf(it)] = true
	}
	if len(tips) > 0 {
		s.State = stateOf(slices.MinFunc(tips, func(x, y *reconcile.Item) int { return cmp.Compare(finished(x), finished(y)) }))
	}
	if len(states) > 1 {
		s.Contest = first(s.Contest, b.contest("snag/"+string(s.ID), "how far is it? Two people who did not know of each other said something else", ids, []Of{s.Of}))
		for i := range s.Steps {
			if slices.Contains(ids, s.Steps[i].ID) {
				s.Steps[i].Contest = first(s.Steps[i].Contest, s.Contest)
			}
		}
	}
	for _, it := range unfollowed(p, steps) { // an old proof that did not count is answered by what came after it
		i := slices.IndexFunc(s.Steps, func(st SnagStep) bool { return st.ID == it.ID })
		s.NotProven = first(s.NotProven, s.Steps[i].NotProven)
	}
	if s.State == SnagProven {
		s.NotProven = ""
	}
}

func finished(it *reconcile.Item) int {
	return slices.Index([]string{SnagRaised, SnagReopened, SnagCured, SnagProven}, stateOf(it))
}

// unfollowed are the steps that no other comes after.
func unfollowed(p *past, steps []*reconcile.Item) []*reconcile.Item {
	var out []*reconcile.Item
	for _, x := range steps {
		if !slices.ContainsFunc(steps, func(y *reconcile.Item) bool { return y != x && p.before(x, y) }) {
			out = append(out, x)
		}
	}
	return out
}

func earlier(p *past, it *reconcile.Item, steps []*reconcile.Item) []*reconcile.Item {
	return slices.DeleteFunc(slices.Clone(steps), func(x *reconcile.Item) bool { return !p.before(x, it) })
}

// notProven says why a test proves nothing of a snag of which these steps are
// known, or "".
func (b *builder) notProven(p *past, s *Snag, id entry.ID, known []*reconcile.Item) string {
	test, why := b.testOf(s, id)
	if why != "" {
		return "not proven: " + why
	}
	cures := withState(known, SnagCured)
	if len(cures) == 0 {
		return "not proven: nobody had cured it"
	}
	for _, r := range withState(known, SnagReopened) {
		if !slices.ContainsFunc(cures, func(c *reconcile.Item) bool { return p.before(r, c) }) {
			return "not proven: it was opened again, and not cured since"
		}
	}
	for _, c := range cures {
		switch {
		case p.before(c, test):
		case p.before(test, c):
			return "not proven: the test was begun before it was cured"
		default:
			return "not proven: nothing says that the test was begun after it was cured"
		}
	}
	return ""
}

func withState(steps []*reconcile.Item, state string) []*reconcile.Item {
	return slices.DeleteFunc(slices.Clone(steps), func(it *reconcile.Item) bool { return stateOf(it) != state })
}

// testOf finds the start of the test that a proof names, or why it can prove nothing.
func (b *builder) testOf(s *Snag, id entry.ID) (*reconcile.Item, string) {
	it := b.r.Item(id)
	switch {
	case it == nil:
		return nil, "the test has not arrived yet"
	case !beginsTest(it):
		return nil, "what it names is no start of a hold test or a run"
	case !slices.ContainsFunc(b.heads(id), func(h *reconcile.Item) bool { return h.State == reconcile.Stands && h.Says == it.Says }):
		return nil, "the test was taken back"
	case !testedOn(it, s.Of.Asm):
		return nil, "the test was of " + it.Effective.Get("of").Get("asm").Text()
	}
	if it.Says == "hold-test" {
		return it, b.holdProves(id)
	}
	return it, ""
}

// beginsTest reports whether an entry begins what may prove a cure: a hold test or a run.
func beginsTest(it *reconcile.Item) bool {
	return it.Says == "hold-test" && it.Effective.Get("start").IsNull() || it.Says == "run" && isRunStart(it)
}

// testedOn reports whether an engine was in a test; a run may be of both.
func testedOn(it *reconcile.Item, asm string) bool {
	return it.Effective.Get("of").Get("asm").Text() == asm || it.Effective.Get("with").Get("asm").Text() == asm
}

func (b *builder) holdProves(id entry.ID) string {
	t, ok := b.s.Hold(id)
	if !ok || t.Struck != "" {
		return "the test was taken back"
	}
	end, ended := t.End()
	switch {
	case !ended:
		return "the test has not been ended"
	case t.Contest != "" || end.Contest != "":
		return "the test is not settled"
	}
	return ""
}

// Proof is a test that somebody may have seen a snag dry on; Why it proves nothing, or "".
type Proof struct {
	Test          entry.ID
	Words, By, At string
	Why           string
}

// Proofs lists the tests of a snag's engine, in the record's order, with what
// each would prove to one who knows every step that stands.
func (s *State) Proofs(x *Snag) []Proof {
	b := s.built
	p := newPast(b)
	var known []*reconcile.Item
	for _, st := range x.Steps {
		if st.Struck == "" && st.NotProven == "" {
			known = append(known, b.r.Item(st.ID))
		}
	}
	var out []Proof
	for _, it := range b.r.Ordered {
		if it.State != reconcile.Stands || !beginsTest(it) || !testedOn(it, x.Of.Asm) {
			continue
		}
		out = append(out, Proof{it.ID, words(it.Says, it), it.By, it.At, b.notProven(p, x, it.ID, known)})
	}
	return out
}

// Snag returns the snag of that entry, or the one that stands in its place.
func (s *State) Snag(id entry.ID) (*Snag, bool) {
	find := func(id entry.ID) int { return slices.IndexFunc(s.Snags, func(x Snag) bool { return x.ID == id }) }
	i := find(id)
	if i < 0 || s.Snags[i].Struck != "" {
		for _, h := range s.built.heads(id) {
			if k := find(h.ID); k >= 0 {
				return &s.Snags[k], true
			}
		}
	}
	if i < 0 {
		return nil, false
	}
	return &s.Snags[i], true
}

func (s Snag) json() jcs.Value {
	return jcs.Obj(append(s.members(), id("id", s.ID), id("origin", s.Origin), jcs.M("of", s.Of.JSON()), str("what", s.What), str("rate", s.Rate), flag("stop", s.Stop),
		ids("photos", s.Photos), str("by", s.By), str("at", s.At), str("note", s.Note), str("state", s.State), str("not_proven", s.NotProven), list("steps", s.Steps, SnagStep.json))...)
}

func (s SnagStep) json() jcs.Value {
	return jcs.Obj(append(s.members(), id("id", s.ID), id("origin", s.Origin), str("state", s.State), str("did", s.Did), str("twin", s.Twin), str("seen_by", s.SeenBy),
		id("test", s.Test), ids("photos", s.Photos), str("by", s.By), str("at", s.At), str("note", s.Note), str("not_proven", s.NotProven))...)
}
