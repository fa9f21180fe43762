package calc

import (
	"errors"
	"slices"
	"strings"
)

// inputKind is a kind of input: its member in JSON, and what one is called.
type inputKind struct{ kind, member, words string }

var kinds = []inputKind{
	{"item", "items", "reading"}, {"limit", "limits", "limit"}, {"nominal", "nominal", "size"}, {"option", "opts", "option"},
}

// takes lists what a calculation takes as inputs of a kind, each name once. A
// size that is typed may be measured instead; a reading only where Typed says
// so; and what reads lengths takes the expansion of their metal.
func (s Spec) takes(kind string) []Need {
	var out []Need
	add := func(n Need) {
		if !slices.ContainsFunc(out, func(o Need) bool { return o.Name == n.Name }) {
			out = append(out, n)
		}
	}
	for _, n := range s.Needs {
		if n.Kind == kind {
			add(n)
		}
	}
	for _, n := range s.Needs {
		typed := n.Kind == "item" && slices.Contains(strings.Fields(s.Typed), n.Name)
		if kind == "item" && n.Kind == "nominal" || kind == "nominal" && typed {
			n.Kind = kind
			add(n)
		}
	}
	if kind == "option" && slices.ContainsFunc(s.takes("item"), func(n Need) bool { return n.Unit == "length" || n.Unit == "any" }) {
		add(Need{"alpha", "expansion of the part, 10⁻⁶ per kelvin, for readings with a temperature", "", kind, true})
	}
	return out
}

// is reports whether a name is that of the input: "min.*" stands for a family.
func (n Need) is(name string) bool {
	family, ok := strings.CutSuffix(n.Name, "*")
	return n.Name == name || ok && strings.HasPrefix(name, family) && len(name) > len(family)
}

// CheckNames refuses inputs of names that the calculation does not have, which
// it would otherwise never look at. The error names the nearest that it has.
func (s Spec) CheckNames(in Inputs) error {
	for _, given := range []struct {
		kind  string
		names []string
	}{{"item", sorted(in.Items)}, {"limit", sorted(in.Limits)}, {"nominal", sorted(in.Nominal)}, {"option", sorted(in.Opts)}} {
		needs := s.takes(given.kind)
		for _, name := range given.names {
			if !slices.ContainsFunc(needs, func(n Need) bool { return n.is(name) }) {
				return errors.New(s.Name + " takes no " + wordOf(given.kind) + " named '" + name + "'; " + s.instead(given.kind, name, needs))
			}
		}
	}
	return nil
}

// Answer is Run for inputs from outside, where nobody has looked at the
// readings before: names and units are checked, and the readings of one spot by different
// people are held against each other, so that no mean hides that they differ.
func (s Spec) Answer(in Inputs) (Result, error) {
	if err := s.CheckNames(in); err != nil {
		return Result{}, err
	}
	if err := s.CheckUnits(in); err != nil {
		return Result{}, err
	}
	r := s.Run(in)
	if s.Name == pairSpec.Name {
		return r, nil
	}
	for _, name := range sorted(in.Items) {
		r.Disagree = append(r.Disagree, pairSpec.Run(Inputs{Items: map[string][]Item{"reading": named(in.Items[name])}, Opts: in.Opts}).Disagree...)
	}
	if len(r.Disagree) > 0 {
		r.Verdict, r.Close = Contested, false
		r.Says = r.Disagree[0].Says + " " + r.Says
	}
	return r, nil
}

// maxCompared bounds the readings of one name that are held against each other:
// the work grows with the square.
const maxCompared = 400

// named are the readings whose taker is known.
func named(items []Item) []Item {
	items = slices.DeleteFunc(slices.Clone(items), func(it Item) bool { return it.By == "" })
	return items[max(0, len(items)-maxCompared):]
}

func wordOf(kind string) string {
	for _, k := range kinds {
		if k.kind == kind {
			return k.words
		}
	}
	return kind
}

// instead says what was probably meant, the name as another kind of input or
// the nearest name of that kind, and all that there is.
func (s Spec) instead(kind, name string, needs []Need) string {
	for _, n := range s.Needs {
		if n.Kind != kind && n.is(name) {
			return name + " is " + article2(wordOf(n.Kind)) + "; " + s.allNames()
		}
	}
	near, least := "", len(name)/2+1
	for _, n := range needs {
		if d := edits(name, n.Name); d < least {
			near, least = n.Name, d
		}
	}
	if near == "" {
		return s.allNames()
	}
	return "nearest is " + near + "; " + s.allNames()
}

// allNames lists what the calculation takes, by the members of the input.
func (s Spec) allNames() string {
	all := "it takes "
	for _, k := range kinds {
		var names []string
		for _, n := range s.takes(k.kind) {
			names = append(names, n.Name)
		}
		if len(names) > 0 {
			all += k.member + ": " + strings.Join(names, ", ") + "; "
		}
	}
	return strings.TrimSuffix(all, "; ")
}

func article2(word string) string {
	if strings.ContainsRune("aeiou", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}

// edits is how many letters must be put in, taken out or changed to make one
// word of the other (Levenshtein).
func edits(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
