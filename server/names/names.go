// Package names says under which name a person stands in what leaves the workshop: by name, or, where names are left out, as
// "person 1", so that it can still be seen what was read by the same one. It masks the people of the job and the machinists
// of its numbering convention, also inside sentences. A name that nobody entered as a person is not known to it.
package names

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// Names knows the people of a job.
type Names struct {
	show   bool
	people map[string]string // key to the name shown
	masks  []mask            // longest first
}

type mask struct{ name, alias string }

// unknown stands for a key that no person entry explains, where names are left out.
const unknown = "somebody who is not on the list of people"

// Of returns the names of a job. With show they stand as they are.
func Of(st *record.State, show bool) *Names {
	n := &Names{show: show, people: map[string]string{}}
	for i, p := range st.People {
		alias := "person " + strconv.Itoa(i+1)
		n.people[p.Key] = alias
		if show {
			n.people[p.Key] = p.Name
		}
		n.mask(p.Name, alias)
	}
	for i, m := range st.Numbering.Machinists {
		n.mask(m.Name, "machinist "+strconv.Itoa(i+1))
	}
	slices.SortStableFunc(n.masks, func(a, b mask) int { return len(b.name) - len(a.name) })
	return n
}

// mask notes a whole name and each word of it that is long enough to be one.
func (n *Names) mask(name, alias string) {
	words := strings.Fields(name)
	for i := range words {
		for k := i + 1; k <= len(words); k++ {
			part := strings.Join(words[i:k], " ")
			if k-i > 1 || isName(part) {
				n.masks = append(n.masks, mask{part, alias})
			}
		}
	}
}

// isName tells a name from a title or an initial: a capital and more than two letters.
func isName(word string) bool {
	first, _ := utf8.DecodeRuneInString(word)
	return unicode.IsUpper(first) && utf8.RuneCountInString(word) > 2 && !slices.Contains([]string{"Mrs", "Miss", "Sir"}, word)
}

// Shown says whether names stand as they are.
func (n *Names) Shown() bool { return n.show }

// Person is the name of the person of that key; "" for "".
func (n *Names) Person(key string) string {
	switch name, ok := n.people[key]; {
	case key == "" || ok:
		return name
	case key == record.Unknown:
		return record.UnknownName
	case n.show:
		return key
	}
	return unknown
}

// Text is a sentence with the names in it as they may stand.
func (n *Names) Text(s string) string {
	if n.show || len(n.masks) == 0 {
		return s
	}
	var out strings.Builder
	for i := 0; i < len(s); {
		if m, ok := n.at(s, i); ok {
			out.WriteString(m.alias)
			i += len(m.name)
			continue
		}
		_, size := utf8.DecodeRuneInString(s[i:])
		out.WriteString(s[i : i+size])
		i += size
	}
	return out.String()
}

// at finds a name that begins at i and is a word of its own.
func (n *Names) at(s string, i int) (mask, bool) {
	before, _ := utf8.DecodeLastRuneInString(s[:i])
	if i > 0 && inWord(before) {
		return mask{}, false
	}
	for _, m := range n.masks {
		if rest, ok := strings.CutPrefix(s[i:], m.name); ok {
			if after, _ := utf8.DecodeRuneInString(rest); rest == "" || !inWord(after) {
				return m, true
			}
		}
	}
	return mask{}, false
}

func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// keyed are the members that hold a person's key or name and nothing else.
var keyed = []string{"by", "read_by", "seen_by", "person", "who", "accepted", "by_a", "by_b", "of"}

// Value is a JSON value with the names in it as they may stand.
func (n *Names) Value(v jcs.Value) jcs.Value {
	if n.show {
		return v
	}
	return n.value("", v)
}

func (n *Names) value(member string, v jcs.Value) jcs.Value {
	switch v.Kind() {
	case jcs.KindText:
		return jcs.Str(n.under(member, v.Text()))
	case jcs.KindArray:
		items := make([]jcs.Value, 0, len(v.Items()))
		for _, it := range v.Items() {
			items = append(items, n.value(member, it))
		}
		return jcs.Arr(items...)
	case jcs.KindObject:
		members := make([]jcs.Member, 0, len(v.Members()))
		for _, m := range v.Members() {
			members = append(members, jcs.M(m.Key, n.value(m.Key, m.Val)))
		}
		return jcs.Obj(members...)
	}
	return v
}

func (n *Names) under(member, s string) string {
	if !slices.Contains(keyed, member) {
		return n.Text(s)
	}
	if masked := n.Text(s); masked != s {
		return masked
	}
	return n.Person(s)
}
