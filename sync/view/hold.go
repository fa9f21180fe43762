package view

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// holdCaution stands beside every hold test, before anything is pumped up.
const holdCaution = "Pressure stores energy: a plug, a cover or a hose that lets go flies. Stand aside of them, keep others out of their line, and read the gauge from outside. " +
	"Old castings: water, not air, and from a low pressure upwards. Vent slowly, down to nothing, before anything is loosened. " +
	"Write down first how it is done. The maker's manual and the rules of the place come before anything here."

// heldHere is what a group holds as a rule; anything else can be written.
var heldHere = []string{"cooling water", "fuel", "oil", "air", "vacuum"}

// holds are all hold tests, of one engine when it is named, with what a new one
// there may be of.
func (v *viewer) holds() (jcs.Value, error) {
	asm := v.arg("asm")
	if v.args.Get("running").IsTrue() {
		return jcs.Obj(list("tests", v.running(), v.holdLine)), nil
	}
	tests := list("tests", v.holdsOf(asm), v.holdLine)
	if asm == "" {
		return jcs.Obj(tests), nil
	}
	e, ok := v.st.Engine(asm)
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	return jcs.Obj(tests, jcs.M("engine", v.tag(e)), jcs.M("of", of(e, "", "")), v.holdChoices(e), v.gauges(), jcs.M("not_asked", jcs.Strs(v.notAsked(e, v.args.Get("draft").Get("test").Text(), writtenAt(v.args.Get("draft"), "pressure"), writtenAt(v.args.Get("draft"), "wait")))), jcs.M("after", jcs.Strs(v.cures(asm))), text("caution", holdCaution)), nil
}

// holdsOf are the hold tests of an engine, or of all: what is running first,
// then the newest by what the phones' clocks said.
func (v *viewer) holdsOf(asm string) []*record.HoldTest {
	return newest(v.st.Holds, func(t *record.HoldTest) bool { return asm == "" || t.Of.Asm == asm }, v.holdRank, func(t *record.HoldTest) string { return t.At })
}

// newest are those that are wanted, by rank, and of one rank the newest first
// by what the phones' clocks said.
func newest[T any](all []T, wanted func(*T) bool, rank func(*T) int, at func(*T) string) []*T {
	var out []*T
	for i := range all {
		if wanted(&all[i]) {
			out = append(out, &all[i])
		}
	}
	order.By(out, func(x, y *T) int { return cmp.Or(cmp.Compare(rank(x), rank(y)), cmp.Compare(at(y), at(x))) })
	return out
}

func (v *viewer) holdRank(t *record.HoldTest) int {
	state, _ := v.holdState(t)
	return slices.Index([]string{"running", "waits", "contested", "done", "struck"}, state)
}

// holdLine is a hold test in one line of a list.
func (v *viewer) holdLine(t *record.HoldTest) jcs.Value {
	state, word := v.holdState(t)
	members := []jcs.Member{str("id", string(t.ID)), str("asm", t.Of.Asm), text("test", t.Test), text("state", state), text("word", word),
		text("from", atTemp(t.Pressure, t.Temp)), text("by", v.person(t.By)), text("at", t.At), str("log", string(t.Log)), str("contest", t.Contest)}
	if e, ok := v.st.Engine(t.Of.Asm); ok {
		members = append(members, jcs.M("engine", v.tag(e)))
	}
	if t.Wait != nil {
		members = append(members, text("wait", t.Wait.String()), num("wait_s", seconds(*t.Wait)))
	}
	if end, ok := t.End(); ok {
		members = append(members, text("to", atTemp(end.Pressure, end.Temp)), text("held", heldWords(end.Elapsed)))
	}
	if r := v.holdResult(t); r != nil {
		members = append(members, jcs.M("result", v.line(r)))
	}
	return jcs.Obj(members...)
}

