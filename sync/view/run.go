package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// runs are all runs, of one engine when it is named, with the card of a new one.
func (v *viewer) runs() (jcs.Value, error) {
	asm := v.arg("asm")
	if v.args.Get("running").IsTrue() {
		return jcs.Obj(list("runs", v.runningRuns(), v.runLine)), nil
	}
	e, ok := v.st.Engine(asm)
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	return jcs.Obj(list("runs", v.runsOf(asm), v.runLine), jcs.M("engine", v.tag(e)), text("hours", v.hours(e)), jcs.M("card", v.card(e)), jcs.M("after", jcs.Strs(v.cures("")))), nil
}

// runsOf are the runs of an engine, or of all: what runs first, then the newest
// by what the phones' clocks said.
func (v *viewer) runsOf(asm string) []*record.Run {
	return newest(v.st.Runs, func(r *record.Run) bool { return asm == "" || r.Has(asm) }, v.runRank, func(r *record.Run) string { return r.At })
}

func (v *viewer) runRank(r *record.Run) int {
	state, _ := v.runState(r)
	return slices.Index([]string{"running", "waits", "contested", "stopped", "struck"}, state)
}

// runState is how far a run is: as a word for the page to go by, and in words.
func (v *viewer) runState(r *record.Run) (string, string) {
	stopped := 0
	for _, asm := range r.Engines() {
		if _, ok := r.Stop(asm); ok {
			stopped++
		}
	}
	switch {
	case r.Struck != "":
		return "struck", "struck: " + r.Struck
	case r.Title == "":
		return "waits", "its start has not arrived yet"
	case r.Contest != "":
		return "contested", "not settled"
	case stopped == len(r.Of):
		return "stopped", "stopped"
	}
	return "running", "running"
}

// released says whether a run began from a hold point that let it, in words;
// the first answer is empty when it did.
func (v *viewer) released(r *record.Run) (mark, words string) {
	why := ""
	for _, asm := range r.Engines() {
		s := v.releaseOf(r, asm)
		if s == nil {
			return "without release", "Nobody had signed that " + asm + " may run when it was started."
		}
		words = r.Hold + " signed by " + v.person(s.By)
		if s.Before() {
			words = r.Hold + " " + record.DoneBefore + ", as written down by " + v.person(s.By)
		} else if s.Why != "" {
			why = ", with a concession: " + s.Why
		}
	}
	return "", words + why
}

// releaseOf is the signature that the start names for an engine, as it stands.
func (v *viewer) releaseOf(r *record.Run, asm string) *record.Sign {
	for i := range v.st.Signs {
		if s := &v.st.Signs[i]; slices.Contains(r.Release, s.ID) && slices.Contains(s.Asm, asm) {
			return s
		}
	}
	return nil
}

// runLine is a run in one line of a list.
func (v *viewer) runLine(r *record.Run) jcs.Value {
	state, word := v.runState(r)
	mark, says := v.released(r)
	members := []jcs.Member{str("id", string(r.ID)), text("title", r.Title), text("state", state), text("word", word), text("by", v.person(r.By)), text("at", r.At),
		str("log", string(r.Log)), str("contest", r.Contest), str("unreleased", mark), text("release", says), list("engines", result.Sides(v.st, r), v.runEngine)}
	each := ""
	for _, asm := range result.Sides(v.st, r) {
		if e, ok := v.st.Engine(asm); ok {
			if n := ranFor(r, e.Serial); n >= 0 {
				each += ", " + asm + " ran " + ranWords(n)
			}
		}
	}
	return jcs.Obj(append(members, str("ran", strings.TrimPrefix(each, ", ")))...)
}

func (v *viewer) runEngine(asm string) jcs.Value {
	if e, ok := v.st.Engine(asm); ok {
		return v.tag(e)
	}
	return jcs.Obj(str("asm", asm))
}

// hours is how long an engine has run in all its runs, in words.
func (v *viewer) hours(e *record.Engine) string {
	total, open := int64(0), 0
	for i := range v.st.Runs {
		r := &v.st.Runs[i]
		if !r.Has(e.Serial) || r.Struck != "" {
			continue
		}
		if n := ranFor(r, e.Serial); n >= 0 {
			total += n
		} else {
			open++
		}
	}
	words := ranWords(total)
	if open > 0 {
		words += "; " + count(open) + " more without a firing or a stop"
	}
	return words
}

