package view

import (
	"cmp"
	"slices"
	"strconv"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/record"
)

// snagCaution stands where a leak is cured.
const snagCaution = "Never nip up a union, a hose or a cover while the engine runs or stands under pressure: fuel from an injector pipe goes through skin, hot oil and water scald. " +
	"Stop it, let the pressure off and let it cool first; the maker's manual comes before anything here."

// snags lists what is wrong: of one place, of one engine, or everywhere.
func (v *viewer) snags() (jcs.Value, error) {
	asm, at := v.arg("asm"), v.arg("at")
	var open, closed []*record.Snag
	for i := range v.st.Snags {
		s := &v.st.Snags[i]
		if asm != "" && s.Of.Asm != asm || at != "" && s.Of.At != at {
			continue
		}
		if v.snagOpen(s) {
			open = append(open, s)
		} else {
			closed = append(closed, s)
		}
	}
	order.By(open, func(x, y *record.Snag) int { return cmp.Or(stopsFirst(x)-stopsFirst(y), cmp.Compare(x.At, y.At)) })
	order.By(closed, func(x, y *record.Snag) int { return cmp.Compare(y.At, x.At) })
	out := jcs.Obj(list("open", open, v.snagLine), list("closed", closed, v.snagLine), v.engines("engines"))
	if asm == "" {
		return out, nil
	}
	e, ok := v.st.Engine(asm)
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	return out.With("engine", v.tag(e)).With("of", of(e, at, "")).With("place", jcs.Opt(v.spot(e, at))), nil
}

func stopsFirst(s *record.Snag) int {
	if s.Stop {
		return 0
	}
	return 1
}

// spot is a place in words, "" for the engine as a whole.
func (v *viewer) spot(e *record.Engine, at string) string {
	if at == "" || e.Pattern == nil {
		return at
	}
	return e.Pattern.Words(at)
}

// snagOpen: nobody has proven it, or the test that it was proven on found something itself.
func (v *viewer) snagOpen(s *record.Snag) bool {
	return s.Open() || s.Struck == "" && v.proofDoubt(s) != ""
}

// proofDoubt says that the test itself did not pass; the record knows no results.
func (v *viewer) proofDoubt(s *record.Snag) string {
	for _, st := range s.Steps {
		if s.State != record.SnagProven || st.State != record.SnagProven || st.Struck != "" || st.NotProven != "" {
			continue
		}
		if why := v.testDoubt(st.Test); why != "" {
			return why
		}
	}
	return ""
}

func (v *viewer) testDoubt(test entry.ID) string {
	t, ok := v.st.Hold(test)
	if !ok {
		return ""
	}
	if r := v.holdResult(t); r != nil && r.Verdict != calc.Within && r.Verdict != calc.NoLimit {
		return "not proven: the test itself: " + word(r.Verdict, r.Close)
	}
	return ""
}

// snagState is how far a snag is: as a word for the page to go by, and in words.
func (v *viewer) snagState(s *record.Snag) (string, string) {
	switch {
	case s.Struck != "":
		return "struck", "taken back: " + s.Struck
	case s.What == "":
		return "waits", "what was wrong has not arrived yet"
	case s.Contest != "":
		return "contested", "not settled"
	case s.State == record.SnagRaised:
		return s.State, "open"
	case s.State == record.SnagReopened:
		return s.State, "open again"
	case s.State == record.SnagCured || v.proofDoubt(s) != "":
		return record.SnagCured, "cured, not seen dry"
	}
	return s.State, "seen dry"
}

func (v *viewer) snagLine(s *record.Snag) jcs.Value {
	state, word := v.snagState(s)
	not := s.NotProven
	if not == "" {
		not = v.proofDoubt(s)
	}
	members := []jcs.Member{str("id", string(s.ID)), str("asm", s.Of.Asm), text("what", s.What), str("rate", s.Rate), flag("stop", s.Stop), str("state", state),
		text("word", word), str("not_proven", not), str("contest", s.Contest), text("by", v.person(s.By)), text("at", s.At), str("age", v.age(s))}
	if e, ok := v.st.Engine(s.Of.Asm); ok {
		members = append(members, jcs.M("engine", v.tag(e)), str("place", v.spot(e, s.Of.At)))
	}
	return jcs.Obj(members...)
}

