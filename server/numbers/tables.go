package numbers

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/view"
)

// where names an engine, its side as it was shown, and a place in words.
func (j *job) where(of record.Of) []string {
	name, words := "", of.At
	if e, ok := j.st.Engine(of.Asm); ok {
		name = e.Name
		if e.Pattern != nil && of.At != "" {
			words = e.Pattern.Words(of.At)
		}
	}
	return []string{text(of.Asm), text(name), of.Side, text(of.At), text(words), text(of.Point), text(pattern.PointWords(of.Point)), text(of.Part)}
}

var whereHeads = []string{"engine", "engine's name", "side as shown", "place", "place in words", "point", "point in words", "part"}

// readings has a row for each reading, struck ones too.
func (j *job) readings() []byte {
	var dims []quantity.Dim
	for _, p := range j.st.Places {
		for _, r := range p.Readings {
			if dim, _, _ := ends(r.Value); dim != "" {
				dims = append(dims, dim)
			}
		}
	}
	cols := columnsOf(dims)
	t := header(slices.Concat([]string{"entry"}, whereHeads, []string{"condition", "condition in words"}, writtenHeads("value"), cols.heads("least", "most"),
		[]string{"instrument", "zero check", "zero check entry"}, writtenHeads("zero check on"), writtenHeads("zero check read"), writtenHeads("temperature"),
		[]string{"read by", "written by", "time as the phone said", "measured when", "unseen check reading", "state", "why struck", "struck by entries", "note"})...)
	for _, p := range j.st.Places {
		for _, r := range p.Readings {
			t.row(j.reading(cols, p, r)...)
		}
	}
	return t.bytes()
}

func (j *job) reading(cols columns, p record.Place, r record.Reading) []string {
	dim, least, most := ends(r.Value)
	part := ""
	if p.Key != r.Asm {
		part = p.Key
	}
	var zero record.Zero
	if r.Zero != nil {
		zero = *r.Zero
	}
	var temp quantity.Written
	if r.Temp != nil {
		temp = *r.Temp
	}
	return slices.Concat([]string{string(r.ID)}, j.where(record.Of{Asm: r.Asm, Side: r.Side, At: p.At, Point: p.Point, Part: part}),
		[]string{text(p.Cond), text(pattern.CondWords(p.Cond))}, written(r.Value), cols.cells(dim, least, most),
		[]string{text(r.Instrument), j.print.Zero(r), string(zero.ID)}, written(zero.Bar), written(zero.Read), written(temp),
		[]string{text(j.who.Person(r.ReadBy)), text(j.who.Person(r.By)), text(r.At), text(j.who.Text(r.When)), yes(r.Blind), stateOf(r), text(j.who.Text(r.Struck)), ids(r.StruckBy), text(j.who.Text(r.Note))})
}

func stateOf(r record.Reading) string {
	switch {
	case r.Struck != "":
		return "struck"
	case r.Contest != "":
		return "contested"
	case len(r.Waits) > 0 || r.NeedsNewer:
		return "waits"
	}
	return "stands"
}

func ids[S ~string](of []S) string {
	out := make([]string, len(of))
	for i, id := range of {
		out[i] = string(id)
	}
	return strings.Join(out, " ")
}

// results has a row for each value of each result, and one without a value for a result that has none yet.
func (j *job) results() []byte {
	var dims []quantity.Dim
	for _, r := range j.rs {
		for _, v := range r.Vals {
			if dim, ok := dimOf(v.Unit); ok {
				dims = append(dims, dim)
			}
		}
	}
	cols := columnsOf(dims)
	t := header(slices.Concat([]string{"result", "engine", "place", "condition", "in words", "calculation", "version", "verdict", "says"},
		[]string{"value", "value in words", "value is", "value as shown", "unit as shown", "uncertainty as shown", "verdict of the value"}, cols.heads("value", "uncertainty U"),
		[]string{"value in SI", "U in SI", "coverage factor / 1", "degrees of freedom / 1", "limit"}, writtenHeads("least allowed"), writtenHeads("most allowed"),
		[]string{"limit's words", "limit's page", "limit's entry", "judged", "missing", "input entries"})...)
	for _, r := range j.rs {
		head := []string{text(r.ID), text(r.Asm), text(r.At), text(r.Cond), text(r.Words), r.Calc, r.Version, view.Word(r.Verdict, r.Close), text(j.who.Text(r.Says))}
		tail := []string{text(j.who.Text(strings.Join(r.Missing, "; "))), ids(r.Inputs)}
		if len(r.Vals) == 0 {
			t.row(slices.Concat(head, make([]string, t.wide-len(head)-len(tail)), tail)...)
		}
		for _, v := range r.Vals {
			t.row(slices.Concat(head, j.value(cols, v), tail)...)
		}
	}
	return t.bytes()
}