// run is one run whole: what to show while it runs, and its report.
func (v *viewer) run() (jcs.Value, error) {
	r, ok := v.st.Run(entry.ID(v.arg("id")))
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	out := v.runLine(r)
	for _, m := range []jcs.Member{list("sides", result.Sides(v.st, r), func(asm string) jcs.Value { return v.runSide(r, asm) }),
		jcs.M("log_lines", jcs.Arr(v.runLog(r)...)), list("events", runEvents, eventJSON), list("gauges", runGauges, v.gauge),
		list("stations", v.stations(), func(s string) jcs.Value { return jcs.Obj(text("key", s), text("words", result.StationWords(s))) }),
		jcs.M("graphs", jcs.Arr(v.graphs(r)...)), jcs.M("matching", v.matching(r)), text("drill_line", drillLine),
		jcs.M("leaks", jcs.Strs(leakPlaces)), jcs.M("drill", drillJSON("stop")), jcs.M("card", v.runCard(r)), text("knows", runKnows),
		jcs.M("cautions", jcs.Strs(runCautions)), list("tachometers", v.toolsOf(quantity.Speed), toolLine)} {
		out = out.With(m.Key, m.Val)
	}
	return out, nil
}

// stations are those to choose from; a governed no-load speed ends them.
func (v *viewer) stations() []string {
	out := result.Stations(v.st)
	if !slices.Contains(out, governed) {
		out = append(out, governed)
	}
	return out
}

// governed is the station of the governed no-load speed, as the matching calls it.
const governed = "governed"

func (v *viewer) toolsOf(dim quantity.Dim) []record.Instrument {
	var out []record.Instrument
	for _, i := range v.st.Instruments {
		if u, ok := quantity.Lookup(i.Res.Unit); ok && u.Dim == dim {
			out = append(out, i)
		}
	}
	return out
}

func toolLine(i record.Instrument) jcs.Value {
	return jcs.Obj(str("key", i.Key), str("what", i.What))
}

// runSide is one engine of a run as it stands now.
func (v *viewer) runSide(r *record.Run, asm string) jcs.Value {
	e, ok := v.st.Engine(asm)
	if !ok {
		return jcs.Obj(jcs.M("engine", v.runEngine(asm)), str("state", "stopped"))
	}
	w := v.watched(e, r)
	members := []jcs.Member{jcs.M("engine", v.tag(e)), jcs.M("of", of(e, "", "")), text("state", w.state()), text("state_words", w.stateWords()), str("station", w.station),
		list("tiles", runGauges, w.tile), list("fill", w.toFill(), w.fillLine), list("alarms", w.standing, alarmJSON), list("raised", w.raised, alarmJSON),
		jcs.M("deadlines", jcs.Arr(w.deadlines()...)), yes("seen", w.seen), yes("band", w.band), text("hours", v.hours(e)), jcs.M("after", jcs.Strs(v.afterRun(e, r, w))), jcs.M("faults", jcs.Strs(v.faults(e, r)))}
	if w.fired >= 0 {
		members = append(members, num("fired_s", int(w.fired/1000)))
	}
	if w.stopped >= 0 {
		members = append(members, num("stopped_s", int(w.stopped/1000)))
	}
	if at, every, ok := w.due(); ok {
		members = append(members, num("due_s", int(at)), num("every_s", int(every)))
	}
	if n := ranFor(r, asm); n >= 0 {
		members = append(members, text("ran", ranWords(n)))
	}
	if stop, ok := r.Stop(asm); ok {
		members = append(members, text("why", stop.Words))
	}
	return jcs.Obj(members...)
}

// tile is a gauge with what it showed last, and what it must keep now.
func (w *watch) tile(g runGauge) jcs.Value {
	members := []jcs.Member{text("what", g.what), text("words", g.words), text("unit", w.v.gaugeUnit(g)), flag("first", g.first)}
	if l := w.last[g.what]; l != nil {
		figure, symbol := l.Seen, ""
		if l.Value != nil {
			figure, symbol, _ = strings.Cut(l.Value.String(), "\u2009")
		}
		members = append(members, text("figure", figure), str("symbol", symbol), num("at_s", int(l.MS/1000)), text("at", clockWords(l.MS)))
	}
	alarmed := slices.ContainsFunc(w.standing, func(a *alarm) bool { return a.of == g.what })
	for _, b := range w.asked(g.what) {
		members = append(members, text("limit", limitSays(b.limit)))
		break
	}
	return jcs.Obj(append(members, flag("alarm", alarmed))...)
}

