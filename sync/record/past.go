package record

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
)

// past answers what an entry comes after: what it names in prev, over and
// after, at any depth. A test's end names its start in the body. No clock counts.
type past struct {
	b      *builder
	known  map[[2]entry.ID]bool
	forked map[entry.LogID]bool
}

func newPast(b *builder) *past {
	p := &past{b, map[[2]entry.ID]bool{}, map[entry.LogID]bool{}}
	for _, f := range b.r.Forks {
		p.forked[f.Log] = true
	}
	return p
}

// has reports whether y comes after x. What is not deeper than x cannot, so
// only what was written since is looked at.
func (p *past) has(y, x *reconcile.Item) bool {
	key := [2]entry.ID{y.ID, x.ID}
	if known, ok := p.known[key]; ok {
		return known
	}
	if y.Log == x.Log && !p.forked[x.Log] { // one after the other on one phone: no need to walk
		p.known[key] = y.Seq > x.Seq
	} else {
		p.known[key] = p.reaches(y, x)
	}
	return p.known[key]
}

func (p *past) reaches(y, x *reconcile.Item) bool {
	seen := map[entry.ID]bool{}
	open := []*reconcile.Item{y}
	for len(open) > 0 {
		it := open[len(open)-1]
		open = open[:len(open)-1]
		for _, id := range namedBy(it) {
			t := p.b.r.Item(id)
			if t == x {
				return true
			}
			if t != nil && t.Depth > x.Depth && !seen[id] {
				seen[id] = true
				open = append(open, t)
			}
		}
	}
	return false
}

func namedBy(it *reconcile.Item) []entry.ID {
	out := append(slices.Clone(it.Over), it.After...)
	if it.Prev != "" {
		out = append(out, it.Prev)
	}
	return out
}

// before reports whether x was done before y, as far as the entries say. What
// was put right since was done when it was first written; a ruling over several
// is a thing of its own.
func (p *past) before(x, y *reconcile.Item) bool {
	y = p.done(y)
	return slices.ContainsFunc(p.firsts(x), func(f *reconcile.Item) bool { return p.has(y, f) })
}

func (p *past) done(it *reconcile.Item) *reconcile.Item {
	if f := p.firsts(it); len(f) == 1 {
		return f[0]
	}
	return it
}

// firsts lists the entries at the beginning of what an entry corrects, or brings back.
func (p *past) firsts(it *reconcile.Item) []*reconcile.Item {
	var out []*reconcile.Item
	seen := map[entry.ID]bool{}
	open := []*reconcile.Item{it}
	for len(open) > 0 {
		it, open = open[0], open[1:]
		if seen[it.ID] {
			continue
		}
		seen[it.ID] = true
		begins := it.Kind != "withdraw"
		for _, id := range it.Over {
			if t := p.b.r.Item(id); t != nil {
				begins, open = false, append(open, t)
			}
		}
		if begins {
			out = append(out, it)
		}
	}
	return out
}
