package recordbook

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"witnessmark/server/ink"
	"witnessmark/sync/calc"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
)

// resultRow is one calculation at one place in one condition, a column for each engine.
type resultRow struct {
	Words, Cond string
	Cells       []*verdict // nil where an engine has no such result
	rank        int        // where its place stands on the sheet
	cond        string
}

// verdict is a result in short: its word, its sentence, where its working stands.
type verdict struct {
	Glyph      template.HTML
	Word, Says string
	Old        bool // a newer condition of the same place has a result
	W          int
}

func (m *maker) verdict(r *result.Res) *verdict {
	return &verdict{template.HTML(ink.Glyph(m.print.Glyph(r), r.Verdict)), view.Word(r.Verdict, r.Close), m.text(r.Says), !m.print.Latest(r), m.working[r.ID]}
}

// sheetResults are the results that the readings of a sheet lead to, and the limits that they were held against.
func (m *maker) sheetResults(name string, engines []*record.Engine) ([]resultRow, []limitLine) {
	var rows []resultRow
	var limits []calc.Limit
	at := map[[3]string]int{}
	for i := range m.rs {
		r := &m.rs[i]
		col := slices.IndexFunc(engines, func(e *record.Engine) bool { return e.Serial == r.Asm })
		if col < 0 || r.Sheet != name {
			continue
		}
		key := [3]string{r.Calc, r.At, r.Cond}
		k, ok := at[key]
		if !ok {
			k = len(rows)
			at[key] = k
			rows = append(rows, resultRow{m.text(r.Words), m.text(pattern.CondWords(r.Cond)), make([]*verdict, len(engines)), rank(engines[col].Pattern, r.At), r.Cond})
		}
		rows[k].Cells[col] = m.verdict(r)
		limits = append(limits, limitsOf(r)...)
	}
	slices.SortStableFunc(rows, func(a, b resultRow) int {
		return cmp.Or(a.rank-b.rank, natural(a.Words, b.Words), record.CompareConditions(a.cond, b.cond))
	})
	return rows, m.limitLines(limits)
}

// rank is where the first place that a result is about stands on its type sheet.
func rank(p *pattern.Pattern, at string) int {
	return slices.IndexFunc(p.Places(), func(pl pattern.Place) bool {
		return pl.At == at || pl.Feature.At == at || strings.HasPrefix(pl.At, at+".")
	})
}

// natural compares words so that 2 comes before 10.
func natural(a, b string) int {
	for a != "" && b != "" {
		x, y := lead(a), lead(b)
		if n, k := strings.TrimLeft(x, "0"), strings.TrimLeft(y, "0"); digit(a[0]) && digit(b[0]) && len(n) != len(k) {
			return len(n) - len(k)
		}
		if x != y {
			return strings.Compare(x, y)
		}
		a, b = a[len(x):], b[len(y):]
	}
	return len(a) - len(b)
}