func (j *job) value(cols columns, v calc.Val) []string {
	dim, _ := dimOf(v.Unit) // what no column has stands in the column of SI all the same
	return slices.Concat([]string{text(v.Name), text(v.Label), v.Is, asWritten(v.Text), text(v.Unit), asWritten(v.UText), view.Word(v.Verdict, v.Close)},
		cols.cells(dim, float(v.SI), float(v.U)), []string{float(v.SI), float(v.U), float(v.K), float(v.DoF)}, limit(v.Limit))
}

// limit is the limit's name, both ends as written, and where it comes from.
func limit(l *calc.Limit) []string {
	if l == nil {
		return make([]string, 13)
	}
	end := func(w *quantity.Written) []string {
		if w == nil {
			return make([]string, 4)
		}
		return written(*w)
	}
	judged := "as read"
	if l.Margin {
		judged = "with margin"
	}
	return slices.Concat([]string{text(l.Name)}, end(l.Min), end(l.Max), []string{text(l.Words), text(l.Page), l.Ref, judged})
}

// tightening has a row for each entry of each pass.
func (j *job) tightening() []byte {
	const n = " / N m"
	t := header(slices.Concat([]string{"entry", "engine", "joint", "joint in words", "condition", "pass / 1", "fasteners", "whole pass"}, writtenHeads("torque"), []string{"torque" + n},
		writtenHeads("set on the tool"), []string{"set on the tool" + n}, writtenHeads("moved"), []string{"moved / degree"}, []string{"thread", "tool", "by", "time as the phone said", "note", "not reached yet"})...)
	for _, joint := range j.st.Joints {
		for _, p := range joint.Passes {
			for _, l := range p.Lines {
				words := j.where(record.Of{Asm: joint.Asm, At: joint.Joint})[4]
				t.row(slices.Concat([]string{string(l.ID), text(joint.Asm), text(joint.Joint), words, text(joint.Cond), strconv.Itoa(p.N), text(strings.Join(l.Fasteners, " ")), yes(l.Whole)},
					inSI(l.Torque, quantity.Torque), inSI(l.Set, quantity.Torque), inSI(l.Moved, quantity.Angle),
					[]string{text(l.Thread), text(l.Tool), text(j.who.Person(l.By)), text(l.At), text(j.who.Text(l.Note)), text(strings.Join(p.Missing, " "))})...)
			}
		}
	}
	return t.bytes()
}

// inSI is a value as written, and in SI where it is what the column holds.
func inSI(w quantity.Written, want quantity.Dim) []string {
	dim, least, _ := ends(w)
	if dim != want {
		least = ""
	}
	return append(written(w), least)
}

// parts has a row for each step of each part's story.
func (j *job) parts() []byte {
	t := header("part", "what", "as", "state now", "in engine now", "step", "engine", "place", "day", "by", "note", "entry")
	for _, p := range j.st.Parts {
		for _, s := range p.Story {
			t.row(text(p.Key), text(j.who.Text(p.What)), text(p.As), p.State, text(p.Asm), s.State, text(s.Asm), text(s.Place), text(s.Day), text(j.who.Person(s.By)), text(j.who.Text(s.Note)), string(s.ID))
		}
	}
	return t.bytes()
}

// notes has a row for each note, each photo with its caption, and each decision with its reason.
func (j *job) notes() []byte {
	t := header(slices.Concat([]string{"entry", "kind"}, whereHeads, []string{"text", "photo's SHA-256", "by", "time as the phone said"})...)
	row := func(id, kind string, of record.Of, words, sha, by, at string) {
		t.row(slices.Concat([]string{id, kind}, j.where(of), []string{text(j.who.Text(words)), sha, text(j.who.Person(by)), text(at)})...)
	}
	for _, n := range j.st.Notes {
		row(string(n.ID), "note", n.Of, n.Text, "", n.By, n.At)
	}
	for _, p := range j.st.Photos {
		row(string(p.ID), "photo", p.Of, p.Caption, p.SHA, p.By, p.At)
	}
	for _, d := range j.st.Decisions {
		row(string(d.ID), "decision", record.Of{Asm: strings.Join(d.Asm, "+")}, d.Decide+": "+d.Why, "", d.By, d.At)
	}
	return t.bytes()
}
