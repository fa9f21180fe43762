package calc

import (
	"flag"
	"os"
	"slices"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

var record = flag.Bool("record", false, "add the first cases of each calculation that has no vector yet")

// kept counts the vectors added for each calculation.
var kept = map[string]int{}

// noteVector adds a case to the vector file when asked to, two for each calculation.
func noteVector(calc, name string, in Inputs) {
	if !*record || kept[calc] >= 2 {
		return
	}
	file, err := os.ReadFile(vectors)
	if err != nil {
		panic(err)
	}
	if kept[calc] == 0 && strings.Contains(string(file), `{"calc":"`+calc+`"`) {
		kept[calc] = 2
		return
	}
	kept[calc]++
	r, _ := Run(calc, in)
	line := jcs.Obj(jcs.M("name", jcs.Str(name)), jcs.M("calc", jcs.Str(calc)), jcs.M("in", inputsJSON(in)), jcs.M("out", r.JSON())).String() + "\n"
	if err := os.WriteFile(vectors, append(file, line...), 0o644); err != nil {
		panic(err)
	}
}

func inputsJSON(in Inputs) jcs.Value {
	return jcs.Obj(
		jcs.M("items", each(in.Items, func(its []Item) jcs.Value {
			var out []jcs.Value
			for _, it := range its {
				out = append(out, itemJSON(it))
			}
			return jcs.Arr(out...)
		})),
		jcs.M("limits", each(in.Limits, Limit.json)), jcs.M("nominal", each(in.Nominal, WrittenJSON)), jcs.M("opts", each(in.Opts, jcs.Str)))
}

func each[V any](m map[string]V, one func(V) jcs.Value) jcs.Value {
	var out []jcs.Member
	for k, v := range m {
		out = append(out, jcs.M(k, one(v)))
	}
	return jcs.Obj(out...)
}

func itemJSON(it Item) jcs.Value {
	out := []jcs.Member{jcs.M("ref", jcs.Opt(it.Ref)), jcs.M("point", jcs.Opt(it.Point)), jcs.M("label", jcs.Opt(it.Label)), jcs.M("by", jcs.Opt(it.By)), jcs.M("v", WrittenJSON(it.V)), jcs.M("blind", jcs.Flag(it.Blind))}
	if t := it.Tool; t != nil {
		out = append(out, jcs.M("tool", jcs.Obj(jcs.M("key", jcs.Str(t.Key)), jcs.M("what", jcs.Opt(t.What)), jcs.M("u", step(t.U, it.V)), jcs.M("res", step(t.Res, it.V)))))
	}
	if z := it.Zero; z != nil {
		out = append(out, jcs.M("zero", jcs.Obj(jcs.M("ref", jcs.Opt(z.Ref)), jcs.M("bar", WrittenJSON(z.Bar)), jcs.M("read", WrittenJSON(z.Read)), jcs.M("in", jcs.Opt(z.In)))))
	}
	if it.Temp != nil {
		out = append(out, jcs.M("temp", WrittenJSON(*it.Temp)))
	}
	return jcs.Obj(out...)
}

// step writes what a tool may be out by: of a length in µm, otherwise in the
// unit of the reading.
func step(si float64, like quantity.Written) jcs.Value {
	u, _ := quantity.Lookup(like.Unit)
	if u.Dim == quantity.Length || u.Dim == "" {
		u, _ = quantity.Lookup("um")
	}
	return WrittenJSON(quantity.Written{Text: strings.ReplaceAll(quantity.FormatStep(si, u, 3), "−", "-"), Unit: u.Code})
}

// names lists every calculation that the vector file has a case of.
func vectorNames() []string {
	file, err := os.ReadFile(vectors)
	if err != nil {
		panic(err)
	}
	var out []string
	for l := range strings.Lines(string(file)) {
		if v, err := jcs.Parse([]byte(strings.TrimSpace(l))); err == nil {
			out = append(out, v.Get("calc").Text())
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
