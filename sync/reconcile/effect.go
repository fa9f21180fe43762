package reconcile

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// effects works out what each entry says: itself, nothing, or what it brings
// back. Targets come before in the order, so one walk is enough.
func (f *fold) effects() {
	for k := range f.items {
		it := &f.items[k]
		switch it.Kind {
		case "withdraw":
			f.origins[k] = f.takenAway(k)
		case "restore":
			f.bringBack(k)
		default:
			it.Says, it.Effective, it.Origin = it.Kind, it.Body, it.ID
		}
	}
}

// takenAway lists what a withdrawal took away: its targets, and for a target
// that is itself a withdrawal, what that one took away.
func (f *fold) takenAway(k int) []int {
	var out []int
	for _, t := range f.over[k] {
		if f.items[t].Kind == "withdraw" {
			out = append(out, f.origins[t]...)
		} else {
			out = append(out, t)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// bringBack gives a restore the kind and body of the one entry that the
// withdrawals which it undoes took away; 'of' chooses among several.
func (f *fold) bringBack(k int) {
	it := &f.items[k]
	var from []int
	for _, t := range f.over[k] {
		from = append(from, f.origins[t]...)
	}
	slices.Sort(from)
	from = slices.Compact(from)
	if of := it.Body.Get("of").Text(); of != "" {
		from = slices.DeleteFunc(from, func(t int) bool { return f.items[t].ID != entry.ID(of) })
	}
	if len(from) == 1 {
		o := &f.items[from[0]]
		it.Says, it.Effective, it.Origin = o.Says, o.Effective, o.Origin
	}
}

// judge finds out which entries are not usable, from each and its direct
// targets, never from what stands: so nothing that arrives later can make a
// usable entry's targets stand again.
func (f *fold) judge() {
	for k := range f.items {
		it := &f.items[k]
		it.Why = it.Bad
		if it.Why == "" {
			it.Why = f.chain(it)
		}
		if it.Why == "" && it.Known() {
			it.Why = f.targets(k)
		}
		switch {
		case it.Why != "":
			it.State = Unusable
		case it.Kind == "withdraw":
			it.State = Withdrawn
		}
	}
}

// chain checks that what an entry names before it is the one before it.
func (f *fold) chain(it *Item) string {
	p, ok := f.at[it.Prev]
	if !ok {
		return ""
	}
	if prev := &f.items[p]; prev.Log != it.Log || prev.Seq != it.Seq-1 || prev.Job != it.Job {
		return "it does not follow the entry that it names before it"
	}
	return ""
}

func (f *fold) targets(k int) string {
	it := &f.items[k]
	for _, t := range f.over[k] {
		if f.items[t].Kind == "log" {
			return "the first entry of a log cannot be replaced"
		}
	}
	switch it.Kind {
	case "withdraw":
		return ""
	case "restore":
		return f.restores(k)
	}
	return f.corrects(k)
}

// restores: at least one target is a withdrawal; others may be there, when the
// restore settles a contest between a withdrawal and a correction.
func (f *fold) restores(k int) string {
	if len(f.over[k]) == 0 || slices.ContainsFunc(f.over[k], func(t int) bool { return f.items[t].Kind == "withdraw" }) {
		return ""
	}
	return "it brings back something that was not withdrawn"
}

// corrects: every target says the same kind of thing about the same thing.
// Withdrawals may be among them, when the entry settles a contest with one,
// but not alone: a withdrawal is undone by a restore only.
func (f *fold) corrects(k int) string {
	it := &f.items[k]
	alike := 0
	for _, t := range f.over[k] {
		target := &f.items[t]
		switch {
		case target.Kind == "withdraw":
		case target.Says == "": // a restore of something that has not arrived
			alike++
		case target.Says != it.Kind:
			return "it takes the place of an entry of another kind"
		case entry.RegisterOf(target.Says, target.Effective) != entry.Register(it.Entry):
			return "it takes the place of an entry about something else"
		default:
			alike++
		}
	}
	if alike == 0 && len(f.over[k]) > 0 {
		return "what was withdrawn is brought back by a restore, not by a new entry over it"
	}
	return ""
}

// cover marks what usable entries replace, and what an unknown kind claims to.
func (f *fold) cover() {
	for k := range f.items {
		it := &f.items[k]
		if it.State == Unusable {
			continue
		}
		for _, t := range f.over[k] {
			target := &f.items[t]
			if !it.Known() {
				target.NeedsNewer = true
				continue
			}
			target.CoveredBy = append(target.CoveredBy, it.ID)
		}
	}
	for k := range f.items {
		if it := &f.items[k]; len(it.CoveredBy) > 0 {
			it.State = Covered
			slices.Sort(it.CoveredBy)
		}
	}
}

// same reports whether two standing items say the same: kind and body equal
// but for the reason, or both nothing.
func same(a, b *Item) bool {
	if a.Says != b.Says {
		return false
	}
	if a.Says == "" {
		return a.Kind == b.Kind
	}
	return entry.SameSaying(a.Effective, b.Effective) && jcs.Equal(refs(a), refs(b))
}

// refs: two moves say the same only when they end the same moves.
func refs(it *Item) jcs.Value {
	after := slices.Clone(it.After)
	slices.Sort(after)
	return jcs.Strs(after)
}
