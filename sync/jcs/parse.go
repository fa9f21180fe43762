package jcs

import (
	"errors"
	"slices"
	"strconv"
	"sync"
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

// Doc is a document as read.
type Doc struct {
	Value
	Canonical bool // its bytes are those that Append writes
	Whole     bool // every number in it is whole and exact
}

// Parse reads one JSON document, canonical or not, with nothing behind it.
// It refuses what RFC 7493 (I-JSON) forbids: doubled names, invalid UTF-8,
// halves of surrogate pairs.
func Parse(b []byte) (Value, error) {
	d, err := Read(b)
	return d.Value, err
}

// Read is Parse that also tells whether the bytes were canonical. It finds out
// while reading: writing the document again to compare took longer.
func Read(b []byte) (Doc, error) {
	p := parser{s: string(b), canonical: true, whole: true, stacks: stacked.Get().(*stacks)}
	defer p.stacks.giveBack()
	if !utf8.ValidString(p.s) {
		return Doc{}, ErrEncoding
	}
	p.space()
	v := p.value(0)
	p.space()
	if p.err == nil && p.i != len(p.s) {
		p.err = ErrSyntax
	}
	if p.err != nil {
		return Doc{}, p.err
	}
	return Doc{v, p.canonical, p.whole}, nil
}

type parser struct {
	s                string
	i                int
	err              error
	canonical, whole bool
	*stacks
}

// stacks is what is being read of objects and arrays, innermost last: each
// takes its own part off the end when it is whole, so that it is copied once.
type stacks struct {
	members []Member
	items   []Value
}

// stacked keeps them between documents: growing them took a third of the time.
var stacked = sync.Pool{New: func() any { return &stacks{} }}

// mostStacked is the longest that is kept, so that one large document does not
// hold its memory for ever.
const mostStacked = 256

// giveBack keeps the room and nothing that was read.
func (s *stacks) giveBack() {
	if cap(s.members) > mostStacked || cap(s.items) > mostStacked {
		return
	}
	clear(s.members[:cap(s.members)])
	clear(s.items[:cap(s.items)])
	s.members, s.items = s.members[:0], s.items[:0]
	stacked.Put(s)
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
			p.canonical = false
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
	if p.peek() == '}' {
		p.i++
		return Value{kind: KindObject, node: &node{}}
	}
	from, sorted := len(p.members), true
	for more := true; more; more = p.next('}') {
		m := p.member(depth)
		if p.err != nil {
			return Value{}
		}
		if n := len(p.members); n > from && compareKeys(p.members[n-1].Key, m.Key) >= 0 {
			sorted = false
		}
		p.members = append(p.members, m)
	}
	own := slices.Clone(p.members[from:])
	p.members = p.members[:from]
	if !sorted && p.err == nil {
		p.canonical = false
		p.sortMembers(own)
	}
	return Value{kind: KindObject, node: &node{members: own}}
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
	from := len(p.items)
	for more := true; more; more = p.next(']') {
		v := p.value(depth)
		if p.err != nil {
			return Value{}
		}
		p.items = append(p.items, v)
	}
	own := slices.Clone(p.items[from:])
	p.items = p.items[:from]
	return Value{kind: KindArray, node: &node{items: own}}
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
	p.whole = false
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
