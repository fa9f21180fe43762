package record

import (
	"slices"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

// strays lists standing readings that no sheet has a place for, so that they
// are seen: of an engine that nobody entered, or of a place that its type sheet
// does not know. They stay where they are and count once the place is there.
func (b *builder) strays() {
	for i := range b.s.Places {
		p := &b.s.Places[i]
		for k := range p.Readings {
			r := &p.Readings[k]
			why := b.stray(r.Asm, p.At)
			if r.Struck != "" || why == "" {
				continue
			}
			it := b.r.Item(r.ID)
			out := bad(it, why)
			out.Of = ofBody(it.Effective.Get("of"))
			b.s.Unusable = append(b.s.Unusable, out)
		}
	}
}

func (b *builder) stray(asm, at string) string {
	e, ok := b.s.Engine(asm)
	if !ok {
		return "nobody has entered an engine " + asm + " yet"
	}
	if e.Pattern == nil {
		if slices.ContainsFunc(b.s.Patterns, func(s Sheet) bool { return s.Key == e.Type }) {
			return ""
		}
		return "the type sheet of " + asm + ", " + e.Type + ", is not here yet"
	}
	if _, ok := e.Pattern.Find(at); !ok {
		return noPlace(asm, at)
	}
	return ""
}

func noPlace(asm, at string) string {
	return "no such place: the type sheet of " + asm + " has no place " + at
}

// placed are the other kinds that may be of a place.
var placed = []string{"tighten", "check", "ask", "note", "photo", "voice", "snag", "adjust"}

// strayRemarks lists what else stands at a place that the sheet of its engine
// does not have, or on a fastener that its joint does not: it stays where it is too.
func (b *builder) strayRemarks() {
	for _, it := range b.r.Ordered {
		if it.State != reconcile.Stands || !slices.Contains(placed, it.Says) {
			continue
		}
		if why := b.strayOf(it.Effective); why != "" {
			out := bad(it, why)
			out.Of = ofBody(it.Effective.Get("of"))
			b.s.Unusable = append(b.s.Unusable, out)
		}
	}
}

// strayOf says why what is said has no place; "" while it is of no place, or
// the sheet is not here: then there is nothing yet to say it by.
func (b *builder) strayOf(v jcs.Value) string {
	asm, at := v.Get("of").Get("asm").Text(), v.Get("of").Get("at").Text()
	e, ok := b.s.Engine(asm)
	if !ok || e.Pattern == nil || at == "" {
		return ""
	}
	if !e.Pattern.Has(at) {
		return noPlace(asm, at)
	}
	j, joint := e.Pattern.Joint(at)
	var none []string
	for _, n := range v.Get("fasteners").Texts() {
		if joint && !j.Has(n) {
			none = append(none, n)
		}
	}
	if len(none) > 0 {
		return "no such place: the type sheet of " + asm + " has no fastener " + strings.Join(none, ", ") + " on the " + j.Words
	}
	return ""
}
