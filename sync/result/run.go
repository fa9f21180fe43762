package result

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/order"
	"witnessmark/sync/record"
)

// runLimits are what a run is watched by, beside the least oil pressure at each
// station, which is named by it: oilpressure.min.800.
var runLimits = []LimitOf{
	{Names: []string{"run.seen"}, Words: "Run: oil pressure shows after firing, at most", Unit: "time", Usual: "s"},
	{Names: []string{"run.band"}, Words: "Run: oil pressure while starting", Unit: "pressure", Usual: "bar"},
	{Names: []string{"run.band.by"}, Words: "Run: oil pressure is in that band after firing, at most", Unit: "time", Usual: "s"},
	{Names: []string{"oilpressure.min"}, Words: "Run: oil pressure at every station that has no limit of its own", Unit: "pressure", Usual: "bar"},
	{Names: []string{"oilpressure.fall"}, Words: "Run: fall of the oil pressure at one speed", Unit: "pressure", Usual: "bar"},
	{Names: []string{"oilpressure.min.hot"}, Words: "Run: oil pressure once it is hot, at any speed", Unit: "pressure", Usual: "bar"},
	{Names: []string{"run.hot"}, Words: "Run: coolant from which the engine is hot", Unit: "temperature", Usual: "degC"},
	{Names: []string{"run.coolant"}, Words: "Run: coolant out", Unit: "temperature", Usual: "degC"},
	{Names: []string{"run.warming"}, Words: "Run: coolant has begun to rise after firing, at most", Unit: "time", Usual: "min"},
	{Names: []string{"run.coolant.fall"}, Words: "Run: fall of the coolant at one speed", Unit: "temperature", Usual: "degC"},
	{Names: []string{"run.surge"}, Words: "Run: swing of the speed from one reading to the next", Unit: "speed", Usual: "rpm"},
	{Names: []string{"run.oil.temp"}, Words: "Run: oil temperature", Unit: "temperature", Usual: "degC"},
	{Names: []string{"run.speed"}, Words: "Run: speed", Unit: "speed", Usual: "rpm"},
}

// RunLimits lists what a run of an engine is watched by, with these stations.
func RunLimits(stations []string) []LimitOf {
	out := append([]LimitOf{}, runLimits...)
	for _, s := range stations {
		out = append(out, LimitOf{Names: []string{StationLimit(s)}, Words: "Run: oil pressure at " + StationWords(s), Unit: "pressure", Usual: "bar"})
	}
	return out
}

// BenchLimits are those of a run and of what is worked out from it.
func BenchLimits(stations []string) []LimitOf {
	out := RunLimits(stations)
	for _, name := range []string{"oilpressure", "match"} {
		spec, _ := calc.Find(name)
		for _, l := range boundLimits(spec, nil) {
			if !slices.ContainsFunc(out, func(o LimitOf) bool { return o.Names[0] == l.Names[0] }) {
				out = append(out, l)
			}
		}
	}
	return out
}

// StationLimit names the limit of the oil pressure at a station.
func StationLimit(station string) string { return "oilpressure.min." + station }

// StationWords says a station: a bare number is a speed.
func StationWords(s string) string {
	if _, err := strconv.Atoi(s); err == nil {
		return s + "\u2009rpm"
	}
	return s
}

// Stations are the speeds at which this job holds its engines, the slowest
// first: those that have a limit, and those that were run.
func Stations(st *record.State) []string {
	seen := map[string]bool{}
	for _, l := range st.Limits {
		if s, ok := strings.CutPrefix(l.Name, "oilpressure.min."); ok && s != "hot" {
			seen[s] = true
		}
	}
	for i := range st.Runs {
		for _, l := range st.Runs[i].Lines {
			if l.Station != "" && l.Struck == "" {
				seen[l.Station] = true
			}
		}
	}
	var out []string
	for s := range seen {
		out = append(out, s)
	}
	order.By(out, func(a, b string) int {
		x, err1 := strconv.Atoi(a)
		y, err2 := strconv.Atoi(b)
		switch {
		case err1 == nil && err2 == nil && x != y:
			return x - y
		case err1 != nil && err2 == nil:
			return 1
		case err1 == nil && err2 != nil:
			return -1
		}
		return strings.Compare(a, b)
	})
	return out
}

// runs binds the oil pressures of every run of an engine that stands.
func (b *binder) runs(e *record.Engine) {
	b.current().spots[record.RunSpot(e.Serial)] = true
	for i := range b.st.Runs {
		if r := &b.st.Runs[i]; r.Has(e.Serial) && r.Struck == "" && r.Title != "" {
			b.oilPressure(e, r)
		}
	}
}

// oilPressure takes the pressures at stations: what was read while starting is
// watched, not judged over speed.
func (b *binder) oilPressure(e *record.Engine, r *record.Run) {
	g := b.gather()
	g.samples(r, e.Serial, "oil.pressure", "pressure", func(l *record.RunLine) bool { return l.Station != "" })
	if len(g.in.Items["pressure"]) == 0 || e.Pattern == nil {
		return
	}
	g.samples(r, e.Serial, "oil.temp", "oil_temp", func(*record.RunLine) bool { return true })
	spec, _ := calc.Find("oilpressure")
	g.told(e, spec)
	for _, it := range g.in.Items["pressure"] {
		g.limit(e, "min."+it.Point, StationLimit(it.Point))
	}
	g.refs = append(g.refs, string(r.ID))
	g.holdDoubts(r.Fate, "the start of "+r.Title)
	b.add(g, "oilpressure", Res{ID: id("oilpressure", e.Serial, string(r.ID)), Asm: e.Serial, At: "run", Words: RunWords(r) + " · oil pressure", Sheet: sheetRuns})
}

