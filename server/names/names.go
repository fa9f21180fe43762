// Package names says under which name a person stands in what leaves the workshop: by name, or, where names are left out, as
// "person 1", so that it can still be seen what was read by the same one. It masks the people of the job, under every name
// that was ever entered for them, and the machinists of its numbering convention, also inside sentences. What is an engine's
// serial or name stays, and so do keys and hashes: a name begins with a capital or has several words. A name that nobody
// entered as a person is not known to it, nor one of one word that is typed without its capital, nor a small word of a longer
// name by itself, as the Le of Kim Le.
package names

import (
	"html"
	"regexp"
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

// mask is what stands for a name. A whole one of several words is known by them however they are written.
type mask struct {
	name, alias string
	whole       bool
}

// unknown stands for a key that no person entry explains, where names are left out.
const unknown = "somebody who is not on the list of people"

var otherMark = strings.NewReplacer("'", "’", "’", "'")

// Of returns the names of a job. With show they stand as they are.
func Of(st *record.State, show bool) *Names {
	n := &Names{show: show, people: map[string]string{}}
	for _, e := range st.Engines {
		n.masks = append(n.masks, mask{e.Serial, e.Serial, false}, mask{e.Name, e.Name, false}) // the first of equals counts
	}
	for i, p := range st.People {
		alias := "person " + strconv.Itoa(i+1)
		n.people[p.Key] = alias
		if show {
			n.people[p.Key] = p.Name
		}
	}
	for _, p := range st.EverNamed() {
		alias, ok := n.people[p.Key]
		if !ok {
			alias = unknown
		}
		n.mask(p.Name, alias)
	}
	for i, m := range st.Numbering.Machinists {
		n.mask(m.Name, "machinist "+strconv.Itoa(i+1))
	}
	n.masks = slices.DeleteFunc(n.masks, func(m mask) bool { return m.name == "" })
	for _, m := range n.masks { // phones write one apostrophe, machines the other
		if name := otherMark.Replace(m.name); name != m.name {
			n.masks = append(n.masks, mask{name, m.alias, m.whole})
		}
	}
	slices.SortStableFunc(n.masks, func(a, b mask) int { return len(b.name) - len(a.name) })
	return n
}

// mask notes a whole name and each word of it that is long enough to be one.
func (n *Names) mask(name, alias string) {
	words := strings.Fields(name)
	if name == strings.ToLower(name) {
		for i, w := range words {
			words[i] = capital(w)
		}
	}
	if len(words) == 1 { // there is nothing else that it could be known by
		n.masks = append(n.masks, mask{bare(words[0]), alias, false})
	}
	for i := range words {
		for _, part := range append(strings.Split(words[i], "-"), words[i]) {
			if word := bare(part); isName(word) {
				n.masks = append(n.masks, mask{word, alias, false}, mask{strings.ToUpper(word), alias, false})
			}
		}
		for k := i + 2; k <= len(words); k++ {
			n.masks = append(n.masks, mask{bare(strings.Join(words[i:k], " ")), alias, k-i == len(words)})
		}
	}
}

// bare is a name without the marks around it.
func bare(name string) string {
	return strings.TrimFunc(name, func(r rune) bool { return !inWord(r) })
}

// capital is a word with a capital at its beginning: who types a whole name without one means the same.
func capital(word string) string {
	first, size := utf8.DecodeRuneInString(word)
	return string(unicode.ToUpper(first)) + word[size:]
}

// isName tells a name from a title, initials or a small word that a sentence may begin with: a capital and two more letters, or
// a small one.
func isName(word string) bool {
	first, size := utf8.DecodeRuneInString(word)
	rest := word[size:]
	return unicode.IsUpper(first) && (utf8.RuneCountInString(rest) > 1 || rest != strings.ToUpper(rest)) && !slices.Contains(noNames, word)
}

var noNames = strings.Fields("Mr Ms Mrs Mx Miss Sir Dr St Am An As At Be By De Di Do Du Go He If In Is It La Le Me My No Of Oh Ok On Or So To Up Us Van Von We")

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
		if rest, ok := m.cut(s[i:]); ok {
			if after, _ := utf8.DecodeRuneInString(rest); rest == "" || !inWord(after) {
				return m, true
			}
		}
	}
	return mask{}, false
}

// cut is what follows the name that s begins with.
func (m mask) cut(s string) (rest string, ok bool) {
	if m.whole && len(s) >= len(m.name) && strings.EqualFold(s[:len(m.name)], m.name) {
		return s[len(m.name):], true
	}
	return strings.CutPrefix(s, m.name)
}

func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// keyed are the members that hold a person's key or name and nothing else.
var keyed = []string{"by", "read_by", "seen_by", "person", "who", "accepted", "by_a", "by_b", "of"}

// drawing is the member that holds a drawing, of which only words are looked at: what stands between tags, and its label.
const drawing = "svg"

var inDrawing = regexp.MustCompile(`>[^<]+|aria-label="[^"]*`)

// Value is a JSON value with the names in it as they may stand.
func (n *Names) Value(v jcs.Value) jcs.Value {
	if n.show {
		return v
	}
	return n.value("", v)
}

// escaped is Text of what stands in a drawing, after the mark that it begins with.
func (n *Names) escaped(s string) string {
	at := strings.IndexAny(s, `>"`) + 1
	plain := html.UnescapeString(s[at:])
	if shown := n.Text(plain); shown != plain {
		return s[:at] + html.EscapeString(shown)
	}
	return s
}

func (n *Names) value(member string, v jcs.Value) jcs.Value {
	switch v.Kind() {
	case jcs.KindText:
		if member == drawing {
			return jcs.Str(inDrawing.ReplaceAllStringFunc(v.Text(), n.escaped))
		}
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
