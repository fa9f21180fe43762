package record

import (
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

// Voice is a voice note that stands; whether its bytes have arrived is the store's fact.
type Voice struct {
	ID                 entry.ID
	Of                 Of
	SHA, Type, Caption string
	Size, Seconds      int64
	By, At             string
}

// Mark is an arrow or a ring that somebody drew on a photo. Its points are in
// thousandths of the photo's width and height: an arrow's tail and tip, a
// ring's centre and a point of its edge.
type Mark struct {
	ID, Photo entry.ID
	SHA       string // of the photo's bytes; "" while the photo has not arrived
	Shape     string // arrow or ring
	X, Y      int64
	ToX, ToY  int64
	Words     string
	By, At    string
	Contested bool // two corrections of it stand side by side
}

// media gathers voice notes and marks.
func (b *builder) media() {
	b.standing("voice", func(it *reconcile.Item, _ jcs.Value) { b.s.Voices = append(b.s.Voices, voiceOf(it)) })
	b.standing("mark", func(it *reconcile.Item, _ jcs.Value) { b.s.Marks = append(b.s.Marks, b.markOf(it)) })
}

func voiceOf(it *reconcile.Item) *Voice {
	v := it.Effective
	return &Voice{ID: it.ID, Of: ofBody(v.Get("of")), SHA: v.Get("sha").Text(), Type: v.Get("type").Text(), Caption: v.Get("caption").Text(),
		Size: v.Get("size").Int64(), Seconds: v.Get("seconds").Int64(), By: it.By, At: it.At}
}

// markOf ties a mark to the picture and not to the entry: a caption put right,
// or a photo taken back and brought back, keeps its marks.
func (b *builder) markOf(it *reconcile.Item) *Mark {
	v := it.Effective
	m := &Mark{ID: it.ID, Photo: entry.ID(v.Get("photo").Text()), Shape: v.Get("shape").Text(), X: v.Get("x").Int64(), Y: v.Get("y").Int64(),
		ToX: v.Get("to_x").Int64(), ToY: v.Get("to_y").Int64(), Words: v.Get("words").Text(), By: it.By, At: it.At, Contested: it.Contest > 0}
	if p := b.r.Item(m.Photo); p != nil && p.Says == "photo" {
		m.SHA = p.Effective.Get("sha").Text()
	}
	return m
}

// Photo returns the photo of that entry, or the one that stands in its place with the same bytes.
func (s *State) Photo(id entry.ID) (*Photo, bool) {
	sha := ""
	if it := s.resolved.Item(id); it != nil && it.Says == "photo" {
		sha = it.Effective.Get("sha").Text()
	}
	var same *Photo
	for _, p := range s.Photos {
		if p.ID == id {
			return p, true
		}
		if p.SHA == sha && same == nil {
			same = p
		}
	}
	return same, same != nil
}

// MarksOn returns the marks on a photo, in the order of the entries.
func (s *State) MarksOn(p *Photo) []*Mark {
	var out []*Mark
	for _, m := range s.Marks {
		if m.SHA == p.SHA {
			out = append(out, m)
		}
	}
	return out
}

func (v *Voice) json() jcs.Value {
	return jcs.Obj(id("id", v.ID), jcs.M("of", v.Of.JSON()), str("sha", v.SHA), str("type", v.Type), str("caption", v.Caption),
		jcs.M("size", jcs.Int(v.Size)), jcs.M("seconds", jcs.Int(v.Seconds)), str("by", v.By), str("at", v.At))
}

func (m *Mark) json() jcs.Value {
	return jcs.Obj(id("id", m.ID), id("photo", m.Photo), str("sha", m.SHA), str("shape", m.Shape), jcs.M("x", jcs.Int(m.X)), jcs.M("y", jcs.Int(m.Y)),
		jcs.M("to_x", jcs.Int(m.ToX)), jcs.M("to_y", jcs.Int(m.ToY)), str("words", m.Words), str("by", m.By), str("at", m.At), flag("contested", m.Contested))
}

// some is a list that is left out while it is empty, so that a job without any
// keeps the digest that it had before there were such entries.
func some[T any](key string, of []T, one func(T) jcs.Value) jcs.Member {
	if len(of) == 0 {
		return jcs.M(key, jcs.Null())
	}
	return list(key, of, one)
}

// Length says a number of seconds in words.
func Length(seconds int64) string {
	whole := func(n int64, unit string) string { return jcs.Int(n).String() + " " + unit }
	switch m, s := seconds/60, seconds%60; {
	case m == 0:
		return whole(s, "s")
	case s == 0:
		return whole(m, "min")
	default:
		return whole(m, "min") + " " + whole(s, "s")
	}
}

// MarkWords says what a mark is.
func MarkWords(shape, words string) string {
	if words == "" {
		return shape
	}
	return shape + ": " + words
}
