package pattern

import (
	"slices"
	"strconv"
	"strings"
)

// counts are the lines of a sheet that say how many there are of something, in
// the order in which they are changed: whatever hangs on one comes after it.
var counts = []string{"cylinders", "mains", "valves", "studs", "stud_rows"}

// setCount changes how many there are. Places that stay keep all that was said
// of them; new ones come as the small form makes them: in the rows of their
// neighbours, or where there was none, in rows of their own.
func (p *Pattern) setCount(name, text string) string {
	switch name {
	case "valves":
		return p.setValves(strings.Fields(text))
	case "mains":
		if text == "" {
			text = strconv.Itoa(p.Cylinders + 1)
		}
	case "studs", "stud_rows":
		if text == "" {
			return "" // as many as there are: a joint goes by its own line
		}
	}
	n, err := strconv.Atoi(text)
	least, most := limitsOf(name)
	if err != nil || n < least || n > most {
		return "a whole number from " + strconv.Itoa(least) + " to " + strconv.Itoa(most)
	}
	switch name {
	case "cylinders":
		p.setCylinders(n)
	case "mains":
		p.setMains(n)
	case "studs":
		return p.setStuds(n, 0)
	case "stud_rows":
		return p.setStuds(0, n)
	}
	return ""
}

func limitsOf(name string) (least, most int) {
	switch name {
	case "mains":
		return 1, MaxCylinders + 1
	case "studs":
		return 2, MaxEach
	case "stud_rows":
		return 1, 8
	}
	return 1, MaxCylinders
}

// setCylinders takes mains and valves along that followed the cylinders. A
// firing order that no longer names each once is not guessed: it goes.
func (p *Pattern) setCylinders(n int) {
	old := *p
	p.Cylinders = n
	p.recount("cylinders", old.Cylinder(), p.Cylinder())
	if old.Mains == old.Cylinders+1 {
		p.setMains(n + 1)
	}
	if pair := old.valvePair(); pair != "" {
		p.nameValves(Inline{Valves: pair, Cylinders: n}.valves())
	} else if each := len(old.Valves) / old.Cylinders; n < old.Cylinders && len(old.Valves)%old.Cylinders == 0 {
		p.nameValves(old.Valves[:each*n])
	}
	if p.firing(p.JSON()) != nil {
		p.Firing = nil
	}
}

func (p *Pattern) setMains(n int) {
	old := numbers(p.Mains)
	p.Mains = n
	p.recount("mains", old, numbers(n))
}

// ValvesWanted is what the line of the valves takes.
const ValvesWanted = "two letters, as E I, and every second cylinder is the mirror of the one before it, as E1 I1, I2 E2; or every valve by its own name from the first end, as many for each cylinder"

func (p *Pattern) setValves(list []string) string {
	if len(list) == 2 && strings.TrimRight(list[0], "0123456789") == list[0] {
		list = Inline{Valves: strings.Join(list, " "), Cylinders: p.Cylinders}.valves()
	}
	sorted := slices.Clone(list)
	slices.Sort(sorted)
	if len(slices.Compact(sorted)) != len(list) || len(list)%p.Cylinders != 0 {
		return ValvesWanted
	}
	p.nameValves(list)
	return ""
}

func (p *Pattern) nameValves(list []string) {
	old := p.Valves
	p.Valves = list
	p.recount("valves", old, list)
}

// valvePair is the two letters that the valves come from, or "".
func (p *Pattern) valvePair() string {
	if len(p.Valves) < 2 {
		return ""
	}
	pair := strings.TrimRight(p.Valves[0], "0123456789") + " " + strings.TrimRight(p.Valves[1], "0123456789")
	if slices.Equal(p.Valves, Inline{Valves: pair, Cylinders: p.Cylinders}.valves()) {
		return pair
	}
	return ""
}

