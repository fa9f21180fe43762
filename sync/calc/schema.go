package calc

import "witnessmark/sync/jcs"

// Schema returns the JSON Schema (draft 2020-12) of a calculation's input.
func (s Spec) Schema() jcs.Value {
	groups := map[string][]jcs.Member{}
	for _, n := range s.Needs {
		groups[n.Kind] = append(groups[n.Kind], jcs.M(n.Name, n.schema()))
	}
	member := func(name, kind string) jcs.Member {
		return jcs.M(name, object(jcs.M("properties", jcs.Obj(groups[kind]...)), jcs.M("additionalProperties", jcs.Bool(false))))
	}
	return object(
		jcs.M("$schema", jcs.Str("https://json-schema.org/draft/2020-12/schema")),
		jcs.M("title", jcs.Str(s.Title)),
		jcs.M("$defs", definitions()),
		jcs.M("properties", jcs.Obj(member("items", "item"), member("limits", "limit"), member("nominal", "nominal"), member("opts", "option"))))
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
