package quantity

import "strings"

// Typed reads a value as people type or list it in one cell: '74.981', '74.981 mm', '<0.05', 'at most 0.05',
// '0.30 to 0.35', 'nil'. The unit in the cell counts before the one of the column; none is ever guessed. What the text
// itself says is not changed, but for spaces around it. why says in words what is wrong, or is "".
func Typed(cell, unit string) (w Written, why string) {
	s, own := splitUnit(strings.TrimSpace(cell))
	if own != "" {
		unit = own
	}
	switch {
	case s == "":
		return Written{}, "there is no value"
	case unit == "":
		return Written{Text: s}, "no unit is said: choose the unit of the column"
	}
	w = Written{Text: s, Unit: unit}
	lower := strings.ToLower(s)
	switch {
	case lower == "nil" || lower == "none felt":
		w = Written{Unit: unit, Is: "nil"}
	case begins(&s, "<", "≤", "at most "):
		w = Written{Text: s, Unit: unit, Is: "at most"}
	case begins(&s, ">", "≥", "at least "):
		w = Written{Text: s, Unit: unit, Is: "at least"}
	default:
		for _, between := range []string{" to ", "…", "..."} {
			if a, b, ok := strings.Cut(s, between); ok {
				w.Text, w.To = strings.TrimSpace(a), strings.TrimSpace(b)
				break
			}
		}
	}
	if _, err := Parse(w); err != nil {
		return w, err.Error()
	}
	return w, ""
}

// begins cuts the first of some beginnings off s, whatever the case of its letters.
func begins(s *string, with ...string) bool {
	for _, p := range with {
		if len(*s) >= len(p) && strings.EqualFold((*s)[:len(p)], p) {
			*s = strings.TrimSpace((*s)[len(p):])
			return true
		}
	}
	return false
}

// splitUnit takes a unit that this tool knows off the end of a cell, where a digit or a space stands before it: the longest
// that fits. unit is its code, "" for none.
func splitUnit(s string) (rest, unit string) {
	longest := 0
	rest = s
	for _, u := range Units() {
		for _, name := range []string{u.Symbol, u.Code} {
			before, ok := strings.CutSuffix(s, name)
			if !ok || len(name) <= longest || u.Code == "1" || before == "" {
				continue
			}
			number := strings.TrimRight(before, " \u00a0\u2009")
			if number != "" && (number != before || isDigit(before[len(before)-1])) {
				longest, rest, unit = len(name), number, u.Code
			}
		}
	}
	return rest, unit
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
