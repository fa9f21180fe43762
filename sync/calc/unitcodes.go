package calc

import (
	"errors"
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// micro are the two characters that people write the SI's micrometre with:
// the micro sign and the Greek letter. An entry holds codes only; a program
// that writes inputs by hand is understood.
var micro = []string{"\u00b5m", "\u03bcm"}

// dim is the kind of quantity of an input; "" is any.
func (n Need) dim() quantity.Dim {
	switch n.Unit {
	case "any":
		return ""
	case "1":
		return quantity.One
	}
	return quantity.Dim(n.Unit)
}

// Codes are the codes of the units of a kind of quantity; "" is any.
func Codes(d quantity.Dim) []string {
	var out []string
	for _, u := range quantity.Units() {
		if d == "" || u.Dim == d {
			out = append(out, u.Code)
		}
	}
	return out
}

// spellings are the codes, and how else FromJSON takes them.
func spellings(d quantity.Dim) []string {
	out := Codes(d)
	if d == "" || d == quantity.Length {
		out = append(out, micro...)
	}
	return out
}

// spelled is the code that a spelling stands for.
func spelled(unit string) string {
	if unit == micro[0] || unit == micro[1] {
		return "um"
	}
	return unit
}

// unitOf is the kind of quantity that a value from outside is in, "" when its
// unit is none.
func unitOf(v jcs.Value) quantity.Dim {
	return dimOf(quantity.Written{Unit: spelled(v.Get("u").Text())})
}

// wrongUnit says why a unit is none of a kind of quantity, and which are; ""
// when it is one.
func wrongUnit(d quantity.Dim, unit string) string {
	u, known := quantity.Lookup(spelled(unit))
	write := "; for " + article(d) + " write one of " + strings.Join(Codes(d), ", ")
	if d == "" {
		write = "; write one of " + strings.Join(Codes(d), ", ")
	}
	switch {
	case !known:
		return "'" + unit + "' is not a unit that this tool knows" + write
	case d != "" && u.Dim != d:
		return "'" + unit + "' is the unit of " + article(u.Dim) + write
	}
	return ""
}

// CheckUnits refuses a value in a unit that is none of its input's kind. The
// names of the inputs are those of CheckNames.
func (s Spec) CheckUnits(in Inputs) error {
	for _, name := range sorted(in.Items) {
		d := s.kindOf("item", name)
		for i, it := range in.Items[name] {
			if why := wrongUnit(d, it.V.Unit); why != "" {
				return wrongAt("items."+name+"["+strconv.Itoa(i)+"].v.u", why)
			}
		}
	}
	for _, name := range sorted(in.Limits) {
		l, d := in.Limits[name], s.kindOf("limit", name)
		for _, end := range []struct {
			key string
			w   *quantity.Written
		}{{"min", l.Min}, {"max", l.Max}} {
			if end.w == nil {
				continue
			}
			if why := wrongUnit(d, end.w.Unit); why != "" {
				return wrongAt("limits."+name+"."+end.key+".u", why)
			}
		}
	}
	for _, name := range sorted(in.Nominal) {
		if why := wrongUnit(s.kindOf("nominal", name), in.Nominal[name].Unit); why != "" {
			return wrongAt("nominal."+name+".u", why)
		}
	}
	return nil
}

// kindOf is the kind of quantity that the schema has for an input.
func (s Spec) kindOf(kind, name string) quantity.Dim {
	for _, n := range s.takes(kind) {
		if n.is(name) {
			return n.dim()
		}
	}
	return ""
}

// wrongAt is an error with its place before it.
func wrongAt(where, why string) error { return errors.New(where + ": " + why) }
