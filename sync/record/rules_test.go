package record

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/entry"
)

// atMain3 returns the readings of one point of 2123, with what became of them.
func (w *workshop) atMain3() []Reading {
	return w.state().At("2123:crank", "main.3.journal", "b.V", "found")
}

func standing(rs []Reading) []Reading {
	return slices.DeleteFunc(slices.Clone(rs), func(r Reading) bool { return r.Struck != "" })
}

func main3(value string) string {
	return readingBody("2123", "main.3.journal", "b.V", "found", value, "")
}

func asked(s *State) string {
	var out []string
	for _, c := range s.Contests {
		out = append(out, c.Register+" "+c.Why)
	}
	return strings.Join(out, "; ")
}

// TestSaidTwice: two phones correct one reading alike: it is one reading, or a
// mean over both would claim a repeat that nobody made.
func TestSaidTwice(t *testing.T) {
	w := newWorkshop(t)
	a := w.maud.write("reading", main3("74.918"))
	w.maud.write("reading", main3("74.981"), a)
	w.pell.write("reading", main3("74.981"), a)
	if got := says(w.atMain3()); got != "74.918 struck: corrected; 74.981; 74.981 struck: said twice: the same stands already" {
		t.Error(got)
	}
	w.pell.write("reading", main3("74.981"))
	if got := len(standing(w.atMain3())); got != 2 {
		t.Errorf("a repeat of its own counts: %d stand", got)
	}
}

func TestRestored(t *testing.T) {
	w := newWorkshop(t)
	a := w.pell.write("reading", main3("74.981"))
	gone := w.maud.write("withdraw", `{"why":"caps loose"}`, a)
	w.maud.write("restore", `{"why":"they were tight"}`, gone)
	w.pell.write("restore", `{}`, gone)
	rs := w.atMain3()
	if st := standing(rs); len(rs) != 3 || len(st) != 1 || st[0].By != "pell" || st[0].Origin != a {
		t.Errorf("brought back once, as Pell's: %s", says(rs))
	}
}

func TestZeroDoubts(t *testing.T) {
	zero := func(w *workshop, read string, over ...entry.ID) entry.ID {
		return w.maud.write("zero", fmt.Sprintf(`{"instrument":"M1","bar":{"t":"50.000","u":"mm"},"read":{"t":%q,"u":"mm"}}`, read), over...)
	}
	reading := func(w *workshop, z entry.ID) entry.ID {
		return w.pell.write("reading", strings.Replace(main3("74.981"), `"instrument"`, fmt.Sprintf(`"zero":%q,"instrument"`, z), 1))
	}
	apply := func(w *workshop, z, to entry.ID) {
		w.maud.write("apply", fmt.Sprintf(`{"zero":%q,"to":[%q]}`, z, to))
	}
	for _, c := range []struct {
		name      string
		do        func(w *workshop)
		how, read string
		contested bool
	}{
		{"corrected once", func(w *workshop) { z := zero(w, "49.98"); reading(w, z); zero(w, "49.985", z) }, "own", "49.985", false},
		{"corrected twice, differently", func(w *workshop) {
			z := zero(w, "49.98")
			reading(w, z)
			zero(w, "49.985", z)
			w.pell.write("zero", `{"instrument":"M1","bar":{"t":"50.000","u":"mm"},"read":{"t":"49.990","u":"mm"}}`, z)
		}, "own", "", true},
		{"taken back", func(w *workshop) { z := zero(w, "49.98"); reading(w, z); w.pell.write("withdraw", `{"why":"dirt"}`, z) }, "withdrawn", "", false},
		{"applied before and after its correction", func(w *workshop) {
			z := zero(w, "49.98")
			r := w.pell.write("reading", main3("74.981"))
			apply(w, z, r)
			apply(w, zero(w, "49.985", z), r)
		}, "applied", "49.985", false},
		{"two different ones applied", func(w *workshop) {
			r := w.pell.write("reading", main3("74.981"))
			apply(w, zero(w, "49.98"), r)
			apply(w, zero(w, "49.99"), r)
		}, "applied", "", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorkshop(t)
			c.do(w)
			r := w.atMain3()[0]
			read := ""
			if r.Zero != nil {
				read = r.Zero.Read.Text
			}
			if r.ZeroHow != c.how || (r.Contest != "") != c.contested || !c.contested && read != c.read {
				t.Errorf("%s %s, contest %q", r.ZeroHow, read, r.Contest)
			}
			if _, ok := w.state().Contest(r.Contest); c.contested && !ok {
				t.Error("the reading names a contest that is not listed")
			}
		})
	}
}

