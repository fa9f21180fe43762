package recordbook

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// typeOf is an engine type with its sheets; the engines of it stand side by side.
type typeOf struct {
	ID, Name string
	Sheets   []sheet
}

// sheet is what one list of the type asks for, what was read, and what follows.
type sheet struct {
	ID, Name string
	Heads    []head
	Tables   []measured
	NotBegun string // places of which nobody has read anything, in words
	Results  []resultRow
	Limits   []limitLine
	Remarks  remarks
}

// Span is how many columns a table of it has.
func (s sheet) Span() int { return len(s.Heads) + 1 }

// measured is the readings of one feature: a group of rows for each place, a column for each engine.
type measured struct {
	Caption, Unit, Nominal string
	Groups                 []group
}

type group struct {
	Place string // "" when its one row says the place itself
	Rows  []row
}

type row struct {
	Point, Cond string
	Cells       []cell
}

// cell is what was read of one engine at one point in one condition, or why nothing was.
type cell struct {
	Readings []reading
	Nothing  string
}

type reading struct {
	Value, By, Tool string
	Struck          string // the reason
	More            []string
	E               ref
}

// types goes through every type that an engine is of, in the order of the engines.
func (m *maker) types() []typeOf {
	var out []typeOf
	seen := map[string]bool{}
	for _, e := range m.engines {
		if e.Pattern == nil || seen[e.Type] {
			continue
		}
		seen[e.Type] = true
		t := typeOf{ID: "type" + strconv.Itoa(len(out)+1), Name: e.Pattern.Name}
		for i, name := range e.Pattern.Sheets() {
			t.Sheets = append(t.Sheets, m.sheet(t.ID+"-"+strconv.Itoa(i+1), name, m.ofType(e.Type)))
		}
		out = append(out, t)
	}
	return out
}

func (m *maker) ofType(typ string) []*record.Engine {
	var out []*record.Engine
	for _, e := range m.engines {
		if e.Type == typ && e.Pattern != nil {
			out = append(out, e)
		}
	}
	return out
}

func (m *maker) sheet(id, name string, engines []*record.Engine) sheet {
	s := sheet{ID: id, Name: name, Heads: m.heads(engines)}
	var notBegun []string
	p := engines[0].Pattern
	for i := range p.Features {
		f := &p.Features[i]
		if f.Sheet != name {
			continue
		}
		if t := m.feature(f, engines); len(t.Groups) > 0 {
			s.Tables = append(s.Tables, t)
		} else {
			notBegun = append(notBegun, featureWords(f))
		}
	}
	s.NotBegun = strings.Join(notBegun, "; ")
	s.Results, s.Limits = m.sheetResults(name, engines)
	s.Remarks = m.remarks(func(of record.Of) bool { return onSheet(of, name, engines) })
	return s
}

// featureWords says what a feature is without its number.
func featureWords(f *pattern.Feature) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(f.Words, "{n}", "")), " ")
}

func onSheet(of record.Of, name string, engines []*record.Engine) bool {
	for _, e := range engines {
		if pl, ok := e.Pattern.Find(of.At); ok && e.Serial == of.Asm && pl.Feature.Sheet == name {
			return true
		}
	}
	return false
}

// feature is the table of one feature; without groups when nobody has read or skipped anything of it.
func (m *maker) feature(f *pattern.Feature, engines []*record.Engine) measured {
	u, _ := quantity.Lookup(f.Unit)
	t := measured{Caption: featureWords(f), Unit: u.Symbol}
	if w, ok := engines[0].Pattern.Nominal[f.Size]; ok {
		t.Nominal = w.String()
	}
	begun := false
	for _, pl := range engines[0].Pattern.Places() {
		if pl.Feature != f {
			continue
		}
		g, any := m.group(f, pl.At, engines)
		t.Groups, begun = append(t.Groups, g), begun || any
	}
	if !begun {
		t.Groups = nil
	}
	return t
}

// group is the rows of one place. One that has a single point, or of which nothing was read, has one row that names the place.
func (m *maker) group(f *pattern.Feature, at string, engines []*record.Engine) (g group, any bool) {
	g.Place = engines[0].Pattern.Words(at)
	short, _, _ := strings.Cut(g.Place, " · ")
	points := f.PointsOf()
	for _, point := range points {
		rows, some := m.rows(f, at, point, engines)
		g.Rows, any = append(g.Rows, rows...), any || some
	}
	if !any {
		g.Rows = g.Rows[:1]
		g.Rows[0].Point = ""
	}
	if len(points) == 1 || !any {
		g.Place = ""
		for i, r := range g.Rows {
			g.Rows[i].Point = strings.TrimSuffix(short+", "+r.Point, ", ")
		}
	}
	return g, any
}

