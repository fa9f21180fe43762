// Package pattern reads the type sheet of an engine: its places and points,
// numbering, nominal sizes and joints. A type is described once and placed as
// often as there are engines.
package pattern

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// Limits on what a type sheet may hold.
const (
	MaxCylinders = 16
	MaxFeatures  = 100
	MaxEach      = 200
	MaxName      = 20 // bytes of one word of a place or point
)

// Pattern is an engine type.
type Pattern struct {
	Name       string
	Cylinders  int
	Mains      int
	Firing     []string
	End1, End2 string   // as the sheet calls them: "timing end", "flywheel end"
	Rows       []string // the sides along the block, as "pump side", "manifold side"
	Valves     []string // from end 1, as E1 I1 I2 E2
	ValveAngle string   // degrees between valve and cylinder axis, as written
	Nominal    map[string]quantity.Written
	Undersizes map[string]Undersize         // by kind of journal: "pin", "main"
	Options    map[string]map[string]string // what a calculation is told, by its name
	Features   []Feature
	Joints     []Joint
}

// Feature is something measured at each of a row of positions.
type Feature struct {
	At     string   // "main.N.journal"; without N there is one
	Each   []string // what N stands for, in walking order: "1" to "7", or valves
	Words  string   // "main bearing {n} · journal"
	Part   string   // the part that a size belongs to and follows, as "crank"; or ""
	Sheet  string   // the list it stands on: "Crank and bearings"
	Points []string // "a.V" …; empty for one unnamed point
	Unit   string
	Size   string // name of its nominal size, or ""
	Shape  string // how the map draws it: journal, shell, cylinder, valve, gasket, crank; any other, as list, is not drawn: its places stand in the lists
	Calc   string // the calculation that its readings go into, or ""
	Item   string // as what
}

// Joint is a row of fasteners tightened together.
type Joint struct {
	Joint     string // "head"
	Words     string
	Fasteners []Fastener
	Passes    []quantity.Written // torque of each pass
	Thread    string             // the state that the torque is given for
	Order     []string           // in which a pass goes round
}

// Fastener is one stud or bolt, placed on a drawing of 1000 by 1000.
type Fastener struct {
	Name string
	X, Y int
}

// Undersize is what a grinder may offer for a kind of journal.
type Undersize struct {
	Steps     []string // as written, in the unit of the size
	Tolerance string
	Cleanup   quantity.Written
}

// Place is one position of one feature.
type Place struct {
	At      string // "main.3.journal"
	N       string // "3", or ""
	Feature *Feature
}

// Places returns every place, in the order of the sheets.
func (p *Pattern) Places() []Place {
	var out []Place
	for i := range p.Features {
		f := &p.Features[i]
		if len(f.Each) == 0 {
			out = append(out, Place{f.At, "", f})
		}
		for _, n := range f.Each {
			out = append(out, Place{f.place(n), n, f})
		}
	}
	return out
}

func (f *Feature) place(n string) string { return strings.Replace(f.At, ".N.", "."+n+".", 1) }

// Find returns the place of that name.
func (p *Pattern) Find(at string) (Place, bool) {
	parts := strings.Split(at, ".")
	for i := range p.Features {
		f := &p.Features[i]
		if len(f.Each) == 0 && f.At == at {
			return Place{at, "", f}, true
		}
		if len(parts) == 3 && len(f.Each) > 0 && f.place(parts[1]) == at && slices.Contains(f.Each, parts[1]) {
			return Place{at, parts[1], f}, true
		}
	}
	return Place{}, false
}

// Has reports whether the sheet has a place or a joint of that name, one of its
// fasteners ("head.stud.14"), or something of which its places are: main.3 of
// main.3.journal.
func (p *Pattern) Has(at string) bool {
	if _, ok := p.Joint(at); ok {
		return true
	}
	if joint, stud, ok := strings.Cut(at, ".stud."); ok {
		if j, ok := p.Joint(joint); ok {
			return j.Has(stud)
		}
	}
	for i := range p.Features {
		f := &p.Features[i]
		if len(f.Each) == 0 && (f.At == at || strings.HasPrefix(f.At, at+".")) {
			return true
		}
		family, rest, _ := strings.Cut(at, ".")
		n, what, whole := strings.Cut(rest, ".")
		if len(f.Each) > 0 && f.family() == family && (rest == "" || slices.Contains(f.Each, n)) && (!whole || f.place(n) == family+"."+n+"."+what) {
			return true
		}
	}
	return false
}

