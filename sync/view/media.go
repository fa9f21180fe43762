package view

import (
	"errors"

	"witnessmark/sync/draw"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// ErrNoPhoto is for a photo that was taken back or has not arrived.
var ErrNoPhoto = errors.New("this photo was taken back, or has not arrived on this phone yet")

// voicesAt are the voice notes of a place.
func (v *viewer) voicesAt(e *record.Engine, at string) jcs.Member {
	out := []jcs.Value{}
	for _, n := range v.st.Voices {
		if n.Of.Asm == e.Serial && n.Of.At == at {
			out = append(out, jcs.Obj(str("id", string(n.ID)), str("sha", n.SHA), str("length", record.Length(n.Seconds)), jcs.M("seconds", jcs.Int(n.Seconds)),
				str("caption", n.Caption), text("by", v.person(n.By)), text("at", n.At)))
		}
	}
	return jcs.M("voices", jcs.Arr(out...))
}

// photoScreen is one photo with its marks drawn for its size in pixels, which
// only the page knows, and with one more while it is being drawn.
func (v *viewer) photoScreen() (jcs.Value, error) {
	p, ok := v.st.Photo(entry.ID(v.arg("id")))
	if !ok {
		return jcs.Null(), ErrNoPhoto
	}
	marks := v.st.MarksOn(p)
	drawn := []draw.PhotoMark{}
	lines := []jcs.Value{}
	for i, m := range marks {
		drawn = append(drawn, draw.PhotoMark{Shape: m.Shape, X: m.X, Y: m.Y, ToX: m.ToX, ToY: m.ToY, Number: i + 1})
		lines = append(lines, jcs.Obj(str("id", string(m.ID)), num("number", i+1), str("words", record.MarkWords(m.Shape, m.Words)),
			text("by", v.person(m.By)), text("at", m.At), flag("contested", m.Contested)))
	}
	if d := v.args.Get("draft"); !d.IsNull() {
		drawn = append(drawn, draw.PhotoMark{Shape: d.Get("shape").Text(), X: d.Get("x").Int64(), Y: d.Get("y").Int64(), ToX: d.Get("to_x").Int64(), ToY: d.Get("to_y").Int64()})
	}
	svg := draw.Marks(drawn, v.args.Get("wide").Int64(), v.args.Get("high").Int64(), markCount(len(marks)))
	out := v.photo(p, true).With("marks", jcs.Arr(lines...)).With("svg", jcs.Str(svg))
	if e, ok := v.st.Engine(p.Of.Asm); ok {
		out = out.With("engine", v.tag(e)).With("place", jcs.Opt(p.Of.At))
	}
	return out, nil
}

func markCount(n int) string {
	switch n {
	case 0:
		return "no marks"
	case 1:
		return "1 mark"
	}
	return count(n) + " marks"
}

// marked says how many marks a photo has, for a list that shows it small; "" for none.
func (v *viewer) marked(p *record.Photo) string {
	if n := len(v.st.MarksOn(p)); n > 0 {
		return markCount(n)
	}
	return ""
}
