package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// machinist is a shop that counts otherwise, being put on the convention or
// taken off: name it and the group, and say which of ours is his number 1, or
// his number for each of ours. It shows ours beside his before anything is
// kept; error says what is wrong, and draft is missing while something is.
func (v *viewer) machinist() jcs.Value {
	n, groups := v.st.Numbering, countedOn(v.st)
	out := jcs.Obj(list("groups", groups, func(g pattern.Group) jcs.Value {
		return jcs.Obj(text("key", g.Key), text("word", g.Word), text("short", shortWord(g)), jcs.M("each", jcs.Strs(g.Each)))
	}))
	fail := func(says string) jcs.Value { return out.With("error", jcs.Str(says)) }
	if n.Name == "" {
		return fail("sign the convention first: there is nothing yet to count otherwise than")
	}
	name, of := strings.TrimSpace(v.arg("name")), v.arg("of")
	shops := withoutCount(n.Machinists, name, of)
	if !v.args.Get("off").IsTrue() {
		i := slices.IndexFunc(groups, func(g pattern.Group) bool { return g.Key == of })
		if i < 0 {
			return fail("choose what he counts otherwise, of an engine type that has some")
		}
		c, why := v.typedCount(groups[i])
		out = out.With("rows", jcs.Arr(countRows(groups[i], c)...))
		switch {
		case why != "":
			return fail(why)
		case name == "":
			return fail("say whose numbers they are")
		}
		shops = withCount(shops, name, c)
	}
	body := v.numbering().Without("id").Without("shops")
	machinists, counts := record.Shops(shops)
	body = body.With("machinists", jcs.Arr(machinists...)).With("counts", jcs.Arr(counts...))
	return out.With("draft", jcs.Obj(str("kind", "numbering"), jcs.M("body", body), jcs.M("over", jcs.Strs([]string{string(n.ID)}))))
}

// countedOn lists what is counted on the engine types of a job: a group that
// several have, once, with all its numbers.
func countedOn(st *record.State) []pattern.Group {
	var out []pattern.Group
	for _, s := range st.Patterns {
		if s.Pattern == nil {
			continue
		}
		for _, g := range s.Pattern.Groups() {
			i := slices.IndexFunc(out, func(o pattern.Group) bool { return o.Key == g.Key })
			if i < 0 {
				out = append(out, g)
				continue
			}
			for _, n := range g.Each {
				if !slices.Contains(out[i].Each, n) {
					out[i].Each = append(out[i].Each, n)
				}
			}
		}
	}
	return out
}

// shortWord is how one of a group is said for short: 'pin', 'main'.
func shortWord(g pattern.Group) string {
	if g.Key == "pin" || g.Key == "main" {
		return g.Key
	}
	return g.Word
}

// typedCount reads what was typed of a group, and says what is wrong with it.
// What can be read of it is there to be shown meanwhile.
func (v *viewer) typedCount(g pattern.Group) (record.Count, string) {
	if v.arg("way") == "list" {
		return typedList(g, strings.Fields(strings.ReplaceAll(v.arg("list"), ",", " ")))
	}
	first, err := strconv.Atoi(strings.TrimSpace(v.arg("first")))
	if err != nil || first < 1 || first > len(g.Each) {
		s := shortWord(g)
		return record.Count{Of: g.Key}, "which of our " + s + "s is his " + s + " 1? A whole number from 1 to " + strconv.Itoa(len(g.Each))
	}
	c := record.Count{Of: g.Key, From: "from " + strconv.Itoa(first+1)}
	return c, misfit(g, c)
}

// typedList takes his numbers in the order of ours.
func typedList(g pattern.Group, his []string) (record.Count, string) {
	c, s := record.Count{Of: g.Key}, shortWord(g)
	for i, h := range his[:min(len(his), len(g.Each))] {
		c.Numbers = append(c.Numbers, record.HisName{Ours: g.Each[i], His: h})
	}
	if extra := his[len(c.Numbers):]; len(extra) > 0 {
		return c, "there are " + strconv.Itoa(len(g.Each)) + " of our " + s + "s, and the list has " + strconv.Itoa(len(his)) + ": " + strings.Join(extra, " ") + " would be left over"
	}
	return c, misfit(g, c)
}

