package pattern

import (
	"slices"
	"strings"
)

// Group is a row of places, or of a joint's fasteners, that somebody counts in
// one go: the mains, the pins, the exhaust valves, the head's studs.
type Group struct {
	Key  string   // "main", "valve.E", "head.stud"; holds no '/'
	Word string   // one of them: "main bearing", "exhaust valve", "cylinder head stud"
	Each []string // what we call them, from end 1: "1" to "7", "E1" to "E6"
}

// Groups lists what is counted on an engine of the type, in the order of its
// sheet, each with one at least. Rows that are called alike are one group: a
// rod's side float belongs to the big-end pin. Valves are counted by their kind.
func (p *Pattern) Groups() []Group {
	var out []Group
	add := func(key, word, n string) {
		i := slices.IndexFunc(out, func(g Group) bool { return g.Key == key })
		if i < 0 {
			i = len(out)
			out = append(out, Group{Key: key, Word: word})
		}
		if !slices.Contains(out[i].Each, n) {
			out[i].Each = append(out[i].Each, n)
		}
	}
	for i := range p.Features {
		for _, n := range p.Features[i].Each {
			key, word := p.groupOf(&p.Features[i], n)
			add(key, word, n)
		}
	}
	for _, j := range p.Joints {
		for _, f := range j.Fasteners {
			add(j.Joint+".stud", j.Words+" stud", f.Name)
		}
	}
	return out
}

// GroupOf returns the group that a place is counted in, and our number of it
// there. It reports false for a place that stands alone, or is not on the sheet.
func (p *Pattern) GroupOf(at string) (Group, string, bool) {
	key, n := "", ""
	if joint, stud, ok := strings.Cut(at, ".stud."); ok {
		key, n = joint+".stud", stud
	} else if pl, ok := p.Find(at); ok && pl.N != "" {
		key, _ = p.groupOf(pl.Feature, pl.N)
		n = pl.N
	}
	groups := p.Groups()
	i := slices.IndexFunc(groups, func(g Group) bool { return g.Key == key })
	if i < 0 || !slices.Contains(groups[i].Each, n) {
		return Group{}, "", false
	}
	return groups[i], n, true
}

// groupOf names the group of one place of a row: after the first row that is
// called alike, and a valve after its kind too.
func (p *Pattern) groupOf(f *Feature, n string) (key, word string) {
	word = f.counted()
	for i := range p.Features {
		g := &p.Features[i]
		if len(g.Each) > 0 && (g.counted() == word || g.family() == f.family()) {
			key, word = g.family(), g.counted()
			break
		}
	}
	if key != "valve" {
		return key, word
	}
	kind := strings.TrimRight(n, "0123456789")
	switch kind {
	case "":
		return key, word
	case "E":
		word = "exhaust " + word
	case "I":
		word = "inlet " + word
	default:
		word += " " + kind
	}
	return key + "." + kind, word
}

func (f *Feature) family() string {
	family, _, _ := strings.Cut(f.At, ".")
	return family
}

// counted is what one of the row is called without its number: "main bearing".
func (f *Feature) counted() string {
	head, _, _ := strings.Cut(f.Words, " · ")
	return strings.TrimSpace(strings.ReplaceAll(head, "{n}", ""))
}
