package numbers

import (
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
)

// table is a CSV file on its way: RFC 4180, UTF-8, lines that end in CR LF, a header first.
type table struct {
	b    strings.Builder
	wide int
}

// header begins a table.
func header(names ...string) *table {
	t := &table{wide: len(names)}
	t.row(names...)
	return t
}

// row writes one record. Cells are texts made safe by text, or numbers of our own.
func (t *table) row(cells ...string) {
	if len(cells) != t.wide {
		panic("bug: a row of " + strconv.Itoa(len(cells)) + " cells under a header of " + strconv.Itoa(t.wide))
	}
	for i, c := range cells {
		if i > 0 {
			t.b.WriteByte(',')
		}
		if c == "" && t.wide > 1 || c != "" && !strings.ContainsAny(c, ",\"\r\n") && strings.TrimSpace(c) == c {
			t.b.WriteString(c)
			continue
		}
		t.b.WriteString(`"` + strings.ReplaceAll(c, `"`, `""`) + `"`)
	}
	t.b.WriteString("\r\n")
}

func (t *table) bytes() []byte { return []byte(t.b.String()) }

// starters begin what a spreadsheet may run. The apostrophe is among them so that the rule can be turned round.
const starters = "=+-@\t\r\n'＝＋－＠"

// text makes a text cell that no spreadsheet runs: one that begins with one of starters, and is no plain number, gets an
// apostrophe before it. Original turns that round.
func text(s string) string {
	if s != "" && strings.ContainsRune(starters, []rune(s)[0]) && !plainNumber(s) {
		return "'" + s
	}
	return s
}

// Original returns what a text cell said before it was made safe: a cell that begins with an apostrophe loses that one.
func Original(cell string) string { return strings.TrimPrefix(cell, "'") }

// plainNumber: a sign, digits and one point, as −0.04 on a dial; nothing that could name a cell or a function.
func plainNumber(s string) bool {
	digits, points := 0, 0
	for _, c := range strings.TrimLeft(s[:1], "+-") + s[1:] {
		switch {
		case c >= '0' && c <= '9':
			digits++
		case c == '.':
			points++
		default:
			return false
		}
	}
	return digits > 0 && points <= 1
}

// float is the shortest text that brings the same bits back.
func float(x float64) string {
	if !quantity.Finite(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}
