// Package jcs reads and writes JSON in the canonical form of RFC 8785 (JSON
// Canonicalization Scheme), for documents whose numbers are whole. Entries
// carry measured values as text, so that nothing is ever rounded on the way.
//
// It is written by hand and without reflection: the phone runs it as
// WebAssembly, where reflection costs most of the size and the time
// (DEVELOPERS.md, "Why our own codec").
package jcs

import (
	"slices"

	"witnessmark/sync/order"
)

// Kind says what a Value holds.
type Kind uint8

// The kinds of a Value. KindNumber is a JSON number that is not a whole number
// within ±(2^53−1); it is kept as it stands, and no entry that holds one is
// usable.
const (
	KindNull Kind = iota
	KindBool
	KindInt
	KindNumber
	KindText
	KindArray
	KindObject
)

// maxInt is the largest whole number that every JSON reader keeps exact
// (RFC 7493, section 2.2).
const maxInt = 1<<53 - 1

// fewMembers are so few that a list of them is quickest sorted by hand.
const fewMembers = 32

// Value is one JSON value, not to be changed once made. The zero Value is null.
type Value struct {
	kind Kind
	n    int64
	s    string
	node *node
}

type node struct {
	items   []Value
	members []Member
}

// Member is one name and value of an object.
type Member struct {
	Key string
	Val Value
}

// M makes a member.
func M(key string, v Value) Member { return Member{key, v} }

// Null is the null value.
func Null() Value { return Value{} }

// Str makes a text.
func Str(s string) Value { return Value{kind: KindText, s: s} }

// Opt makes a text, or null for an empty one, so that Obj leaves it out.
func Opt(s string) Value {
	if s == "" {
		return Value{}
	}
	return Str(s)
}

// Flag makes true, or null for false, so that Obj leaves it out.
func Flag(b bool) Value {
	if !b {
		return Value{}
	}
	return Bool(true)
}

// Int makes a whole number. It must lie within ±(2^53−1).
func Int(n int64) Value { return Value{kind: KindInt, n: n} }

// Bool makes true or false.
func Bool(b bool) Value {
	v := Value{kind: KindBool}
	if b {
		v.n = 1
	}
	return v
}

// Arr makes an array.
func Arr(items ...Value) Value { return Value{kind: KindArray, node: &node{items: items}} }

// Strs makes an array of texts.
func Strs[S ~string](texts []S) Value {
	items := make([]Value, len(texts))
	for i, t := range texts {
		items[i] = Str(string(t))
	}
	return Arr(items...)
}

// Obj makes an object: members are put in order, those whose value is null
// are left out, and of two with one name the later counts.
func Obj(members ...Member) Value {
	kept := make([]Member, 0, len(members))
	for _, m := range members {
		if !m.Val.IsNull() {
			kept = append(kept, m)
		}
	}
	inOrder(kept)
	out := kept[:0]
	for _, m := range kept {
		if len(out) > 0 && out[len(out)-1].Key == m.Key {
			out[len(out)-1] = m
			continue
		}
		out = append(out, m)
	}
	return Value{kind: KindObject, node: &node{members: out}}
}

// inOrder sorts members by name; those of one name keep their order. An object that the core writes has a dozen: they are put
// in their places one by one, with no second list.
func inOrder(members []Member) {
	if len(members) > fewMembers {
		order.By(members, func(a, b Member) int { return compareKeys(a.Key, b.Key) })
		return
	}
	for i := 1; i < len(members); i++ {
		m, k := members[i], i
		for ; k > 0 && compareKeys(members[k-1].Key, m.Key) > 0; k-- {
			members[k] = members[k-1]
		}
		members[k] = m
	}
}

// Kind says what v holds.
func (v Value) Kind() Kind { return v.kind }

// IsNull reports whether v is null, or was never there.
func (v Value) IsNull() bool { return v.kind == KindNull }

// IsTrue reports whether v is true.
func (v Value) IsTrue() bool { return v.kind == KindBool && v.n == 1 }

// Text returns the text, or "" when v is none.
func (v Value) Text() string {
	if v.kind != KindText {
		return ""
	}
	return v.s
}

// Int64 returns the whole number, or 0 when v is none.
func (v Value) Int64() int64 {
	if v.kind != KindInt {
		return 0
	}
	return v.n
}

// Items returns the items of an array, not to be changed; nil otherwise.
func (v Value) Items() []Value {
	if v.node == nil {
		return nil
	}
	return v.node.items
}

// Members returns the members of an object, not to be changed; nil otherwise.
func (v Value) Members() []Member {
	if v.node == nil {
		return nil
	}
	return v.node.members
}

// Get returns the member of that name, or null.
func (v Value) Get(key string) Value {
	if v.node == nil {
		return Value{}
	}
	for i := range v.node.members {
		if v.node.members[i].Key == key {
			return v.node.members[i].Val
		}
	}
	return Value{}
}

// Texts returns the texts among the items of an array.
func (v Value) Texts() []string {
	var out []string
	for _, it := range v.Items() {
		if it.kind == KindText {
			out = append(out, it.s)
		}
	}
	return out
}

// Without returns the object v less one member.
func (v Value) Without(key string) Value {
	kept := make([]Member, 0, len(v.Members()))
	for _, m := range v.Members() {
		if m.Key != key {
			kept = append(kept, m)
		}
	}
	return Obj(kept...)
}

// With returns the object v with one member set.
func (v Value) With(key string, val Value) Value {
	return Obj(append(slices.Clone(v.Members()), M(key, val))...)
}

// Equal reports whether two values are the same.
func Equal(a, b Value) bool {
	if a.kind != b.kind || a.n != b.n || a.s != b.s {
		return false
	}
	if a.node == nil || b.node == nil {
		return a.node == b.node
	}
	return slices.EqualFunc(a.node.items, b.node.items, Equal) &&
		slices.EqualFunc(a.node.members, b.node.members, func(x, y Member) bool {
			return x.Key == y.Key && Equal(x.Val, y.Val)
		})
}
