package result

import (
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// gathered is the inputs of one calculation on their way.
type gathered struct {
	b        *binder
	in       calc.Inputs
	conds    []string
	contests []string // why the result is contested, in words
	disagree []calc.Pair
	missing  []string
	notes    []string // lines that end the working
	partly   string   // what comes before the words of a result when something is missing
	refs     []string // entries that it rests on beside its readings
	wants    []Want
	reads    []record.Spot // where its readings were looked for
}

func (b *binder) gather() *gathered {
	return &gathered{b: b, in: calc.Inputs{Items: map[string][]calc.Item{}, Limits: map[string]calc.Limit{},
		Nominal: map[string]quantity.Written{}, Opts: map[string]string{}}}
}

// readings adds what stands at a place in a condition, all points, as items.
func (g *gathered) readings(item, label, key, at, cond string) {
	places := g.spot(key, at, cond)
	for i := range places {
		if places[i].Cond == cond {
			g.point(item, label, &places[i])
		}
	}
}

// spot returns what was read at a place, to be used as far as it is of this condition.
func (g *gathered) spot(key, at, cond string) []record.Place {
	s := record.Spot{Key: key, At: at, Cond: cond}
	g.b.current().spots[s] = true
	g.reads = append(g.reads, s)
	return g.b.st.Spot(key, at)
}

// point adds what stands at one point.
func (g *gathered) point(item, label string, p *record.Place) {
	var here []calc.Item
	for k := range p.Readings {
		if r := &p.Readings[k]; r.Struck == "" {
			here = append(here, g.item(r, label, p.Point))
			g.doubts(r, p)
		}
	}
	g.compare(here, p)
	if len(here) > 0 && !slices.Contains(g.conds, p.Cond) {
		g.conds = append(g.conds, p.Cond)
	}
	g.in.Items[item] = append(g.in.Items[item], here...)
}

// best adds what stands at an engine's place in a condition, or in the last
// one before it that is no trial.
func (g *gathered) best(e *record.Engine, item, label, at, cond string) {
	for _, s := range g.b.best(e, at, cond) {
		cond = s.Cond
		g.readings(item, label, s.Key, at, cond)
	}
	g.want(e, at, cond)
}

// best is the spot of an engine's place to use beside cond, or none.
func (b *binder) best(e *record.Engine, at, cond string) []record.Spot {
	key := e.Holds(at)
	c, ok := b.latest(key, at, cond)
	if !ok {
		return nil
	}
	return []record.Spot{{Key: key, At: at, Cond: c}}
}

// want notes a place of the type sheet that a reading comes from.
func (g *gathered) want(e *record.Engine, at, cond string) {
	g.wants = append(g.wants, Want{e.Serial, at, cond})
}

// item turns a reading into the calculation's form.
func (g *gathered) item(r *record.Reading, label, point string) calc.Item {
	it := calc.Item{Ref: string(r.ID), Point: point, Label: label, By: r.ReadBy, V: r.Value, Temp: r.Temp, Blind: r.Blind}
	if p, ok := g.b.st.Person(r.ReadBy); ok {
		it.By = p.Name
	}
	if tool, ok := g.b.st.Instrument(r.Instrument); ok {
		if t, err := calc.ToolFrom(tool.Key, tool.What, tool.U, tool.Res); err == nil {
			it.Tool = &t
		}
		if tool.Contested {
			g.contests = append(g.contests, "What "+tool.Key+" is has not been settled.")
		}
	}
	if r.ZeroHow == "none" || r.ZeroHow == "withdrawn" {
		note := r.Value.String() + " with " + r.Instrument + " is as read: its zero was not checked"
		if r.ZeroHow == "withdrawn" {
			note = r.Value.String() + " with " + r.Instrument + " is as read: its zero check was taken back"
		}
		g.notes = append(g.notes, note)
	}
	if z := r.Zero; z != nil {
		it.Zero = &calc.Zero{Ref: string(z.ID), Bar: z.Bar, Read: z.Read}
		if z.Instrument != r.Instrument {
			// A gauge that was set in another tool inherits that tool's zero
			// error, which cancels against the tool's own readings.
			it.Zero.In = z.Instrument
		}
	}
	return it
}

// doubts notes what the record doubts about a reading.
func (g *gathered) doubts(r *record.Reading, p *record.Place) {
	if r.Contest != "" {
		g.contests = append(g.contests, "Not settled: "+where(p)+".")
		g.disagree = append(g.disagree, calc.Pair{Point: p.Point, A: string(r.ID), ByA: r.ReadBy, Says: "not settled: " + where(p)})
	}
	if len(r.Waits) > 0 {
		g.missing = append(g.missing, "an entry that has not arrived yet, named by "+r.Value.String()+" at "+where(p))
	}
	if r.NeedsNewer {
		g.missing = append(g.missing, "a newer version of this tool, to read what replaces "+r.Value.String()+" at "+where(p))
	}
}

// maxCompared bounds the readings of one point that are held against each
// other: the newest. Nobody measures one point so often by hand, and the work
// grows with the square.
const maxCompared = 60

// compare holds the readings of one point by different people against each other.
func (g *gathered) compare(items []calc.Item, p *record.Place) {
	if !slices.ContainsFunc(items, func(it calc.Item) bool { return it.By != items[0].By }) {
		return
	}
	items = items[max(0, len(items)-maxCompared):]
	r, _ := calc.Run("pair", calc.Inputs{Items: map[string][]calc.Item{"reading": items}})
	for _, d := range r.Disagree {
		d.Point = p.Point
		g.contests = append(g.contests, strings.Replace(d.Says, "Readings differ:", "Readings differ at "+where(p)+":", 1))
		g.disagree = append(g.disagree, d)
	}
}

func where(p *record.Place) string {
	words := strings.ReplaceAll(p.At, ".", " ")
	if p.Point != "" {
		words += ", " + pattern.PointWords(p.Point)
	}
	return words
}

// mixes lists the conditions that are not the result's own.
func (g *gathered) mixes(cond string) []string {
	var out []string
	for _, c := range g.conds {
		if c != cond {
			out = append(out, c)
		}
	}
	order.By(out, record.CompareConditions)
	return out
}

// limit takes the limit of an engine that goes by one of the names.
func (g *gathered) limit(e *record.Engine, as string, names ...string) {
	for _, n := range names {
		l, ok := g.b.st.Limit(n, e.Serial, e.Type)
		if !ok {
			continue
		}
		g.in.Limits[as] = calc.Limit{Ref: string(l.ID), Name: l.Name, Min: l.Min, Max: l.Max, Margin: l.Margin,
			Words: l.Words, Page: l.Page, Accepted: g.b.st.Accepted(l)}
		if l.Contested {
			g.contests = append(g.contests, "The limit "+l.Name+" is not settled.")
		}
		return
	}
}

func (g *gathered) nominal(e *record.Engine, as, name string) {
	if w, ok := e.Pattern.Nominal[name]; ok {
		g.in.Nominal[as] = w
	}
}

// latest returns the condition of a place to use beside cond: cond itself if
// it was read in it, else the last before it that is no other trial.
func (b *binder) latest(key, at, cond string) (string, bool) {
	best, ok := "", false
	for _, c := range b.conditions(key, at) {
		if c == cond {
			return c, true
		}
		if !strings.HasPrefix(c, "trial:") && record.CompareConditions(c, cond) < 0 {
			best, ok = c, true
		}
	}
	return best, ok
}

// anyBuild is latest without an upper end: the newest condition that is no trial.
func (b *binder) anyBuild(key, at string) (string, bool) {
	conds := slices.DeleteFunc(b.conditions(key, at), func(c string) bool { return strings.HasPrefix(c, "trial:") })
	if len(conds) == 0 {
		return "", false
	}
	return conds[len(conds)-1], true
}

func id(parts ...string) string { return strings.Join(parts, "/") }
