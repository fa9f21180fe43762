package view

import (
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
)

// newType is the draft of an engine type from the short form, or what is wrong
// with it.
func (v *viewer) newType() jcs.Value {
	in := pattern.Inline{Name: v.arg("name"), End1: v.arg("end1"), End2: v.arg("end2"), Cylinders: int(v.args.Get("cylinders").Int64()), Valves: v.arg("valves"),
		Firing: v.arg("firing"), Studs: int(v.args.Get("studs").Int64()), Torques: v.arg("torques"), Undersizes: v.arg("undersizes"), Sizes: map[string]string{}}
	for _, m := range v.args.Get("sizes").Members() {
		in.Sizes[m.Key] = m.Val.Text()
	}
	if in.Cylinders < 1 || in.Cylinders > pattern.MaxCylinders || in.Studs < 0 || in.Studs > pattern.MaxEach {
		return jcs.Obj(str("error", "say how many cylinders there are, and how many head studs"))
	}
	sheet := in.Sheet()
	if _, err := pattern.Parse(sheet); err != nil {
		return jcs.Obj(str("error", err.Error()))
	}
	return jcs.Obj(jcs.M("data", sheet))
}
