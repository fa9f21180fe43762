package view

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
)

// carried are the kinds that another job may begin with, in the order in which they are kept there. The numbering, the engines
// and what was measured stay: they belong to one vehicle.
var carried = []string{"person", "pattern", "instrument", "limit", "stages"}

// setUp is the set-up of this job for another one to begin with; with the argument file, what a file of the kind would bring
// here, and which of it is here already. A limit comes unaccepted, and one of a single engine not at all: whose word it is and
// whether it counts is for the lead of each job to say.
func (v *viewer) setUp() jcs.Value {
	have := map[string]bool{}
	var own []jcs.Value
	for _, l := range v.st.Lines() {
		said, ok := v.st.Saying(l.ID)
		if !ok || l.State != "stands" || l.Kind == "withdraw" || !slices.Contains(carried, said.Kind) {
			continue
		}
		have[entry.RegisterOf(said.Kind, said.Body)] = true
		if said.Kind != "limit" || said.Body.Get("asm").IsNull() {
			own = append(own, jcs.Obj(str("kind", said.Kind), jcs.M("body", said.Body.Without("accepted").Without("photos"))))
		}
	}
	order.By(own, func(a, b jcs.Value) int { return carriedAt(a) - carriedAt(b) })
	if v.args.Get("file").IsNull() {
		return jcs.Obj(text("title", v.st.Job.Title), jcs.M("entries", jcs.Arr(own...)))
	}
	var brings []jcs.Value
	for _, e := range v.args.Get("file").Get("entries").Items() {
		if carriedAt(e) >= 0 {
			kind, body := e.Get("kind").Text(), e.Get("body").Without("accepted").Without("photos")
			brings = append(brings, jcs.Obj(str("kind", kind), jcs.M("body", body), text("words", carriedWords(kind, body)), yes("there", have[entry.RegisterOf(kind, body)])))
		}
	}
	order.By(brings, func(a, b jcs.Value) int { return carriedAt(a) - carriedAt(b) })
	return jcs.Obj(text("title", v.args.Get("file").Get("title").Text()), jcs.M("entries", jcs.Arr(brings...)))
}

func carriedAt(e jcs.Value) int { return slices.Index(carried, e.Get("kind").Text()) }

func carriedWords(kind string, body jcs.Value) string {
	switch kind {
	case "person":
		return body.Get("name").Text()
	case "pattern":
		return "engine type " + body.Get("data").Get("name").Text()
	case "instrument":
		return body.Get("instrument").Text() + ", " + body.Get("what").Text()
	case "limit":
		return "limit: " + body.Get("limit").Text() + ", '" + body.Get("words").Text() + "'"
	}
	return "the plan of stages"
}
