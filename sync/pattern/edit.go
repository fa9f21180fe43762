package pattern

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
)

// Edit is what somebody typed into a field of a sheet, by the field's key.
// "feature|AT|off" with any text takes a feature off the sheet.
type Edit struct{ Key, Text string }

// Trouble is what is wrong with an edit, and what to do; Key is "" for the sheet as a whole.
type Trouble struct{ Key, Says string }

// With returns the sheet as the edits change it, and what is wrong with them.
// Where something is wrong, that edit is left out, so that the rest can still be
// drawn. What changes how many there are comes first, whenever it was typed.
// p stays as it is.
func (p *Pattern) With(edits []Edit) (*Pattern, []Trouble) {
	now := p.copied()
	var wrong []Trouble
	edits = slices.Clone(edits)
	rank := func(e Edit) int {
		if i := slices.Index(counts, e.Key); i >= 0 {
			return i
		}
		return len(counts)
	}
	slices.SortStableFunc(edits, func(a, b Edit) int { return rank(a) - rank(b) })
	for _, e := range edits {
		kept := now.copied()
		why := now.set(strings.Split(e.Key, "|"), strings.TrimSpace(e.Text))
		if why == "" {
			if _, err := Parse(now.JSON()); err != nil {
				why = strings.TrimPrefix(err.Error(), "type sheet: ")
			}
		}
		if why != "" {
			now = kept
			wrong = append(wrong, Trouble{e.Key, why})
		}
	}
	if now.Cylinders != p.Cylinders && len(now.Valves)%now.Cylinders != 0 {
		wrong = append(wrong, Trouble{"valves", ValvesWanted})
	}
	return now, wrong
}

func (p *Pattern) copied() *Pattern {
	c := *p
	c.Nominal, c.Undersizes = maps.Clone(p.Nominal), maps.Clone(p.Undersizes)
	c.Features, c.Joints = slices.Clone(p.Features), slices.Clone(p.Joints)
	for i := range c.Joints {
		c.Joints[i].Fasteners = slices.Clone(c.Joints[i].Fasteners)
	}
	return &c
}

const noField = "a type sheet has no such line"

func (p *Pattern) set(path []string, text string) string {
	switch {
	case len(path) == 1:
		return p.setOwn(path[0], text)
	case path[0] == "nominal" && len(path) == 2:
		return p.setNominal(path[1], text)
	case path[0] == "undersize" && len(path) == 3:
		return p.setUndersize(path[1], path[2], text)
	case path[0] == "feature" && len(path) == 3:
		return p.setFeature(path[1], path[2], text)
	case path[0] == "joint" && len(path) >= 3:
		return p.setJoint(path[1], path[2:], text)
	}
	return noField
}

// lines are the plain lines of a thing by their names: texts, and lists of words.
type lines struct {
	texts map[string]*string
	lists map[string]*[]string
}

func (l lines) set(name, text string) string {
	if t, ok := l.texts[name]; ok {
		*t = text
		return ""
	}
	if list, ok := l.lists[name]; ok {
		*list = strings.Fields(text)
		return ""
	}
	return noField
}

func (p *Pattern) setOwn(name, text string) string {
	if slices.Contains(counts, name) {
		return p.setCount(name, text)
	}
	switch name {
	case "rows":
		p.Rows = commaList(text)
		return ""
	case "firing":
		text = strings.ReplaceAll(text, "-", " ")
	}
	return lines{map[string]*string{"name": &p.Name, "end1": &p.End1, "end2": &p.End2, "valve_angle": &p.ValveAngle},
		map[string]*[]string{"firing": &p.Firing}}.set(name, text)
}

