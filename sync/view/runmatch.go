package view

import (
	"slices"
	"strconv"

	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// matchRow is a station of one round of a matching: both speeds, the last read.
type matchRow struct {
	station             string
	left, right         *quantity.Q
	leftText, rightText string
	leftSwap, rightSwap string // with the tachometers changed over
}

func (v *viewer) matchRows(r *record.Run, round int) []matchRow {
	sides := result.Sides(v.st, r)
	var rows []matchRow
	for i := range r.Lines {
		l := &r.Lines[i]
		if l.Round != round || l.What != "speed" || l.Struck != "" || l.Value == nil || l.Station == "" {
			continue
		}
		k := slices.IndexFunc(rows, func(m matchRow) bool { return m.station == l.Station })
		if k < 0 {
			k = len(rows)
			rows = append(rows, matchRow{station: l.Station})
		}
		q, err := quantity.Parse(*l.Value)
		if err != nil {
			continue
		}
		left := l.Of.Asm == sides[0]
		switch {
		case l.Swapped && left:
			rows[k].leftSwap = l.Value.String()
		case l.Swapped:
			rows[k].rightSwap = l.Value.String()
		case left:
			rows[k].left, rows[k].leftText = &q, l.Value.String()
		default:
			rows[k].right, rows[k].rightText = &q, l.Value.String()
		}
	}
	stations := result.Stations(v.st)
	order.By(rows, func(a, b matchRow) int { return slices.Index(stations, a.station) - slices.Index(stations, b.station) })
	return rows
}

// matching is the matching of a run of both: the round that is open, every
// round with its result, and what was moved between them.
func (v *viewer) matching(r *record.Run) jcs.Value {
	if len(r.Of) < 2 {
		return jcs.Null()
	}
	rounds := result.Rounds(r)
	open, last := 1, 0
	if len(rounds) > 0 {
		last = rounds[len(rounds)-1]
		open = last
	}
	for _, a := range v.adjustsOf(r) {
		open = max(open, a.Round+1)
	}
	var shown []jcs.Value
	for n := 1; n <= open; n++ {
		shown = append(shown, v.round(r, n))
	}
	slices.Reverse(shown)
	return jcs.Obj(num("round", open), num("last", last), jcs.M("rounds", jcs.Arr(shown...)), text("state", v.matchState(r)), text("caution", matchCaution), jcs.M("screws", jcs.Strs(screws)),
		list("totals", v.turned(r), func(s string) jcs.Value { return jcs.Str(s) }))
}

const matchCaution = "Speed can run away while a linkage is off: a hand at the stop of that engine, the air plate ready, nobody in line with the flywheel. One engine is adjusted at a time, hot, and its own rod is back on before the next. Nothing couples the two."

// screws are what is moved as a rule; anything else can be written.
var screws = []string{"idle stop", "governed stop", "throttle rod", "lever on its shaft"}

func (v *viewer) adjustsOf(r *record.Run) []record.Adjust {
	return slices.DeleteFunc(slices.Clone(v.st.Adjusts), func(a record.Adjust) bool { return a.Run != r.ID })
}

// round is one round: both engines at each station, what it comes to, and what
// was moved after it.
func (v *viewer) round(r *record.Run, n int) jcs.Value {
	members := []jcs.Member{num("n", n), list("rows", v.matchRows(r, n), v.matchRow)}
	if res := v.find(result.MatchID(r, n)); res != nil {
		members = append(members, jcs.M("result", v.line(res)))
	}
	var moved []jcs.Value
	for _, a := range v.adjustsOf(r) {
		if a.Round == n {
			moved = append(moved, jcs.Obj(str("id", string(a.ID)), text("words", result.AdjustWords(a)), text("by", v.person(a.By)), str("why", a.Why)))
		}
	}
	return jcs.Obj(append(members, jcs.M("moved", jcs.Arr(moved...)), jcs.M("measured", jcs.Strs(v.perTurn(r, n))), jcs.M("next", jcs.Strs(v.suggested(r, n))))...)
}

func (v *viewer) matchRow(m matchRow) jcs.Value {
	difference := ""
	if m.left != nil && m.right != nil {
		rpm, _ := quantity.Lookup("rpm")
		difference = quantity.FormatStep(m.right.SI-m.left.SI, rpm, min(m.left.Dec, m.right.Dec))
	}
	return jcs.Obj(text("station", result.StationWords(m.station)), str("left", m.leftText), str("right", m.rightText), str("left_swapped", m.leftSwap),
		str("right_swapped", m.rightSwap), str("difference", difference))
}

// matchState says how far a matching is: inside the band at every station in
// the last two rounds running, or what is wanting.
func (v *viewer) matchState(r *record.Run) string {
	rounds := result.Rounds(r)
	if len(rounds) == 0 {
		return "No station is read yet."
	}
	good := 0
	for i := len(rounds) - 1; i >= 0; i-- {
		if why := v.roundWants(r, rounds[i]); why != "" {
			if good == 0 {
				return "Round " + strconv.Itoa(rounds[i]) + ": " + why
			}
			break
		}
		good++
	}
	if good < 2 {
		return "Inside the band at every station once. Once more, without moving a screw, and with the tachometers changed over."
	}
	for _, a := range v.adjustsOf(r) {
		if a.Round >= rounds[len(rounds)-2] {
			return "Something was moved since: every station twice more."
		}
	}
	return "Inside the band at every station, twice running."
}

// leastStations is how many stations a round must have: matched at idle only
// is not matched (common practice).
const leastStations = 3

// roundWants says what keeps a round from being inside the band; "" for nothing.
func (v *viewer) roundWants(r *record.Run, n int) string {
	res := v.find(result.MatchID(r, n))
	both := 0
	for _, m := range v.matchRows(r, n) {
		if m.left != nil && m.right != nil {
			both++
		}
	}
	switch {
	case res == nil || both == 0:
		return "both engines at a station"
	case both < leastStations:
		return "only " + strconv.Itoa(both) + " of at least " + strconv.Itoa(leastStations) + " stations with both engines"
	case res.Verdict != calc.Within:
		return word(res.Verdict, res.Close) + ": " + res.Says
	}
	return ""
}

// matched reports whether a matching ended inside the band twice running,
// nothing moved since.
func (v *viewer) matched(r *record.Run) bool {
	rounds := result.Rounds(r)
	if r.Struck != "" || len(rounds) < 2 {
		return false
	}
	last := rounds[len(rounds)-2:]
	for _, a := range v.adjustsOf(r) {
		if a.Round >= last[0] {
			return false
		}
	}
	return v.roundWants(r, last[0]) == "" && v.roundWants(r, last[1]) == ""
}

// unmatched: the matchings of both engines ended inside the band. Those that a
// later run names as earlier ones are past; of several that no other names,
// every one counts, since nobody said which is the last.
func (v *viewer) unmatched(es []*record.Engine) []todo {
	runs := v.matchings(es)
	if len(runs) == 0 {
		return []todo{{"Match " + serials(es) + ": nobody has matched the two yet", jcs.Obj(str("screen", "run"), str("asm", es[0].Serial))}}
	}
	var out []todo
	for _, r := range runs {
		if !v.matched(r) && !slices.ContainsFunc(runs, func(o *record.Run) bool { return slices.Contains(o.Before, r.ID) }) {
			out = append(out, todo{"Match " + serials(es) + ": " + v.matchState(r), jcs.Obj(str("screen", "run"), str("asm", es[0].Serial), str("id", string(r.ID)))})
		}
	}
	return out
}

// matchings are the runs of both engines with a round of speeds.
func (v *viewer) matchings(es []*record.Engine) []*record.Run {
	return slices.DeleteFunc(v.runsOf(""), func(r *record.Run) bool {
		return len(r.Of) < 2 || r.Struck != "" || len(result.Rounds(r)) == 0 || slices.ContainsFunc(es, func(e *record.Engine) bool { return !r.Has(e.Serial) })
	})
}

// turned adds up how far each screw is from where it began, in turns: in is
// positive, out negative.
func (v *viewer) turned(r *record.Run) []string {
	type screw struct {
		asm, what string
		turns     float64
		other     bool // something that is not told in turns in or out
	}
	var all []screw
	for _, a := range v.adjustsOf(r) {
		k := slices.IndexFunc(all, func(s screw) bool { return s.asm == a.Of.Asm && s.what == a.What })
		if k < 0 {
			k = len(all)
			all = append(all, screw{asm: a.Of.Asm, what: a.What})
		}
		n, ok := turns(a)
		all[k].turns += n
		all[k].other = all[k].other || !ok
	}
	var out []string
	for _, s := range all {
		way := "in"
		if s.turns < 0 {
			way = "out"
		}
		words := s.asm + ", " + s.what + ": " + quantity.Fixed(max(s.turns, -s.turns), 2) + " of a turn " + way + " from where it began"
		if s.other {
			words += ", and what is not told in turns"
		}
		out = append(out, words)
	}
	return out
}

// turns is how far a screw was turned: in is positive.
func turns(a record.Adjust) (float64, bool) {
	if a.Turned == nil || a.Way != "in" && a.Way != "out" {
		return 0, false
	}
	q, err := quantity.Parse(*a.Turned)
	if err != nil || q.Unit.Dim != quantity.One {
		return 0, false
	}
	if a.Way == "out" {
		return -q.SI, true
	}
	return q.SI, true
}

// perTurn says what the idle stops did between this round and the next.
func (v *viewer) perTurn(r *record.Run, n int) []string {
	var out []string
	for i, asm := range result.Sides(v.st, r) {
		if k, ok := v.turnDid(r, n, i); ok {
			out = append(out, asm+": its idle stop changed the idle speed by "+inRPM(k)+" for a turn in")
		}
	}
	return out
}

func inRPM(si float64) string {
	rpm, _ := quantity.Lookup("rpm")
	return quantity.FormatStep(si, rpm, 0) + "\u2009rpm"
}

// turnDid is what one turn in of an engine's idle stop did to its idle speed
// between a round and the next, where that was all that was moved on it:
// measured here, not copied.
func (v *viewer) turnDid(r *record.Run, n, side int) (float64, bool) {
	before, after := v.matchRows(r, n), v.matchRows(r, n+1)
	asm := result.Sides(v.st, r)[side]
	var did []record.Adjust
	for _, a := range v.adjustsOf(r) {
		if a.Round == n && a.Of.Asm == asm && a.What != "governed stop" { // that one does not reach idle
			did = append(did, a)
		}
	}
	if len(before) == 0 || len(after) == 0 || len(did) != 1 || did[0].What != "idle stop" || before[0].station != after[0].station {
		return 0, false
	}
	k, ok := turns(did[0])
	was, is := idleOf(before, side), idleOf(after, side)
	if !ok || k == 0 || was == nil || is == nil || is.SI == was.SI {
		return 0, false
	}
	return (is.SI - was.SI) / k, true
}

// suggested is what to move next after a round, with its reason: how far the
// idle stop of each engine, where a turn of it was measured in this run or in
// one before, else that a small step is to be tried and measured.
func (v *viewer) suggested(r *record.Run, n int) []string {
	res := v.find(result.MatchID(r, n))
	if res == nil || res.Verdict == calc.Within {
		return nil
	}
	var out []string
	for i, name := range []string{"off.left", "off.right"} {
		k := slices.IndexFunc(res.Vals, func(x calc.Val) bool { return x.Name == name })
		if k < 0 || max(res.Vals[k].SI, -res.Vals[k].SI) <= res.Vals[k].U {
			continue
		}
		off, asm := res.Vals[k].SI, result.Sides(v.st, r)[i]
		words := asm + " idles " + inRPM(max(off, -off)) + " too slow"
		if off < 0 {
			words = asm + " idles " + inRPM(max(off, -off)) + " too fast"
		}
		step, ok := v.lastTurn(r, n, i)
		if !ok {
			out = append(out, words+": move its idle stop by a quarter of a turn and read the round again; nobody has measured yet what a turn does")
			continue
		}
		way, t := "in", off/step
		if t < 0 {
			way, t = "out", -t
		}
		out = append(out, words+": idle stop "+quantity.Fixed(t, 2)+" of a turn "+way+", as a turn in did "+inRPM(step)+" here")
	}
	return out
}

// lastTurn is what a turn did last, up to a round of this run, else in the runs
// that it names as earlier ones.
func (v *viewer) lastTurn(r *record.Run, n, side int) (float64, bool) {
	for ; n > 0; n-- {
		if k, ok := v.turnDid(r, n, side); ok {
			return k, true
		}
	}
	asm := result.Sides(v.st, r)[side]
	for i := len(r.Before) - 1; i >= 0; i-- {
		b, ok := v.st.Run(r.Before[i])
		if !ok || len(b.Of) < 2 || b.Struck != "" {
			continue
		}
		rounds := result.Rounds(b)
		at := slices.Index(result.Sides(v.st, b), asm)
		for k := len(rounds) - 1; k >= 0 && at >= 0; k-- {
			if step, ok := v.turnDid(b, rounds[k], at); ok {
				return step, true
			}
		}
	}
	return 0, false
}

// idleOf is the slowest station of a round, one engine.
func idleOf(rows []matchRow, side int) *quantity.Q {
	if side == 0 {
		return rows[0].left
	}
	return rows[0].right
}