// toFill are the taps that have no figure yet, the oldest first.
func (w *watch) toFill() []*record.RunLine {
	var out []*record.RunLine
	for i := range w.run.Lines {
		if l := &w.run.Lines[i]; l.Of.Asm == w.e.Serial && l.Struck == "" && l.Does == "sample" && l.Value == nil {
			out = append(out, l)
		}
	}
	return out
}

func (w *watch) fillLine(l *record.RunLine) jcs.Value {
	body := jcs.Null()
	if s, ok := w.v.st.Saying(l.ID); ok {
		body = s.Body
	}
	return jcs.Obj(str("id", string(l.ID)), text("what", l.What), text("words", gaugeWords(l.What)), text("seen", l.Seen), text("at", clockWords(l.MS)), jcs.M("body", body))
}

func alarmJSON(a *alarm) jcs.Value {
	return jcs.Obj(text("title", a.title), text("says", a.words()), text("at", clockWords(a.ms)), str("id", a.id), jcs.M("drill", drillJSON(a.drill)))
}

// runLog is what was logged, the newest first.
func (v *viewer) runLog(r *record.Run) []jcs.Value {
	var out []jcs.Value
	for i := range r.Lines {
		l := &r.Lines[i]
		out = append(out, jcs.Obj(str("id", string(l.ID)), text("asm", l.Of.Asm), text("at", clockWords(l.MS)), text("words", lineWords(l)), text("by", v.person(l.By)),
			str("clock", l.Clock), str("why", l.Struck), str("contest", l.Contest), flag("waits", len(l.Waits) > 0), str("event", l.Event)))
	}
	slices.Reverse(out)
	return out
}

// lineWords says one line of a run.
func lineWords(l *record.RunLine) string {
	at := ""
	if l.Station != "" {
		at = ", at " + result.StationWords(l.Station)
	}
	switch {
	case l.Does == "stop":
		return "Stopped: " + l.Words
	case l.Event == "station":
		return "Now at " + result.StationWords(l.Station)
	case l.Event == "going on":
		return "Going on: " + l.Words
	case l.Does == "event" && l.Words != "":
		return findEvent(l.Event).words + ": " + l.Words
	case l.Does == "event":
		return findEvent(l.Event).words
	}
	if l.Block != nil {
		return blockWords(l)
	}
	words := gaugeWords(l.What)
	if l.Seen != "" {
		words += " " + l.Seen
	}
	if l.Value != nil {
		words += " " + l.Value.String()
	}
	if l.Later {
		words += " (figure filled in afterwards)"
	}
	if l.Round > 0 {
		words += ", round " + count(l.Round)
	}
	if l.Swapped {
		words += ", tachometers changed over"
	}
	return words + at
}

// afterRun is what a run leaves to do on an engine.
func (v *viewer) afterRun(e *record.Engine, r *record.Run, w *watch) []string {
	if w.stopped < 0 {
		return nil
	}
	out := []string{"Fire watch stays until it is cold; levels, leaks, strainer and magnetic plug looked at; smoke detectors back on."}
	for _, l := range r.Lines {
		if l.Of.Asm == e.Serial && l.Struck == "" && l.Does == "event" && findEvent(l.Event).where {
			out = append(out, "Leak at "+clockWords(l.MS)+": "+orElse(l.Words, "place not said")+". Look at the same place on the other engine too.")
		}
	}
	if w.fired >= 0 && e.Pattern != nil {
		for _, j := range e.Pattern.Joints {
			for _, t := range v.untightened(e, j.Joint, true) {
				out = append(out, t.words+", cold.")
			}
		}
	}
	return out
}

// faults are what was seen to go wrong in a run: each may be raised as a snag.
// What is a place of its own is told once.
func (v *viewer) faults(e *record.Engine, r *record.Run) []string {
	var out []string
	for _, l := range r.Lines {
		if l.Of.Asm != e.Serial || l.Struck != "" || l.Does != "event" || !findEvent(l.Event).fault() {
			continue
		}
		words := findEvent(l.Event).words
		if l.Words != "" {
			words += ": " + l.Words
		}
		if !slices.Contains(out, words) {
			out = append(out, words)
		}
	}
	return out
}

