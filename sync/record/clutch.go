package record

import (
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/reconcile"
)

// ClutchTry is one try of a clutch that stands.
type ClutchTry struct {
	ID            entry.ID
	Of            Of
	Try, Result   string // Result: good, bad, not sure
	Hot           bool
	Value         *quantity.Written
	Again         []entry.ID // the tries that it does over
	Words, By, At string
	Contest       string
}

func (b *builder) clutchTries() {
	b.standing("clutch", func(it *reconcile.Item, v jcs.Value) {
		c := ClutchTry{ID: it.ID, Of: ofBody(v.Get("of")), Try: v.Get("try").Text(), Result: v.Get("result").Text(), Hot: v.Get("hot").IsTrue(),
			Value: optional(v.Get("value")), Again: idsOf(v.Get("again")), Words: v.Get("words").Text(), By: it.By, At: it.At}
		c.Contest = b.question(it, c.Of, c.At)
		b.s.Clutches = append(b.s.Clutches, c)
	})
}

func (c ClutchTry) json() jcs.Value {
	return jcs.Obj(id("id", c.ID), jcs.M("of", c.Of.JSON()), str("try", c.Try), str("result", c.Result), flag("hot", c.Hot), opt("value", c.Value),
		ids("again", c.Again), str("words", c.Words), str("by", c.By), str("at", c.At), str("contest", c.Contest))
}
