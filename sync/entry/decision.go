package entry

import (
	"slices"
	"strings"

	"witnessmark/sync/jcs"
)

// decision is what was chosen, why, and what it rests on.
var decision = kind{
	fields: []field{need("decide", key), need("asm", listOf(key)), need("chosen", anyObject), need("rests", listOf(anyObject)),
		need("inputs", listOf(ref)), need("why", text), may("open", text), may("original", flag), may("alternatives", text), may("consent", text), may("work", machining)},
	register: func(b jcs.Value) string {
		asms := b.Get("asm").Texts()
		slices.Sort(asms)
		return "decision/" + b.Get("decide").Text() + "/" + strings.Join(asms, "+")
	},
	extra: originalMetal,
}

// machining is an instruction for whoever machines: what, to which size, within which tolerance.
var machining = form{func(v jcs.Value) bool {
	lines := v.Get("lines")
	return listOf(object("what", "size")).is(lines) && len(lines.Items()) > 0 && optional(v.Get("to"), text.is) && optional(v.Get("note"), text.is)
}, "an instruction for machining: lines, each what and its size"}

// originalMetal: what is cut off an original does not come back, so what else
// was thought of stands there, and who agreed.
func originalMetal(e Entry) string {
	b := e.Body
	return when(b.Get("original").IsTrue() && (b.Get("alternatives").IsNull() || b.Get("consent").IsNull()),
		"what removes original metal says what else was thought of, and who agreed")
}