func orElse(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// runningRuns are the runs that are not over.
func (v *viewer) runningRuns() []*record.Run {
	return slices.DeleteFunc(v.runsOf(""), func(r *record.Run) bool {
		state, _ := v.runState(r)
		return state != "running"
	})
}

// runLead are the lines of the lead's list: a run that has an alarm or that
// nobody let begin stops him while it goes on, and is looked at again until the
// next run; the others he can go and see.
func (v *viewer) runLead() (stop, again, now []jcs.Value) {
	for _, r := range v.runsOf("") {
		state, word := v.runState(r)
		if state != "running" && state != "stopped" {
			continue
		}
		open := jcs.Obj(str("screen", "run"), str("asm", r.Of[0].Asm), str("id", string(r.ID)))
		title := strings.Join(result.Sides(v.st, r), " and ") + " · " + result.RunWords(r)
		mark, says := v.released(r)
		switch line := v.leadLine(title, says, mark, r.Of[0].Asm, open); {
		case mark != "" && state == "running":
			stop = append(stop, line)
		case mark != "" && !v.followed(r):
			again = append(again, line)
		}
		for _, asm := range r.Engines() {
			if e, ok := v.st.Engine(asm); ok && state == "running" {
				for _, a := range v.watched(e, r).standing {
					stop = append(stop, v.leadLine(asm+" · "+a.title, a.words(), "alarm", asm, open))
				}
			}
		}
		if state == "running" {
			now = append(now, v.leadLine(title, "started by "+v.person(r.By)+", "+strings.Replace(r.At[:min(16, len(r.At))], "T", " ", 1), word, r.Of[0].Asm, open))
		}
	}
	return stop, again, now
}

// followed reports whether a later run names this one as an earlier one.
func (v *viewer) followed(r *record.Run) bool {
	return slices.ContainsFunc(v.st.Runs, func(o record.Run) bool { return slices.Contains(o.Before, r.ID) && o.Struck == "" })
}

// runOf finds the run that an entry starts or logs.
func (v *viewer) runOf(id entry.ID) *record.Run {
	for i := range v.st.Runs {
		r := &v.st.Runs[i]
		if r.ID == id || slices.ContainsFunc(r.Lines, func(l record.RunLine) bool { return l.ID == id }) {
			return r
		}
	}
	return nil
}

// runContest names a contest about a run; "" for any other.
func (v *viewer) runContest(c record.Contest) string {
	for _, id := range c.Members {
		if r := v.runOf(id); r != nil && r.Title != "" {
			return r.Of[0].Asm + " · " + result.RunWords(r)
		}
	}
	return ""
}

func (v *viewer) runInputs(out map[string]string) {
	for i := range v.st.Runs {
		r := &v.st.Runs[i]
		out[string(r.ID)] = "run: " + result.RunWords(r)
		for k := range r.Lines {
			out[string(r.Lines[k].ID)] = clockWords(r.Lines[k].MS) + " " + lineWords(&r.Lines[k]) + ", " + v.person(r.Lines[k].By)
		}
	}
	for _, a := range v.st.Adjusts {
		out[string(a.ID)] = result.AdjustWords(a)
	}
}

// ranAgain reports whether a later round, or a later run that names this one as
// an earlier one, has judged all that this result judged: what it found is then
// answered.
func (v *viewer) ranAgain(r *result.Res) bool {
	if r.At != "run" {
		return false
	}
	of := strings.Split(r.ID, "/") // calculation, engines, run, round
	return slices.ContainsFunc(v.rs, func(o result.Res) bool {
		if o.At != "run" || o.Calc != r.Calc {
			return false
		}
		by := strings.Split(o.ID, "/")
		if by[1] != of[1] || !judgesAll(&o, r) {
			return false
		}
		if by[2] == of[2] {
			return len(of) > 3 && roundOf(by) > roundOf(of)
		}
		run, ok := v.st.Run(entry.ID(by[2]))
		return ok && slices.Contains(run.Before, entry.ID(of[2]))
	})
}

func roundOf(id []string) int {
	n, _ := strconv.Atoi(id[len(id)-1])
	return n
}

// judgesAll reports whether a result has every value that another judged.
func judgesAll(o, r *result.Res) bool {
	for _, x := range r.Vals {
		if x.Limit != nil && !slices.ContainsFunc(o.Vals, func(y calc.Val) bool { return y.Name == x.Name && y.Limit != nil }) {
			return false
		}
	}
	return true
}
