package pattern

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
)

// Field is one thing that a type sheet says, by a name that With takes, in
// words and as text.
type Field struct {
	Key   string // "nominal|bore", "feature|main.N.journal|points"
	Group string // what it belongs to: "", "count", "nominal", "undersize", "feature", "joint", "fastener"
	Of    string // whose it is, in words: "main bearing · journal"; "" of the engine
	Label string
	Text  string
}

// Fields lists all that can be changed on a sheet, in the order in which it is read.
func (p *Pattern) Fields() []Field {
	out := []Field{
		{"name", "", "", "Name", p.Name}, {"end1", "", "", "One end is called", p.End1}, {"end2", "", "", "The other", p.End2},
		{"rows", "", "", "The sides along the block", strings.Join(p.Rows, ", ")}, {"firing", "", "", "Firing order", strings.Join(p.Firing, " ")},
		{"valve_angle", "", "", "Valve to cylinder axis, degrees", p.ValveAngle},
	}
	out = append(out, p.countFields()...)
	for _, name := range sortedNames(p.Nominal) {
		out = append(out, Field{"nominal|" + name, "nominal", "", p.sizeWords(name), p.Nominal[name].String()})
	}
	for _, kind := range sortedNames(p.Undersizes) {
		u, of := p.Undersizes[kind], p.journalWords(kind)
		out = append(out, Field{"undersize|" + kind + "|steps", "undersize", of, "Undersizes on offer, mm", strings.Join(u.Steps, " ")},
			Field{"undersize|" + kind + "|tolerance", "undersize", of, "The grinder's tolerance, mm", u.Tolerance},
			Field{"undersize|" + kind + "|cleanup", "undersize", of, "What grinding must take off at least", u.Cleanup.String()})
	}
	for i := range p.Features {
		out = append(out, p.Features[i].fields()...)
	}
	for i := range p.Joints {
		out = append(out, p.Joints[i].fields()...)
	}
	return out
}

func (f *Feature) fields() []Field {
	key, of := "feature|"+f.At+"|", f.title()
	one := func(name, label, text string) Field { return Field{key + name, "feature", of, label, text} }
	out := []Field{one("words", "Called", f.Words), one("sheet", "On the sheet", f.Sheet)}
	if len(f.Each) > 0 {
		out = append(out, one("each", "Numbered", strings.Join(f.Each, " ")))
	}
	return append(out, one("points", "Measured at", strings.Join(f.Points, " ")), one("unit", "In", f.Unit), one("size", "Its nominal size", f.Size))
}

func (j *Joint) fields() []Field {
	key := "joint|" + j.Joint + "|"
	one := func(name, label, text string) Field { return Field{key + name, "joint", j.Words, label, text} }
	var names []string
	for _, f := range j.Fasteners {
		names = append(names, f.Name)
	}
	out := []Field{one("words", "Called", j.Words), one("fasteners", "Fasteners", strings.Join(names, " ")), one("order", "Order of tightening", strings.Join(j.Order, " ")),
		one("passes", "Torque of each pass", torques(j.Passes)), one("thread", "Thread", j.Thread)}
	for _, f := range j.Fasteners {
		of := j.Words + ", " + f.Name
		out = append(out, Field{key + f.Name + "|x", "fastener", of, "Along the engine", strconv.Itoa(f.X)}, Field{key + f.Name + "|y", "fastener", of, "Across it", strconv.Itoa(f.Y)})
	}
	return out
}

// title is a feature in words without its number: "main bearing · journal".
func (f *Feature) title() string {
	words := strings.ReplaceAll(strings.ReplaceAll(f.Words, "{n}", ""), "  ", " ")
	return strings.TrimSpace(strings.ReplaceAll(words, " ·", " ·"))
}

