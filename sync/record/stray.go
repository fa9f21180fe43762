package record

import "slices"

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
		return "the type sheet of " + asm + " has no place " + at
	}
	return ""
}