func TestMoves(t *testing.T) {
	swap := `{"moves":[{"asm":"2117","side":"right"},{"asm":"2123","side":"left"}],"day":"2027-04-01"}`
	stand := `{"moves":[{"asm":"2117","place":"stand 2"}],"day":"2027-04-02"}`
	for _, c := range []struct {
		name, fit, asks string
		do              func(w *workshop)
	}{
		{"a correction of the move that was moved on from", "stand 2", "", func(w *workshop) {
			w.maud.write("fitting", `{"moves":[{"asm":"2117","side":"left"},{"asm":"2123","side":"right"}],"day":"2027-03-05"}`, w.fit)
			w.pell.writeAfter("fitting", stand, []entry.ID{w.fit})
		}},
		{"a move taken back and brought back", "right", "", func(w *workshop) {
			f := w.maud.writeAfter("fitting", swap, []entry.ID{w.fit})
			w.pell.write("restore", `{}`, w.maud.write("withdraw", `{"why":"not yet"}`, f))
		}},
		{"both phones say the same", "right", "", func(w *workshop) {
			w.maud.writeAfter("fitting", swap, []entry.ID{w.fit})
			w.pell.writeAfter("fitting", swap, []entry.ID{w.fit})
		}},
		{"two moves after the same one, asked once", "", "fitting/2117 where is 2117? Two moves do not know of each other", func(w *workshop) {
			w.maud.writeAfter("fitting", stand, []entry.ID{w.fit})
			w.pell.writeAfter("fitting", strings.Replace(stand, "stand 2", "stand 1", 1), []entry.ID{w.fit})
		}},
		{"a move that knew of none before", "", "fitting/2117 where is 2117? Two moves do not know of each other", func(w *workshop) {
			w.pell.write("fitting", stand)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorkshop(t)
			c.do(w)
			s := w.state()
			e, _ := s.Engine("2117")
			if got := e.Fit.Side + e.Fit.Place; c.fit != "" && got != c.fit || asked(s) != c.asks || e.Contested != (c.asks != "") {
				t.Errorf("2117 is at %q, contested %v: %s", got, e.Contested, asked(s))
			}
		})
	}
}

// TestReadingOnAMove: what becomes of a reading when the move that it rests on
// is corrected or taken back.
func TestReadingOnAMove(t *testing.T) {
	for _, c := range []struct {
		name, asks string
		do         func(w *workshop)
	}{
		{"the day was corrected", "", func(w *workshop) {
			w.maud.write("fitting", `{"moves":[{"asm":"2117","side":"left"},{"asm":"2123","side":"right"}],"day":"2027-03-05"}`, w.fit)
		}},
		{"the sides were corrected", "It was shown on the right, and 2123 was not there", func(w *workshop) {
			w.maud.write("fitting", `{"moves":[{"asm":"2117","side":"right"},{"asm":"2123","side":"left"}],"day":"2027-03-06"}`, w.fit)
		}},
		{"it was taken back", "was taken back", func(w *workshop) { w.maud.write("withdraw", `{"why":"no"}`, w.fit) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorkshop(t)
			w.pell.write("reading", readingBody("2123", "cyl.2.liner", "", "found", "107.071", fmt.Sprintf(`,"side":"right","fitting":%q`, w.fit)))
			w.maud.write("tighten", fmt.Sprintf(`{"of":{"asm":"2123","side":"right","fitting":%q,"at":"head"},"pass":1,"whole":true,"torque":{"t":"50","u":"N.m"},"thread":"oiled","tool":"W2"}`, w.fit))
			c.do(w)
			s := w.state()
			r, line := s.At("2123", "cyl.2.liner", "", "found")[0], s.Joints[0].Passes[0].Lines[0]
			if (c.asks == "") != (asked(s) == "") || !strings.Contains(asked(s), c.asks) || (r.Contest == "") != (c.asks == "") || (line.Contest == "") != (c.asks == "") {
				t.Errorf("contests %s, reading %q, tightening %q", asked(s), r.Contest, line.Contest)
			}
		})
	}
}

