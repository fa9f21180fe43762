package calc

import (
	"strings"

	"witnessmark/sync/jcs"
)

// Schema returns the JSON Schema (draft 2020-12) of a calculation's input.
func (s Spec) Schema() jcs.Value {
	var members []jcs.Member
	for _, k := range kinds {
		members = append(members, jcs.M(k.member, s.named(k.kind)))
	}
	return object(
		jcs.M("$schema", jcs.Str("https://json-schema.org/draft/2020-12/schema")),
		jcs.M("title", jcs.Str(s.Title)),
		jcs.M("$defs", definitions()),
		jcs.M("properties", jcs.Obj(members...)),
		jcs.M("additionalProperties", jcs.Bool(false)))
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
	members := []jcs.Member{jcs.M("properties", jcs.Obj(names...)), jcs.M("additionalProperties", jcs.Bool(false))}
	if len(families) > 0 {
		members = append(members, jcs.M("patternProperties", jcs.Obj(families...)))
	}
	return object(members...)
}

func (n Need) schema() jcs.Value {
	words := jcs.M("description", jcs.Str(n.Label+unitNote(n.Unit)))
	switch n.Kind {
	case "item":
		return jcs.Obj(words, jcs.M("type", jcs.Str("array")), jcs.M("items", ref("item")))
	case "limit":
		return jcs.Obj(words, jcs.M("$ref", jcs.Str("#/$defs/limit")))
	case "nominal":
		return jcs.Obj(words, jcs.M("$ref", jcs.Str("#/$defs/value")))
	}
	return jcs.Obj(words, jcs.M("type", jcs.Str("string")))
}

func unitNote(unit string) string {
	if unit == "" || unit == "any" {
		return ""
	}
	return " (" + unit + ")"
}

func ref(name string) jcs.Value { return jcs.Obj(jcs.M("$ref", jcs.Str("#/$defs/"+name))) }

func object(members ...jcs.Member) jcs.Value {
	return jcs.Obj(append(members, jcs.M("type", jcs.Str("object")))...)
}

func definitions() jcs.Value {
	text := jcs.Obj(jcs.M("type", jcs.Str("string")))
	value := object(jcs.M("description", jcs.Str("a value as written: t the text, to the upper of two, u the unit's code, is 'at least', 'at most' or 'nil'")),
		jcs.M("properties", jcs.Obj(jcs.M("t", text), jcs.M("to", text), jcs.M("u", text), jcs.M("is", text))), jcs.M("required", jcs.Strs([]string{"u"})))
	limit := object(jcs.M("properties", jcs.Obj(jcs.M("min", ref("value")), jcs.M("max", ref("value")), jcs.M("words", text), jcs.M("page", text),
		jcs.M("judged", jcs.Obj(jcs.M("enum", jcs.Strs([]string{"read", "margin"})))), jcs.M("accepted", jcs.Obj(jcs.M("type", jcs.Str("boolean")))))))
	tool := object(jcs.M("properties", jcs.Obj(jcs.M("key", text), jcs.M("what", text), jcs.M("u", ref("value")), jcs.M("res", ref("value")))))
	zero := object(jcs.M("properties", jcs.Obj(jcs.M("ref", text), jcs.M("bar", ref("value")), jcs.M("read", ref("value")), jcs.M("in", text))))
	item := object(jcs.M("properties", jcs.Obj(jcs.M("ref", text), jcs.M("point", text), jcs.M("label", text), jcs.M("by", text), jcs.M("v", ref("value")),
		jcs.M("tool", tool), jcs.M("zero", zero), jcs.M("temp", ref("value")), jcs.M("blind", jcs.Obj(jcs.M("type", jcs.Str("boolean")))))),
		jcs.M("required", jcs.Strs([]string{"v"})))
	return jcs.Obj(jcs.M("value", value), jcs.M("limit", limit), jcs.M("item", item))
}
