package record

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/sync/entry"
)

const (
	photoBody = `{"of":{"asm":"2123","at":"pin.4.journal"},"sha":"%s","size":9,"type":"image/jpeg","caption":%q}`
	arrowBody = `{"photo":%q,"shape":"arrow","x":100,"y":200,"to_x":300,"to_y":400,"words":"here"}`
)

var shaA, shaB = strings.Repeat("a", 64), strings.Repeat("b", 64)

func marksOn(s *State) []string {
	var out []string
	for _, p := range s.Photos {
		for _, m := range s.MarksOn(p) {
			out = append(out, p.Caption+" "+m.Shape)
		}
	}
	return out
}

// TestMarks: a mark belongs to the picture: it outlives a caption put right and
// a photo brought back, is gone with the photo, and never moves to another.
func TestMarks(t *testing.T) {
	w := newWorkshop(t)
	photo := w.maud.write("photo", fmt.Sprintf(photoBody, shaA, "scored pin"))
	w.maud.write("photo", fmt.Sprintf(photoBody, shaB, "other"))
	mark := w.pell.write("mark", fmt.Sprintf(arrowBody, photo))
	check := func(step string, want ...string) {
		t.Helper()
		if got := marksOn(w.state()); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: %q, want %q", step, got, want)
		}
	}
	check("drawn", "scored pin arrow")
	better := w.maud.write("photo", fmt.Sprintf(photoBody, shaA, "scored pin 4"), photo)
	check("caption put right", "scored pin 4 arrow")
	if p, ok := w.state().Photo(photo); !ok || p.ID != better {
		t.Error("an old link does not find the photo that stands in its place")
	}
	gone := w.maud.write("withdraw", `{"why":"wrong engine"}`, better)
	check("taken back")
	if _, ok := w.state().Photo(photo); ok {
		t.Error("a photo that was taken back is found")
	}
	w.maud.write("restore", `{}`, gone)
	check("brought back", "scored pin 4 arrow")
	w.pell.write("withdraw", `{"why":"a shadow"}`, mark)
	check("mark taken off")
}

// TestMarkContested: two corrections of a mark are asked about at the photo's place.
func TestMarkContested(t *testing.T) {
	w := newWorkshop(t)
	photo := w.maud.write("photo", fmt.Sprintf(photoBody, shaA, "scored pin"))
	mark := w.pell.write("mark", fmt.Sprintf(arrowBody, photo))
	moved := strings.Replace(fmt.Sprintf(arrowBody, photo), `"x":100`, `"x":%d`, 1)
	w.pell.write("mark", fmt.Sprintf(moved, 110), mark)
	w.maud.write("mark", fmt.Sprintf(moved, 120), mark)
	s := w.state()
	if len(s.Marks) != 2 || !s.Marks[0].Contested || !s.Marks[1].Contested {
		t.Errorf("%+v", s.Marks)
	}
	if len(s.Contests) != 1 || len(s.Contests[0].Places) != 1 || s.Contests[0].Places[0].At != "pin.4.journal" {
		t.Errorf("%+v", s.Contests)
	}
}

// TestMarkBeforePhoto: a mark whose photo has not arrived waits, and is there with it.
func TestMarkBeforePhoto(t *testing.T) {
	w := newWorkshop(t)
	photo := w.maud.write("photo", fmt.Sprintf(photoBody, shaA, "scored pin"))
	w.pell.write("mark", fmt.Sprintf(arrowBody, photo))
	var late []entry.Entry
	for _, e := range w.all {
		if e.ID != photo {
			late = append(late, e)
		}
	}
	if s := build(late); len(s.Marks) != 1 || s.Marks[0].SHA != "" || len(marksOn(s)) != 0 {
		t.Errorf("without its photo: %+v", s.Marks)
	}
	if got := marksOn(build(w.all)); len(got) != 1 {
		t.Errorf("with it: %q", got)
	}
}

func TestVoices(t *testing.T) {
	w := newWorkshop(t)
	id := w.pell.write("voice", `{"of":{"asm":"2123","at":"pin.4.journal"},"sha":"`+shaA+`","size":61440,"type":"audio/mp4","seconds":65}`)
	s := w.state()
	if len(s.Voices) != 1 || s.Voices[0].Seconds != 65 || s.Voices[0].Of.At != "pin.4.journal" || s.Voices[0].Type != "audio/mp4" {
		t.Fatalf("%+v", s.Voices)
	}
	if said, _ := s.Saying(id); said.Words != "voice note, 1 min 5 s" {
		t.Error(said.Words)
	}
	w.maud.write("withdraw", `{"why":"said too much"}`, id)
	if s = w.state(); len(s.Voices) != 0 || strings.Contains(string(s.Bytes()), `"voices"`) {
		t.Error("it is still there")
	}
}

func TestLength(t *testing.T) {
	for seconds, want := range map[int64]string{1: "1 s", 59: "59 s", 60: "1 min", 65: "1 min 5 s", 300: "5 min"} {
		if got := Length(seconds); got != want {
			t.Errorf("%d is %q, want %q", seconds, got, want)
		}
	}
}