func commaList(text string) []string {
	var out []string
	for _, s := range strings.Split(text, ",") {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// setNominal changes a size, adds one, or with no text takes one away. Without
// a unit of its own a text keeps the unit of the size before it; a new one says it.
func (p *Pattern) setNominal(name, text string) string {
	if name == "" || len(name) > 2*MaxName {
		return "a size needs a short name"
	}
	if text == "" {
		delete(p.Nominal, name)
		return ""
	}
	w, why := quantity.Typed(text, p.Nominal[name].Unit)
	if w.Unit == "" {
		return "say the unit too, as in 107.00 mm"
	}
	p.Nominal[name] = w
	return why
}

func (p *Pattern) setUndersize(kind, name, text string) string {
	u, there := p.Undersizes[kind]
	if !there {
		u.Cleanup = quantity.Written{Text: "0", Unit: "mm"}
	}
	switch name {
	case "steps":
		u.Steps = strings.Fields(text)
	case "tolerance":
		u.Tolerance = text
	case "cleanup":
		w, why := quantity.Typed(text, u.Cleanup.Unit)
		if why != "" {
			return why
		}
		u.Cleanup = w
	default:
		return noField
	}
	if name == "steps" && text == "" {
		delete(p.Undersizes, kind)
		return ""
	}
	p.Undersizes[kind] = u
	return ""
}

// setFeature changes a row of the sheet. One that is not there yet begins with its words.
func (p *Pattern) setFeature(at, name, text string) string {
	i := slices.IndexFunc(p.Features, func(f Feature) bool { return f.At == at })
	if name == "off" {
		if i >= 0 {
			p.Features = slices.Delete(p.Features, i, i+1)
		}
		return ""
	}
	if i < 0 {
		if name != "words" || text == "" {
			return "the sheet has no place " + at + "; say first what it is called"
		}
		p.Features = append(p.Features, Feature{At: at, Words: text, Sheet: "More", Unit: "mm", Shape: "list"})
		if strings.Contains(at, ".N.") {
			p.Features[len(p.Features)-1].Each = p.Cylinder()
		}
		return ""
	}
	f := &p.Features[i]
	if name == "unit" {
		text = unitCode(text)
	}
	return lines{map[string]*string{"words": &f.Words, "sheet": &f.Sheet, "unit": &f.Unit, "size": &f.Size},
		map[string]*[]string{"each": &f.Each, "points": &f.Points}}.set(name, text)
}

// unitCode takes a unit by its code or its sign: "cm³" for "cm3".
func unitCode(text string) string {
	for _, u := range quantity.Units() {
		if text != "" && u.Symbol == text {
			return u.Code
		}
	}
	return text
}

// setJoint changes a joint, or one of its fasteners. A joint that is not there yet begins with its words and one fastener.
func (p *Pattern) setJoint(name string, path []string, text string) string {
	i := slices.IndexFunc(p.Joints, func(j Joint) bool { return j.Joint == name })
	switch {
	case path[0] == "off":
		if i >= 0 {
			p.Joints = slices.Delete(p.Joints, i, i+1)
		}
		return ""
	case i < 0 && (path[0] != "words" || text == ""):
		return "there is no joint " + name + "; say first what it is called"
	case i < 0:
		p.Joints = append(p.Joints, Joint{Joint: name, Words: text, Fasteners: []Fastener{{"1", 0, 500}}})
		return ""
	case len(path) == 2:
		return p.Joints[i].place(path[0], path[1], text)
	}
	return p.Joints[i].set(path[0], text)
}

func (j *Joint) set(name, text string) string {
	switch name {
	case "fasteners":
		j.fasten(strings.Fields(text))
		return ""
	case "passes":
		return j.setPasses(text)
	}
	return lines{map[string]*string{"words": &j.Words, "thread": &j.Thread}, map[string]*[]string{"order": &j.Order}}.set(name, text)
}

// fasten sets which fasteners there are: those that stay keep their places, new
// ones stand behind the last, and the order goes on with them.
func (j *Joint) fasten(names []string) {
	old, end := j.Fasteners, 0
	for _, f := range old {
		end = max(end, f.X)
	}
	j.Fasteners = nil
	for _, n := range names {
		i := slices.IndexFunc(old, func(f Fastener) bool { return f.Name == n })
		if i >= 0 {
			j.Fasteners = append(j.Fasteners, old[i])
			continue
		}
		end++
		j.Fasteners = append(j.Fasteners, Fastener{n, end, 500})
	}
	if len(j.Order) == 0 {
		return
	}
	order := slices.DeleteFunc(slices.Clone(j.Order), func(n string) bool { return !slices.Contains(names, n) })
	for _, n := range names {
		if !slices.Contains(order, n) {
			order = append(order, n)
		}
	}
	j.Order = order
}

func (j *Joint) place(fastener, axis, text string) string {
	i := slices.IndexFunc(j.Fasteners, func(f Fastener) bool { return f.Name == fastener })
	n, err := strconv.Atoi(text)
	switch {
	case i < 0:
		return "there is no fastener " + fastener
	case err != nil || n < 0 || n > 1000:
		return "a place is a whole number from 0 to 1000"
	case axis == "x":
		j.Fasteners[i].X = n
	case axis == "y":
		j.Fasteners[i].Y = n
	default:
		return noField
	}
	return ""
}

// setPasses reads '50 90 130 N·m', or one by one with commas: '50 N·m, 90 lbf·ft'.
func (j *Joint) setPasses(text string) string {
	list := commaList(text)
	if len(list) == 1 {
		list = strings.Fields(list[0])
	}
	unit := "N.m"
	if k := len(list); k > 1 {
		if last, why := quantity.Typed("1 "+list[k-1], ""); why == "" { // the last word is a unit
			unit, list = last.Unit, list[:k-1]
		}
	}
	var passes []quantity.Written
	for _, t := range list {
		w, why := quantity.Typed(t, unit)
		if why != "" {
			return t + ": " + why
		}
		passes = append(passes, w)
	}
	j.Passes = passes
	return ""
}
