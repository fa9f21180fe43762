package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

const (
	maxLogged = 50_000 // rows of a logger's file that are read at once: a day at one in two seconds
	blockRows = 300    // rows of one entry: five minutes at one a second
	maxTold   = 12     // rows of which it is told what is wrong
)

// logger shows a logger's file as it would be kept of a run, before anything
// is: what each column is, the unit it is in, the decimal mark and when the
// first row was are said by the person, never guessed.
//
// Arguments: id, asm, text, file; sep, what parts the columns; heads, the rows above the figures; mark, the
// decimal mark; columns, a list of {role, unit}, the role 'time' or a gauge;
// first_s, when the first row was in seconds since the start.
func (v *viewer) logger() (jcs.Value, error) {
	r, ok1 := v.st.Run(entry.ID(v.arg("id")))
	e, ok2 := v.st.Engine(v.arg("asm"))
	if !ok1 || !ok2 {
		return jcs.Null(), ErrNowhere
	}
	l := &loggerFile{v: v, run: r, e: e, table: splitRows(v.arg("text"), marks[v.arg("sep")], maxLogged)}
	l.choose()
	l.read()
	return l.json(), nil
}

// marks are what parts the columns; until it is said, rows stand whole.
var marks = map[string]byte{"comma": ',', "semicolon": ';', "tab": '\t', "": 0}

// loggerFile is a logger's file at work.
type loggerFile struct {
	v       *viewer
	run     *record.Run
	e       *record.Engine
	table   [][]string
	heads   int
	columns []column
	wants   []string // what the person has not said yet
	told    []string // what is wrong with rows, the first of them
	wrong   int      // how many rows or figures are wrong
	empty   int      // cells with nothing in them: gaps
	at      []int64  // ms since the first row
	figures [][]string
}

// timeUnits are those of a column of times; the last is a time of day.
var timeUnits = []struct{ code, words string }{{"s", "seconds"}, {"ms", "milliseconds"}, {"min", "minutes"}, {"h", "hours"}, {"clock", "a time as 10:42:31"}}

func (l *loggerFile) choose() {
	widest := 0
	for _, row := range l.table[:min(len(l.table), 20)] {
		widest = max(widest, len(row))
	}
	l.columns = make([]column, widest)
	l.heads = min(int(l.v.args.Get("heads").Int64()), len(l.table))
	for i := range l.columns {
		if l.heads > 0 && i < len(l.table[l.heads-1]) {
			l.columns[i].head = l.table[l.heads-1][i]
		}
	}
	for i, c := range l.v.args.Get("columns").Items() {
		if i < widest {
			l.columns[i].role, l.columns[i].unit = c.Get("role").Text(), c.Get("unit").Text()
		}
	}
	l.ask()
}

// ask collects what is not said yet.
func (l *loggerFile) ask() {
	times, gauges := 0, map[string]int{}
	for _, c := range l.columns {
		switch {
		case c.role == "":
			continue
		case c.role == "time":
			times++
		default:
			gauges[c.role]++
		}
		if c.unit == "" {
			l.wants = append(l.wants, "the unit of "+orElse(c.head, "a column"))
		}
	}
	add := func(is bool, what string) {
		if is {
			l.wants = append(l.wants, what)
		}
	}
	add(l.v.arg("sep") == "", "what parts the columns")
	add(times != 1, "which one column is the time")
	add(len(gauges) == 0, "which columns are gauges")
	add(len(gauges) > entry.MaxColumns, "at most eight gauges at once")
	add(slices.ContainsFunc(runGauges, func(g runGauge) bool { return gauges[g.what] > 1 }), "each gauge once only")
	add(l.v.arg("mark") == "", "whether figures are written with a point or a comma")
	add(l.v.args.Get("first_s").IsNull(), "when the first row was, since the start of the run")
}