// Has reports whether the joint has a fastener of that name.
func (j *Joint) Has(fastener string) bool {
	return slices.ContainsFunc(j.Fasteners, func(f Fastener) bool { return f.Name == fastener })
}

// RowOf is which fastener that is as it is counted along its row: its row's
// place across the engine, and how many of the row stand before it.
func (j *Joint) RowOf(fastener string) (at Fastener) {
	i := slices.IndexFunc(j.Fasteners, func(f Fastener) bool { return f.Name == fastener })
	if i < 0 {
		return at
	}
	at.Y = j.Fasteners[i].Y
	for _, f := range j.Fasteners {
		if f.Y == at.Y && f.X < j.Fasteners[i].X {
			at.X++
		}
	}
	return at
}

// Words says a place in the words of the trade.
func (p *Pattern) Words(at string) string {
	if pl, ok := p.Find(at); ok {
		return strings.ReplaceAll(pl.Feature.Words, "{n}", pl.N)
	}
	if j, ok := p.Joint(at); ok {
		return j.Words
	}
	if joint, stud, ok := strings.Cut(at, ".stud."); ok {
		return joint + " stud " + stud
	}
	return strings.ReplaceAll(at, ".", " ")
}

// PointWords says a point of a place.
func PointWords(point string) string {
	plane, dir, ok := strings.Cut(point, ".")
	switch {
	case point == "":
		return ""
	case !ok:
		return "spot " + point
	case plane == "top" || plane == "middle" || plane == "bottom":
		return plane + ", " + dir
	case dir == "V":
		return "plane " + plane + ", in the throw"
	case dir == "H":
		return "plane " + plane + ", square to it"
	}
	return "plane " + plane + ", " + dir
}

// PointHelp says what the short names of a feature's points mean; nothing for a feature whose names say it themselves.
func (p *Pattern) PointHelp(f *Feature) []string {
	var out []string
	says := func(name string, is func(plane, dir string) bool, words string) {
		if slices.ContainsFunc(f.Points, func(point string) bool { plane, dir, _ := strings.Cut(point, "."); return is(plane, dir) }) {
			out = append(out, name+": "+words)
		}
	}
	plane := func(name string) func(string, string) bool {
		return func(plane, _ string) bool { return plane == name }
	}
	dir := func(name string) func(string, string) bool { return func(_, dir string) bool { return dir == name } }
	says("a", plane("a"), "the plane nearest the "+p.End1+", clear of the fillet")
	says("b", plane("b"), "the plane in the middle")
	says("c", plane("c"), "the plane nearest the "+p.End2+", clear of the fillet")
	says("V", dir("V"), "in the throw, from the crank's own centre towards the pin; of shells, square to the joint of their cap")
	says("H", dir("H"), "square to it, a quarter turn round")
	says("thrust", dir("thrust"), "across the engine, where the piston bears while it pushes down")
	return out
}

// PointsOf returns the points of a feature: one without a name at least.
func (f *Feature) PointsOf() []string {
	if len(f.Points) == 0 {
		return []string{""}
	}
	return f.Points
}

// Joint returns the joint of that name.
func (p *Pattern) Joint(name string) (*Joint, bool) {
	for i := range p.Joints {
		if p.Joints[i].Joint == name {
			return &p.Joints[i], true
		}
	}
	return nil, false
}

// Sheets returns the names of the sheets, in order.
func (p *Pattern) Sheets() []string {
	var out []string
	for _, f := range p.Features {
		if !slices.Contains(out, f.Sheet) {
			out = append(out, f.Sheet)
		}
	}
	return out
}

// Cylinder returns the names of the cylinders, "1" first.
func (p *Pattern) Cylinder() []string { return numbers(p.Cylinders) }

func numbers(n int) []string {
	out := make([]string, 0, n)
	for i := 1; i <= n; i++ {
		out = append(out, strconv.Itoa(i))
	}
	return out
}

func written(v jcs.Value) quantity.Written {
	return quantity.Written{Text: v.Get("t").Text(), To: v.Get("to").Text(), Unit: v.Get("u").Text(), Is: v.Get("is").Text()}
}

// CondWords says a condition in the words of the trade.
func CondWords(cond string) string {
	label, trial := strings.CutPrefix(cond, "trial:")
	n, machined := strings.CutPrefix(cond, "machined:")
	switch {
	case cond == "found":
		return "as found"
	case cond == "built":
		return "as built"
	case trial:
		return "on trial with " + label
	case machined && n == "1":
		return "after machining"
	case machined:
		return "after machining " + n
	}
	return cond
}
