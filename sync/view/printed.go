package view

import (
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// printed checks a limit that its source prints in two units, before it is kept.
func (v *viewer) printed() jcs.Value {
	get := func(key string) *quantity.Written { return writtenAt(v.args, key) }
	return jcs.Obj(str("doubt", printedDoubt(record.Limit{Min: get("min"), Max: get("max"), AlsoMin: get("also_min"), AlsoMax: get("also_max")})))
}

// writtenAt is a value as written under a key of what the page asks; nil where there is none.
func writtenAt(of jcs.Value, key string) *quantity.Written {
	x := of.Get(key)
	if x.IsNull() {
		return nil
	}
	return &quantity.Written{Text: x.Get("t").Text(), To: x.Get("to").Text(), Unit: x.Get("u").Text(), Is: x.Get("is").Text()}
}

// printedDoubt says where both units of a limit, as printed, do not agree; "" where
// they do, or where there is only one.
func printedDoubt(l record.Limit) string {
	for _, pair := range [][2]*quantity.Written{{l.Min, l.AlsoMin}, {l.Max, l.AlsoMax}} {
		switch a, b := pair[0], pair[1]; {
		case b == nil:
		case a == nil:
			return b.String() + " stands there in the other unit alone"
		case !agree(*a, *b):
			return "the two units do not agree: " + a.String() + " is not " + b.String()
		}
	}
	return ""
}

// agree reports whether two values may be one, each rounded to its last digit.
func agree(a, b quantity.Written) bool {
	p, err := quantity.Parse(a)
	q, err2 := quantity.Parse(b)
	if err != nil || err2 != nil || p.Unit.Dim != q.Unit.Dim {
		return false
	}
	apart := p.SI - q.SI
	if apart < 0 {
		apart = -apart
	}
	return apart <= float64((p.Res+q.Res)/2)*1.000001 // what floats lose is no doubt
}
