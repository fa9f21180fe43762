package calc

import (
	"strings"

	"witnessmark/sync/jcs"
)

// Schema returns the JSON Schema (draft 2020-12) of a calculation's input.
func (s Spec) Schema() jcs.Value {
	var members, defs []jcs.Member
	for _, k := range kinds {
		members = append(members, jcs.M(k.member, s.named(k.kind)))
		for _, n := range s.takes(k.kind) {
			defs = append(defs, n.form().definitions()...)
		}
	}
	return closed(
		jcs.M("$schema", jcs.Str("https://json-schema.org/draft/2020-12/schema")),
		jcs.M("title", jcs.Str(s.Title)),
		jcs.M("description", jcs.Str("A member that is null is as left out. schema/units.md says what each unit's code stands for.")),
		jcs.M("$defs", jcs.Obj(defs...)),
		jcs.M("properties", jcs.Obj(members...)))
}

// named is an object of the inputs of one kind, by name; a family of names is
// a pattern.
func (s Spec) named(kind string) jcs.Value {
	var names, families []jcs.Member
	for _, n := range s.takes(kind) {
		if family, ok := strings.CutSuffix(n.Name, ".*"); ok {
			families = append(families, jcs.M("^"+family+"\\..", n.schema()))
		} else {
			names = append(names, jcs.M(n.Name, n.schema()))
		}
	}
	members := []jcs.Member{jcs.M("properties", jcs.Obj(names...))}
	if len(families) > 0 {
		members = append(members, jcs.M("patternProperties", jcs.Obj(families...)))
	}
	return closed(members...)
}

// form is what the input is, each of them where there may be several.
func (n Need) form() form {
	switch n.Kind {
	case "item":
		return itemForm(n.dim())
	case "limit":
		return limitForm(n.dim())
	case "nominal":
		return valueForm(n.dim())
	}
	return anyText
}

func (n Need) schema() jcs.Value {
	words := jcs.M("description", jcs.Str(n.Label+unitNote(n.Unit)))
	if n.Kind == "item" {
		return jcs.Obj(words, jcs.M("type", jcs.Str("array")), jcs.M("items", n.form().schema()))
	}
	return jcs.Obj(append(n.form().schema().Members(), words)...)
}

func unitNote(unit string) string {
	if unit == "" || unit == "any" {
		return ""
	}
	return " (" + unit + ")"
}

// closed is an object that has no other members than those listed.
func closed(members ...jcs.Member) jcs.Value {
	return jcs.Obj(append(members, jcs.M("type", jcs.Str("object")), jcs.M("additionalProperties", jcs.Bool(false)))...)
}
