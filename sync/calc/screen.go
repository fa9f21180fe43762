package calc

import (
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

// screen returns the inputs without what cannot be what it is given as: a
// unit of another kind, a size of nought or less, or a gap of less, where there can be none. Each
// is listed as missing, with its reason. A value that cannot be read at all is
// left for the calculation, which says where it wanted it.
func (s *sheet) screen(spec Spec, in Inputs) Inputs {
	out := Inputs{Items: map[string][]Item{}, Limits: in.Limits, Nominal: map[string]quantity.Written{}, Opts: in.Opts}
	if _, err := quantity.Parse(quantity.Written{Text: in.Opts["alpha"], Unit: "1"}); err != nil && in.Opts["alpha"] != "" {
		s.missing("expansion of the part: " + err.Error())
	}
	for _, name := range sorted(in.Items) {
		want := spec.dim("item", name)
		for _, it := range in.Items[name] {
			if want == "" { // of any kind, but all of one
				want = dimOf(it.V)
			}
			if s.fits(spec, want, name, it.V, func() string { return spot(name, it) }) {
				out.Items[name] = append(out.Items[name], it)
			}
		}
	}
	for _, name := range sorted(in.Nominal) {
		if s.fits(spec, spec.dim("nominal", name), name, in.Nominal[name], func() string { return name }) {
			out.Nominal[name] = in.Nominal[name]
		}
	}
	return out
}

// sorted returns the names of a map in order.
func sorted[V any](m map[string]V) []string {
	names := make([]string, 0, len(m))
	for n := range m {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// dimOf is the kind of quantity that a value is written in, "" for no unit.
func dimOf(w quantity.Written) quantity.Dim {
	u, _ := quantity.Lookup(w.Unit)
	return u.Dim
}

func (s *sheet) fits(spec Spec, want quantity.Dim, name string, w quantity.Written, where func() string) bool {
	dim := dimOf(w)
	if dim == "" {
		return true
	}
	what := func() string { return strings.ReplaceAll(where(), "_", " ") }
	if want != "" && dim != want {
		s.missing(what() + ": " + w.String() + " is not " + article(want) + "; write it again in a unit of that kind")
		return false
	}
	q, err := quantity.Parse(w)
	switch low := q.SI - q.Half; {
	case err != nil || low > 0:
	case dim == quantity.Temperature:
		s.missing(what() + ": " + w.String() + " is colder than can be. Write it again")
		return false
	case low < 0 && slices.Contains(strings.Fields(spec.NotBelow), name):
		s.missing(what() + ": " + w.String() + " cannot be; a gap is not below nought. Write it again")
		return false
	case slices.Contains(strings.Fields(spec.Above), name):
		s.missing(what() + ": " + w.String() + " cannot be; it must be above nought. Write it again")
		return false
	}
	return true
}

// dim is the kind of quantity that an input of that name must be, "" for any.
// A reading may stand for a size that would otherwise be typed, and the other
// way round.
func (s Spec) dim(kind, name string) quantity.Dim {
	unit := ""
	for _, n := range s.Needs {
		if n.Name == name && (n.Kind == kind || unit == "" && (n.Kind == "item" || n.Kind == "nominal")) {
			unit = n.Unit
		}
		if n.Name == name && n.Kind == kind {
			break
		}
	}
	switch unit {
	case "", "any":
		return ""
	case "1":
		return quantity.One
	}
	return quantity.Dim(unit)
}

func article(d quantity.Dim) string {
	switch d {
	case quantity.One:
		return "a plain number"
	case quantity.Area, quantity.Angle, quantity.Expansion:
		return "an " + string(d)
	}
	return "a " + string(d)
}
