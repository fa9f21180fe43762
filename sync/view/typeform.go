package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
)

// typeForm reads the small form of an engine type. What is wrong with a line is
// said and the line left out, so that the rest is drawn while somebody types.
type typeForm struct {
	form  jcs.Value
	wrong []pattern.Trouble
}

// typeOfForm is nil while there is too little to draw anything.
func typeOfForm(form jcs.Value) (*pattern.Pattern, []pattern.Trouble) {
	f := &typeForm{form: form}
	in := pattern.Inline{Name: f.must("name", "new type", "call it as it stands on its plate"),
		End1: f.must("end1", "one end", "what stands at that end and cannot be mistaken, as timing end"), End2: f.must("end2", "other end", "what stands at the other end, as flywheel end"),
		Cylinders: f.whole("cylinders", 1, pattern.MaxCylinders, true)}
	if in.End1 == in.End2 {
		f.say("end2", "both ends are called alike: name each by a thing that only it has")
	}
	if in.Cylinders == 0 {
		return nil, f.wrong
	}
	in.Mains = f.whole("mains", 1, pattern.MaxCylinders+1, false)
	in.Studs, in.StudRows = f.whole("studs", 2, pattern.MaxEach, false), f.whole("stud_rows", 1, 8, false)
	in.Firing, in.Valves = f.firing(in.Cylinders), f.valves(in.Cylinders)
	in.Undersizes, in.Torques = f.values("undersizes", "mm"), f.values("torques", "N.m")
	in.Sizes = map[string]string{}
	for _, size := range []string{"bore", "stroke", "main", "pin", "opening", "compressed", "free", "protrusion"} {
		if t := f.values(size, "mm"); t != "" {
			in.Sizes[size] = t
		}
	}
	p, err := pattern.Parse(in.Sheet())
	if err != nil {
		f.say("", strings.TrimPrefix(err.Error(), "type sheet: "))
	}
	return p, f.wrong
}

func (f *typeForm) say(key, says string) {
	f.wrong = append(f.wrong, pattern.Trouble{Key: key, Says: says})
}

func (f *typeForm) text(key string) string { return strings.TrimSpace(f.form.Get(key).Text()) }

func (f *typeForm) must(key, meanwhile, says string) string {
	if t := f.text(key); t != "" {
		return t
	}
	f.say(key, says)
	return meanwhile
}

func (f *typeForm) whole(key string, from, to int, must bool) int {
	t := f.text(key)
	n, err := strconv.Atoi(t)
	switch {
	case t == "" && !must:
		return 0
	case err != nil || n < from || n > to:
		f.say(key, "a whole number from "+strconv.Itoa(from)+" to "+strconv.Itoa(to))
		return 0
	}
	return n
}

func (f *typeForm) firing(cylinders int) string {
	order := strings.Fields(strings.NewReplacer("-", " ", ",", " ", "–", " ").Replace(f.text("firing")))
	sorted := slices.Clone(order)
	slices.Sort(sorted)
	var want []string
	for i := 1; i <= cylinders; i++ {
		want = append(want, strconv.Itoa(i))
	}
	slices.Sort(want)
	if len(order) > 0 && !slices.Equal(sorted, want) {
		f.say("firing", "each cylinder once, from 1 to "+strconv.Itoa(cylinders)+", with spaces between")
		return ""
	}
	return strings.Join(order, " ")
}

// valves are two letters for a cylinder, or all of them by name.
func (f *typeForm) valves(cylinders int) string {
	list := strings.Fields(f.text("valves"))
	sorted := slices.Clone(list)
	slices.Sort(sorted)
	twice := len(slices.Compact(sorted)) != len(list)
	if len(list) > 0 && (twice || len(list) != 2 && len(list)%cylinders != 0) {
		f.say("valves", pattern.ValvesWanted)
		return ""
	}
	return strings.Join(list, " ")
}

// values is one size, with its own unit if it has one; of steps and torques, several with spaces between.
func (f *typeForm) values(key, unit string) string {
	t := f.text(key)
	if t == "" {
		return ""
	}
	each := []string{t}
	if key == "undersizes" || key == "torques" {
		each = strings.Fields(t)
	}
	for _, one := range each {
		if _, why := quantity.Typed(one, unit); why != "" {
			f.say(key, why)
			return ""
		}
	}
	return t
}