// valveText is what the line of the valves says: two letters where they say it all.
func (p *Pattern) valveText() string {
	if pair := p.valvePair(); pair != "" {
		return pair
	}
	return strings.Join(p.Valves, " ")
}

// by says which count a row of places is numbered by: "" where by none.
func (p *Pattern) by(f *Feature) string {
	if len(f.Each) == 0 {
		return ""
	}
	switch key, _ := p.groupOf(f, ""); {
	case key == "main":
		return "mains"
	case f.family() == "valve":
		return "valves"
	case key == "cyl", key == "pin", slices.Equal(f.Each, p.Cylinder()):
		return "cylinders"
	}
	return ""
}

// recount renumbers the rows of one count; a row that nothing is left of goes,
// and where there was no row at all, those of the small form come.
func (p *Pattern) recount(count string, old, now []string) {
	before := Pattern{Cylinders: len(old), Features: p.Features} // as the rows were numbered
	var kept []Feature
	rows := 0
	for _, f := range p.Features {
		if before.by(&f) == count {
			rows++
			f.Each = recounted(f.Each, old, now)
			if len(f.Each) == 0 {
				continue
			}
		}
		kept = append(kept, f)
	}
	p.Features = kept
	if rows > 0 || len(now) == 0 {
		return
	}
	made := p.made(0, 0)
	for i := range made.Features {
		if f := &made.Features[i]; made.by(f) == count {
			p.Features = append(p.Features, *f)
		}
	}
}

