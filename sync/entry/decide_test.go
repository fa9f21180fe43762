package entry

import (
	"strings"
	"testing"
)

// TestStepsSayWhatTheyMust: what a snag, a part or a decision must say, each
// with a body that says it and one that does not.
func TestStepsSayWhatTheyMust(t *testing.T) {
	at := func(body string) string { return strings.ReplaceAll(body, "@", string(anID)) }
	for _, c := range []struct{ kind, body, why string }{
		{"snag", `{"state":"raised","of":{"asm":"2117"},"what":"drips"}`, ""},
		{"snag", `{"state":"raised","of":{"asm":"2117"}}`, "must say 'what'"},
		{"snag", `{"state":"raised","of":{"asm":"2117"},"what":"drips","snag":"@"}`, "no part of a snag that is raised"},
		{"snag", `{"state":"cured","snag":"@","did":"washers","twin":"sound there"}`, ""},
		{"snag", `{"state":"cured","snag":"@","did":"washers"}`, "must say 'twin'"},
		{"snag", `{"state":"cured","snag":"@","did":"washers","twin":"sound there","stop":true}`, "no part of a snag that is cured"},
		{"snag", `{"state":"proven","snag":"@","test":"@","seen_by":"bram"}`, ""},
		{"snag", `{"state":"proven","snag":"@","seen_by":"bram"}`, "must say 'test'"},
		{"snag", `{"state":"mended","snag":"@"}`, "one of: raised"},
		{"part", `{"part":"GK-1","state":"accepted","inward":[{"what":"bore","answer":"yes"}]}`, ""},
		{"part", `{"part":"GK-1","state":"accepted","inward":[{"what":"bore","answer":"no"}]}`, "needs the reason"},
		{"part", `{"part":"GK-1","state":"accepted","inward":[{"what":"bore","answer":"no"}],"note":"faced here"}`, ""},
		{"part", `{"part":"GK-1","state":"rejected","inward":[{"what":"bore","answer":"no"}]}`, ""},
		{"part", `{"part":"GK-1","state":"received","inward":[{"what":"bore","answer":"yes"}]}`, "belongs to what is accepted or rejected"},
		{"part", `{"part":"GK-1","state":"accepted","inward":[{"what":"bore"}]}`, "the answer yes or no"},
		{"decision", `{"decide":"x","asm":["2117"],"chosen":{},"rests":[],"inputs":[],"why":"w","original":true,"alternatives":"a sleeve","consent":"the trustees"}`, ""},
		{"decision", `{"decide":"x","asm":["2117"],"chosen":{},"rests":[],"inputs":[],"why":"w","original":true,"consent":"the trustees"}`, "what else was thought of"},
		{"decision", `{"decide":"x","asm":["2117"],"chosen":{},"rests":[],"inputs":[],"why":"w","work":{"lines":[{"what":"pin 1"}]}}`, "an instruction for machining"},
		{"decision", `{"decide":"x","asm":["2117"],"chosen":{},"rests":[],"inputs":[],"why":"w","work":{"lines":[{"what":"pin 1","size":"61.500"}]}}`, ""},
	} {
		e := draft(t, c.kind, at(c.body))
		e.After = []ID{anID}
		_, err := Compose(e)
		if c.why == "" && err != nil || c.why != "" && (err == nil || !strings.Contains(err.Error(), c.why)) {
			t.Errorf("%s: %v, want %q", c.body, err, c.why)
		}
	}
	loose := draft(t, "snag", at(`{"state":"cured","snag":"@","did":"washers","twin":"sound there"}`))
	if _, err := Compose(loose); err == nil || !strings.Contains(err.Error(), "must stand in after") {
		t.Errorf("a step that names no snag in after: %v", err)
	}
}
