package numbers

import (
	"regexp"
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

// readAs is what a spreadsheet takes for a number, a day, a time or a truth: it would bring back 1/2 as a day in January, 0117
// as 117 and May 2019 as one day of it.
var readAs = regexp.MustCompile(`(?i)^(true|false|[\d.$€£−(][\d\s.,:/%()$€£'"+−-]*(e[+-]?\d+)?( ?[ap]m)?|(\d{1,4}[\s./-]*)?(jan(uary)?|feb(ruary)?|mar(ch)?|apr(il)?|may|june?|july?|aug(ust)?|sept?(ember)?|oct(ober)?|nov(ember)?|dec(ember)?)[\s.,/-]*\d[\d\s.,:/-]*)$`)

// isoDay is a day, or a moment, as the records write it. A spreadsheet takes it for that day.
var isoDay = regexp.MustCompile(`^\d{4}-\d\d-\d\d(T[\d:.Z+-]+)?$`)

// text makes a text cell that no spreadsheet runs, and none takes for something else: such a one gets an apostrophe before it.
// A number in its shortest spelling and a day stay as they are. Original turns that round.
func text(s string) string {
	if shortest(s) || isoDay.MatchString(s) {
		return s
	}
	return asWritten(s)
}

// asWritten is the text of a value, a text in every row: as a number 74.980 would lose its last figure, and with it what the
// reading claims; and a column of which half are numbers would be averaged without the other half. To reckon with are the
// columns beside it.
func asWritten(s string) string {
	if s != "" && (strings.ContainsRune(starters, []rune(s)[0]) || readAs.MatchString(s)) {
		return "'" + s
	}
	return s
}

// Original returns what a text cell said before it was made safe: a cell that begins with an apostrophe loses that one.
func Original(cell string) string { return strings.TrimPrefix(cell, "'") }

// safeDigits is how many digits of a decimal number every float64 keeps.
const safeDigits = 15

// shortest reports whether a text is a number that comes back letter for letter from whoever reads it as one.
func shortest(s string) bool {
	x, err := strconv.ParseFloat(s, 64)
	return err == nil && len(s) <= safeDigits && strconv.FormatFloat(x, 'f', -1, 64) == s
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
