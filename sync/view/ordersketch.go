package view

import (
	"slices"
	"strings"

	"witnessmark/sync/draw"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// asked is a dimension that whoever makes a part has to be told.
type asked struct {
	key, words, unit string
	match            []string // what the order may call it: one of these words stands in it
	nominal          string   // its size on the type sheet, or ""
	need             bool     // left blank when nobody has said it; others are then left out
}

// soldParts are the kinds that there is a sketch of, with what each is known by and what it is asked for. The first that fits counts.
var soldParts = []struct {
	kind  string
	known []string // what such a part is fitted as, or what stands in its words
	asked []asked
}{
	{"gasket", []string{"head gasket", "gasket"}, []asked{
		{"free", "thickness, free", "mm", []string{"free"}, "free", true},
		{"compressed", "under torque", "mm", []string{"compress", "torque"}, "compressed", true},
		{"ring", "fire ring, inside", "mm", []string{"ring", "bore", "opening"}, "gasket_bore", true},
	}},
	{"shell", []string{"shell"}, []asked{
		{"wall", "wall", "mm", []string{"wall"}, "", true},
		{"housing", "housing bore", "mm", []string{"housing"}, "", true},
		{"width", "width", "mm", []string{"width"}, "", false},
		{"undersize", "undersize", "mm", []string{"undersize"}, "", true},
	}},
	{"liner", []string{"liner"}, []asked{
		{"bore", "bore", "mm", []string{"bore", "inside"}, "bore", true},
		{"outside", "outside", "mm", []string{"outside", "outer"}, "", true},
		{"flange", "flange", "mm", []string{"flange"}, "", false},
		{"length", "length", "mm", []string{"length"}, "", false},
	}},
	{"ring", []string{"piston ring", "compression ring", "oil ring"}, []asked{
		{"gap", "gap, in its bore", "mm", []string{"gap"}, "ring.gap", true},
		{"bore", "for a bore of", "mm", []string{"bore"}, "bore", true},
		{"height", "height", "mm", []string{"height"}, "", false},
	}},
	{"chain", []string{"chain"}, []asked{
		{"pitch", "pitch", "mm", []string{"pitch"}, "chain.pitch", true},
		{"links", "links", "", []string{"links"}, "", true},
	}},
	{"shim", []string{"shim"}, []asked{
		{"thick", "thickness", "mm", []string{"thick"}, "", true},
		{"hole", "hole", "mm", []string{"hole", "inside", "bore"}, "", false},
		{"outside", "outside", "mm", []string{"outside", "outer"}, "", false},
	}},
	{"washer", []string{"washer"}, []asked{
		{"thick", "thickness", "mm", []string{"thick"}, "", true},
		{"hole", "hole", "mm", []string{"hole", "inside", "bore"}, "", true},
		{"outside", "outside", "mm", []string{"outside", "outer"}, "", true},
	}},
}

// longest is the longest size that stands on a sketch.
const longest = 26

// orderSketch draws what is ordered with the sizes that the order, the part or the type sheet has; "" for a kind without a sketch.
func (v *viewer) orderSketch(p *record.Part, b buying) string {
	name := strings.ToLower(p.As + " " + p.What)
	for _, k := range soldParts {
		if !slices.ContainsFunc(k.known, func(w string) bool { return strings.Contains(name, w) }) {
			continue
		}
		typ := v.typeFor(b.asm)
		return draw.Bought(k.kind, typ, sizesOf(k.asked, p, b.matters, typ))
	}
	return ""
}

// typeFor is the type sheet of an engine; for both, the one that all engines share.
func (v *viewer) typeFor(asm string) *pattern.Pattern {
	var of *record.Engine
	for i := range v.st.Engines {
		e := &v.st.Engines[i]
		switch {
		case e.Pattern == nil || asm != "" && e.Serial != asm:
		case of != nil && of.Type != e.Type:
			return nil
		default:
			of = e
		}
	}
	if of == nil {
		return nil
	}
	return of.Pattern
}

// sizesOf is what is known of each dimension. A thickness that was ordered without saying whether free or under torque takes the
// place of both; where one of them was ordered, the type sheet's figure for the other is not ours to give.
func sizesOf(ask []asked, p *record.Part, matters []record.Matter, typ *pattern.Pattern) []draw.Size {
	ordered := map[string]string{}
	for _, m := range matters {
		what := strings.ToLower(m.What)
		i := slices.IndexFunc(ask, func(a asked) bool {
			return slices.ContainsFunc(a.match, func(w string) bool { return strings.Contains(what, w) })
		})
		switch {
		case i >= 0 && ordered[ask[i].key] == "":
			ordered[ask[i].key] = m.Want
		case i < 0 && strings.Contains(what, "thick"):
			ordered["thickness"] = m.Want
		}
	}
	if p.Undersize != nil {
		ordered["undersize"] = p.Undersize.String()
	}
	thick := ordered["free"] + ordered["compressed"] + ordered["thickness"]
	var out []draw.Size
	if ordered["thickness"] != "" {
		out = append(out, draw.Size{Key: "thickness", Words: "thickness", Value: roomFor(ordered["thickness"])})
	}
	for _, a := range ask {
		layer := a.key == "free" || a.key == "compressed"
		size := draw.Size{Key: a.key, Words: a.words, Unit: a.unit, Value: roomFor(ordered[a.key])}
		switch {
		case layer && ordered["thickness"] != "":
			continue
		case size.Value == "" && typ != nil && !(layer && thick != ""):
			if w, ok := typ.Nominal[a.nominal]; ok {
				size.Value = roomFor(w.String() + ", type sheet")
			}
		}
		if size.Value != "" || a.need {
			out = append(out, size)
		}
	}
	return out
}

// roomFor is a size as a sketch has room for it.
func roomFor(s string) string {
	if len([]rune(s)) > longest {
		return "as in the table"
	}
	return s
}
