package record

import (
	"cmp"
	"slices"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/reconcile"
)

// stay is a time that a part spent in an engine.
type stay struct{ part, from, to string }

// parts tells each part's story and finds which crank is in which engine. A
// size belongs to its part and follows it.
func (b *builder) parts() {
	steps := b.steps()
	b.partEnds(steps)
	moved := map[string]bool{} // parts that somebody fitted or took out
	fitted := map[string][]string{}
	for _, k := range slices.Sorted(slices.Values(steps.names)) {
		p, of := b.part(k), steps.of[k]
		b.story(p, of)
		moved[k] = slices.ContainsFunc(of, isMoved)
		if p.Asm != "" {
			fitted[p.Asm] = append(fitted[p.Asm], k)
		}
	}
	for i := range b.s.Engines {
		b.crank(&b.s.Engines[i], fitted[b.s.Engines[i].Serial], moved)
	}
}

// partSteps are the standing entries about parts, by tag, in order.
type partSteps struct {
	names []string
	of    map[string][]*reconcile.Item
}

func (b *builder) steps() partSteps {
	s := partSteps{of: map[string][]*reconcile.Item{}}
	b.standing("part", func(it *reconcile.Item, v jcs.Value) {
		k := v.Get("part").Text()
		if s.of[k] == nil {
			s.names = append(s.names, k)
		}
		s.of[k] = append(s.of[k], it)
	})
	return s
}

func stateOf(it *reconcile.Item) string { return it.Effective.Get("state").Text() }

// isMoved: such a step says where the part is from now on. A part that is sent
// to be machined and comes back keeps its place.
func isMoved(it *reconcile.Item) bool {
	switch stateOf(it) {
	case "fitted", "removed", "scrapped":
		return true
	}
	return false
}

// Buys says whether a state of a part is one of buying, in which it is said what it is for.
func Buys(state string) bool { return slices.Contains([]string{"wanted", "asked", "ordered"}, state) }

func isBuying(it *reconcile.Item) bool { return Buys(stateOf(it)) }

// settlesBuying: what a part was for is answered by a later word of that, and by where it was fitted.
func settlesBuying(it *reconcile.Item) bool { return isBuying(it) || stateOf(it) == "fitted" }

// partEnds finds the steps that a later one follows: those that it names, at
// any depth, and those that its own log wrote before, for who writes a log
// knows it. Of a forked log that is not sure.
func (b *builder) partEnds(s partSteps) {
	b.followed, b.left, b.bought = map[entry.ID]bool{}, map[entry.ID]bool{}, map[entry.ID]bool{}
	forked := map[entry.LogID]bool{}
	for _, f := range b.r.Forks {
		forked[f.Log] = true
	}
	for _, k := range s.names {
		for _, it := range s.of[k] {
			for _, id := range b.after(it) { // a step of another part ends a stay, and says nothing else of this one
				if t := b.r.Item(id); t.Effective.Get("part").Text() == k {
					b.followed[id] = true
				}
			}
			if isMoved(it) {
				b.follow(b.after(it), b.left)
			}
			if settlesBuying(it) {
				b.follow(b.after(it), b.bought)
			}
		}
		b.ownLog(s.of[k], forked, b.followed, func(it *reconcile.Item) bool { return stateOf(it) != "known" })
		b.ownLog(s.of[k], forked, b.left, isMoved)
		b.ownLog(s.of[k], forked, b.bought, settlesBuying)
	}
}

func (b *builder) follow(open []entry.ID, done map[entry.ID]bool) {
	for len(open) > 0 {
		id := open[len(open)-1]
		open = open[:len(open)-1]
		if it := b.r.Item(id); it != nil && !done[id] {
			done[id] = true
			open = append(open, b.after(it)...)
		}
	}
}

func (b *builder) ownLog(steps []*reconcile.Item, forked map[entry.LogID]bool, done map[entry.ID]bool, counts func(*reconcile.Item) bool) {
	last := map[entry.LogID]*reconcile.Item{}
	for _, it := range steps {
		if !counts(it) || forked[it.Log] {
			continue
		}
		switch old := last[it.Log]; {
		case old == nil:
			last[it.Log] = it
		case old.Seq < it.Seq:
			done[old.ID], last[it.Log] = true, it
		default:
			done[it.ID] = true
		}
	}
}