// read takes the rows; one without a time that can be read, or not after the
// one before, is left out, and a figure that cannot be read is a gap: both are told.
func (l *loggerFile) read() {
	if len(l.wants) > 0 {
		return
	}
	clock := slices.IndexFunc(l.columns, func(c column) bool { return c.role == "time" })
	first, days := int64(-1), int64(0)
	for i, row := range l.table[l.heads:] {
		n := i + l.heads + 1
		ms, ok := l.time(cellOf(row, clock), l.columns[clock].unit)
		if !ok {
			l.tell(n, "'"+cellOf(row, clock)+"' is no time in the unit that was chosen; the row is left out")
			continue
		}
		if first < 0 {
			first = ms
		}
		ms += days
		if l.columns[clock].unit == "clock" && len(l.at) > 0 && l.at[len(l.at)-1]-(ms-first) > 12*3_600_000 { // past midnight
			days += 24 * 3_600_000
			ms += 24 * 3_600_000
		}
		if len(l.at) > 0 && ms-first <= l.at[len(l.at)-1] {
			l.tell(n, "its time is not after the row before; the row is left out")
			continue
		}
		l.at = append(l.at, ms-first)
		l.figures = append(l.figures, l.row(n, row))
	}
}

func cellOf(row []string, i int) string {
	if i >= len(row) {
		return ""
	}
	return row[i]
}

func (l *loggerFile) tell(row int, why string) {
	l.wrong++
	if len(l.told) < maxTold {
		l.told = append(l.told, "Row "+strconv.Itoa(row)+": "+why+".")
	}
}

// row are the figures of the gauges, "-" for none.
func (l *loggerFile) row(n int, row []string) []string {
	var out []string
	for i, c := range l.columns {
		if c.role == "" || c.role == "time" {
			continue
		}
		text := cellOf(row, i)
		figure := l.figure(text)
		switch {
		case text == "" || text == "-":
			figure = "-"
			l.empty++
		case !entry.IsFigure(figure):
			l.tell(n, "'"+text+"' is no figure of "+strings.ToLower(gaugeWords(c.role))+"; it stays open as a gap")
			figure = "-"
		}
		out = append(out, figure)
	}
	return out
}

// figure writes a file's figure with a point; its digits stay as they are.
func (l *loggerFile) figure(s string) string {
	s = strings.TrimPrefix(strings.ReplaceAll(s, "−", "-"), "+")
	if l.v.arg("mark") == "," {
		if strings.Contains(s, ".") {
			return "?" // not as the person said
		}
		s = strings.Replace(s, ",", ".", 1)
	}
	return s
}

// time reads a time in ms.
func (l *loggerFile) time(s, unit string) (int64, bool) {
	if unit != "clock" {
		s, scale := l.figure(s), 1000.0
		if unit == "ms" {
			unit, scale = "s", 1
		}
		q, err := quantity.Parse(quantity.Written{Text: s, Unit: unit})
		return int64(quantity.Quantise(float64(q.SI*scale), 0)), err == nil && entry.IsFigure(s) && q.Unit.Dim == quantity.Time
	}
	parts := strings.Split(s[strings.LastIndexAny(s, " T")+1:], ":") // a day before it says nothing here
	if len(parts) != 3 {
		return 0, false
	}
	out := int64(0)
	for i, p := range parts {
		p = l.figure(p)
		if !entry.IsFigure(p) || i < 2 && strings.Contains(p, ".") || p[0] == '-' {
			return 0, false
		}
		q, err := quantity.Parse(quantity.Written{Text: p, Unit: []string{"h", "min", "s"}[i]})
		if err != nil {
			return 0, false
		}
		out += int64(quantity.Quantise(float64(q.SI*1000), 0))
	}
	return out, true
}

