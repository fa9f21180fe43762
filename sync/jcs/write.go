package jcs

import (
	"strconv"
	"unicode/utf8"
)

// Append writes v in canonical form behind dst.
func (v Value) Append(dst []byte) []byte {
	switch v.kind {
	case KindBool:
		return strconv.AppendBool(dst, v.n == 1)
	case KindInt:
		return strconv.AppendInt(dst, v.n, 10)
	case KindNumber:
		return append(dst, v.s...)
	case KindText:
		return AppendText(dst, v.s)
	case KindArray:
		return appendItems(dst, v.Items())
	case KindObject:
		return appendMembers(dst, v.Members())
	}
	return append(dst, "null"...)
}

// String returns v in canonical form.
func (v Value) String() string { return string(v.Append(nil)) }

func appendItems(dst []byte, items []Value) []byte {
	dst = append(dst, '[')
	for i := range items {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = items[i].Append(dst)
	}
	return append(dst, ']')
}

func appendMembers(dst []byte, members []Member) []byte {
	dst = append(dst, '{')
	for i := range members {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = AppendText(dst, members[i].Key)
		dst = append(dst, ':')
		dst = members[i].Val.Append(dst)
	}
	return append(dst, '}')
}

const hexDigits = "0123456789abcdef"

// AppendText writes s as a JSON text, escaped as RFC 8785, section 3.2.2.2
// demands and no further.
func AppendText(dst []byte, s string) []byte {
	dst = append(dst, '"')
	from := 0
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c >= 0x20 && c != '"' && c != '\\' {
			continue
		}
		dst = append(dst, s[from:i]...)
		dst = appendEscape(dst, c)
		from = i + 1
	}
	dst = append(dst, s[from:]...)
	return append(dst, '"')
}

func appendEscape(dst []byte, c byte) []byte {
	switch c {
	case '"', '\\':
		return append(dst, '\\', c)
	case '\b':
		return append(dst, '\\', 'b')
	case '\t':
		return append(dst, '\\', 't')
	case '\n':
		return append(dst, '\\', 'n')
	case '\f':
		return append(dst, '\\', 'f')
	case '\r':
		return append(dst, '\\', 'r')
	}
	return append(dst, '\\', 'u', '0', '0', hexDigits[c>>4], hexDigits[c&15])
}

// compareKeys orders names by their UTF-16 code units (RFC 8785, section
// 3.2.3). Only runes beyond U+FFFF, which begin with a surrogate, differ from
// the order of the bytes.
func compareKeys(a, b string) int {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	if i == len(a) || i == len(b) {
		return len(a) - len(b)
	}
	if a[i] < utf8.RuneSelf && b[i] < utf8.RuneSelf {
		return int(a[i]) - int(b[i])
	}
	return firstUnit(a, i) - firstUnit(b, i)
}

// firstUnit returns a number that orders the rune which holds byte i of s as
// its UTF-16 code units would.
func firstUnit(s string, i int) int {
	for i > 0 && !utf8.RuneStart(s[i]) {
		i--
	}
	r, _ := utf8.DecodeRuneInString(s[i:])
	if r > 0xFFFF {
		// Surrogates lie from U+D800, below U+E000; the low bits keep their order.
		return 0xD800<<11 | int(r-0x10000)
	}
	return int(r) << 11
}
