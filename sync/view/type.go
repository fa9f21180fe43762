package view

import (
	"strings"

	"witnessmark/sync/draw"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// types lists the engine types with the engines of each, and each as a file.
func (v *viewer) types() jcs.Value {
	return jcs.Obj(list("types", v.st.Patterns, func(s record.Sheet) jcs.Value {
		if s.Pattern == nil {
			return jcs.Obj(str("key", s.Key), text("name", s.Key), text("says", s.Why), v.ofType(s.Key))
		}
		return jcs.Obj(str("key", s.Key), text("name", s.Pattern.Name), text("says", sheetSays(s.Pattern)), v.ofType(s.Key), text("file", s.Pattern.File(s.Key)))
	}))
}

// sheetSays is a type in numbers.
func sheetSays(p *pattern.Pattern) string {
	places := p.Places()
	points, studs := 0, 0
	for _, pl := range places {
		points += len(pl.Feature.PointsOf())
	}
	for _, j := range p.Joints {
		studs += len(j.Fasteners)
	}
	return counted(p.Cylinders, "cylinder", "cylinders") + ", " + counted(p.Mains, "main bearing", "main bearings") + ", " + counted(len(p.Valves), "valve", "valves") + ", " +
		counted(studs, "fastener", "fasteners") + "; " + counted(len(places), "place", "places") + ", " + counted(points, "point", "points") + " to measure"
}

// typeDraft is an engine type being made or changed: where it comes from, what
// would change, and the entry that keeps it.
type typeDraft struct {
	old   *record.Sheet // the type as it stands, or nil
	key   string
	now   *pattern.Pattern
	wrong []pattern.Trouble
}

// typeSheet is a type from the small form, from a file, or as it stands, with
// what was changed since: its drawings, every line of the sheet, what is wrong
// with it and what to do, what it changes and what would hang in the air.
func (v *viewer) typeSheet() jcs.Value {
	d := v.typeFrom()
	if d.now == nil {
		return jcs.Obj(list("wrong", d.wrong, troubleJSON), jcs.M("lost", jcs.Arr()))
	}
	var edits []pattern.Edit
	for _, m := range v.args.Get("edits").Items() {
		edits = append(edits, pattern.Edit{Key: m.Get("key").Text(), Text: m.Get("text").Text()})
	}
	now, wrong := d.now.With(edits)
	d.now, d.wrong = now, append(d.wrong, wrong...)
	var changes []pattern.Change
	if d.old != nil && d.old.Pattern != nil {
		changes = d.old.Pattern.Changes(d.now)
	}
	v.mayKeep(&d)
	return jcs.Obj(str("key", d.key), text("name", d.now.Name), text("says", sheetSays(d.now)), yes("stands", d.old != nil), list("wrong", d.wrong, troubleJSON),
		text("svg", draw.Engine(draw.Map{Pattern: d.now, Name: d.now.Name, Where: "engine type", Number1: v.st.Numbering.End1, Type: true})),
		list("joints", d.now.Joints, func(j pattern.Joint) jcs.Value {
			return jcs.Obj(text("joint", j.Joint), text("words", j.Words), text("svg", v.jointSVG(&j, d.now.Name)))
		}),
		list("fields", d.now.Fields(), func(f pattern.Field) jcs.Value {
			return jcs.Obj(text("key", f.Key), str("group", f.Group), str("of", f.Of), text("label", f.Label), text("text", f.Text))
		}),
		list("changes", changes, func(c pattern.Change) jcs.Value {
			return jcs.Obj(str("of", c.Of), text("label", c.Label), text("was", c.Was), text("now", c.Now))
		}),
		jcs.M("lost", jcs.Strs(v.lostPlaces(d))), jcs.M("draft", d.draft()), text("file", d.now.File(d.key)))
}

// jointSVG is a joint whose fasteners can be chosen to be moved; that of the small form is only looked at.
func (v *viewer) jointSVG(j *pattern.Joint, name string) string {
	if !v.args.Get("form").IsNull() {
		return draw.JointStill(j, name, nil)
	}
	chosen, _ := strings.CutPrefix(v.arg("stud"), j.Joint+"|")
	return draw.Joint(j, name, nil, chosen)
}

func troubleJSON(t pattern.Trouble) jcs.Value {
	return jcs.Obj(str("key", t.Key), text("says", t.Says))
}

func (v *viewer) typeFrom() typeDraft {
	d := typeDraft{key: v.arg("pattern")}
	form := v.args.Get("form")
	switch file := v.arg("file"); {
	case file != "":
		p, key, err := pattern.ReadFile(file)
		if err != nil {
			d.wrong = []pattern.Trouble{{Says: strings.TrimPrefix(err.Error(), "type sheet: ")}}
			return d
		}
		d.now = p
		if d.key == "" {
			d.key = key
		}
	case !form.IsNull():
		d.now, d.wrong = typeOfForm(form)
	}
	if d.now != nil && d.key == "" {
		d.key = typeKey(d.now.Name)
	}
	for i := range v.st.Patterns {
		if s := &v.st.Patterns[i]; s.Key == d.key {
			d.old = s
		}
	}
	switch {
	case d.now == nil && d.old != nil && d.old.Pattern != nil:
		d.now = d.old.Pattern
	case d.now == nil:
		d.wrong = append(d.wrong, pattern.Trouble{Says: "this job has no such engine type"})
	case d.old != nil && !form.IsNull():
		d.wrong = append(d.wrong, pattern.Trouble{Key: "name", Says: "there is a type of that name: change that one, or call this one otherwise"})
	}
	return d
}

// typeKey is a short name for a type: of a name in another script, the name itself.
func typeKey(name string) string {
	plain := strings.Join(strings.FieldsFunc(strings.ToLower(name), func(c rune) bool { return (c < 'a' || c > 'z') && (c < '0' || c > '9') }), "-")
	if plain == "" {
		plain = strings.TrimSpace(strings.ReplaceAll(name, "/", " "))
	}
	return plain
}

// mayKeep adds what keeps a sheet from being kept as a whole: it is more than
// one entry holds, or two people changed it apart.
func (v *viewer) mayKeep(d *typeDraft) {
	if len(d.now.JSON().String()) > entry.MaxEntry-2<<10 {
		d.wrong = append(d.wrong, pattern.Trouble{Says: "the sheet has grown larger than one entry holds: take places off it that nobody measures"})
	}
	for _, c := range v.st.Contests {
		if d.old != nil && c.Register == "pattern/"+d.key {
			d.wrong = append(d.wrong, pattern.Trouble{Says: "two people changed this type without knowing of each other: settle that first, under Today"})
		}
	}
}

// draft is the entry that keeps the type, or null while something is wrong with it.
func (d typeDraft) draft() jcs.Value {
	if len(d.wrong) > 0 || d.old != nil && d.old.Pattern != nil && d.old.Pattern.JSON().String() == d.now.JSON().String() {
		return jcs.Null()
	}
	body := jcs.Obj(text("pattern", d.key), jcs.M("data", d.now.JSON()))
	over := []string{}
	if d.old != nil {
		over = append(over, string(d.old.ID))
	}
	return jcs.Obj(str("kind", "pattern"), jcs.M("body", body), jcs.M("over", jcs.Strs(over)))
}
