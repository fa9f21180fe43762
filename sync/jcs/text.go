package jcs

import (
	"unicode/utf16"
	"unicode/utf8"
)

// text reads a JSON text; the cursor stands on its opening quote. Without
// escapes it is a slice of the document, with no copy.
func (p *parser) text() string {
	p.i++
	from := p.i
	for p.i < len(p.s) {
		switch c := p.s[p.i]; {
		case c == '"':
			out := p.s[from:p.i]
			p.i++
			return out
		case c == '\\':
			return p.escaped(from)
		case c < 0x20:
			p.fail(ErrSyntax)
			return ""
		}
		p.i++
	}
	p.fail(ErrSyntax)
	return ""
}

// escaped reads on from the first backslash of a text that began at from.
func (p *parser) escaped(from int) string {
	out := append([]byte(nil), p.s[from:p.i]...)
	for p.i < len(p.s) {
		c := p.s[p.i]
		switch {
		case c == '"':
			p.i++
			p.canonical = p.canonical && string(AppendText(nil, string(out))) == p.s[from-1:p.i]
			return string(out)
		case c < 0x20:
			p.fail(ErrSyntax)
			return ""
		case c != '\\':
			out = append(out, c)
			p.i++
			continue
		}
		p.i++
		out = utf8.AppendRune(out, p.escape())
		if p.err != nil {
			return ""
		}
	}
	p.fail(ErrSyntax)
	return ""
}

// escape reads what follows a backslash.
func (p *parser) escape() rune {
	c := p.peek()
	p.i++
	switch c {
	case '"', '\\', '/':
		return rune(c)
	case 'b':
		return '\b'
	case 'f':
		return '\f'
	case 'n':
		return '\n'
	case 'r':
		return '\r'
	case 't':
		return '\t'
	case 'u':
		return p.unicode()
	}
	p.fail(ErrSyntax)
	return 0
}

func (p *parser) unicode() rune {
	r := p.hex4()
	if !utf16.IsSurrogate(r) {
		return r
	}
	if p.word(`\u`) {
		if full := utf16.DecodeRune(r, p.hex4()); full != utf8.RuneError {
			return full
		}
	}
	p.fail(ErrEncoding)
	return 0
}

func (p *parser) hex4() rune {
	if len(p.s)-p.i < 4 {
		p.fail(ErrSyntax)
		return 0
	}
	var r rune
	for _, c := range []byte(p.s[p.i : p.i+4]) {
		d := hexValue(c)
		if d < 0 {
			p.fail(ErrSyntax)
			return 0
		}
		r = r<<4 | rune(d)
	}
	p.i += 4
	return r
}

func hexValue(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'a' && c <= 'f':
		return int(c-'a') + 10
	case c >= 'A' && c <= 'F':
		return int(c-'A') + 10
	}
	return -1
}
