package record

import (
	"cmp"
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

// contests lists those that the entries themselves make, with every place that
// a member names. It comes first, so that a question which the record finds
// again is not asked twice.
func (b *builder) contests() {
	for _, c := range b.r.Contests {
		out := Contest{ID: c.ID, Register: c.Register, Members: c.Members}
		for _, id := range c.Members {
			out.Places = joined(out.Places, b.named(b.r.Item(id)))
		}
		b.s.Contests = append(b.s.Contests, out)
	}
}

// contest lists a question that the record itself found, and returns its id.
// One that the entries make already, with the same members, gets the words.
func (b *builder) contest(register, why string, members []entry.ID, places []Of) string {
	slices.Sort(members)
	members = slices.Compact(members)
	for i := range b.s.Contests {
		c := &b.s.Contests[i]
		if slices.Equal(c.Members, members) && (c.Register == register || len(members) > 1) {
			c.Why, c.Places = first(c.Why, why), joined(c.Places, places)
			return string(c.ID)
		}
	}
	name := []byte(register)
	for _, id := range members {
		name = append(append(name, '\n'), id...)
	}
	id := entry.ID(entry.Digest(name))
	b.s.Contests = append(b.s.Contests, Contest{ID: id, Register: register, Why: why, Members: members, Places: places})
	return string(id)
}

// contestOf is the contest that the entries put an entry into, or "".
func (b *builder) contestOf(it *reconcile.Item) string {
	if it.Contest == 0 {
		return ""
	}
	return string(b.r.Contests[it.Contest-1].ID)
}

func joined(list, more []Of) []Of {
	for _, of := range more {
		if !slices.Contains(list, of) {
			list = append(list, of)
		}
	}
	return list
}

// named is what an entry is about: its own place, or for a withdrawal those of
// what it takes away.
func (b *builder) named(it *reconcile.Item) []Of {
	var out []Of
	seen := map[entry.ID]bool{}
	open := []*reconcile.Item{it}
	for len(open) > 0 {
		it, open = open[len(open)-1], open[:len(open)-1]
		if seen[it.ID] {
			continue
		}
		seen[it.ID] = true
		out = joined(out, ownPlaces(it.Effective))
		if p := b.r.Item(entry.ID(it.Effective.Get("photo").Text())); p != nil {
			open = append(open, p) // a mark is where its photo is
		}
		if it.Kind != "withdraw" {
			continue
		}
		for _, id := range it.Over {
			if t := b.r.Item(id); t != nil {
				open = append(open, t)
			}
		}
	}
	return out
}

func ownPlaces(v jcs.Value) []Of {
	if of := v.Get("of"); of.Kind() == jcs.KindObject {
		return []Of{ofBody(of)}
	}
	var out []Of
	if asm := v.Get("asm").Text(); asm != "" {
		out = append(out, Of{Asm: asm, At: v.Get("at").Text()})
	}
	for _, asm := range v.Get("asm").Texts() {
		out = append(out, Of{Asm: asm})
	}
	for _, m := range v.Get("moves").Items() {
		out = append(out, Of{Asm: m.Get("asm").Text(), Side: m.Get("side").Text()})
	}
	return out
}

func byID(x, y *reconcile.Item) int { return cmp.Compare(x.ID, y.ID) }