// recounted keeps who is still there in the order of the walk. A row that had
// all of the old has all of the new; one that had some gets no others.
func recounted(each, old, now []string) []string {
	if slices.Equal(each, old) {
		return now
	}
	out := slices.DeleteFunc(slices.Clone(each), func(n string) bool { return slices.Contains(old, n) && !slices.Contains(now, n) })
	if slices.ContainsFunc(old, func(n string) bool { return !slices.Contains(each, n) }) {
		return out
	}
	for _, n := range now {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// made is the type as the small form makes it from the counts alone.
func (p *Pattern) made(studs, rows int) *Pattern {
	made, err := Parse(Inline{Name: p.Name, End1: p.End1, End2: p.End2, Cylinders: p.Cylinders, Mains: p.Mains, Valves: p.valveText(), Studs: studs, StudRows: rows}.Sheet())
	if err != nil {
		return &Pattern{} // names of valves that the sheet refuses: said when the sheet itself is read
	}
	return made
}

// headJoint is the one joint that the small form makes.
const headJoint = "head"

// studRows is how many rows along the engine the fasteners of a joint stand in.
func (j *Joint) studRows() int {
	var rows []int
	for _, f := range j.Fasteners {
		if !slices.Contains(rows, f.Y) {
			rows = append(rows, f.Y)
		}
	}
	return len(rows)
}

// setStuds lays the head's fasteners out anew as the small form does, where they
// still stood so; 0 is as many as there are. Those placed by hand stay where
// they are: the last ones go, new ones stand behind the last.
func (p *Pattern) setStuds(studs, rows int) string {
	i := slices.IndexFunc(p.Joints, func(j Joint) bool { return j.Joint == headJoint })
	if i < 0 {
		if studs == 0 {
			return "say first how many studs the head has"
		}
		p.Joints = append(p.Joints, p.made(studs, rows).Joints...)
		return ""
	}
	j := &p.Joints[i]
	was := p.made(len(j.Fasteners), j.studRows())
	if studs == 0 {
		studs = len(j.Fasteners)
	}
	if !p.byForm(j) {
		if rows != 0 && rows != j.studRows() {
			return "the studs were placed by hand: move them one by one, under Joints"
		}
		j.fasten(j.names(studs))
		return ""
	}
	if rows == 0 {
		rows = j.studRows()
	}
	now, order, old := p.made(studs, rows).Joints[0], j.Order, j.Fasteners
	j.fasten(names(now.Fasteners))
	j.Fasteners = spread(now.Fasteners, old)
	if slices.Equal(order, was.Joints[0].Order) {
		j.Order = now.Order
	}
	return ""
}

// byForm reports whether the fasteners stand as the small form lays them out.
func (p *Pattern) byForm(j *Joint) bool {
	made := p.made(len(j.Fasteners), j.studRows())
	return len(made.Joints) > 0 && slices.Equal(made.Joints[0].Fasteners, ranked(j.Fasteners))
}

// names are those of a joint's first n fasteners, with new ones after the last.
func (j *Joint) names(n int) []string {
	out := names(j.Fasteners[:min(n, len(j.Fasteners))])
	for next := 1; len(out) < n; next++ {
		if s := strconv.Itoa(next); !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

func names(list []Fastener) []string {
	out := make([]string, 0, len(list))
	for _, f := range list {
		out = append(out, f.Name)
	}
	return out
}

// ranked is a list of fasteners with their places along the engine counted from 0.
func ranked(list []Fastener) []Fastener {
	var xs []int
	for _, f := range list {
		xs = append(xs, f.X)
	}
	slices.Sort(xs)
	xs = slices.Compact(xs)
	out := slices.Clone(list)
	for i := range out {
		out[i].X = slices.Index(xs, out[i].X)
	}
	return out
}

// spread sets ranked fasteners as far apart along the engine as the old ones
// reached, in equal steps, unless the old ones were only ranked themselves.
func spread(list, old []Fastener) []Fastener {
	from, to, last := old[0].X, old[0].X, 0
	for _, f := range old {
		from, to = min(from, f.X), max(to, f.X)
	}
	for _, f := range list {
		last = max(last, f.X)
	}
	if slices.Equal(old, ranked(old)) || to-from < last || last == 0 {
		return list
	}
	out := slices.Clone(list)
	for i := range out {
		out[i].X = from + (2*out[i].X*(to-from)+last)/(2*last) // to the nearest
	}
	return out
}

func (p *Pattern) countFields() []Field {
	studs, rows := "", ""
	if j, ok := p.Joint(headJoint); ok {
		studs, rows = strconv.Itoa(len(j.Fasteners)), "by hand"
		if p.byForm(j) {
			rows = strconv.Itoa(j.studRows())
		}
	}
	one := func(key, label, text string) Field { return Field{key, "count", "", label, text} }
	return []Field{one("cylinders", "Cylinders", strconv.Itoa(p.Cylinders)), one("mains", "Main bearings", strconv.Itoa(p.Mains)),
		one("valves", "Valves of cylinder 1, from the first end, or all by name", p.valveText()), one("studs", "Head studs", studs), one("stud_rows", "Rows of head studs", rows)}
}

// follows reports whether a row is numbered otherwise only because its count
// changed: the count's own line says it.
func (p *Pattern) follows(now *Pattern, key string) bool {
	of := func(p *Pattern) (*Feature, string, []string) {
		for i := range p.Features {
			if f := &p.Features[i]; key == "feature|"+f.At+"|each" {
				by := p.by(f)
				return f, by, map[string][]string{"cylinders": p.Cylinder(), "mains": numbers(p.Mains), "valves": p.Valves}[by]
			}
		}
		return nil, "", nil
	}
	f, by, all := of(p)
	g, byNow, allNow := of(now)
	return f != nil && g != nil && by == byNow && slices.Equal(f.Each, all) && slices.Equal(g.Each, allNow)
}

// laidOut reports whether a fastener of the head may stand elsewhere because
// there are others of them: the head's own lines say so.
func (p *Pattern) laidOut(now *Pattern, key string) bool {
	j, ok := p.Joint(headJoint)
	k, still := now.Joint(headJoint)
	return ok && still && strings.HasPrefix(key, "joint|"+headJoint+"|") && (len(j.Fasteners) != len(k.Fasteners) || j.studRows() != k.studRows() && now.byForm(k))
}