// holdState is how far a test is: as a word for the page to go by, and in words.
func (v *viewer) holdState(t *record.HoldTest) (string, string) {
	end, ended := t.End()
	switch {
	case t.Struck != "":
		return "struck", "struck: " + t.Struck
	case t.Test == "":
		return "waits", "its start has not arrived yet"
	case t.Contest != "" || ended && end.Contest != "":
		return "contested", "not settled"
	case ended:
		return "done", "done"
	}
	return "running", "being held"
}

func (v *viewer) holdResult(t *record.HoldTest) *result.Res {
	return v.find("hold/" + t.Of.Asm + "/" + string(t.ID))
}

func atTemp(pressure quantity.Written, temp *quantity.Written) string {
	if temp == nil {
		return pressure.String()
	}
	return pressure.String() + " at " + temp.String()
}

// seconds are whole ones; 0 for what is no time.
func seconds(w quantity.Written) int {
	q, err := quantity.Parse(w)
	if err != nil || q.Unit.Dim != quantity.Time || q.SI < 0 || q.SI > 1e9 {
		return 0
	}
	return int(quantity.Quantise(q.SI, 0))
}

// heldWords says a time as people do; one that was not counted in seconds stays as it was written.
func heldWords(w quantity.Written) string {
	n := seconds(w)
	if w.Unit != "s" || w.Is != "" || n < 60 {
		return w.String()
	}
	out := strconv.Itoa(n/60%60) + "\u2009min " + strconv.Itoa(n%60) + "\u2009s"
	if n >= 3600 {
		out = strconv.Itoa(n/3600) + "\u2009h " + out
	}
	return out
}

// held is what can be held on engines of a type: as a rule, by the limits, and
// as it was held before. asm, typ: of one engine, or "" for any of the type.
func (v *viewer) held(asm, typ string) []string {
	words := slices.Clone(heldHere)
	add := func(what string) {
		if what != "" && !slices.Contains(words, what) {
			words = append(words, what)
		}
	}
	for _, l := range v.st.Limits {
		if what, ok := strings.CutPrefix(l.Name, "hold."); ok && (l.Asm == "" || l.Asm == asm || asm == "") {
			add(what)
		}
	}
	for _, t := range v.st.Holds {
		if e, ok := v.st.Engine(t.Of.Asm); ok && e.Type == typ && (asm == "" || asm == t.Of.Asm) && t.Struck == "" {
			add(t.Test)
		}
	}
	return words
}

// holdLimitsOf is what hold tests of a type can be limited by: each that is held, and all.
func (v *viewer) holdLimitsOf(typ string) []result.LimitOf {
	out := []result.LimitOf{{Names: []string{"hold"}, Words: "hold test: any that has no limit of its own", Unit: heldUnits, Usual: "bar"}}
	for _, what := range v.held("", typ) {
		out = append(out, result.LimitOf{Names: []string{"hold." + what}, Words: "hold test: " + what, Unit: heldUnits, Usual: "bar"})
	}
	return out
}

// heldUnits is the kind of the units of a hold test's limit: a loss, a loss a minute, or a leak.
const heldUnits = "hold"

// holdChoices are what can be held on an engine, each with its limit, the
// minutes that it asks for, and the tests that a new one does over.
func (v *viewer) holdChoices(e *record.Engine) jcs.Member {
	return list("choices", v.held(e.Serial, e.Type), func(what string) jcs.Value {
		wait := ""
		if l, ok := result.HoldLimit(v.st, e, what); ok && l.TestTime != nil {
			wait = minutesOf(*l.TestTime)
		}
		return jcs.Obj(str("test", what), str("limit", v.holdLimit(e, what)), str("wait", wait), jcs.M("again", jcs.Strs(v.doneOver(e.Serial, what))))
	})
}

// minutesOf is a time as a number of minutes; "" for what is none.
func minutesOf(w quantity.Written) string {
	q, err := quantity.Parse(w)
	if err != nil || q.Unit.Dim != quantity.Time || q.SI <= 0 {
		return ""
	}
	return strings.TrimSuffix(quantity.Fixed(q.SI/60, 1), ".0")
}

