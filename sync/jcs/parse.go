package jcs

import (
	"errors"
	"strconv"
	"unicode/utf8"

	"witnessmark/sync/order"
)

// MaxDepth is how deep arrays and objects may lie within each other.
const MaxDepth = 32

// Errors of Parse.
var (
	ErrSyntax    = errors.New("this is not JSON")
	ErrDuplicate = errors.New("the same name stands twice in one object")
	ErrDepth     = errors.New("nested too deeply")
	ErrEncoding  = errors.New("not valid UTF-8")
)

// Parse reads one JSON document, canonical or not, with nothing behind it.
// It refuses what RFC 7493 (I-JSON) forbids: doubled names, invalid UTF-8,
// halves of surrogate pairs.
func Parse(b []byte) (Value, error) {
	p := parser{s: string(b)}
	if !utf8.ValidString(p.s) {
		return Value{}, ErrEncoding
	}
	p.space()
	v := p.value(0)
	p.space()
	if p.err == nil && p.i != len(p.s) {
		p.err = ErrSyntax
	}
	if p.err != nil {
		return Value{}, p.err
	}
	return v, nil
}

type parser struct {
	s   string
	i   int
	err error
}

func (p *parser) fail(err error) Value {
	if p.err == nil {
		p.err = err
	}
	p.i = len(p.s)
	return Value{}
}

func (p *parser) space() {
	for p.i < len(p.s) {
		switch p.s[p.i] {
		case ' ', '\t', '\n', '\r':
			p.i++
		default:
			return
		}
	}
}

func (p *parser) peek() byte {
	if p.i < len(p.s) {
		return p.s[p.i]
	}
	return 0
}

func (p *parser) value(depth int) Value {
	switch c := p.peek(); {
	case c == '"':
		return Value{kind: KindText, s: p.text()}
	case c == '{':
		return p.object(depth + 1)
	case c == '[':
		return p.array(depth + 1)
	case c == '-' || c >= '0' && c <= '9':
		return p.number()
	case p.word("true"):
		return Bool(true)
	case p.word("false"):
		return Bool(false)
	case p.word("null"):
		return Value{}
	}
	return p.fail(ErrSyntax)
}

func (p *parser) word(w string) bool {
	if len(p.s)-p.i < len(w) || p.s[p.i:p.i+len(w)] != w {
		return false
	}
	p.i += len(w)
	return true
}

func (p *parser) object(depth int) Value {
	if depth > MaxDepth {
		return p.fail(ErrDepth)
	}
	p.i++
	p.space()
	var members []Member
	if p.peek() == '}' {
		p.i++
		return Value{kind: KindObject, node: &node{}}
	}
	sorted := true
	for {
		m := p.member(depth)
		if n := len(members); n > 0 && compareKeys(members[n-1].Key, m.Key) >= 0 {
			sorted = false
		}
		if p.err != nil {
			return Value{}
		}
		members = append(members, m)
		if !p.next('}') {
			break
		}
	}
	if !sorted && p.err == nil {
		p.sortMembers(members)
	}
	return Value{kind: KindObject, node: &node{members: members}}
}

// sortMembers puts the names in order, so that Append writes canonical form,
// and refuses doubled ones.
func (p *parser) sortMembers(members []Member) {
	order.By(members, func(a, b Member) int { return compareKeys(a.Key, b.Key) })
	for i := 1; i < len(members); i++ {
		if members[i].Key == members[i-1].Key {
			p.fail(ErrDuplicate)
		}
	}
}

func (p *parser) member(depth int) Member {
	p.space()
	if p.peek() != '"' {
		p.fail(ErrSyntax)
		return Member{}
	}
	key := p.text()
	p.space()
	if p.peek() != ':' {
		p.fail(ErrSyntax)
		return Member{}
	}
	p.i++
	p.space()
	return Member{key, p.value(depth)}
}

// next steps over a comma and reports true, or over the end and reports false.
func (p *parser) next(end byte) bool {
	p.space()
	switch p.peek() {
	case ',':
		p.i++
		p.space()
		return true
	case end:
		p.i++
		return false
	}
	p.fail(ErrSyntax)
	return false
}

func (p *parser) array(depth int) Value {
	if depth > MaxDepth {
		return p.fail(ErrDepth)
	}
	p.i++
	p.space()
	if p.peek() == ']' {
		p.i++
		return Arr()
	}
	var items []Value
	for {
		items = append(items, p.value(depth))
		if p.err != nil || !p.next(']') {
			break
		}
	}
	return Value{kind: KindArray, node: &node{items: items}}
}

func (p *parser) digits() int {
	from := p.i
	for p.i < len(p.s) && p.s[p.i] >= '0' && p.s[p.i] <= '9' {
		p.i++
	}
	return p.i - from
}

func (p *parser) number() Value {
	from := p.i
	if p.peek() == '-' {
		p.i++
	}
	lead := p.peek()
	if n := p.digits(); n == 0 || n > 1 && lead == '0' {
		return p.fail(ErrSyntax)
	}
	whole := p.fraction()
	if p.err != nil {
		return Value{}
	}
	lit := p.s[from:p.i]
	if whole && lit != "-0" {
		if n, err := strconv.ParseInt(lit, 10, 64); err == nil && n <= maxInt && n >= -maxInt {
			return Int(n)
		}
	}
	return Value{kind: KindNumber, s: lit}
}

// fraction steps over a fraction and an exponent and reports whether there was none.
func (p *parser) fraction() bool {
	whole := true
	if p.peek() == '.' {
		p.i++
		whole = false
		if p.digits() == 0 {
			p.fail(ErrSyntax)
		}
	}
	if c := p.peek(); c == 'e' || c == 'E' {
		p.i++
		whole = false
		if c := p.peek(); c == '+' || c == '-' {
			p.i++
		}
		if p.digits() == 0 {
			p.fail(ErrSyntax)
		}
	}
	return whole
}