// misfit says where a count does not fit the group: a number of his that stands
// twice or is more than a number, or ours that has none.
func misfit(g pattern.Group, c record.Count) string {
	s := shortWord(g)
	ours := map[string]string{}
	var none []string
	for _, n := range g.Each {
		his, ok := c.Number(n)
		switch first, twice := ours[his]; {
		case !ok:
			none = append(none, n)
			continue
		case twice:
			return "his " + s + " " + his + " stands twice: for our " + s + " " + first + " and " + n
		case len(his) > pattern.MaxName || strings.Contains(his, "/"):
			return "his " + s + " for our " + n + " is longer than a number, or has a stroke in it: " + his
		}
		ours[his] = n
	}
	if len(none) > 0 {
		return "our " + s + " " + strings.Join(none, ", ") + " has no number of his yet"
	}
	return ""
}

func countRows(g pattern.Group, c record.Count) []jcs.Value {
	var out []jcs.Value
	for _, n := range g.Each {
		his, _ := c.Number(n)
		out = append(out, jcs.Obj(text("ours", n), text("his", his)))
	}
	return out
}

// withoutCount takes one group of a shop off, or with no group the shop.
func withoutCount(list []record.Machinist, name, of string) []record.Machinist {
	var out []record.Machinist
	for _, m := range list {
		if m.Name == name {
			m.Counts = slices.DeleteFunc(slices.Clone(m.Counts), func(c record.Count) bool { return of == "" || c.Of == of })
		}
		if len(m.Counts) > 0 {
			out = append(out, m)
		}
	}
	return out
}

func withCount(list []record.Machinist, name string, c record.Count) []record.Machinist {
	for i, m := range list {
		if m.Name == name {
			list[i].Counts = append(slices.Clone(m.Counts), c)
			return list
		}
	}
	return append(list, record.Machinist{Name: name, Counts: []record.Count{c}})
}

// Counts says a shop's numbers in words, group by group: 'pin 1 is our pin 6,
// pin 6 our pin 1; main A B C is our main 1 2 3'. A list that no longer fits
// the engine types says so.
func Counts(st *record.State, m record.Machinist) string {
	groups := countedOn(st)
	var says []string
	for _, c := range m.Counts {
		says = append(says, countSays(groups, c))
	}
	return strings.Join(says, "; ")
}

func countSays(groups []pattern.Group, c record.Count) string {
	i := slices.IndexFunc(groups, func(g pattern.Group) bool { return g.Key == c.Of })
	if i < 0 {
		return c.Of + ": no engine type here has any"
	}
	g := groups[i]
	s := shortWord(g)
	first, last := g.Each[0], g.Each[len(g.Each)-1]
	hisFirst, ok := c.Number(first)
	hisLast, ok2 := c.Number(last)
	says := s + " " + strings.Join(hisNumbers(g, c), " ") + " is our " + s + " " + strings.Join(g.Each, " ")
	if c.From != "" && ok && ok2 {
		says = s + " " + hisLast + " is our " + s + " " + last
		if first != last {
			says += ", " + s + " " + hisFirst + " our " + s + " " + first
		}
	}
	if why := misfit(g, c); why != "" {
		says += " (" + why + ")"
	}
	return says
}

func hisNumbers(g pattern.Group, c record.Count) []string {
	var out []string
	for _, n := range g.Each {
		his, ok := c.Number(n)
		if !ok {
			his = "–"
		}
		out = append(out, his)
	}
	return out
}

// shopsAt says what outside shops call a place that they count otherwise: 'Mr Lunt's pin 3'.
func (v *viewer) shopsAt(e *record.Engine, at string) []string {
	var out []string
	for _, m := range v.st.Numbering.Machinists {
		if g, _, his, ok := m.Calls(e.Pattern, at); ok {
			out = append(out, m.Name+"'s "+shortWord(g)+" "+his)
		}
	}
	return out
}
