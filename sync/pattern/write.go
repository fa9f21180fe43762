package pattern

import (
	"slices"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// JSON is the sheet as an entry holds it: Parse reads it back as it was.
func (p *Pattern) JSON() jcs.Value {
	return jcs.Obj(
		jcs.M("name", jcs.Str(p.Name)), jcs.M("cylinders", jcs.Int(int64(p.Cylinders))), jcs.M("mains", jcs.Int(int64(p.Mains))),
		texts("firing", p.Firing), jcs.M("end1", jcs.Str(p.End1)), jcs.M("end2", jcs.Str(p.End2)), texts("rows", p.Rows),
		texts("valves", p.Valves), jcs.M("valve_angle", jcs.Opt(p.ValveAngle)),
		named("nominal", p.Nominal, writtenJSON), named("undersizes", p.Undersizes, Undersize.json),
		named("options", p.Options, func(m map[string]string) jcs.Value {
			return named("", m, jcs.Str).Val
		}),
		listed("features", p.Features, Feature.json), listed("joints", p.Joints, Joint.json))
}

func (f Feature) json() jcs.Value {
	return jcs.Obj(jcs.M("at", jcs.Str(f.At)), texts("each", f.Each), jcs.M("words", jcs.Str(f.Words)), jcs.M("part", jcs.Opt(f.Part)),
		jcs.M("sheet", jcs.Str(f.Sheet)), texts("points", f.Points), jcs.M("unit", jcs.Str(f.Unit)), jcs.M("size", jcs.Opt(f.Size)),
		jcs.M("shape", jcs.Opt(f.Shape)), jcs.M("calc", jcs.Opt(f.Calc)), jcs.M("item", jcs.Opt(f.Item)))
}

func (j Joint) json() jcs.Value {
	return jcs.Obj(jcs.M("joint", jcs.Str(j.Joint)), jcs.M("words", jcs.Str(j.Words)), jcs.M("thread", jcs.Opt(j.Thread)), texts("order", j.Order),
		listed("passes", j.Passes, writtenJSON), listed("fasteners", j.Fasteners, Fastener.json))
}

func (f Fastener) json() jcs.Value {
	return jcs.Obj(jcs.M("n", jcs.Str(f.Name)), jcs.M("x", jcs.Int(int64(f.X))), jcs.M("y", jcs.Int(int64(f.Y))))
}

func (u Undersize) json() jcs.Value {
	return jcs.Obj(texts("steps", u.Steps), jcs.M("tolerance", jcs.Opt(u.Tolerance)), jcs.M("cleanup", writtenJSON(u.Cleanup)))
}

func writtenJSON(w quantity.Written) jcs.Value {
	return jcs.Obj(jcs.M("t", jcs.Opt(w.Text)), jcs.M("to", jcs.Opt(w.To)), jcs.M("u", jcs.Opt(w.Unit)), jcs.M("is", jcs.Opt(w.Is)))
}

func texts(key string, list []string) jcs.Member {
	if len(list) == 0 {
		return jcs.M(key, jcs.Null())
	}
	return jcs.M(key, jcs.Strs(list))
}

func listed[T any](key string, list []T, one func(T) jcs.Value) jcs.Member {
	if len(list) == 0 {
		return jcs.M(key, jcs.Null())
	}
	items := make([]jcs.Value, len(list))
	for i, x := range list {
		items[i] = one(x)
	}
	return jcs.M(key, jcs.Arr(items...))
}

// named writes a map; Obj puts the names in order, so the map's own never shows.
func named[T any](key string, m map[string]T, one func(T) jcs.Value) jcs.Member {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	if len(names) == 0 {
		return jcs.M(key, jcs.Null())
	}
	slices.Sort(names)
	members := make([]jcs.Member, len(names))
	for i, name := range names {
		members[i] = jcs.M(name, one(m[name]))
	}
	return jcs.M(key, jcs.Obj(members...))
}
