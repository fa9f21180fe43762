package view

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"

	story "witnessmark/testdata/demo"
)

// writer adds entries of Pell's phone to the demo's.
type writer struct {
	t    *testing.T
	set  *reconcile.Set
	last entry.Entry
}

func newWriter(t *testing.T) *writer {
	t.Helper()
	w := &writer{t: t, set: reconcile.New()}
	for _, line := range story.Lines() {
		if _, err := w.set.Add(line); err != nil {
			t.Fatal(err)
		}
	}
	first, err := entry.Read(story.Lines()[0])
	if err != nil {
		t.Fatal(err)
	}
	w.last = entry.Entry{Job: first.Job, Log: entry.LogID(strings.Repeat("e", 32))}
	w.write("log", `{"device":"own","name":"P9","of":"pell"}`)
	return w
}

func (w *writer) write(kind, body string, over ...entry.ID) entry.ID {
	w.t.Helper()
	v, err := jcs.Parse([]byte(body))
	if err != nil {
		w.t.Fatal(err)
	}
	e, err := entry.Compose(entry.Entry{Job: w.last.Job, Log: w.last.Log, Seq: w.last.Seq + 1, Prev: w.last.ID,
		At: "2027-05-01T10:00:00+00:00", By: "pell", Kind: kind, Over: over, Body: v})
	if err != nil {
		w.t.Fatal(err)
	}
	w.set.AddEntry(e)
	w.last = e
	return e.ID
}

func (w *writer) shown() shown {
	st := record.Build(w.set.Resolve())
	return shown{w.t, st, result.All(st)}
}

const photoAt = `{"of":{"asm":"2123","at":"pin.4.journal"},"sha":"%064d","size":9,"type":"image/jpeg","caption":"scored pin"}`

// TestPhotoScreen: the marks are drawn for the photo's own shape, numbered as
// they are listed, the one in hand without a number.
func TestPhotoScreen(t *testing.T) {
	w := newWriter(t)
	photo := w.write("photo", fmt.Sprintf(photoAt, 7))
	w.write("mark", fmt.Sprintf(`{"photo":%q,"shape":"arrow","x":100,"y":500,"to_x":500,"to_y":500,"words":"score <ends>"}`, photo))
	ring := w.write("mark", fmt.Sprintf(`{"photo":%q,"shape":"ring","x":500,"y":500,"to_x":600,"to_y":500}`, photo))
	args := fmt.Sprintf(`{"id":%q,"wide":2000,"high":1000}`, photo)
	v := w.shown().view("photo", args)
	for path, want := range map[string]string{
		"where": "2123 · big-end pin 4 · journal", "by": "Pell Oakes", "engine.asm": "2123", "place": "pin.4.journal", "caption": "scored pin",
		"marks.0.words": "arrow: score <ends>", "marks.1.words": "ring", "marks.1.by": "Pell Oakes",
	} {
		if got := find(v, path).Text(); got != want {
			t.Errorf("%s is %q, want %q", path, got, want)
		}
	}
	svg := v.Get("svg").Text()
	for _, want := range []string{`viewBox="0 0 1000 500"`, `<line class="pm-line" x1="100" y1="250" x2="454" y2="250"/>`, `<circle class="pm-line" cx="500" cy="250" r="100"/>`, ">1</text>", ">2</text>"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %s in %s", want, svg)
		}
	}
	targets(t, svg) // well-formed
	draft := w.shown().view("photo", strings.TrimSuffix(args, "}")+`,"draft":{"shape":"ring","x":0,"y":0,"to_x":0,"to_y":1000}}`)
	if got := draft.Get("svg").Text(); strings.Count(got, "pm-line") != strings.Count(svg, "pm-line")+1 || strings.Contains(got, ">3</text>") {
		t.Errorf("the mark in hand: %s", got)
	}
	w.write("withdraw", `{"why":"a shadow"}`, ring)
	if n := len(w.shown().view("photo", args).Get("marks").Items()); n != 1 {
		t.Errorf("%d marks after one was taken off", n)
	}
	w.write("withdraw", `{"why":"wrong engine"}`, photo)
	s := w.shown()
	if _, err := View(s.st, s.rs, "photo", jcs.Obj(jcs.M("id", jcs.Str(string(photo))))); !errors.Is(err, ErrNoPhoto) {
		t.Errorf("a photo that was taken back: %v", err)
	}
}

// TestVoiceAtPlace: phones of the workshop hear it, people outside never do: a voice is a name.
func TestVoiceAtPlace(t *testing.T) {
	w := newWriter(t)
	sha := strings.Repeat("c", 64)
	photo := w.write("photo", fmt.Sprintf(photoAt, 7))
	w.write("mark", fmt.Sprintf(`{"photo":%q,"shape":"ring","x":1,"y":1,"to_x":9,"to_y":9}`, photo))
	w.write("voice", `{"of":{"asm":"2123","at":"pin.4.journal"},"sha":"`+sha+`","size":61440,"type":"audio/webm","seconds":65,"caption":"what Pell heard"}`)
	s := w.shown()
	v := s.view("point", `{"asm":"2123","at":"pin.4.journal","point":"b.V"}`)
	if find(v, "voices.0.sha").Text() != sha || find(v, "voices.0.length").Text() != "1 min 5 s" || find(v, "voices.0.by").Text() != "Pell Oakes" {
		t.Errorf("%s", v.Get("voices"))
	}
	marked := ""
	for _, p := range v.Get("photos").Items() {
		marked += p.Get("marked").Text()
	}
	if marked != "1 mark" {
		t.Errorf("the small photo says %q", marked)
	}
	if n := len(s.view("point", `{"asm":"2117","at":"pin.4.journal","point":"b.V"}`).Get("voices").Items()); n != 0 {
		t.Error("the twin has it too")
	}
	for _, people := range []string{`{}`, `{"people":true}`} {
		if page := s.view("public", people).String(); strings.Contains(page, sha) || strings.Contains(page, "what Pell heard") {
			t.Error("the volunteers' page has the voice note")
		}
	}
}