// samples adds what was read of a gauge in a run, each at its station, under
// the engine's serial.
func (g *gathered) samples(r *record.Run, asm, what, item string, is func(*record.RunLine) bool) {
	for k := range r.Lines {
		l := &r.Lines[k]
		if l.Does != "sample" || l.What != what || l.Of.Asm != asm || l.Value == nil || l.Struck != "" || !is(l) {
			continue
		}
		point := l.Station
		if what == "oil.temp" {
			point = ""
		}
		it := calc.Item{Ref: string(l.ID), Point: point, Label: asm, V: *l.Value}
		if p, ok := g.b.st.Person(l.By); ok {
			it.By = p.Name
		}
		if tool, ok := g.b.st.Instrument(l.Instrument); ok {
			if t, err := calc.ToolFrom(tool.Key, tool.What, tool.U, tool.Res); err == nil {
				it.Tool = &t
			}
		}
		it.Gauge = it.Tool == nil
		g.in.Items[item] = append(g.in.Items[item], it)
		g.holdDoubts(l.Fate, l.Value.String()+" at "+StationWords(l.Station))
	}
}

// RunWords names a run: what kind, and since when.
func RunWords(r *record.Run) string {
	at := r.At
	if len(at) >= len("2027-04-03T10:42") {
		at = at[:10] + " " + at[11:16]
	}
	return r.Title + ", " + at
}

// pairs binds every round of a matching: both engines at each station.
func (b *binder) pairs() {
	for i := range b.st.Engines {
		b.current().spots[record.RunSpot(b.st.Engines[i].Serial)] = true
	}
	for i := range b.st.Runs {
		r := &b.st.Runs[i]
		if len(r.Of) != 2 || r.Struck != "" || r.Title == "" {
			continue
		}
		for _, n := range Rounds(r) {
			b.match(r, n)
		}
	}
}

// Rounds are the rounds of a matching that have a reading, in order.
func Rounds(r *record.Run) []int {
	most := 0
	for _, l := range r.Lines {
		if l.Round > 0 && l.Struck == "" && l.What == "speed" && l.Value != nil {
			most = max(most, l.Round)
		}
	}
	var out []int
	for n := 1; n <= min(most, maxRounds); n++ {
		for _, l := range r.Lines {
			if l.Round == n && l.Struck == "" && l.What == "speed" && l.Value != nil {
				out = append(out, n)
				break
			}
		}
	}
	return out
}

// maxRounds bounds the rounds of one matching.
const maxRounds = 99

// MatchID is the id of the result of a round.
func MatchID(r *record.Run, round int) string {
	return id("match", strings.Join(r.Engines(), "+"), string(r.ID), strconv.Itoa(round))
}

// Sides are the engines of a run of both, the left one first as far as they are
// fitted; on the stands as the start names them.
func Sides(st *record.State, r *record.Run) []string {
	out := r.Engines()
	if len(out) < 2 {
		return out
	}
	a, ok1 := st.Engine(out[0])
	b, ok2 := st.Engine(out[1])
	if ok1 && ok2 && (a.Fit.Side == "right" || b.Fit.Side == "left") {
		out[0], out[1] = out[1], out[0]
	}
	return out
}

func (b *binder) match(r *record.Run, round int) {
	sides := Sides(b.st, r)
	e, ok1 := b.st.Engine(sides[0])
	other, ok2 := b.st.Engine(sides[1])
	if !ok1 || !ok2 || e.Pattern == nil || other.Pattern == nil {
		return
	}
	g := b.gather()
	for i, item := range []string{"left", "right"} {
		for _, swapped := range []bool{false, true} {
			name := item
			if swapped {
				name += "_exchanged"
			}
			g.samples(r, sides[i], "speed", name, func(l *record.RunLine) bool {
				return l.Round == round && l.Station != "" && l.Swapped == swapped
			})
		}
	}
	spec, _ := calc.Find("match")
	g.told(e, spec)
	g.refs = append(g.refs, string(r.ID))
	g.holdDoubts(r.Fate, "the start of "+r.Title)
	for _, a := range b.st.Adjusts {
		if a.Run == r.ID && a.Round == round-1 {
			g.notes = append(g.notes, "before this round: "+AdjustWords(a))
			g.refs = append(g.refs, string(a.ID))
		}
	}
	b.add(g, "match", Res{ID: MatchID(r, round), Asm: strings.Join(sides, "+"), At: "run", Words: RunWords(r) + " · matching, round " + strconv.Itoa(round), Sheet: sheetMatching})
}

// AdjustWords says what was moved.
func AdjustWords(a record.Adjust) string {
	words := a.Of.Asm + ", " + a.What + " " + a.Way
	if a.Turned == nil {
		return words
	}
	if a.Turned.Unit == "1" {
		return words + ", " + a.Turned.String() + " of a turn"
	}
	return words + ", " + a.Turned.String()
}
