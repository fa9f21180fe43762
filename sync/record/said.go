package record

import (
	"strconv"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

// Saying puts into words what an entry says, and as it could be said again.
func (s *State) Saying(id entry.ID) (Saying, bool) {
	it := s.resolved.Item(id)
	if it == nil {
		return Saying{}, false
	}
	kind := first(it.Says, it.Kind)
	return Saying{Kind: kind, Words: words(kind, it), By: it.By, At: it.At, Body: it.Effective, Over: it.Over, After: it.After}, true
}

func words(kind string, it *reconcile.Item) string {
	v := it.Effective
	get := func(name string) string { return v.Get(name).Text() }
	switch kind {
	case "reading":
		return value(v.Get("value")).String()
	case "withdraw":
		return "taken back: " + it.Body.Get("why").Text()
	case "restore":
		return "brought back"
	case "person":
		return get("name") + ", " + get("role")
	case "job":
		return get("title")
	case "numbering":
		return get("name") + ": number 1 at the " + get("end1")
	case "engine":
		return get("asm") + " '" + get("name") + "', " + get("band") + " band"
	case "fitting":
		return moveWords(v)
	case "limit":
		return get("limit") + ": " + LimitSays(optional(v.Get("min")), optional(v.Get("max")))
	case "part":
		return get("part") + ": " + get("state")
	case "photo":
		return first(get("caption"), kind)
	case "voice":
		return first(get("caption"), "voice note") + ", " + Length(v.Get("seconds").Int64())
	case "mark":
		return MarkWords(get("shape"), get("words"))
	case "hold-test":
		return holdWords(v)
	case "run":
		return runWords(v)
	case "clutch":
		return strings.TrimSpace(get("try") + ": " + get("result") + " " + value(v.Get("value")).String())
	case "adjust":
		return strings.TrimSpace(get("what") + " " + get("way") + " " + value(v.Get("turned")).String())
	case "snag":
		return get("state") + ": " + first(first(get("what"), get("did")), "seen dry")
	case "note":
		return get("text")
	case "stages":
		return strconv.Itoa(len(v.Get("stages").Items())) + " stages"
	case "sign":
		return get("hold") + " of " + strings.Join(v.Get("asm").Texts(), " and ") + signedHow(Sign{Why: get("why"), Says: get("says"), How: get("how")})
	case "check":
		return strings.TrimSuffix(get("answer")+": "+get("why"), ": ")
	case "decision":
		return get("decide") + ": " + get("why")
	case "apply":
		return "a zero check applied to " + strconv.Itoa(len(v.Get("to").Items())) + " readings"
	case "zero":
		return get("instrument") + " read " + value(v.Get("read")).String() + " on " + value(v.Get("bar")).String()
	}
	return kind
}

// signedHow says what a signature is besides a plain one; "" for that.
func signedHow(s Sign) string {
	switch {
	case s.Before() && s.Says != "":
		return ", " + DoneBefore + ": " + s.Reason()
	case s.Before():
		return ", " + DoneBefore
	case s.Why != "":
		return ", with a concession: " + s.Why
	}
	return ""
}

func moveWords(v jcs.Value) string {
	var out []string
	for _, m := range v.Get("moves").Items() {
		out = append(out, m.Get("asm").Text()+" to "+first(m.Get("side").Text(), m.Get("place").Text()))
	}
	return strings.Join(out, ", ") + ", " + v.Get("day").Text()
}

func holdWords(v jcs.Value) string {
	pressure := value(v.Get("pressure")).String()
	if temp := optional(v.Get("temp")); temp != nil {
		pressure += " at " + temp.String()
	}
	if v.Get("start").IsNull() {
		return v.Get("test").Text() + ", held from " + pressure
	}
	return "held to " + pressure + ", after " + value(v.Get("elapsed")).String()
}

func runWords(v jcs.Value) string {
	get := func(name string) string { return v.Get(name).Text() }
	at := ", " + value(v.Get("elapsed")).String() + " after the start"
	switch get("does") {
	case "sample":
		return first(value(v.Get("value")).String(), get("seen")) + ", " + strings.ReplaceAll(get("what"), ".", " ") + at
	case "samples":
		return samplesWords(v) + at
	case "event":
		return strings.TrimSuffix(get("event")+": "+get("words"), ": ") + at
	case "stop":
		return "stopped: " + get("why") + at
	}
	return get("title") + ", run of " + strings.TrimSuffix(v.Get("of").Get("asm").Text()+" and "+v.Get("with").Get("asm").Text(), " and ")
}