// lead is the digits, or the other letters, that a text begins with.
func lead(s string) string {
	n := 1
	for n < len(s) && digit(s[n]) == digit(s[0]) {
		n++
	}
	return s[:n]
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

func limitsOf(r *result.Res) []calc.Limit {
	var out []calc.Limit
	for _, v := range r.Vals {
		if v.Limit != nil {
			out = append(out, *v.Limit)
		}
	}
	return out
}

// bothResult is a result over both engines, with its chart if it has one.
type bothResult struct {
	Words, Cond string
	Verdict     *verdict
	Chart       template.HTML
	Limits      []limitLine
}

// both are the results that belong to no sheet of one type: those over both engines first.
func (m *maker) both() []bothResult {
	var out []bothResult
	for i := range m.rs {
		if r := &m.rs[i]; strings.Contains(r.Asm, "+") {
			out = append(out, m.bothResult(r, ""))
		}
	}
	for i := range m.rs {
		if r := &m.rs[i]; !strings.Contains(r.Asm, "+") && !m.hasSheet(r) {
			out = append(out, m.bothResult(r, r.Asm+" · "))
		}
	}
	return out
}

func (m *maker) bothResult(r *result.Res, of string) bothResult {
	b := bothResult{Words: m.text(of + r.Words), Cond: m.text(pattern.CondWords(r.Cond)), Verdict: m.verdict(r), Limits: m.limitLines(limitsOf(r))}
	if svg := m.print.Chart(r); svg != "" {
		b.Chart = still(svg)
	}
	return b
}

func (m *maker) hasSheet(r *result.Res) bool {
	e, ok := m.st.Engine(r.Asm)
	return ok && e.Pattern != nil && slices.Contains(e.Pattern.Sheets(), r.Sheet)
}

// limitLine is a limit with its source.
type limitLine struct {
	Name, For, Says, Judged string
	Words, Page, Accepted   string
	Photos                  []ref // of the printed page
	E                       ref
}

// limitLines are limits of results, each once, by name.
func (m *maker) limitLines(ls []calc.Limit) []limitLine {
	var out []limitLine
	seen := map[string]bool{}
	for _, l := range ls {
		i := slices.IndexFunc(m.st.Limits, func(s record.Limit) bool { return string(s.ID) == l.Ref })
		if i >= 0 && !seen[l.Ref] {
			seen[l.Ref] = true
			out = append(out, m.limitLine(m.st.Limits[i]))
		}
	}
	slices.SortStableFunc(out, func(a, b limitLine) int { return strings.Compare(a.Name, b.Name) })
	return out
}

func (m *maker) limitLine(l record.Limit) limitLine {
	out := limitLine{Name: l.Name, For: l.Asm, Says: record.LimitSays(l.Min, l.Max), Judged: "as read", Words: m.text(l.Words), Page: m.text(l.Page), Accepted: "not accepted: it judges nothing", Photos: refs(m, l.Photos), E: m.ref(l.ID)}
	if out.For == "" {
		out.For = l.Pattern
	}
	if l.Margin {
		out.Judged = "with margin"
	}
	if m.st.Accepted(l) {
		out.Accepted = "accepted by " + m.who.Person(l.Accepted)
	}
	return out
}

func (m *maker) allLimits() []limitLine {
	var out []limitLine
	for _, l := range m.st.Limits {
		out = append(out, m.limitLine(l))
	}
	slices.SortStableFunc(out, func(a, b limitLine) int { return strings.Compare(a.Name+a.For, b.Name+b.For) })
	return out
}

// working is a result whole.
type working struct {
	N               int
	Of, Words, Cond string
	Verdict         *verdict
	Vals            []value
	Lines, Missing  []string
	Cautions        []int // numbers in the list of cautions
	Inputs          []ref
	Calc, Version   string
}

// value is one value of a result.
type value struct{ Label, Text, U, Word, Limit string }

// workings are all results whole, and what to be careful of: each caution once, by number.
func (m *maker) workings() (out []working, cautions []string) {
	for i := range m.rs {
		r := &m.rs[i]
		w := working{N: i + 1, Of: m.engineWords(r.Asm), Words: m.text(r.Words), Cond: m.text(pattern.CondWords(r.Cond)), Verdict: m.verdict(r),
			Lines: m.texts(r.Working), Missing: m.texts(r.Missing), Inputs: refs(m, r.Inputs), Calc: r.Calc, Version: r.Version}
		for _, v := range r.Vals {
			w.Vals = append(w.Vals, m.value(v))
		}
		for _, c := range r.Cautions {
			if !slices.Contains(cautions, c) {
				cautions = append(cautions, c)
			}
			w.Cautions = append(w.Cautions, slices.Index(cautions, c)+1)
		}
		out = append(out, w)
	}
	return out, cautions
}

func (m *maker) value(v calc.Val) value {
	out := value{Label: m.text(v.Label), Text: withUnit(v.Text, v.Unit), Word: view.Word(v.Verdict, v.Close)}
	if v.UText != "" {
		out.U = withUnit(v.UText, v.Unit)
	}
	if v.Limit != nil {
		out.Limit = v.Limit.Name + ": " + record.LimitSays(v.Limit.Min, v.Limit.Max)
	}
	return out
}

func withUnit(text, unit string) string {
	if unit == "" || unit == "°" {
		return text + unit
	}
	return text + "\u2009" + unit
}

func (m *maker) texts(ss []string) []string {
	out := make([]string, 0, len(ss))
	for _, s := range ss {
		out = append(out, m.text(s))
	}
	return out
}

// engineWords names the engines that a result is of, with their sides.
func (m *maker) engineWords(asm string) string {
	var out []string
	for _, serial := range strings.Split(asm, "+") {
		if e, ok := m.st.Engine(serial); ok {
			serial += " " + m.text(e.Name) + ", " + m.text(m.print.Where(e))
		}
		out = append(out, serial)
	}
	return strings.Join(out, " and ")
}
