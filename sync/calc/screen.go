package calc

import (
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

// screen returns the inputs without what cannot be what it is given as: a
// unit of another kind, a size of nought or less where there can be none. Each
// is listed as missing, with its reason. A value that cannot be read at all is
// left for the calculation, which says where it wanted it.
func (s *sheet) screen(spec Spec, in Inputs) Inputs {
	out := Inputs{Items: map[string][]Item{}, Limits: in.Limits, Nominal: map[string]quantity.Written{}, Opts: in.Opts}
	for _, name := range sorted(in.Items) {
		for _, it := range in.Items[name] {
			if s.fits(spec, "item", name, spot(name, it), it.V) {
				out.Items[name] = append(out.Items[name], it)
			}
		}
	}
	for _, name := range sorted(in.Nominal) {
		if s.fits(spec, "nominal", name, name, in.Nominal[name]) {
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

func (s *sheet) fits(spec Spec, kind, name, what string, w quantity.Written) bool {
	u, ok := quantity.Lookup(w.Unit)
	if !ok {
		return true
	}
	if want := spec.dim(kind, name); want != "" && u.Dim != want {
		s.missing(strings.ReplaceAll(what, "_", " ") + ": " + w.String() + " is not " + article(want) + "; write it again in a unit of that kind")
		return false
	}
	if !slices.Contains(strings.Fields(spec.Above), name) {
		return true
	}
	q, err := quantity.Parse(w)
	if err == nil && q.SI-q.Half <= 0 {
		s.missing(strings.ReplaceAll(what, "_", " ") + ": " + w.String() + " cannot be; it must be above nought. Write it again")
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