func (l *loggerFile) json() jcs.Value {
	var roles, times []jcs.Value
	for _, g := range runGauges {
		roles = append(roles, jcs.Obj(text("role", g.what), text("words", g.words), jcs.M("units", jcs.Arr(unitsOf(g.dim())...))))
	}
	for _, t := range timeUnits {
		times = append(times, jcs.Obj(text("code", t.code), text("words", t.words)))
	}
	members := []jcs.Member{list("columns", l.columns, func(c column) jcs.Value {
		return jcs.Obj(text("head", c.head), str("role", c.role), str("unit", c.unit))
	}),
		list("shown", l.table[:min(len(l.table), 8)], jcs.Strs), num("lines", len(l.table)), flag("more", len(l.table) > maxLogged), jcs.M("roles", jcs.Arr(roles...)), jcs.M("times", jcs.Arr(times...)), jcs.M("wants", jcs.Strs(l.wants)),
		jcs.M("told", jcs.Strs(l.told)), num("wrong", l.wrong), num("empty", l.empty), num("rows", len(l.at))}
	if len(l.at) > 0 {
		members = append(members, text("from", clockWords(l.first())), text("to", clockWords(l.first()+l.at[len(l.at)-1])), jcs.M("there", jcs.Strs(l.there())), jcs.M("bodies", jcs.Arr(l.bodies()...)))
	}
	return jcs.Obj(members...)
}

func unitsOf(dim quantity.Dim) []jcs.Value {
	var out []jcs.Value
	for _, u := range quantity.Units() {
		if u.Dim == dim {
			out = append(out, jcs.Obj(text("code", u.Code), text("symbol", u.Symbol)))
		}
	}
	return out
}

func (l *loggerFile) first() int64 { return 1000 * l.v.args.Get("first_s").Int64() }

// there says which of the gauges have samples already in that time.
func (l *loggerFile) there() []string {
	var out []string
	from, to := l.first(), l.first()+l.at[len(l.at)-1]
	for i := range l.run.Lines {
		x := &l.run.Lines[i]
		if x.Block == nil || x.Struck != "" || x.Of.Asm != l.e.Serial || x.MS > to || x.MS+x.Block.At[len(x.Block.At)-1] < from {
			continue
		}
		for _, c := range x.Block.Columns {
			words := gaugeWords(c.What) + " of " + l.e.Serial + " has samples in this time already."
			if slices.ContainsFunc(l.columns, func(k column) bool { return k.role == c.What }) && !slices.Contains(out, words) {
				out = append(out, words)
			}
		}
	}
	return out
}

// bodies are the entries that would be kept.
func (l *loggerFile) bodies() []jcs.Value {
	var out []jcs.Value
	for from := 0; from < len(l.at); from += blockRows {
		out = append(out, l.body(from, min(from+blockRows, len(l.at))))
	}
	return out
}

func (l *loggerFile) body(from, to int) jcs.Value {
	var columns []jcs.Value
	k := 0
	for _, c := range l.columns {
		if c.role == "" || c.role == "time" {
			continue
		}
		var figures []string
		for _, row := range l.figures[from:to] {
			figures = append(figures, row[k])
		}
		k++
		columns = append(columns, jcs.Obj(text("what", c.role), text("u", c.unit), text("values", strings.Join(figures, " "))))
	}
	members := []jcs.Member{jcs.M("of", of(l.e, "", "")), text("does", "samples"), text("run", string(l.run.ID)), jcs.M("elapsed", inSeconds(l.first()+l.at[from])),
		jcs.M("columns", jcs.Arr(columns...)), str("file", l.v.arg("file"))}
	if step, even := l.even(from, to); even {
		return jcs.Obj(append(members, jcs.M("step", inSeconds(step)))...)
	}
	var times []string
	for _, at := range l.at[from:to] {
		times = append(times, secondsText(at-l.at[from]))
	}
	return jcs.Obj(append(members, text("times", strings.Join(times, " ")))...)
}

// even is the time between rows where it is the same between all.
func (l *loggerFile) even(from, to int) (int64, bool) {
	if to-from < 2 {
		return 0, false
	}
	step := l.at[from+1] - l.at[from]
	for i := from + 1; i < to; i++ {
		if l.at[i]-l.at[i-1] != step {
			return 0, false
		}
	}
	return step, true
}

func inSeconds(ms int64) jcs.Value {
	return jcs.Obj(text("t", secondsText(ms)), text("u", "s"))
}

func secondsText(ms int64) string {
	out := strconv.FormatInt(ms/1000, 10)
	if part := ms % 1000; part > 0 {
		out += strings.TrimRight("."+strconv.FormatInt(1000+part, 10)[1:], "0")
	}
	return out
}
