package pattern

import (
	"errors"
	"slices"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// Parse reads a type sheet as an entry of kind pattern holds it. The error
// says what is wrong with the sheet.
func Parse(v jcs.Value) (*Pattern, error) {
	p := &Pattern{
		Name: v.Get("name").Text(), Cylinders: int(v.Get("cylinders").Int64()), Mains: int(v.Get("mains").Int64()),
		Firing: v.Get("firing").Texts(), End1: v.Get("end1").Text(), End2: v.Get("end2").Text(), Rows: v.Get("rows").Texts(),
		Valves: v.Get("valves").Texts(), ValveAngle: v.Get("valve_angle").Text(),
		Nominal: map[string]quantity.Written{}, Undersizes: map[string]Undersize{},
	}
	if p.Name == "" || p.End1 == "" || p.End2 == "" {
		return nil, errors.New("type sheet: it needs a name and the names of both ends")
	}
	if p.Cylinders < 1 || p.Cylinders > MaxCylinders || p.Mains < 0 || p.Mains > MaxCylinders+1 {
		return nil, errors.New("type sheet: the number of cylinders or main bearings makes no sense")
	}
	for _, step := range []func(jcs.Value) error{p.firing, p.nominal, p.undersizes, p.options, p.features, p.joints} {
		if err := step(v); err != nil {
			return nil, err
		}
	}
	return p, nil
}

func (p *Pattern) firing(jcs.Value) error {
	order := slices.Clone(p.Firing)
	slices.Sort(order)
	want := p.Cylinder()
	slices.Sort(want)
	if len(order) > 0 && !slices.Equal(order, want) {
		return errors.New("type sheet: the firing order must name each cylinder once")
	}
	return nil
}

func (p *Pattern) nominal(v jcs.Value) error {
	for _, m := range v.Get("nominal").Members() {
		w := written(m.Val)
		if _, err := quantity.Parse(w); err != nil {
			return errors.New("type sheet: " + m.Key + ": " + err.Error())
		}
		p.Nominal[m.Key] = w
	}
	return nil
}

func (p *Pattern) undersizes(v jcs.Value) error {
	for _, m := range v.Get("undersizes").Members() {
		u := Undersize{Steps: m.Val.Get("steps").Texts(), Tolerance: m.Val.Get("tolerance").Text(), Cleanup: written(m.Val.Get("cleanup"))}
		if _, err := quantity.Parse(u.Cleanup); err != nil || len(u.Steps) == 0 {
			return errors.New("type sheet: undersizes of " + m.Key + " need their steps and the grinder's allowance")
		}
		p.Undersizes[m.Key] = u
	}
	return nil
}

func (p *Pattern) options(v jcs.Value) error {
	p.Options = map[string]map[string]string{}
	for _, c := range v.Get("options").Members() {
		p.Options[c.Key] = map[string]string{}
		for _, m := range c.Val.Members() {
			if m.Val.Text() == "" {
				return errors.New("type sheet: the option " + m.Key + " of " + c.Key + " is no text")
			}
			p.Options[c.Key][m.Key] = m.Val.Text()
		}
	}
	return nil
}

func (p *Pattern) features(v jcs.Value) error {
	list := v.Get("features").Items()
	if len(list) > MaxFeatures {
		return errors.New("type sheet: more features than it may hold")
	}
	for _, it := range list {
		f := Feature{At: it.Get("at").Text(), Each: it.Get("each").Texts(), Words: it.Get("words").Text(), Part: it.Get("part").Text(),
			Sheet: it.Get("sheet").Text(), Points: it.Get("points").Texts(), Unit: it.Get("unit").Text(),
			Size: it.Get("size").Text(), Shape: it.Get("shape").Text(), Calc: it.Get("calc").Text(), Item: it.Get("item").Text()}
		if n := int(it.Get("count").Int64()); n > 0 && n <= MaxEach {
			f.Each = numbers(n)
		}
		if f.At == "" || f.Words == "" || f.Sheet == "" || len(f.Each) > MaxEach || strings.Contains(f.At, ".N.") != (len(f.Each) > 0) {
			return errors.New("type sheet: a feature needs a place, words, a sheet, and how many there are: " + f.At)
		}
		if (f.Calc == "") != (f.Item == "") {
			return errors.New("type sheet: " + f.At + " names a calculation without saying as what its readings go in, or the other way round")
		}
		if err := f.names(); err != nil {
			return err
		}
		if _, ok := quantity.Lookup(f.Unit); !ok {
			return errors.New("type sheet: " + f.At + " is measured in a unit that is not known: " + f.Unit)
		}
		if _, ok := p.Nominal[f.Size]; !ok && f.Size != "" {
			return errors.New("type sheet: " + f.At + " names a nominal size that is not there: " + f.Size)
		}
		p.Features = append(p.Features, f)
	}
	return p.distinct()
}

// names holds a feature to what a reading may name: main.3.journal, where N
// stands in the middle and is one word, and each point once.
func (f *Feature) names() error {
	plain := func(s string) bool { return s != "" && len(s) <= MaxName && !strings.ContainsAny(s, ". /\n\t") }
	parts := strings.Split(f.At, ".")
	inMiddle := len(parts) == 3 && parts[1] == "N"
	points := slices.Clone(f.Points)
	slices.Sort(points)
	if slices.ContainsFunc(parts, func(s string) bool { return !plain(s) }) || inMiddle != (len(f.Each) > 0) || len(parts) > 3 {
		return errors.New("type sheet: a place is named like main.N.journal or crank.float, and not like " + f.At)
	}
	if slices.ContainsFunc(f.Each, func(s string) bool { return !plain(s) }) {
		return errors.New("type sheet: the numbers of " + f.At + " must be short words without full stops")
	}
	if len(points) > MaxEach || len(slices.Compact(points)) != len(f.Points) ||
		slices.ContainsFunc(f.Points, func(s string) bool { return s == "" || len(s) > MaxName || strings.ContainsAny(s, " /\n\t") }) {
		return errors.New("type sheet: the points of " + f.At + " must be short words, each once")
	}
	return nil
}

func (p *Pattern) distinct() error {
	seen := map[string]bool{}
	for _, pl := range p.Places() {
		if seen[pl.At] {
			return errors.New("type sheet: the place " + pl.At + " stands on it twice")
		}
		seen[pl.At] = true
	}
	return nil
}

func (p *Pattern) joints(v jcs.Value) error {
	for _, it := range v.Get("joints").Items() {
		if _, twice := p.Joint(it.Get("joint").Text()); twice {
			return errors.New("type sheet: the joint " + it.Get("joint").Text() + " stands on it twice")
		}
		j := Joint{Joint: it.Get("joint").Text(), Words: it.Get("words").Text(), Thread: it.Get("thread").Text(), Order: it.Get("order").Texts()}
		for _, t := range it.Get("passes").Items() {
			w := written(t)
			if q, err := quantity.Parse(w); err != nil || q.Unit.Dim != quantity.Torque {
				return errors.New("type sheet: a pass of " + j.Joint + " needs a torque")
			}
			j.Passes = append(j.Passes, w)
		}
		for _, f := range it.Get("fasteners").Items() {
			j.Fasteners = append(j.Fasteners, Fastener{f.Get("n").Text(), int(f.Get("x").Int64()), int(f.Get("y").Int64())})
		}
		if err := j.check(); err != nil {
			return err
		}
		p.Joints = append(p.Joints, j)
	}
	return nil
}

func (j *Joint) check() error {
	names := make([]string, 0, len(j.Fasteners))
	for _, f := range j.Fasteners {
		names = append(names, f.Name)
	}
	slices.Sort(names)
	order := slices.Clone(j.Order)
	slices.Sort(order)
	if j.Joint == "" || j.Words == "" || len(names) == 0 || len(names) > MaxEach || len(slices.Compact(slices.Clone(names))) != len(names) {
		return errors.New("type sheet: a joint needs a name, words and its fasteners, each once")
	}
	if len(order) > 0 && !slices.Equal(order, names) {
		return errors.New("type sheet: the order of tightening " + j.Joint + " must name each fastener once")
	}
	return nil
}
