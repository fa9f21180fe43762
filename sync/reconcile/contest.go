package reconcile

import (
	"cmp"
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/order"
)

// claim is a thing that only one standing entry may settle: an entry replaced,
// a single-valued register, a move moved on from.
type claim struct {
	register string
	root     entry.ID
}

// contests groups the standing entries that claim the same thing and do not
// say the same.
func (f *fold) contests() []Contest {
	claims := map[claim][]int{}
	for k := range f.items {
		if st := f.items[k].State; st != Stands && st != Withdrawn || !f.items[k].Known() {
			continue
		}
		for c := range f.claimsOf(k) {
			claims[c] = append(claims[c], k)
		}
	}
	groups := newGroups(len(f.items))
	for c, members := range claims {
		if len(members) > 1 && !f.agree(members) {
			groups.join(members, c)
		}
	}
	return f.name(groups)
}

func (f *fold) agree(members []int) bool {
	for _, k := range members[1:] {
		if !same(&f.items[members[0]], &f.items[k]) {
			return false
		}
	}
	return true
}

func (f *fold) claimsOf(k int) map[claim]bool {
	it := &f.items[k]
	out := map[claim]bool{}
	if reg := entry.RegisterOf(it.Says, it.Effective); reg != "" {
		out[claim{register: reg}] = true
	}
	f.ancestors(k, out)
	for _, id := range it.After {
		for _, what := range moved(it) {
			out[claim{register: what, root: id}] = true
		}
	}
	return out
}

// ancestors claims everything that the entry replaces, at any depth, arrived or not.
func (f *fold) ancestors(k int, out map[claim]bool) {
	open := []int{k}
	for len(open) > 0 {
		k, open = open[len(open)-1], open[:len(open)-1]
		for _, id := range f.items[k].Over {
			c := claim{root: id}
			if out[c] {
				continue
			}
			out[c] = true
			if t, ok := f.at[id]; ok {
				open = append(open, t)
			}
		}
	}
}

// moved names what a move moves: two engines that stood in one move may each
// move on from it by an entry of its own.
func moved(it *Item) []string {
	switch it.Says {
	case "fitting":
		var out []string
		for _, m := range it.Effective.Get("moves").Items() {
			out = append(out, "fitting/"+m.Get("asm").Text())
		}
		return out
	case "part":
		return []string{"part/" + it.Effective.Get("part").Text()}
	}
	return nil
}

// name turns the groups into contests, in order, and marks their members.
func (f *fold) name(g *groups) []Contest {
	var out []Contest
	for _, members := range g.list() {
		c := Contest{}
		for _, k := range members {
			c.Members = append(c.Members, f.items[k].ID)
		}
		slices.Sort(c.Members)
		c.ID = c.Members[0]
		why := g.why[g.find(members[0])]
		c.Register, c.Root = why.register, why.root
		out = append(out, c)
	}
	order.By(out, func(a, b Contest) int { return cmp.Compare(a.ID, b.ID) })
	for n, c := range out {
		for _, id := range c.Members {
			f.items[f.at[id]].Contest = n + 1
		}
	}
	return out
}

// groups is a union-find over items, with the least claim of each group.
type groups struct {
	parent []int
	why    map[int]claim
}

func newGroups(n int) *groups {
	g := &groups{parent: make([]int, n), why: map[int]claim{}}
	for i := range g.parent {
		g.parent[i] = i
	}
	return g
}

func (g *groups) find(i int) int {
	for g.parent[i] != i {
		g.parent[i] = g.parent[g.parent[i]]
		i = g.parent[i]
	}
	return i
}

// join puts the members into one group. The claims come in any order, so the
// group keeps the least of them.
func (g *groups) join(members []int, c claim) {
	root := g.find(members[0])
	for _, k := range members[1:] {
		other := g.find(k)
		if w, ok := g.why[other]; ok && other != root {
			c = lesser(c, w)
		}
		g.parent[other] = root
	}
	if w, ok := g.why[root]; ok {
		c = lesser(c, w)
	}
	g.why[root] = c
}

// lesser orders claims: a register that says what it is about comes first.
func lesser(a, b claim) claim {
	if (a.register == "") != (b.register == "") {
		if a.register != "" {
			return a
		}
		return b
	}
	if cmp.Or(cmp.Compare(a.register, b.register), cmp.Compare(a.root, b.root)) <= 0 {
		return a
	}
	return b
}

// list returns the groups of two and more, each in order.
func (g *groups) list() [][]int {
	byRoot := map[int][]int{}
	for i := range g.parent {
		if r := g.find(i); r != i || g.has(i) {
			byRoot[r] = append(byRoot[r], i)
		}
	}
	var out [][]int
	for _, members := range byRoot {
		out = append(out, members)
	}
	return out
}

func (g *groups) has(root int) bool {
	_, ok := g.why[root]
	return ok
}
