package entry

import (
	"slices"

	"witnessmark/sync/jcs"
)

// snag is what is wrong somewhere, and the steps by which it is put right: one
// entry raises it, others name that one. A step names in after what its writer
// knew; that order, and no clock, says what came before what.
var snag = kind{
	fields: []field{need("state", oneOf("raised", "cured", "proven", "reopened")), may("of", of), may("what", text), may("rate", text),
		may("stop", flag), may("photos", listOf(ref)), may("snag", ref), may("did", text), may("twin", oneOf("the same there", "sound there", "not looked at")),
		may("test", ref), may("seen_by", key), may("note", text)},
	extra: snagStep,
}

// snagNeeds is what each step must say, and snagOnly what only that step may.
var snagNeeds = map[string][]string{
	"raised": {"of", "what"}, "cured": {"snag", "did", "twin"}, "proven": {"snag", "test", "seen_by"}, "reopened": {"snag", "did"},
}

func snagStep(e Entry) string {
	b := e.Body
	state := b.Get("state").Text()
	for _, name := range snagNeeds[state] {
		if b.Get(name).IsNull() {
			return "a snag that is " + state + " must say '" + name + "'"
		}
	}
	for _, name := range []string{"of", "what", "stop", "snag", "twin", "test"} {
		if !b.Get(name).IsNull() && !snagMay(state, name) {
			return "'" + name + "' is no part of a snag that is " + state
		}
	}
	for _, name := range []string{"snag", "test"} {
		if id := b.Get(name); !id.IsNull() && !follows(e, id) {
			return "a step of a snag comes after what it names: '" + name + "' must stand in after"
		}
	}
	return ""
}

func snagMay(state, name string) bool {
	return slices.Contains(snagNeeds[state], name) || state == "raised" && name == "stop"
}

func follows(e Entry, id jcs.Value) bool { return slices.Contains(e.After, ID(id.Text())) }
