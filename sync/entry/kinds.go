package entry

import (
	"slices"
	"strings"

	"witnessmark/sync/jcs"
)

// kind says what the body of one kind of entry holds, and which single-valued
// register it sets. A released kind never changes its meaning; new fields may
// come, old ones stay. Each has a page in schema/entries.
type kind struct {
	fields   []field
	register func(body jcs.Value) string // nil: many stand side by side
	extra    func(e Entry) string        // what the fields alone do not say
}

// field is one member of a body.
type field struct {
	name string
	is   func(jcs.Value) bool
	want string // completes '… must be …'
	must bool
}

func need(name string, f form) field { return field{name, f.is, f.want, true} }
func may(name string, f form) field  { return field{name, f.is, f.want, false} }

var kinds = map[string]kind{
	"log": {
		fields: []field{need("device", oneOf("own", "workshop")), need("name", text), may("of", key), may("continues", ref)},
		extra:  func(e Entry) string { return when(e.Seq != 1, "a log is opened by its first entry only") },
	},
	"job": {
		fields:   []field{need("title", text), may("vehicle", text)},
		register: fixed("job"),
	},
	"numbering": numbering,
	"person": {
		fields:   []field{need("person", key), need("name", text), need("role", oneOf("lead", "fitter", "viewer"))},
		register: named("person/", "person"),
	},
	"instrument": {
		fields: []field{need("instrument", key), need("what", text), need("res", value), need("u", value),
			may("from", value), may("to", value), may("due", day)},
		register: named("instrument/", "instrument"),
	},
	"zero": {
		fields: []field{need("instrument", key), need("bar", value), need("read", value)},
	},
	"pattern": {
		fields:   []field{need("pattern", key), need("data", anyObject)},
		register: named("pattern/", "pattern"),
	},
	"engine": {
		fields:   []field{need("asm", key), need("pattern", key), need("name", text), need("band", oneOf("solid", "hatched"))},
		register: named("engine/", "asm"),
	},
	"fitting": {
		fields: []field{need("moves", listOf(move)), need("day", day)},
		extra:  func(e Entry) string { return when(len(e.Body.Get("moves").Items()) == 0, "a move names no engine") },
	},
	"part": part,
	"limit": {
		fields: []field{need("limit", key), may("asm", key), may("pattern", key), may("min", value), may("max", value), may("also_min", value), may("also_max", value),
			may("test_pressure", value), may("test_time", value),
			need("judged", oneOf("read", "margin")), need("words", text), may("page", text), may("photos", listOf(ref)), may("accepted", key)},
		register: limitRegister,
		extra: func(e Entry) string {
			return when(e.Body.Get("min").IsNull() && e.Body.Get("max").IsNull(), "a limit needs a number: the least or the most")
		},
	},
	"reading": {
		fields: []field{need("of", of), need("cond", condition), need("value", value), may("instrument", key),
			may("zero", zeroRef), need("read_by", key), may("when", text), may("temp", value), may("blind", flag), may("note", text)},
		extra: func(e Entry) string {
			return when(e.Body.Get("of").Get("at").IsNull(), "a reading needs the place where it was taken")
		},
	},
	"ask": {
		fields: []field{need("of", of), need("cond", condition), may("who", key), may("why", text)},
	},
	"tighten": {
		fields: []field{need("of", of), may("cond", condition), need("pass", count), may("fasteners", listOf(key)), may("whole", flag),
			need("torque", value), need("thread", text), need("tool", key), may("set", value), may("moved", value), may("note", text)},
		extra: func(e Entry) string {
			return when(e.Body.Get("fasteners").IsNull() == e.Body.Get("whole").IsNull(),
				"a tightening names its fasteners, or the whole pass, and not both")
		},
	},
	"check": {fields: []field{need("of", of), may("cond", condition), need("answer", key), may("why", text), may("who", key)},
		extra: func(e Entry) string {
			return when(e.Body.Get("answer").Text() == "skipped" && e.Body.Get("why").IsNull(), "what is skipped says why")
		}},
	"hold-test": holdTest,
	"run":       runKind,
	"adjust":    adjustKind,
	"snag":      snag,
	"clutch":    clutchKind,
	"note":      {fields: []field{may("of", of), need("text", text), may("who", key)}},
	"photo":     {fields: []field{may("of", of), need("sha", ref), need("size", count), need("type", imageType), may("caption", text)}},
	"voice":     {fields: []field{may("of", of), need("sha", ref), need("size", count), need("type", audioType), need("seconds", count), may("caption", text)}},
	"mark": {
		fields: []field{need("photo", ref), need("shape", oneOf("arrow", "ring")), need("x", perMille), need("y", perMille),
			need("to_x", perMille), need("to_y", perMille), may("words", text)},
		extra: func(e Entry) string {
			b := e.Body
			return when(b.Get("x").Int64() == b.Get("to_x").Int64() && b.Get("y").Int64() == b.Get("to_y").Int64(),
				"both points of the mark are at one place: set the second one further away")
		},
	},
	"decision": decision,
	"stages": {
		fields:   []field{need("stages", listOf(object("key", "title")))},
		register: fixed("stages"),
	},
	"sign": {
		fields: []field{need("hold", key), need("asm", listOf(key)), need("rests", listOf(anyObject)), may("why", text), may("says", text), may("how", text)},
		register: func(b jcs.Value) string {
			asms := b.Get("asm").Texts()
			slices.Sort(asms)
			return "sign/" + b.Get("hold").Text() + "/" + strings.Join(asms, "+")
		},
	},
	"apply": {
		fields: []field{need("zero", ref), need("to", listOf(ref)), may("why", text)},
	},
	"withdraw": {
		fields: []field{need("why", text)},
		extra:  func(e Entry) string { return when(len(e.Over) == 0, "a withdrawal names nothing to withdraw") },
	},
	"restore": {
		fields: []field{may("why", text), may("of", ref)},
		extra:  func(e Entry) string { return when(len(e.Over) == 0, "nothing is named to be brought back") },
	},
}

// Kinds returns the names of the kinds that this version knows, in order.
func Kinds() []string {
	names := make([]string, 0, len(kinds))
	for name := range kinds {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// check returns why e is not usable by itself, or "". An unknown kind is kept
// for a newer version to judge.
func check(e Entry) string {
	k, ok := kinds[e.Kind]
	if !ok {
		return ""
	}
	if e.Body.Kind() != jcs.KindObject {
		return e.Kind + ": nothing is said"
	}
	for _, f := range k.fields {
		v := e.Body.Get(f.name)
		if v.IsNull() && f.must {
			return e.Kind + ": '" + f.name + "' is missing; it must be " + f.want
		}
		if !v.IsNull() && !f.is(v) {
			return e.Kind + ": '" + f.name + "' must be " + f.want
		}
	}
	if k.extra != nil {
		return k.extra(e)
	}
	return ""
}

func when(bad bool, why string) string {
	if bad {
		return why
	}
	return ""
}

func fixed(register string) func(jcs.Value) string {
	return func(jcs.Value) string { return register }
}

func named(prefix, field string) func(jcs.Value) string {
	return func(b jcs.Value) string { return prefix + b.Get(field).Text() }
}

func limitRegister(b jcs.Value) string {
	owner := b.Get("asm").Text()
	if owner == "" {
		owner = "*" + b.Get("pattern").Text()
	}
	return "limit/" + owner + "/" + b.Get("limit").Text()
}
