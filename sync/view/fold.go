package view

import (
	"bytes"
	"strings"
	"unicode"
)

// plainLetters are the Latin letters with marks that a keyboard in the
// workshop may not have.
var plainLetters = []struct{ plain, marked string }{
	{"a", "àáâãäåāăą"}, {"ae", "æ"}, {"c", "çćčĉċ"}, {"d", "ďđð"}, {"e", "èéêëēĕėęě"}, {"g", "ĝğġģ"}, {"h", "ĥħ"}, {"i", "ìíîïĩīĭįı"},
	{"j", "ĵ"}, {"k", "ķ"}, {"l", "ĺļľŀł"}, {"n", "ñńņňŉ"}, {"o", "òóôõöøōŏő"}, {"oe", "œ"}, {"r", "ŕŗř"}, {"s", "śŝşšș"}, {"ss", "ß"},
	{"t", "ţťŧț"}, {"th", "þ"}, {"u", "ùúûüũūŭůűų"}, {"w", "ŵ"}, {"y", "ýÿŷ"}, {"z", "źżž"},
}

// plain is a letter or digit small and without marks; "" for what stands
// between words. A mark that combines with the letter before it is dropped.
func plain(r rune) (s string, dropped bool) {
	switch {
	case r >= 0x300 && r <= 0x36f:
		return "", true
	case r == 'µ':
		return "u", false
	case r < 'À' || r >= 0x2000 && r < 0x2c00: // signs, as · and –
		return "", false
	}
	r = unicode.ToLower(r)
	for _, l := range plainLetters {
		if strings.ContainsRune(l.marked, r) {
			return l.plain, false
		}
	}
	if unicode.IsLetter(r) {
		return string(r), false
	}
	return "", false
}

// fold appends a text as it is searched: words of small plain letters, each
// between two spaces; numbers are words of their own, without leading zeros,
// so that E2, e 2 and R-0031 are found as they may be typed.
func fold(to []byte, s string) []byte {
	f := folder{to: to}
	for i, r := range s {
		if r >= 0x80 {
			f.other(r)
			continue
		}
		switch c := small[s[i]]; {
		case c == 0:
			f.in = false
		case f.in && !f.number && c > '9': // most of any text; a call for each letter would show
			f.to = append(f.to, c)
		default:
			f.add(c)
		}
	}
	return append(f.to, ' ')
}

// small is a letter or digit as it is searched; 0 for what stands between words.
var small = func() (t [0x80]byte) {
	for c := range byte(0x80) {
		switch {
		case c >= 'a' && c <= 'z' || digit(c):
			t[c] = c
		case c >= 'A' && c <= 'Z':
			t[c] = c - 'A' + 'a'
		}
	}
	return t
}()

// folder is fold at work: the word it is in begins at start.
type folder struct {
	to         []byte
	start      int
	in, number bool
}

func (f *folder) add(c byte) {
	if !f.in || digit(c) != f.number {
		f.to = append(f.to, ' ')
		f.start, f.in, f.number = len(f.to), true, digit(c)
	}
	if f.number && len(f.to) == f.start+1 && f.to[f.start] == '0' {
		f.to = f.to[:f.start]
	}
	f.to = append(f.to, c)
}

func (f *folder) other(r rune) {
	s, dropped := plain(r)
	if s == "" && !dropped {
		f.in = false
	}
	for i := range len(s) {
		f.add(s[i])
	}
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// sought is one word of what is looked for, as it begins a folded word and as
// it is one.
type sought struct{ begin, whole []byte }

// maxSought is how many words of a question count.
const maxSought = 12

// words takes a question apart.
func words(q string) []sought {
	q = strings.NewReplacer("'s", "", "’s", "").Replace(q)
	var out []sought
	for _, w := range bytes.Fields(fold(nil, q)) {
		if len(out) == maxSought {
			break
		}
		whole := append(append([]byte{' '}, w...), ' ')
		out = append(out, sought{whole[:len(whole)-1], whole})
	}
	return out
}

// in says how a word stands in a folded text: 2 whole, 1 as the beginning of
// a word, 0 not. One figure must be whole: pin 2 is not engine 2117.
func (w sought) in(text []byte) int {
	switch {
	case bytes.Contains(text, w.whole):
		return 2
	case digit(w.begin[1]) && len(w.begin) < 3:
		return 0
	case bytes.Contains(text, w.begin):
		return 1
	}
	return 0
}