// story fills in a part from its steps: what it is, the state that the newest
// step says, and where it is.
func (b *builder) story(p *Part, steps []*reconcile.Item) {
	var newest *reconcile.Item
	var where []*reconcile.Item
	for _, it := range steps {
		v := it.Effective
		p.Story = append(p.Story, stepOf(it))
		if stateOf(it) == "known" {
			p.describe(it)
		} else if !b.followed[it.ID] {
			p.Tips = append(p.Tips, it.ID)
		}
		if isBuying(it) && !b.bought[it.ID] {
			p.Buying = append(p.Buying, it.ID)
		}
		p.What, p.As = first(p.What, v.Get("what").Text()), first(p.As, v.Get("as").Text())
		if stateOf(it) != "known" && !b.followed[it.ID] && (newest == nil || partDay(it) >= partDay(newest)) {
			newest = it
		}
		if isMoved(it) && !b.left[it.ID] {
			where = append(where, it)
		}
	}
	if _, as, ok := strings.Cut(p.Key, ":"); ok {
		p.As = first(p.As, as)
	}
	if len(p.Tips) == 0 {
		p.Tips = p.Known
	}
	p.State = "known"
	if newest != nil {
		p.State = stateOf(newest)
	}
	b.stays(p, steps)
	b.whereIs(p, where)
}

func partDay(it *reconcile.Item) string {
	return first(it.Effective.Get("day").Text(), day(it.At))
}

// whereIs sets the engine that a part is in. Two answers at once are a contest.
func (b *builder) whereIs(p *Part, where []*reconcile.Item) {
	var ids []entry.ID
	var places []Of
	place := func(it *reconcile.Item) Of {
		if stateOf(it) != "fitted" {
			return Of{}
		}
		return Of{Asm: it.Effective.Get("asm").Text(), At: it.Effective.Get("at").Text()}
	}
	differ := false
	for _, it := range where {
		ids = append(ids, it.ID)
		differ = differ || place(it) != place(where[0])
		if p.Asm = first(p.Asm, place(it).Asm); place(it).Asm != "" {
			places = joined(places, []Of{place(it)})
		}
	}
	if differ {
		p.Contest = b.contest("part/"+p.Key, "where is "+p.Key+"? Two entries do not know of each other", ids, places)
	}
}

// stays notes when a crank was in which engine, by the days stated.
func (b *builder) stays(p *Part, steps []*reconcile.Item) {
	if p.As != "crank" {
		return
	}
	moves := slices.DeleteFunc(slices.Clone(steps), func(it *reconcile.Item) bool { return !isMoved(it) })
	order.By(moves, func(x, y *reconcile.Item) int { return cmp.Compare(partDay(x), partDay(y)) })
	for i, it := range moves {
		if stateOf(it) != "fitted" {
			continue
		}
		st := stay{part: p.Key, from: partDay(it)}
		if i+1 < len(moves) {
			st.to = partDay(moves[i+1])
		}
		asm := it.Effective.Get("asm").Text()
		b.cranks[asm] = append(b.cranks[asm], st)
	}
}

// wrongCrank says why a size without a part's tag may be of another crank than
// the one that the engine came with.
func (b *builder) wrongCrank(of Of, owner, day string) string {
	if of.Part != "" || owner == of.Asm {
		return ""
	}
	for _, st := range b.cranks[of.Asm] {
		if st.part != owner && day > st.from && (st.to == "" || day <= st.to) {
			return "which crank? " + st.part + " had been fitted in " + of.Asm + " on " + st.from
		}
	}
	return ""
}

func first(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// part begins a part. The pointer is good until the next call.
func (b *builder) part(key string) *Part {
	b.s.Parts = append(b.s.Parts, Part{Key: key})
	return &b.s.Parts[len(b.s.Parts)-1]
}

// crank finds the crank that is in an engine: the one fitted there, or that
// which it came with unless that was taken out.
func (b *builder) crank(e *Engine, fitted []string, moved map[string]bool) {
	var here []string
	var ids []entry.ID
	for i := range b.s.Parts {
		if p := &b.s.Parts[i]; p.As == "crank" && slices.Contains(fitted, p.Key) {
			here = append(here, p.Key)
			for _, st := range p.Story {
				if st.State == "fitted" && st.Asm == e.Serial && !b.left[st.ID] {
					ids = append(ids, st.ID)
				}
			}
		}
	}
	switch own := implicit(e.Serial, "crank"); {
	case len(here) > 0:
		e.Crank = here[0]
		if len(here) > 1 {
			b.contest("crank/"+e.Serial, "two cranks in "+e.Serial+": "+strings.Join(here, ", "), ids, []Of{{Asm: e.Serial}})
		}
	case moved[own]:
		e.Crank = ""
	default:
		e.Crank = own
	}
}

// Holds returns whose size is measured at a place of an engine: the tag of the
// part that is in it, or the engine's serial. It is "" when the part is out.
func (e *Engine) Holds(at string) string {
	if e.Pattern == nil {
		return e.Serial
	}
	pl, ok := e.Pattern.Find(at)
	switch {
	case !ok || pl.Feature.Part == "":
		return e.Serial
	case pl.Feature.Part == "crank":
		return e.Crank
	}
	return implicit(e.Serial, pl.Feature.Part)
}
