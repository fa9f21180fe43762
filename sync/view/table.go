package view

import "strings"

// maxListed is how many rows of a list are read at once: what is more comes in a second time.
const maxListed = 2000

// splitTable reads a list pasted or from a file: RFC 4180, with tabs or semicolons for commas where the first line has them.
// Rows that hold nothing are left out; cells keep their text but for the spaces around it.
func splitTable(text string) [][]string {
	text = strings.TrimPrefix(text, "\ufeff")
	return splitRows(text, separator(text), maxListed)
}

// splitRows is splitTable where the mark between cells is known; it stops after one row more than most.
func splitRows(text string, sep byte, most int) [][]string {
	text = strings.TrimPrefix(text, "\ufeff")
	var rows [][]string
	for text != "" && len(rows) <= most {
		var row []string
		row, text = splitRow(text, sep)
		if strings.Join(row, "") != "" {
			rows = append(rows, row)
		}
	}
	return rows
}

// separator is the mark that the first line has most of, outside quotes; a comma where it has none.
func separator(text string) byte {
	var tabs, semis, commas int
	quoted := false
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '\n':
			i = len(text)
		case c == '\t':
			tabs++
		case c == ';':
			semis++
		case c == ',':
			commas++
		}
	}
	switch {
	case tabs > 0:
		return '\t'
	case semis > commas:
		return ';'
	}
	return ','
}

// splitRow takes one row off the front of a text.
func splitRow(text string, sep byte) (row []string, rest string) {
	for {
		var cell string
		var end byte
		cell, end, text = splitCell(text, sep)
		row = append(row, strings.TrimSpace(cell))
		if end != sep {
			return row, text
		}
	}
}

// splitCell takes one cell off the front; end is the mark that ended it, or '\n', also at the end of the text.
func splitCell(text string, sep byte) (cell string, end byte, rest string) {
	var out strings.Builder
	quoted := strings.HasPrefix(text, `"`)
	i := 0
	if quoted {
		i = 1
	}
	for ; i < len(text); i++ {
		c := text[i]
		switch {
		case quoted && c == '"' && i+1 < len(text) && text[i+1] == '"':
			out.WriteByte('"')
			i++
		case quoted && c == '"':
			quoted = false
		case !quoted && c == sep:
			return out.String(), sep, text[i+1:]
		case !quoted && c == '\n':
			return out.String(), '\n', text[i+1:]
		case c == '\r' && (i+1 == len(text) || text[i+1] == '\n'): // a line's end is one letter, in quotes too
		default:
			out.WriteByte(c)
		}
	}
	return out.String(), '\n', ""
}