// rows are those of one point: one for each condition that one of the engines was read in, as the work goes.
func (m *maker) rows(f *pattern.Feature, at, point string, engines []*record.Engine) (out []row, any bool) {
	var conds []string
	for _, e := range engines {
		for _, c := range m.st.Conditions(e.Holds(at), at) {
			if len(m.st.At(e.Holds(at), at, point, c)) > 0 {
				conds = append(conds, c)
			}
		}
	}
	order.By(conds, record.CompareConditions)
	for _, c := range slices.Compact(conds) {
		out = append(out, m.row(f, at, point, c, engines))
	}
	any = len(out) > 0
	if !any {
		r := m.row(f, at, point, "", engines)
		for _, c := range r.Cells {
			any = any || strings.HasPrefix(c.Nothing, "skipped")
		}
		out = append(out, r)
	}
	return out, any
}

func (m *maker) row(f *pattern.Feature, at, point, cond string, engines []*record.Engine) row {
	r := row{Point: pattern.PointWords(point), Cond: m.text(pattern.CondWords(cond))}
	for _, e := range engines {
		r.Cells = append(r.Cells, m.cell(e, f, spot{e.Holds(at), at, point, cond}))
	}
	return r
}

func (m *maker) cell(e *record.Engine, f *pattern.Feature, s spot) cell {
	var c cell
	m.shown[s] = true
	for _, r := range m.st.At(s.key, s.at, s.point, s.cond) {
		c.Readings = append(c.Readings, m.reading(r, f.Unit, e.Serial, e.Fit.Side))
	}
	why, skipped := m.print.Skipped(s.key, s.at, s.point)
	switch {
	case len(c.Readings) > 0:
	case skipped:
		c.Nothing = "skipped: " + m.text(why.Why) + by(m.who.Person(why.By))
	case s.key == "":
		c.Nothing = "the part is out of the engine"
	default:
		c.Nothing = "not measured"
	}
	return c
}

// reading is a reading in a column whose head has the unit; one written in another says so. What was shown to the person as
// another engine or side than the column's is said.
func (m *maker) reading(r record.Reading, unit, serial, side string) reading {
	out := reading{Value: r.Value.String(), By: m.who.Person(r.ReadBy), Tool: r.Instrument, Struck: m.text(r.Struck), E: m.ref(r.ID)}
	if r.Value.Unit == unit {
		if u, ok := quantity.Lookup(unit); ok {
			out.Value = strings.TrimSuffix(strings.TrimSuffix(out.Value, u.Symbol), "\u2009")
		}
	}
	more := func(s string) {
		if s != "" {
			out.More = append(out.More, m.text(s))
		}
	}
	if r.When != "" {
		more("measured " + r.When)
	}
	switch {
	case r.Asm != serial:
		more("read in " + r.Asm + ", " + r.Side)
	case r.Side != "" && side != "" && r.Side != side:
		more("read when it was on the " + r.Side)
	}
	if r.Blind {
		more("a check reading, unseen")
	}
	if r.Contest != "" {
		more("not settled")
	}
	if r.ZeroHow != "own" {
		more(m.print.Zero(r))
	}
	if r.Temp != nil {
		more("at " + r.Temp.String())
	}
	if len(r.Waits) > 0 {
		more("waits for an entry that has not arrived")
	}
	more(r.Note)
	return out
}

// elsewhere is a reading that no engine's sheet shows now: of a part that is out, or of a place that no sheet has.
type elsewhere struct {
	Of, Place, Cond string
	Readings        []reading
}

func (m *maker) elsewhere() []elsewhere {
	var out []elsewhere
	for _, p := range m.st.Places {
		if m.shown[spot{p.Key, p.At, p.Point, p.Cond}] || !m.concerns(p.Readings[0].Asm) {
			continue
		}
		e := elsewhere{Of: p.Key, Place: p.At, Cond: m.text(pattern.CondWords(p.Cond))}
		if eng, ok := m.st.Engine(p.Readings[0].Asm); ok && eng.Pattern != nil {
			e.Place = m.print.Place(eng, p.At, p.Point)
		}
		for _, r := range p.Readings {
			e.Readings = append(e.Readings, m.reading(r, "", "", ""))
		}
		out = append(out, e)
	}
	return out
}
