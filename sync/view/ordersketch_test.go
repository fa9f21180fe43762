package view

import (
	"encoding/xml"
	"io"
	"slices"
	"strings"
	"testing"
)

// textsOf are the words of a drawing in their order; it must be well-formed.
func textsOf(t *testing.T, svg string) []string {
	t.Helper()
	var out []string
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		switch x, err := d.Token(); {
		case err == io.EOF:
			return out
		case err != nil:
			t.Fatal(err)
		default:
			if c, ok := x.(xml.CharData); ok {
				out = append(out, string(c))
			}
		}
	}
}

// TestOrderSketch: what the order says stands on its sketch as it was written; then what the type sheet of the engine says, and
// that it is that; nothing else: what nobody knows is a blank to be agreed. A letter on the drawing is one of the list.
func TestOrderSketch(t *testing.T) {
	for _, c := range []struct{ name, part, want string }{
		{"a gasket by its free thickness: that under torque is not the type sheet's to say", `"what":"head gasket","matters":[{"what":"thickness, free","want":"1.58"}]`,
			"a thickness, free 1.58|b under torque mm – to be agreed|c fire ring, inside 109.0\u2009mm, type sheet"},
		{"a gasket with no size ordered", `"what":"head gasket"`, "a thickness, free 1.55\u2009mm, type sheet|b under torque 1.20\u2009mm, type sheet|c fire ring, inside 109.0\u2009mm, type sheet"},
		{"a gasket by a thickness that does not say which", `"what":"head gasket","matters":[{"what":"Thickness","want":"1.50"}]`, "a thickness 1.50|b fire ring, inside 109.0\u2009mm, type sheet"},
		{"half shells", `"what":"half shells","as":"shells","matters":[{"what":"wall","want":"2.225 to 2.230"}]`,
			"a wall 2.225 to 2.230|b housing bore mm – to be agreed|c undersize 0.50\u2009mm"},
		{"a liner with its flange", `"what":"liner","matters":[{"what":"bore","want":"107.00 to 107.02"},{"what":"flange","want":"8.00"}]`, "a bore 107.00 to 107.02|b outside mm – to be agreed|c flange 8.00"},
		{"a piston ring", `"what":"piston ring, top"`, "a gap, in its bore 0.40\u2009mm, type sheet|b for a bore of 107.00\u2009mm, type sheet"},
		{"a chain: how many links it has stands on no sheet", `"what":"cam chain"`, "a pitch 12.70\u2009mm, type sheet|b links to be agreed"},
		{"a shim", `"what":"shim","matters":[{"what":"thickness","want":"2.15"}]`, "a thickness 2.15"},
		{"a washer", `"what":"copper washer"`, "a thickness mm – to be agreed|b hole mm – to be agreed|c outside mm – to be agreed"},
		{"more than there is room for", `"what":"shim","matters":[{"what":"thickness","want":"2.15 or whatever is nearest on the shelf"}]`, "a thickness as in the table"},
		{"what there is no sketch of", `"what":"coupling rubber"`, ""},
	} {
		known, matters, ok := strings.Cut(c.part, `,"matters"`)
		if ok {
			matters = `,"matters"` + matters
		}
		s, _ := holding(t, `part {"part":"X-1","state":"known","undersize":{"t":"0.50","u":"mm"},`+known+`}`, `part {"part":"X-1","state":"asked","supplier":"Orsett","asm":"2117"`+matters+`}`)
		svg := at(s, "orders", `{"sketch":"yes"}`, "suppliers.#Orsett.lines.#X-1.svg")
		texts := textsOf(t, svg)
		if c.want == "" {
			if svg != "" {
				t.Errorf("%s: %s", c.name, svg)
			}
			continue
		}
		if !slices.Contains(texts, "Not to scale.") {
			t.Errorf("%s: it does not say that it is not to scale", c.name)
		}
		if got := strings.Join(texts, " "); !strings.Contains(got, strings.ReplaceAll(c.want, "|", " ")) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		for _, l := range strings.Split(c.want, "|") {
			if strings.HasPrefix(l[2:], "undersize") || strings.HasPrefix(l[2:], "links") {
				continue // no length that a drawing shows
			}
			if n := len(slices.DeleteFunc(slices.Clone(texts), func(s string) bool { return s != l[:1] })); n != 2 {
				t.Errorf("%s: letter %s stands %d times, want at its dimension and in the list", c.name, l[:1], n)
			}
		}
		if plain := at(s, "orders", `{}`, "suppliers.#Orsett.lines.#X-1.svg"); plain != "" {
			t.Error("the list of orders has sketches that it did not ask for")
		}
	}
}
