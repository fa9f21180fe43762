package record

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

// parts tells each part's story and finds which crank is in which engine. A
// size belongs to its part and follows it.
func (b *builder) parts() {
	ended := map[entry.ID]bool{}
	b.standing("part", func(it *reconcile.Item, _ jcs.Value) {
		for _, id := range it.After {
			ended[id] = true
		}
	})
	fitted := map[string]string{} // part to engine, of those fitted now
	moved := map[string]bool{}    // parts that somebody fitted or removed
	b.standing("part", func(it *reconcile.Item, v jcs.Value) {
		p := b.part(v.Get("part").Text())
		st := v.Get("state").Text()
		p.Story = append(p.Story, Step{it.ID, st, v.Get("asm").Text(), v.Get("at").Text(), v.Get("day").Text(), it.By, v.Get("note").Text()})
		p.What, p.As = first(p.What, v.Get("what").Text()), first(p.As, v.Get("as").Text())
		if st != "known" || p.State == "" {
			p.State = st
		}
		if st == "fitted" || st == "removed" {
			moved[p.Key] = true
			p.Asm = ""
			delete(fitted, p.Key)
		}
		if st == "fitted" && !ended[it.ID] {
			p.Asm = v.Get("asm").Text()
			fitted[p.Key] = p.Asm
		}
	})
	for i := range b.s.Engines {
		b.crank(&b.s.Engines[i], fitted, moved)
	}
}

func first(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// part finds or begins a part. The pointer is good until the next call.
func (b *builder) part(key string) *Part {
	for i := range b.s.Parts {
		if b.s.Parts[i].Key == key {
			return &b.s.Parts[i]
		}
	}
	b.s.Parts = append(b.s.Parts, Part{Key: key})
	return &b.s.Parts[len(b.s.Parts)-1]
}

// crank finds the crank that is in an engine: the one fitted there, or that
// which it came with unless that was taken out.
func (b *builder) crank(e *Engine, fitted map[string]string, moved map[string]bool) {
	var here []string
	for part, asm := range fitted {
		if asm == e.Serial && b.part(part).As == "crank" {
			here = append(here, part)
		}
	}
	slices.Sort(here)
	switch own := implicit(e.Serial, "crank"); {
	case len(here) > 0:
		e.Crank = here[0]
		if len(here) > 1 {
			var ids []entry.ID
			for _, p := range here {
				story := b.part(p).Story
				ids = append(ids, story[len(story)-1].ID)
			}
			b.contest("crank/"+e.Serial, "two cranks in "+e.Serial, ids, []Of{{Asm: e.Serial}})
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
