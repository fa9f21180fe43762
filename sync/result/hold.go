package result

import (
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// holds binds every hold test of an engine that stands.
func (b *binder) holds(e *record.Engine) {
	for i := range b.st.Holds {
		if t := &b.st.Holds[i]; t.Of.Asm == e.Serial && t.Struck == "" && t.Test != "" {
			b.hold(e, t)
		}
	}
}

func (b *binder) hold(e *record.Engine, t *record.HoldTest) {
	g := b.gather()
	g.given("start", &t.Pressure)
	g.given("start_temp", t.Temp)
	g.given("volume", t.Volume)
	if t.Vacuum {
		g.in.Opts["kind"] = "vacuum"
	}
	g.gauge(t.Gauge)
	g.refs = append(g.refs, string(t.ID))
	g.holdDoubts(t.Fate, "the start of "+t.Test)
	if end, ok := t.End(); ok {
		g.holdEnd(t, end)
	}
	g.holdLimit(e, t)
	at := t.Of.At
	if at == "" {
		at = "hold"
	}
	b.add(g, "hold", Res{ID: id("hold", e.Serial, string(t.ID)), Asm: e.Serial, At: at, Words: HoldWords(t), Sheet: sheetHolds})
}

// HoldWords names a hold test: what was held, and since when.
func HoldWords(t *record.HoldTest) string {
	at := t.At
	if len(at) >= len("2027-04-09T17:00") {
		at = at[:10] + " " + at[11:16]
	}
	return t.Test + " · hold test, " + at
}

func (g *gathered) given(name string, w *quantity.Written) {
	if w != nil {
		g.in.Nominal[name] = *w
	}
}

// gauge widens the readings to one step of their gauge.
func (g *gathered) gauge(key string) {
	i, ok := g.b.st.Instrument(key)
	if !ok {
		return
	}
	g.given("resolution", &i.Res)
	g.refs = append(g.refs, string(i.ID))
	if i.Contested {
		g.contests = append(g.contests, "What "+i.Key+" is has not been settled.")
	}
}

func (g *gathered) holdEnd(t *record.HoldTest, end *record.HoldEnd) {
	g.given("end", &end.Pressure)
	g.given("end_temp", end.Temp)
	g.given("time", &end.Elapsed)
	g.refs = append(g.refs, string(end.ID))
	g.holdDoubts(end.Fate, "the end of "+t.Test)
	if end.Counted != nil {
		g.notes = append(g.notes, "the phone counted "+end.Counted.String()+"; put right to "+end.Elapsed.String())
	}
	if end.Clock != "" {
		g.notes = append(g.notes, "the time: "+end.Clock)
	}
	if t.Wait != nil && calc.HeldShort(end.Elapsed, *t.Wait) {
		g.missing = append(g.missing, "a hold of "+t.Wait.String()+", as it was meant: this one lasted "+end.Elapsed.String())
	}
}

func (g *gathered) holdDoubts(f record.Fate, what string) {
	if f.Contest != "" {
		g.contests = append(g.contests, "Not settled: "+what+".")
	}
	if len(f.Waits) > 0 {
		g.missing = append(g.missing, "an entry that has not arrived yet, named by "+what)
	}
	if f.NeedsNewer {
		g.missing = append(g.missing, "a newer version of this tool, to read what replaces "+what)
	}
}

// HoldLimit is the limit of what is held on an engine, else the one for all
// hold tests; false where none says how much may be lost.
func HoldLimit(st *record.State, e *record.Engine, test string) (record.Limit, bool) {
	for _, n := range holdLimits(test) {
		if l, ok := st.Limit(n, e.Serial, e.Type); ok && l.Max != nil {
			return l, true
		}
	}
	return record.Limit{}, false
}

func holdLimits(test string) []string {
	return []string{"hold." + test, "hold." + strings.ToLower(test), "hold"}
}

// holdLimit takes the limit of a hold test, with the pressure and the time that
// it asks for. Its unit says what it limits: a loss, a loss a minute, or a leak.
func (g *gathered) holdLimit(e *record.Engine, t *record.HoldTest) {
	as := "loss"
	if l, ok := HoldLimit(g.b.st, e, t.Test); ok {
		if u, ok := quantity.Lookup(l.Max.Unit); ok && u.Dim == quantity.Fall {
			as = "rate"
		} else if ok && u.Dim == quantity.Flow {
			as = "leak"
		}
		g.given("asked", l.TestPressure)
		g.given("asked_time", l.TestTime)
	}
	g.limit(e, as, holdLimits(t.Test)...)
	if _, ok := g.in.Limits["leak"]; ok && t.Volume == nil {
		g.missing = append(g.missing, "the volume that is shut in: the limit is a leak as free air")
	}
}