// TestWhichEngineIsSettled: a value put right after the engine was moved was
// read before all the same; and who says a doubtful reading again settles it.
func TestWhichEngineIsSettled(t *testing.T) {
	move := `{"moves":[{"asm":"2123","place":"stand 2"}],"day":"2027-03-06"}`
	for _, c := range []struct {
		name, at, again string
		asked           bool
	}{
		{"a slip put right later", "2027-03-06", "107.017", false},
		{"a doubtful reading put right stays doubtful", "2027-03-07", "107.017", true},
		{"and said again it is settled", "2027-03-07", "107.071", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorkshop(t)
			liner := func(v string) string {
				return readingBody("2123", "cyl.2.liner", "", "found", v, fmt.Sprintf(`,"side":"right","fitting":%q`, w.fit))
			}
			w.pell.day = c.at
			a := w.pell.write("reading", liner("107.071"))
			w.maud.writeAfter("fitting", move, []entry.ID{w.fit})
			w.maud.day = "2027-03-09"
			w.maud.write("reading", liner(c.again), a)
			if s := w.state(); (asked(s) != "") != c.asked {
				t.Errorf("contests: %s", asked(s))
			}
		})
	}
}

func TestWhereIsAPart(t *testing.T) {
	step := func(state, asm string) string {
		if asm != "" {
			asm = `,"asm":"` + asm + `"`
		}
		return fmt.Sprintf(`{"part":"2123:crank","state":%q,"as":"crank"%s,"day":"2027-04-01"}`, state, asm)
	}
	for _, c := range []struct {
		name, asm, state, asks string
		do                     func(w *workshop)
	}{
		{"one log follows itself", "2117", "fitted", "", func(w *workshop) {
			w.maud.write("part", step("removed", "2123"))
			w.maud.write("part", step("fitted", "2117"))
		}},
		{"after another phone's", "2117", "fitted", "", func(w *workshop) {
			out := w.maud.write("part", step("removed", "2123"))
			w.pell.writeAfter("part", step("fitted", "2117"), []entry.ID{out})
		}},
		{"without knowing of each other", "2117", "", "part/2123:crank where is 2123:crank? Two entries do not know of each other", func(w *workshop) {
			w.maud.write("part", step("removed", "2123"))
			w.pell.write("part", step("fitted", "2117"))
		}},
		{"both say the same", "2117", "fitted", "", func(w *workshop) {
			w.maud.write("part", step("fitted", "2117"))
			w.pell.write("part", step("fitted", "2117"))
		}},
		{"sent out and back keeps its place", "2117", "machined", "", func(w *workshop) {
			a := w.maud.write("part", step("fitted", "2117"))
			b := w.pell.writeAfter("part", step("sent", ""), []entry.ID{a})
			w.maud.writeAfter("part", step("machined", ""), []entry.ID{b})
		}},
		{"taken out after having been machined", "", "removed", "", func(w *workshop) {
			a := w.maud.write("part", step("fitted", "2117"))
			b := w.pell.writeAfter("part", step("machined", ""), []entry.ID{a})
			w.maud.writeAfter("part", step("removed", "2117"), []entry.ID{b})
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorkshop(t)
			c.do(w)
			s := w.state()
			p := s.Parts[0]
			if p.Asm != c.asm || c.state != "" && p.State != c.state || p.As != "crank" || asked(s) != c.asks {
				t.Errorf("%+v, contests %s", p, asked(s))
			}
			if e, _ := s.Engine("2117"); c.asm == "2117" && e.Crank != "2123:crank" {
				t.Errorf("2117 holds %q", e.Crank)
			}
		})
	}
}

// TestWhichCrank: a size without a tag, taken after another crank had been put in.
func TestWhichCrank(t *testing.T) {
	for _, c := range []struct {
		day, tag string
		asked    bool
	}{{"2027-03-06", "", true}, {"2027-03-06", `,"part":"2123:crank"`, false}, {"2027-03-07", "", false}, {"2027-04-01", "", false}} {
		w := newWorkshop(t)
		w.maud.write("part", fmt.Sprintf(`{"part":"2123:crank","state":"fitted","as":"crank","asm":"2117","day":%q}`, c.day))
		w.pell.write("reading", readingBody("2117", "main.3.journal", "b.V", "found", "74.980", c.tag)) // on 2027-03-07
		if s := w.state(); strings.Contains(asked(s), "which crank?") != c.asked {
			t.Errorf("fitted on %s, tag %q: %s", c.day, c.tag, asked(s))
		}
	}
}