// age says how long a snag has been open, on the day that the page names.
func (v *viewer) age(s *record.Snag) string {
	if !v.snagOpen(s) {
		return ""
	}
	n, ok := daysBetween(day(s.At), v.arg("today"))
	switch {
	case !ok || n < 0:
		return ""
	case n == 0:
		return "since today"
	case n == 1:
		return "since yesterday"
	}
	return "for " + strconv.Itoa(n) + " days"
}

// daysBetween counts the days from one to another, as in 2031-04-12.
func daysBetween(from, to string) (int, bool) {
	a, ok := dayNumber(from)
	b, ok2 := dayNumber(to)
	return b - a, ok && ok2
}

// dayNumber counts days of the Gregorian calendar from a fixed one. Source: definition of the calendar.
func dayNumber(d string) (int, bool) {
	if len(d) != 10 {
		return 0, false
	}
	y, e1 := strconv.Atoi(d[:4])
	m, e2 := strconv.Atoi(d[5:7])
	n, e3 := strconv.Atoi(d[8:])
	if e1 != nil || e2 != nil || e3 != nil || m < 1 || m > 12 {
		return 0, false
	}
	if m < 3 { // the year begins in March, so that a leap day ends it
		y, m = y-1, m+12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + n, true
}

// snag is one whole: its story, the tests that may prove it, and drafts of the next steps.
func (v *viewer) snag() (jcs.Value, error) {
	s, ok := v.st.Snag(entry.ID(v.arg("id")))
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	out := v.snagLine(s)
	step := jcs.Obj(str("kind", "snag"), jcs.M("after", jcs.Strs(s.Known())), jcs.M("body", jcs.Obj(str("snag", string(s.ID)))))
	proofs := v.st.Proofs(s)
	slices.Reverse(proofs)
	for _, m := range []jcs.Member{v.photosOf("photos", s.Photos), list("steps", s.Steps, v.snagStep), str("note", s.Note), str("at_place", s.Of.At), jcs.M("step", step),
		list("tests", proofs, v.proof), text("caution", snagCaution), text("twin", v.otherEngine(s.Of.Asm))} {
		out = out.With(m.Key, m.Val)
	}
	return out, nil
}

func (v *viewer) proof(p record.Proof) jcs.Value {
	why := p.Why
	if why == "" {
		why = v.testDoubt(p.Test)
	}
	return jcs.Obj(str("id", string(p.Test)), text("words", p.Words), text("by", v.person(p.By)), text("at", p.At), str("why", why))
}

func (v *viewer) otherEngine(asm string) string {
	for _, e := range v.inOrder() {
		if e.Serial != asm {
			return e.Serial + " " + e.Name
		}
	}
	return "the other engine"
}

func (v *viewer) photosOf(key string, ids []entry.ID) jcs.Member {
	var out []jcs.Value
	for _, id := range ids {
		if p, ok := v.st.Photo(id); ok {
			out = append(out, v.photo(p, true))
		}
	}
	return jcs.M(key, jcs.Arr(out...))
}

// snagSteps are the steps as they are said.
var snagSteps = map[string]string{record.SnagCured: "cured", record.SnagProven: "seen dry", record.SnagReopened: "opened again"}

func (v *viewer) snagStep(s record.SnagStep) jcs.Value {
	test := ""
	if m, ok := v.st.Saying(s.Test); ok {
		test = m.Words
	}
	seen := ""
	if s.SeenBy != "" {
		seen = v.person(s.SeenBy)
	}
	twin := ""
	if s.Twin != "" {
		twin = "the other engine: " + s.Twin
	}
	return jcs.Obj(str("id", string(s.ID)), text("state", s.State), text("word", snagSteps[s.State]), str("did", s.Did), str("twin", twin), str("seen_by", seen), str("test", test),
		str("test_id", string(s.Test)), text("by", v.person(s.By)), text("at", s.At), str("note", s.Note), str("why", s.Struck), str("not_proven", s.NotProven), str("contest", s.Contest), v.photosOf("photos", s.Photos))
}

// openSnags are those of an engine, or of all.
func (v *viewer) openSnags(asm string) []*record.Snag {
	var out []*record.Snag
	for i := range v.st.Snags {
		if s := &v.st.Snags[i]; (asm == "" || s.Of.Asm == asm) && v.snagOpen(s) {
			out = append(out, s)
		}
	}
	return out
}

// provable are the snags that a test may prove and that nobody has said so of.
func (v *viewer) provable(t *record.HoldTest) []*record.Snag {
	if v.testDoubt(t.ID) != "" {
		return nil
	}
	return slices.DeleteFunc(v.openSnags(t.Of.Asm), func(s *record.Snag) bool {
		return s.State != record.SnagCured || !slices.ContainsFunc(v.st.Proofs(s), func(p record.Proof) bool { return p.Test == t.ID && p.Why == "" })
	})
}

// cures is what a test that is begun now comes after: so it can prove them.
func (v *viewer) cures(asm string) []string {
	var out []string
	for _, s := range v.openSnags(asm) {
		for _, st := range s.Steps {
			if st.State == record.SnagCured && st.Struck == "" {
				out = append(out, string(st.ID))
			}
		}
	}
	return out
}

func (v *viewer) snagsAt(e *record.Engine, at string) int {
	n := 0
	for _, s := range v.openSnags(e.Serial) {
		if s.Of.At == at {
			n++
		}
	}
	return n
}

func (v *viewer) snagTitle(s *record.Snag) string {
	e, ok := v.st.Engine(s.Of.Asm)
	if !ok || s.Of.At == "" {
		return s.Of.Asm
	}
	return s.Of.Asm + " · " + v.spot(e, s.Of.At)
}

func snagOpens(s *record.Snag) jcs.Value {
	return opens("snag", str("id", string(s.ID)), str("asm", s.Of.Asm))
}

// snagLead are the lines of open snags in the lead's list: what keeps an
// engine from being run, what to look at again, what can be done now.
func (v *viewer) snagLead() (stop, again, now []jcs.Value) {
	for _, s := range v.openSnags("") {
		state, word := v.snagState(s)
		l := v.snagLine(s)
		line := v.leadLine(v.snagTitle(s), s.What, word, s.Of.Asm, snagOpens(s))
		switch not := l.Get("not_proven").Text(); {
		case state == "contested" || state == "waits": // listed as a contest, or not known yet
		case s.Stop:
			stop = append(stop, line)
		case not != "":
			again = append(again, line.With("says", jcs.Str(s.What+": "+not)))
		default:
			now = append(now, line)
		}
	}
	return stop, again, now
}

// unproven lists the snags of an engine that nobody has seen dry.
func (v *viewer) unproven(e *record.Engine) []todo {
	var out []todo
	for _, s := range v.openSnags(e.Serial) {
		_, word := v.snagState(s)
		out = append(out, todo{"Snag of " + v.snagTitle(s) + ", " + s.What + ": " + word, snagOpens(s)})
	}
	return out
}

// snags offers what is wrong, for finding.
func (s *search) snags() {
	for i := range s.v.st.Snags {
		x := &s.v.st.Snags[i]
		more := []string{x.Rate, s.place(x.Of), "snag leak fault"}
		for _, st := range x.Steps {
			more = append(more, st.Did)
		}
		s.offer(s.score(x.What, s.engines(x.Of.Asm), more...), rankSnag, -i, func() thing {
			_, word := s.v.snagState(x)
			return thing{"snag", x.What, join(word, s.place(x.Of)), []string{x.Of.Asm}, snagOpens(x)}
		})
	}
}
