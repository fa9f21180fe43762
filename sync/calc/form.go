package calc

import (
	"slices"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// form is what a value that comes in may be. The schema prints it and FromJSON
// holds what comes in against it, so that they cannot say different things.
type form struct {
	def     string // its name among the schema's definitions; "" when it has none
	says    string // what it is, for people; "" when its name says it
	kind    jcs.Kind
	one     []string      // the texts that it may be; nil for any
	unit    *quantity.Dim // of a unit's code: the kind of quantity, "" for any; nil for other texts
	members []member      // of an object
}

type member struct {
	name string
	form form
	must bool
}

var (
	anyText = form{kind: jcs.KindText}
	yesOrNo = form{kind: jcs.KindBool}
)

// valueForm is a value as written, of a kind of quantity; "" is any.
func valueForm(d quantity.Dim) form {
	return form{def: defName(d), kind: jcs.KindObject,
		says: "a value as written: t the text, to the upper of two, u the unit's code, is 'at least', 'at most' or 'nil'",
		members: []member{{"t", anyText, false}, {"to", anyText, false}, {"u", form{kind: jcs.KindText, unit: &d}, true},
			{"is", form{kind: jcs.KindText, one: []string{"at least", "at most", "nil"}}, false}}}
}

// itemForm is a reading. What its tool and its zero check say is of its own
// kind; otherwise nothing could be corrected by them.
func itemForm(d quantity.Dim) form {
	value := valueForm(d)
	tool := form{kind: jcs.KindObject, says: "u the expanded uncertainty of its calibration, k = 2; res one step of its scale",
		members: []member{{"key", anyText, false}, {"what", anyText, false}, {"u", value, false}, {"res", value, false}}}
	zero := form{kind: jcs.KindObject, says: "what the tool read on a bar; in: the tool that it was set in",
		members: []member{{"ref", anyText, false}, {"bar", value, true}, {"read", value, true}, {"in", anyText, false}}}
	return form{def: defName(d) + "_reading", kind: jcs.KindObject,
		members: []member{{"ref", anyText, false}, {"point", anyText, false}, {"label", anyText, false}, {"by", anyText, false}, {"v", value, true},
			{"tool", tool, false}, {"zero", zero, false}, {"temp", valueForm(quantity.Temperature), false}, {"blind", yesOrNo, false}}}
}

// limitForm is a limit. A result writes its name and its words besides, so that
// the limit of a result can go in again as it stands.
func limitForm(d quantity.Dim) form {
	value := valueForm(d)
	return form{def: defName(d) + "_limit", kind: jcs.KindObject,
		says: "judged as read when judged is left out; accepted when accepted is left out; name and says are as a result writes them and change nothing",
		members: []member{{"min", value, false}, {"max", value, false}, {"judged", form{kind: jcs.KindText, one: []string{"read", "margin"}}, false},
			{"accepted", yesOrNo, false}, {"words", anyText, false}, {"page", anyText, false}, {"ref", anyText, false}, {"name", anyText, false}, {"says", anyText, false}}}
}

func defName(d quantity.Dim) string {
	if d == "" {
		return "any"
	}
	return string(d)
}

// wrong says where in v something is that the form does not have, and what may
// stand there; why is "" for nothing. A member that is null is as left out.
func (f form) wrong(v jcs.Value) (where, why string) {
	if v.Kind() != f.kind {
		return "", f.want()
	}
	if f.unit != nil && *f.unit != "" { // of any kind: CheckUnits knows which the calculation takes
		return "", wrongUnit(*f.unit, v.Text())
	}
	if f.one != nil && !slices.Contains(f.one, v.Text()) {
		return "", "'" + v.Text() + "' is none of those that it may be: write one of " + strings.Join(f.one, ", ")
	}
	if f.kind == jcs.KindObject {
		return f.wrongMember(v)
	}
	return "", ""
}

func (f form) wrongMember(v jcs.Value) (where, why string) {
	for _, m := range v.Members() {
		i := slices.IndexFunc(f.members, func(x member) bool { return x.name == m.Key })
		if i < 0 {
			return "", "it has " + f.names() + "; '" + m.Key + "' is none of them"
		}
		if m.Val.IsNull() {
			continue
		}
		if where, why := f.members[i].form.wrong(m.Val); why != "" {
			return "." + m.Key + where, why
		}
	}
	for _, m := range f.members {
		if m.must && v.Get(m.name).IsNull() {
			return "", "it needs " + m.name
		}
	}
	return "", ""
}

// want says how to write what is of another kind than the form.
func (f form) want() string {
	switch f.kind {
	case jcs.KindObject:
		return "it is an object with " + f.names()
	case jcs.KindBool:
		return "it is true or false, without quotation marks"
	}
	return "write it as text, in quotation marks"
}

func (f form) names() string {
	last := len(f.members) - 1
	names := ""
	for _, m := range f.members[:last] {
		names += ", " + m.name
	}
	return names[len(", "):] + " and " + f.members[last].name
}

// schema is the form in JSON Schema; what has a name there is referred to by it.
func (f form) schema() jcs.Value {
	if f.def != "" {
		return jcs.Obj(jcs.M("$ref", jcs.Str("#/$defs/"+f.def)))
	}
	return f.whole()
}

func (f form) whole() jcs.Value {
	says := jcs.M("description", jcs.Opt(f.says))
	switch {
	case f.unit != nil:
		return jcs.Obj(jcs.M("enum", jcs.Strs(spellings(*f.unit))))
	case f.one != nil:
		return jcs.Obj(says, jcs.M("enum", jcs.Strs(f.one)))
	case f.kind == jcs.KindBool:
		return jcs.Obj(says, jcs.M("type", jcs.Str("boolean")))
	case f.kind == jcs.KindText:
		return jcs.Obj(says, jcs.M("type", jcs.Str("string")))
	}
	var members []jcs.Member
	var must []string
	for _, m := range f.members {
		members = append(members, jcs.M(m.name, m.form.schema()))
		if m.must {
			must = append(must, m.name)
		}
	}
	return closed(says, jcs.M("properties", jcs.Obj(members...)), jcs.M("required", jcs.Strs(must)))
}

// definitions are the forms with a name in this one, itself among them.
func (f form) definitions() []jcs.Member {
	var out []jcs.Member
	if f.def != "" {
		out = append(out, jcs.M(f.def, f.whole()))
	}
	for _, m := range f.members {
		out = append(out, m.form.definitions()...)
	}
	return out
}