func TestAskedAgain(t *testing.T) {
	ask := `{"of":{"asm":"2123","at":"main.3.journal","point":"b.V"},"cond":"found","who":"pell"}`
	blind := func(v string) string {
		return strings.Replace(main3(v), `"read_by":"idris"`, `"read_by":"pell","blind":true`, 1)
	}
	w := newWorkshop(t)
	w.maud.write("ask", ask)
	a := w.maud.write("reading", main3("74.981"))
	b := w.pell.write("reading", blind("74.962"))
	w.maud.write("reading", main3("74.979"), a, b)
	if s := w.state(); !s.Asks[0].Answered {
		t.Error("answered, though the reading was set aside by the ruling")
	}
	w.maud.write("ask", ask)
	if s := w.state(); s.Asks[0].Answered == s.Asks[1].Answered {
		t.Errorf("a second ask wants a second reading: %+v", s.Asks)
	}
	c := w.pell.write("reading", blind("74.978"))
	if s := w.state(); !s.Asks[1].Answered {
		t.Error("answered again")
	}
	w.pell.write("withdraw", `{"why":"wrong bearing"}`, c)
	if s := w.state(); s.Asks[0].Answered && s.Asks[1].Answered {
		t.Error("a reading taken back answers nothing")
	}
}

// TestStrays: a reading that no sheet has a place for is seen, and not lost.
func TestStrays(t *testing.T) {
	w := newWorkshop(t)
	w.pell.write("reading", readingBody("2132", "main.3.journal", "b.V", "found", "74.980", ""))
	w.pell.write("reading", readingBody("2123", "main.9.journal", "b.V", "found", "74.980", ""))
	s := w.state()
	var why []string
	for _, u := range s.Unusable {
		why = append(why, u.Of.At+": "+u.Why)
	}
	slices.Sort(why)
	if want := []string{"main.3.journal: nobody has entered an engine 2132 yet", "main.9.journal: no such place: the type sheet of 2123 has no place main.9.journal"}; !slices.Equal(why, want) {
		t.Errorf("got %v", why)
	}
	w.maud.write("engine", `{"asm":"2132","pattern":"ellandry-u6","name":"thirty-two","band":"solid"}`)
	if s = w.state(); len(s.Unusable) != 1 || says(s.At("2132:crank", "main.3.journal", "b.V", "found")) != "74.980" {
		t.Errorf("counts once the engine is there: %+v", s.Unusable)
	}
}

func TestStrangeFasteners(t *testing.T) {
	w := newWorkshop(t)
	w.maud.write("tighten", `{"of":{"asm":"2117","at":"head"},"pass":1,"fasteners":["99","20","3","99"],"torque":{"t":"50","u":"N.m"},"thread":"dry","tool":"W2"}`)
	if p := w.state().Joints[0].Passes[0]; !slices.Equal(p.Done, []string{"3", "20"}) || !slices.Equal(p.Strange, []string{"99"}) || len(p.Missing) != 24 {
		t.Errorf("%+v", p)
	}
}

// TestWrittenLater: a reading that is written down after the engine was moved counts on the day when it was taken, if that
// is said; words that are no day leave the day on which it was written.
func TestWrittenLater(t *testing.T) {
	for _, c := range []struct {
		name, when string
		asks       bool
	}{
		{"nothing said: written after the move, so which engine?", "", true},
		{"taken before the move", `,"when":"2027-03-20"`, false},
		{"taken after the move", `,"when":"2027-04-02"`, true},
		{"words are no day, and nothing follows from them", `,"when":"about 2019"`, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorkshop(t)
			w.maud.writeAfter("fitting", `{"moves":[{"asm":"2117","side":"right"},{"asm":"2123","side":"left"}],"day":"2027-04-01"}`, []entry.ID{w.fit})
			w.pell.day = "2027-04-05"
			body := readingBody("2123", "main.3.journal", "b.V", "found", "74.981", fmt.Sprintf(`,"side":"right","fitting":%q`, w.fit))
			w.pell.write("reading", strings.TrimSuffix(body, "}")+c.when+"}")
			if s := w.state(); len(s.Contests) > 0 != c.asks {
				t.Errorf("contests %+v, want one: %v", s.Contests, c.asks)
			}
		})
	}
}

// TestUnknownTaker: nobody knows who took it, and that is said.
func TestUnknownTaker(t *testing.T) {
	w := newWorkshop(t)
	if p, _ := w.state().Person(Unknown); p.Name != UnknownName {
		t.Errorf("the taker is called %q", p.Name)
	}
}