// torques writes the passes as people do: '50 90 130 N·m' where all have one unit.
func torques(passes []quantity.Written) string {
	var each, bare []string
	for _, w := range passes {
		each = append(each, w.String())
		bare = append(bare, w.Text)
		if w.Unit != passes[0].Unit || strings.ContainsRune(w.Text, ' ') || w.To != "" || w.Is != "" {
			bare = append(bare, "")
		}
	}
	if len(passes) == 0 || slices.Contains(bare, "") {
		return strings.Join(each, ", ")
	}
	u, _ := quantity.Lookup(passes[0].Unit)
	return strings.Join(bare, " ") + " " + u.Symbol
}

// sizeWords says what a nominal size is of: by the features that name it, or by itself.
func (p *Pattern) sizeWords(name string) string {
	for i := range p.Features {
		if p.Features[i].Size == name {
			return p.Features[i].title()
		}
	}
	return strings.ReplaceAll(strings.ReplaceAll(name, ".", ": "), "_", " ")
}

func (p *Pattern) journalWords(kind string) string {
	for i := range p.Features {
		if p.Features[i].At == kind+".N.journal" {
			return p.Features[i].title()
		}
	}
	return kind
}

func sortedNames[T any](m map[string]T) []string {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// Change is one thing that two sheets say otherwise; Was or Now is "" where one says nothing.
type Change struct{ Of, Label, Was, Now string }

// Changes lists what a newer sheet says otherwise than p.
func (p *Pattern) Changes(now *Pattern) []Change {
	before, after := p.Fields(), now.Fields()
	find := func(list []Field, key string) (Field, bool) {
		i := slices.IndexFunc(list, func(f Field) bool { return f.Key == key })
		if i < 0 {
			return Field{}, false
		}
		return list[i], true
	}
	var out []Change
	for _, f := range before {
		switch g, there := find(after, f.Key); {
		case !there && (f.Group == "feature" || f.Group == "joint" || f.Group == "fastener") && !strings.HasSuffix(f.Key, "|words"): // its first line says that all of it goes
		case there && (p.follows(now, f.Key) || f.Group == "fastener" && p.laidOut(now, f.Key)):
		case !there && f.Group == "feature":
			out = append(out, Change{f.Of, "its place on the sheet", p.sheetOf(f.Key), ""})
		case g.Text != f.Text:
			out = append(out, Change{f.Of, f.Label, f.Text, g.Text})
		}
	}
	for _, g := range after {
		if _, there := find(before, g.Key); !there && g.Text != "" && g.Group != "fastener" { // the joint's line names them
			out = append(out, Change{g.Of, g.Label, "", g.Text})
		}
	}
	return append(out, p.unseen(now)...)
}

func (p *Pattern) sheetOf(key string) string {
	for i := range p.Features {
		if strings.HasPrefix(key, "feature|"+p.Features[i].At+"|") {
			return p.Features[i].Sheet
		}
	}
	return ""
}

// unseen are the changes of what no field shows: what feeds a calculation, how the map draws it.
func (p *Pattern) unseen(now *Pattern) []Change {
	var out []Change
	add := func(of, label, was, is string) {
		if was != is {
			out = append(out, Change{of, label, was, is})
		}
	}
	for i := range p.Features {
		f := &p.Features[i]
		for k := range now.Features {
			if g := &now.Features[k]; g.At == f.At {
				add(f.title(), "Goes into the calculation", strings.TrimSpace(f.Calc+" "+f.Item), strings.TrimSpace(g.Calc+" "+g.Item))
				add(f.title(), "Drawn as", f.Shape, g.Shape)
				add(f.title(), "Belongs to the part", f.Part, g.Part)
			}
		}
	}
	add("", "What the calculations are told", p.optionWords(), now.optionWords())
	return out
}

func (p *Pattern) optionWords() string {
	var out []string
	for _, calc := range sortedNames(p.Options) {
		for _, name := range sortedNames(p.Options[calc]) {
			out = append(out, calc+" "+name+": "+p.Options[calc][name])
		}
	}
	return strings.Join(out, "; ")
}