func (v *viewer) holdLimit(e *record.Engine, what string) string {
	l, ok := result.HoldLimit(v.st, e, what)
	if !ok {
		return ""
	}
	says := limitSays(l) + ": " + l.Words
	if !v.st.Accepted(l) {
		says += " (not accepted by the lead yet)"
	}
	return says
}

// notAsked says before a test is begun, and while it is held, what will keep it
// from being the one that its limit asks for. wait: how long it is meant to be
// held; nil when not said.
func (v *viewer) notAsked(e *record.Engine, test string, on, wait *quantity.Written) []string {
	l, ok := result.HoldLimit(v.st, e, test)
	if !ok {
		return nil
	}
	out := calc.NotAsAsked(on, l.TestPressure, wait, l.TestTime)
	for i := range out {
		out[i] = strings.ToUpper(out[i][:1]) + out[i][1:] + ": not proven, however little is lost."
	}
	if over := calc.OverAsked(on, l.TestPressure); over != "" {
		out = append(out, over+". Let it down first, unless the maker allows more.")
	}
	return out
}

// doneOver are the ended tests of the same that no other has done over.
func (v *viewer) doneOver(asm, what string) []string {
	var out []string
	for i := range v.st.Holds {
		t := &v.st.Holds[i]
		_, ended := t.End()
		if t.Of.Asm == asm && t.Struck == "" && strings.EqualFold(t.Test, what) && ended && !v.repeated(t, false) {
			out = append(out, string(t.ID))
		}
	}
	return out
}

// repeated reports whether a later test names this one as what it does over;
// ended: and was itself brought to an end that nobody disputes.
func (v *viewer) repeated(t *record.HoldTest, ended bool) bool {
	for i := range v.st.Holds {
		u := &v.st.Holds[i]
		if u.Struck != "" || u.ID == t.ID || !v.names(u.Again, t.ID) {
			continue
		}
		if state, _ := v.holdState(u); !ended || state == "done" {
			return true
		}
	}
	return false
}

func (v *viewer) names(again []entry.ID, id entry.ID) bool {
	return slices.ContainsFunc(again, func(a entry.ID) bool {
		t, ok := v.st.Hold(a)
		return ok && t.ID == id
	})
}

// gauges are the instruments that read a pressure.
func (v *viewer) gauges() jcs.Member {
	var out []jcs.Value
	for _, i := range v.st.Instruments {
		if u, ok := quantity.Lookup(i.Res.Unit); ok && u.Dim == quantity.Pressure {
			out = append(out, jcs.Obj(str("key", i.Key), str("what", i.What), str("res", i.Res.String()), str("unit", i.Res.Unit)))
		}
	}
	return jcs.M("gauges", jcs.Arr(out...))
}

// hold is one hold test whole: what was begun, its ends, what it comes to, and
// the draft of an end.
func (v *viewer) hold() (jcs.Value, error) {
	t, ok := v.st.Hold(entry.ID(v.arg("id")))
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	e, ok := v.st.Engine(t.Of.Asm)
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	more := []jcs.Member{str("why", t.Struck), str("note", t.Note), str("gauge", t.Gauge), flag("vacuum", t.Vacuum), str("limit", v.holdLimit(e, t.Test)),
		str("unit", t.Pressure.Unit), list("ends", t.Ends, v.holdEnd), jcs.M("again", jcs.Strs(v.doneOver(e.Serial, t.Test))),
		jcs.M("end", jcs.Obj(jcs.M("of", of(e, t.Of.At, t.Of.Point)), str("start", string(t.ID)))), text("caution", holdCaution)}
	more = append(more, list("proves", v.provable(t), v.snagLine), jcs.M("not_asked", jcs.Strs(v.notAsked(e, t.Test, &t.Pressure, t.Wait))))
	if t.Temp != nil {
		more = append(more, str("temp_unit", t.Temp.Unit))
	}
	if t.Volume != nil {
		more = append(more, str("volume", t.Volume.String()))
	}
	if r := v.holdResult(t); r != nil {
		more = append(more, jcs.M("whole", v.whole(r)))
	}
	out := v.holdLine(t)
	for _, m := range more {
		out = out.With(m.Key, m.Val)
	}
	return out, nil
}

