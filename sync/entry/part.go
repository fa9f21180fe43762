package entry

import "witnessmark/sync/jcs"

// part is a part with a tag, or a lot of them, and what happens to it: known
// says what it is and may be put right, every other state is a step of its story.
var part = kind{
	fields: []field{need("part", key), need("state", oneOf(partStates...)), may("what", text), may("as", key), may("asm", key), may("at", place), may("day", day), may("note", text),
		may("origin", oneOf(partOrigins...)), may("batch", text), may("papers", text), may("photos", listOf(ref)), may("stored", text), may("undersize", value),
		may("supplier", text), may("price", value), may("count", count), may("due", day), may("lead", text), may("answer", text), may("waits", text), may("decision", ref),
		may("matters", listOf(object("what", "want"))), may("inward", listOf(inwardLine))},
	register: knownPart,
	extra:    partStep,
}

var partStates = []string{"known", "wanted", "asked", "ordered", "received", "accepted", "rejected", "machined", "fitted",
	"removed", "sent", "sent back", "scrapped"}

var partOrigins = []string{"original", "from the sister engine", "period", "new old stock", "remade to drawing", "remade from a sample", "reclaimed", "used", "modern", "consumable"}

// inwardLine is one line of a goods-inward card: what matters, as found, and whether that will do.
var inwardLine = form{func(v jcs.Value) bool {
	answer := v.Get("answer").Text()
	return v.Get("what").Text() != "" && (answer == "yes" || answer == "no") && optional(v.Get("want"), text.is) && optional(v.Get("got"), text.is)
}, "a line of the goods-inward card: what, and the answer yes or no"}

// knownPart: only what a part is has one value; what happens to it is a story
// of many entries.
func knownPart(b jcs.Value) string {
	if b.Get("state").Text() != "known" {
		return ""
	}
	return "part/" + b.Get("part").Text()
}

func partStep(e Entry) string {
	b := e.Body
	state := b.Get("state").Text()
	switch {
	case state == "fitted" && (b.Get("asm").IsNull() || b.Get("as").IsNull()):
		return "a part is fitted into an engine, as something: say both"
	case state == "known" && b.Get("what").IsNull():
		return "a part needs words that say what it is"
	case state != "accepted" && state != "rejected" && !b.Get("inward").IsNull():
		return "a goods-inward card belongs to what is accepted or rejected"
	}
	return when(state == "accepted" && refused(b) && b.Get("note").IsNull(), "what is accepted with a line answered no needs the reason")
}

// refused reports whether a line of the card was answered no.
func refused(b jcs.Value) bool {
	for _, l := range b.Get("inward").Items() {
		if l.Get("answer").Text() == "no" {
			return true
		}
	}
	return false
}
