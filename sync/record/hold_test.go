package record

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/sync/entry"
)

const startBody = `{"of":{"asm":"2123"},"test":"cooling water","pressure":{"t":"0.700","u":"bar"},"temp":{"t":"16","u":"degC"},"wait":{"t":"15","u":"min"}}`

func endBody(asm string, start entry.ID, pressure string) string {
	return fmt.Sprintf(`{"of":{"asm":%q},"start":%q,"pressure":{"t":%q,"u":"bar"},"temp":{"t":"15","u":"degC"},"elapsed":{"t":"903","u":"s"}}`, asm, start, pressure)
}

// held says the hold tests of a record, each in a line.
func held(s *State) string {
	var out []string
	say := func(what string, f Fate) string {
		for _, w := range []struct {
			words string
			is    bool
		}{{" struck: " + f.Struck, f.Struck != ""}, {" contested", f.Contest != ""}, {" waits", len(f.Waits) > 0}} {
			if w.is {
				what += w.words
			}
		}
		return what
	}
	for _, t := range s.Holds {
		line := say(t.Pressure.Text, t.Fate)
		for _, e := range t.Ends {
			line += say(", end "+e.Pressure.Text, e.Fate)
		}
		out = append(out, line)
	}
	return strings.Join(out, "; ")
}

func TestHold(t *testing.T) {
	corrected := strings.Replace(startBody, "0.700", "0.710", 1)
	for _, c := range []struct {
		name  string
		write func(w *workshop, start entry.ID)
		want  string
	}{
		{"running", func(*workshop, entry.ID) {}, "0.700"},
		{"ended on another phone", func(w *workshop, start entry.ID) { w.pell.write("hold-test", endBody("2123", start, "0.618")) }, "0.700, end 0.618"},
		{"given up", func(w *workshop, start entry.ID) { w.maud.write("withdraw", `{"why":"the hose slipped"}`, start) }, "0.700 struck: the hose slipped"},
		{"given up on one phone, ended on the other", func(w *workshop, start entry.ID) {
			w.maud.write("withdraw", `{"why":"the hose slipped"}`, start)
			w.pell.write("hold-test", endBody("2123", start, "0.618"))
		}, "0.700 struck: the hose slipped, end 0.618"},
		{"brought back", func(w *workshop, start entry.ID) {
			w.maud.write("restore", `{}`, w.maud.write("withdraw", `{"why":"the hose slipped"}`, start))
			w.pell.write("hold-test", endBody("2123", start, "0.618"))
		}, "0.700 struck: the hose slipped; 0.700, end 0.618"},
		{"an end of a start that was corrected", func(w *workshop, start entry.ID) {
			w.pell.write("hold-test", endBody("2123", start, "0.618"))
			w.maud.write("hold-test", corrected, start)
		}, "0.700 struck: corrected; 0.710, end 0.618"},
		{"an end that is corrected", func(w *workshop, start entry.ID) {
			end := w.maud.write("hold-test", endBody("2123", start, "0.681"))
			w.maud.write("hold-test", endBody("2123", start, "0.618"), end)
		}, "0.700, end 0.681 struck: corrected, end 0.618"},
		{"two ends that differ", func(w *workshop, start entry.ID) {
			w.maud.write("hold-test", endBody("2123", start, "0.618"))
			w.pell.write("hold-test", endBody("2123", start, "0.620"))
		}, "0.700, end 0.620 contested, end 0.618 contested"},
		{"two ends that differ, one naming the corrected start", func(w *workshop, start entry.ID) {
			w.maud.write("hold-test", endBody("2123", w.maud.write("hold-test", corrected, start), "0.618"))
			w.pell.write("hold-test", endBody("2123", start, "0.620"))
		}, "0.700 struck: corrected; 0.710, end 0.620 contested, end 0.618 contested"},
		{"two ends that say the same", func(w *workshop, start entry.ID) {
			w.maud.write("hold-test", endBody("2123", start, "0.618"))
			w.pell.write("hold-test", endBody("2123", start, "0.618"))
		}, "0.700, end 0.618, end 0.618 struck: said twice: the same stands already"},
		{"an end on the other engine", func(w *workshop, start entry.ID) { w.pell.write("hold-test", endBody("2117", start, "0.618")) }, "0.700, end 0.618 contested"},
		{"an end of what never arrived", func(w *workshop, _ entry.ID) {
			w.pell.write("hold-test", endBody("2123", entry.ID(strings.Repeat("f", 64)), "0.618"))
		}, "0.700;  waits, end 0.618"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorkshop(t)
			c.write(w, w.maud.write("hold-test", startBody))
			s := w.state()
			if got := held(s); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			if wants := strings.Contains(c.want, "contested"); wants != (len(s.Contests) == 1) {
				t.Errorf("contests: %+v", s.Contests)
			}
		})
	}
}

// TestHoldEndOfANote: an end of something that is no hold test is listed as not usable.
func TestHoldEndOfANote(t *testing.T) {
	w := newWorkshop(t)
	note := w.maud.write("note", `{"text":"pumped up"}`)
	end := w.maud.write("hold-test", endBody("2123", note, "0.618"))
	s := w.state()
	if len(s.Unusable) != 1 || s.Unusable[0].ID != end || !strings.Contains(s.Unusable[0].Why, "no hold test") {
		t.Errorf("%+v", s.Unusable)
	}
}

// TestHoldFound: a test is found by its start, and by a start that was corrected or brought back since.
func TestHoldFound(t *testing.T) {
	w := newWorkshop(t)
	first := w.maud.write("hold-test", startBody)
	second := w.maud.write("hold-test", strings.Replace(startBody, "0.700", "0.710", 1), first)
	s := w.state()
	for _, id := range []entry.ID{first, second} {
		if got, ok := s.Hold(id); !ok || got.ID != second {
			t.Errorf("%s: %v %+v", id, ok, got)
		}
	}
	if _, ok := s.Hold(w.fit); ok {
		t.Error("a move is no hold test")
	}
	if m, ok := s.Saying(first); !ok || m.Words != "cooling water, held from 0.700\u2009bar at 16\u2009°C" {
		t.Errorf("%q", m.Words)
	}
}