func (v *viewer) holdEnd(e record.HoldEnd) jcs.Value {
	counted := ""
	if e.Counted != nil {
		counted = heldWords(*e.Counted)
	}
	return jcs.Obj(str("id", string(e.ID)), text("to", atTemp(e.Pressure, e.Temp)), text("held", heldWords(e.Elapsed)), str("counted", counted),
		str("clock", e.Clock), text("by", v.person(e.By)), text("at", e.At), str("note", e.Note), str("why", e.Struck), str("contest", e.Contest))
}

// running are the hold tests that are not ended.
func (v *viewer) running() []*record.HoldTest {
	return slices.DeleteFunc(v.holdsOf(""), func(t *record.HoldTest) bool {
		state, _ := v.holdState(t)
		return state != "running"
	})
}

// beingHeld are their lines of the lead's list.
func (v *viewer) beingHeld() []jcs.Value {
	var out []jcs.Value
	for _, t := range v.running() {
		says := "begun at " + atTemp(t.Pressure, t.Temp) + " by " + v.person(t.By)
		if t.Wait != nil {
			says += ", to be held " + t.Wait.String()
		}
		out = append(out, v.leadLine(t.Of.Asm+" · "+result.HoldWords(t), says, "being held", t.Of.Asm, jcs.Obj(str("screen", "hold"), str("asm", t.Of.Asm), str("id", string(t.ID)))))
	}
	return out
}

// heldAgain reports whether a hold test was done over since: what it found is
// then answered.
func (v *viewer) heldAgain(r *result.Res) bool {
	t, ok := v.holdBehind(r)
	return ok && v.repeated(t, true)
}

// stillHeld reports whether a hold test has begun and not ended: it has found nothing yet, good or bad.
func (v *viewer) stillHeld(r *result.Res) bool {
	t, ok := v.holdBehind(r)
	if !ok {
		return false
	}
	_, ended := t.End()
	return !ended
}

// holdBehind is the hold test that a result is of.
func (v *viewer) holdBehind(r *result.Res) (*record.HoldTest, bool) {
	if r.Calc != "hold" {
		return nil, false
	}
	return v.st.Hold(entry.ID(r.ID[strings.LastIndexByte(r.ID, '/')+1:]))
}

// holdOf finds the hold test that an entry starts or ends.
func (v *viewer) holdOf(id entry.ID) *record.HoldTest {
	for i := range v.st.Holds {
		t := &v.st.Holds[i]
		if t.ID == id || slices.ContainsFunc(t.Ends, func(e record.HoldEnd) bool { return e.ID == id }) {
			return t
		}
	}
	return nil
}

// holdContest names a contest about a hold test; "" for any other.
func (v *viewer) holdContest(c record.Contest) string {
	for _, id := range c.Members {
		if t := v.holdOf(id); t != nil && t.Test != "" {
			return t.Of.Asm + " · " + result.HoldWords(t)
		}
	}
	return ""
}

func (v *viewer) holdInputs(out map[string]string) {
	for _, t := range v.st.Holds {
		out[string(t.ID)] = "start: " + atTemp(t.Pressure, t.Temp) + ", " + v.person(t.By)
		for _, e := range t.Ends {
			out[string(e.ID)] = "end: " + atTemp(e.Pressure, e.Temp) + " after " + heldWords(e.Elapsed) + ", " + v.person(e.By)
		}
	}
	for _, i := range v.st.Instruments {
		out[string(i.ID)] = i.Key + ", " + i.What + ", in steps of " + i.Res.String()
	}
}
