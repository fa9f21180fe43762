package view

import (
	"slices"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// lines shows a list from elsewhere as it would be kept, before anything is: which column is what, each value with its
// place, and what is wrong with it in words. Values stand as they were written; a unit is said by the cell, the column or
// the person, never guessed.
//
// Arguments: text; columns, a list of {role, unit} that stands for what was found; asm, cond, taker, when and unit for rows
// that do not say.
func (v *viewer) lines() jcs.Value {
	rows := splitTable(v.arg("text"))
	l := &listing{v: v}
	if len(rows) == 0 {
		return jcs.Obj(jcs.M("columns", jcs.Arr()), jcs.M("items", jcs.Arr()), num("ready", 0), num("wrong", 0), num("there", 0))
	}
	l.columns = v.columnsOf(rows[0])
	body := rows
	if l.headed() {
		body = rows[1:]
	} else {
		for i := range l.columns {
			l.columns[i].head = ""
		}
	}
	l.choose()
	more := len(body) > maxListed-1
	if more {
		body = body[:maxListed-1]
	}
	for i, row := range body {
		l.row(i+1, row)
	}
	return jcs.Obj(list("columns", l.columns, func(c column) jcs.Value {
		return jcs.Obj(text("head", c.head), str("role", c.role), str("unit", c.unit))
	}), jcs.M("roles", v.roles()), jcs.M("items", jcs.Arr(l.items...)), num("ready", l.ready), num("wrong", l.wrong), num("there", l.there), flag("more", more))
}

// column is what a column of the list is: a role of plainRoles, 'at:' and a point, or "" for one that is left out.
type column struct{ head, role, unit string }

// plainRoles are what a column can be, and what heads are taken for it, folded. The first that fits counts.
var plainRoles = []struct {
	role, words string
	heads       []string
}{
	{"engine", "engine", []string{"engine", "engine serial", "serial", "serial no", "serial number"}},
	{"place", "place", []string{"place", "position", "where", "what"}},
	{"point", "point", []string{"point", "station", "plane", "spot"}},
	{"part", "part, by its tag", []string{"part", "part tag"}},
	{"cond", "condition", []string{"condition", "state of the part"}},
	{"value", "value", []string{"value", "value as written", "reading", "size", "measured"}},
	{"to", "value, the upper of two", []string{"value as written upper of two", "upper", "to"}},
	{"is", "at least, at most, nil", []string{"value is", "is"}},
	{"unit", "unit", []string{"unit", "units", "value unit as written"}},
	{"instrument", "instrument", []string{"instrument", "tool", "with"}},
	{"taker", "read by", []string{"read by", "by", "measured by", "taker", "who", "name"}},
	{"when", "measured when", []string{"measured when", "when", "date", "day", "year", "measured on"}},
	{"temp", "temperature", []string{"temperature", "temp", "t"}},
	{"state", "state: struck ones are left out", []string{"state"}},
	{"note", "note", []string{"note", "notes", "remark", "remarks", "comment"}},
}

func folded(s string) string { return strings.TrimSpace(string(fold(nil, s))) }

// columnsOf guesses each column by its head.
func (v *viewer) columnsOf(heads []string) []column {
	out := make([]column, len(heads))
	taken := map[string]bool{}
	points := v.pointNames()
	for i, head := range heads {
		name, unit := headUnit(head)
		c := column{head: head, unit: unit}
		for _, r := range plainRoles {
			if slices.Contains(r.heads, folded(name)) && !taken[r.role] {
				c.role, taken[r.role] = r.role, true
				break
			}
		}
		for _, p := range points {
			if c.role == "" && samePoint(name, p) && !taken["at:"+p] {
				c.role = "at:" + p
				taken[c.role] = true
			}
		}
		out[i] = c
	}
	return out
}

// headUnit reads a unit that a head names: 'bore / mm', 'bore (mm)', 'bore [mm]'.
func headUnit(head string) (name, unit string) {
	head = strings.TrimSpace(head)
	for _, marks := range []struct{ open, close string }{{"/", ""}, {"(", ")"}, {"[", "]"}} {
		at := strings.LastIndex(head, marks.open)
		if at < 0 || !strings.HasSuffix(head, marks.close) {
			continue
		}
		if u, ok := unitNamed(strings.TrimSuffix(head[at+1:], marks.close)); ok {
			return strings.TrimSpace(head[:at]), u
		}
	}
	return head, ""
}

// pointNames are the points of all engine types of the job.
func (v *viewer) pointNames() []string {
	var out []string
	for _, s := range v.st.Patterns {
		if s.Pattern == nil {
			continue
		}
		for _, pl := range s.Pattern.Places() {
			for _, p := range pl.Feature.Points {
				if !slices.Contains(out, p) {
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// samePoint: 'a.V', 'a V', 'aV' and 'plane a, in the throw' are one point.
func samePoint(s, point string) bool {
	close := func(t string) string { return strings.ReplaceAll(folded(t), " ", "") }
	return s == point || s != "" && (close(s) == close(point) || close(s) == close(pattern.PointWords(point)))
}

func (v *viewer) roles() jcs.Value {
	one := func(role, words string) jcs.Value { return jcs.Obj(str("role", role), str("words", words)) }
	var out []jcs.Value
	for _, r := range plainRoles {
		out = append(out, one(r.role, r.words))
	}
	for _, p := range v.pointNames() {
		out = append(out, one("at:"+p, "value at "+pattern.PointWords(p)))
	}
	return jcs.Arr(out...)
}

// listing is a list at work.
type listing struct {
	v                   *viewer
	columns             []column
	items               []jcs.Value
	ready, wrong, there int
}

// headed: the first row names columns.
func (l *listing) headed() bool {
	n := 0
	for _, c := range l.columns {
		if c.role != "" {
			n++
		}
	}
	return n > 0
}

// choose takes what the person said of the columns.
func (l *listing) choose() {
	for i, c := range l.v.args.Get("columns").Items() {
		if i < len(l.columns) && !c.IsNull() {
			l.columns[i].role = c.Get("role").Text()
			if u := c.Get("unit").Text(); u != "" {
				l.columns[i].unit = u
			}
		}
	}
}

// cell is the text of the column of that role; one apostrophe before it is a guard against spreadsheets.
func (l *listing) cell(row []string, role string) (string, column) {
	for i, c := range l.columns {
		if c.role == role && i < len(row) && row[i] != "" {
			return strings.TrimPrefix(row[i], "'"), c
		}
	}
	return "", column{}
}

// row makes an item of each value in a row.
func (l *listing) row(n int, row []string) {
	if s, _ := l.cell(row, "state"); s == "struck" {
		l.there++
		return
	}
	for i, c := range l.columns {
		if i >= len(row) || row[i] == "" {
			continue
		}
		point, wide := strings.CutPrefix(c.role, "at:")
		if wide || c.role == "value" {
			l.item(n, row, c, strings.TrimPrefix(row[i], "'"), point, wide)
		}
	}
	if is, _ := l.cell(row, "is"); is == "nil" {
		l.item(n, row, column{role: "value"}, "nil", "", false)
	}
}

// item is one value as it would be kept.
type item struct {
	problems []string
	words    []string
	body     []jcs.Member
}

func (it *item) wrong(why string) { it.problems = append(it.problems, why) }

func (l *listing) item(n int, row []string, c column, cell, point string, wide bool) {
	it := &item{}
	e := l.engine(it, row)
	when := l.otherwise(row, "when")
	at, pt, ok := l.place(it, e, row, point, wide)
	part := l.part(it, row)
	cond := l.cond(it, row)
	value, good := l.value(it, row, c, cell)
	taker := l.taker(it, row)
	state, question := "ready", ""
	if ok && good {
		it.body = append(it.body, jcs.M("of", ofPart(ofOn(e, at, pt, when), part)), str("cond", cond), jcs.M("value", value.json()), str("read_by", taker), str("when", when))
		it.words = []string{e.Serial, l.v.placeName(e, at, pt), pattern.CondWords(cond), value.String()}
		key := e.Holds(at)
		if part != "" {
			key = part
		}
		if l.stands(key, at, pt, cond, taker, value) {
			state = "there"
		}
		asked := &viewer{st: l.v.st, rs: l.v.rs, args: jcs.Obj(str("at", at), str("point", pt), str("cond", cond))}
		if q, err := quantity.Parse(quantity.Written(value)); err == nil {
			question = asked.question(e, q)
		}
	}
	l.rest(it, row)
	switch {
	case len(it.problems) > 0:
		state = "wrong"
		l.wrong++
	case state == "there":
		l.there++
	default:
		l.ready++
	}
	draft := jcs.Null()
	if state == "ready" {
		draft = jcs.Obj(str("kind", "reading"), jcs.M("body", jcs.Obj(it.body...)))
	}
	l.items = append(l.items, jcs.Obj(num("row", n), str("column", c.head), text("cell", cell), str("state", state), text("words", strings.Join(it.words, ", ")),
		str("by", l.v.person(taker)), str("when", when), jcs.M("problems", jcs.Strs(it.problems)), str("question", question), jcs.M("draft", draft)))
}

// otherwise is what the row says in that role, or what was said for all rows.
func (l *listing) otherwise(row []string, role string) string {
	if s, _ := l.cell(row, role); s != "" {
		return s
	}
	return strings.TrimSpace(l.v.arg(role))
}

func (l *listing) engine(it *item, row []string) *record.Engine {
	s, _ := l.cell(row, "engine")
	if s == "" {
		s = l.v.arg("asm")
	}
	if s == "" {
		it.wrong("no engine is said: choose it above")
		return nil
	}
	for i := range l.v.st.Engines {
		if e := &l.v.st.Engines[i]; folded(e.Serial) == folded(s) || folded(e.Name) == folded(s) {
			if e.Pattern == nil {
				it.wrong("the type of engine " + e.Serial + " is not known")
				return nil
			}
			return e
		}
	}
	it.wrong("there is no engine '" + s + "': its serial or its name is wanted")
	return nil
}

// place finds where a value belongs; ok says whether it was found.
func (l *listing) place(it *item, e *record.Engine, row []string, point string, wide bool) (at, pt string, ok bool) {
	s, _ := l.cell(row, "place")
	if e == nil {
		return "", "", false
	}
	if s == "" {
		it.wrong("no place is said")
		return "", "", false
	}
	found := placesLike(e, s)
	switch {
	case len(found) == 0:
		it.wrong("there is no place '" + s + "' on " + e.Serial)
		return "", "", false
	case len(found) > 1:
		it.wrong("'" + s + "' may be " + e.Pattern.Words(found[0].At) + " or " + e.Pattern.Words(found[1].At) + ": say which")
		return "", "", false
	}
	pl := found[0]
	if !wide {
		point, _ = l.cell(row, "point")
	}
	points := pl.Feature.PointsOf()
	for _, p := range points {
		if p == point || samePoint(point, p) {
			return pl.At, p, true
		}
	}
	if point == "" {
		it.wrong("which point of " + e.Pattern.Words(pl.At) + "? It has " + strings.Join(points, ", "))
	} else {
		it.wrong(e.Pattern.Words(pl.At) + " has no point '" + point + "'")
	}
	return "", "", false
}

// placesLike are the places that a text may mean: the one so called, or all that have each of its words.
func placesLike(e *record.Engine, s string) []pattern.Place {
	var all []pattern.Place
	want := strings.Fields(folded(s))
	for _, pl := range e.Pattern.Places() {
		called := folded(e.Pattern.Words(pl.At))
		if s == pl.At || folded(s) == folded(pl.At) || folded(s) == called {
			return []pattern.Place{pl}
		}
		fits := len(want) > 0
		for _, w := range want {
			fits = fits && strings.Contains(" "+called+" ", " "+w+" ")
		}
		if fits {
			all = append(all, pl)
		}
	}
	return all
}

func (l *listing) cond(it *item, row []string) string {
	s := l.otherwise(row, "cond")
	switch {
	case s == "":
		return "found"
	case s == "found" || s == "built" || strings.HasPrefix(s, "trial:") || strings.HasPrefix(s, "machined:"):
		return s
	}
	for _, c := range l.v.paperConds() {
		if folded(pattern.CondWords(c)) == folded(s) {
			return c
		}
	}
	it.wrong("'" + s + "' is no condition: as found, after machining, as built, or a trial")
	return ""
}

// written is a value that can be read.
type written quantity.Written

func (w written) String() string { return quantity.Written(w).String() }

func (w written) json() jcs.Value {
	return jcs.Obj(str("t", w.Text), str("to", w.To), text("u", w.Unit), str("is", w.Is))
}

func (l *listing) value(it *item, row []string, c column, cell string) (written, bool) {
	unit := c.unit
	if s, _ := l.cell(row, "unit"); s != "" {
		u, ok := unitNamed(s)
		if !ok {
			it.wrong("'" + s + "' is no unit that this tool knows")
			return written{}, false
		}
		unit = u
	}
	if unit == "" {
		unit = l.v.arg("unit")
	}
	w, why := quantity.Typed(cell, unit)
	if to, _ := l.cell(row, "to"); why == "" && to != "" && c.role == "value" {
		w.To = to
	}
	if is, _ := l.cell(row, "is"); why == "" && is != "" && w.Is == "" && c.role == "value" {
		w.Is = is
	}
	if why == "" {
		if _, err := quantity.Parse(w); err != nil {
			why = err.Error()
		}
	}
	if why != "" {
		it.wrong(why)
		return written{}, false
	}
	return written(w), true
}

// taker is the key of whoever took the reading; nobody named is an unknown taker.
func (l *listing) taker(it *item, row []string) string {
	s := l.otherwise(row, "taker")
	if s == "" || s == "?" || s == record.Unknown || slices.Contains([]string{folded(record.UnknownName), "nobody knows", "not known"}, folded(s)) {
		return record.Unknown
	}
	for _, p := range l.v.st.People {
		if p.Key == s || folded(p.Name) == folded(s) {
			return p.Key
		}
	}
	it.wrong("nobody here is called '" + s + "': enter them under People and phones, or leave it empty for a taker that nobody knows")
	return record.Unknown
}

// rest takes the instrument, the temperature and the note.
func (l *listing) rest(it *item, row []string) {
	if s, _ := l.cell(row, "instrument"); s != "" {
		i := slices.IndexFunc(l.v.st.Instruments, func(t record.Instrument) bool { return folded(t.Key) == folded(s) })
		if i < 0 {
			it.wrong("there is no instrument '" + s + "': enter it under Set up, or leave the column out")
		} else {
			it.body = append(it.body, str("instrument", l.v.st.Instruments[i].Key), str("zero", "none"))
		}
	}
	if s, c := l.cell(row, "temp"); s != "" {
		if w, why := quantity.Typed(s, c.unit); why != "" {
			it.wrong("temperature: " + why)
		} else {
			it.body = append(it.body, jcs.M("temp", written(w).json()))
		}
	}
	note, _ := l.cell(row, "note")
	it.body = append(it.body, str("note", note))
}

// part is the tag of the part that the row names: one that the job knows, or one that an engine came with.
func (l *listing) part(it *item, row []string) string {
	s, _ := l.cell(row, "part")
	if s != "" && !record.IsImplicit(s) && !slices.ContainsFunc(l.v.st.Parts, func(p record.Part) bool { return p.Key == s }) {
		it.wrong("there is no part '" + s + "': enter it first, or leave the column out")
		return ""
	}
	return s
}

func ofPart(of jcs.Value, part string) jcs.Value {
	if part == "" {
		return of
	}
	return of.With("part", jcs.Str(part))
}

// stands: the same was read there by the same taker, and stands already.
func (l *listing) stands(key, at, point, cond, taker string, w written) bool {
	return slices.ContainsFunc(l.v.st.At(key, at, point, cond), func(r record.Reading) bool {
		return r.Struck == "" && r.ReadBy == taker && r.Value == quantity.Written(w)
	})
}

// ofOn is what is measured on that day. Before the engine was put where it is, or on a day that nobody knows, no side is
// said, and the size is that of what the engine came with.
func ofOn(e *record.Engine, at, point, when string) jcs.Value {
	if when == "" || entry.IsDay(when) && (e.Fit.Day == "" || when >= e.Fit.Day) {
		return of(e, at, point)
	}
	return jcs.Obj(str("asm", e.Serial), str("at", at), str("point", point))
}
