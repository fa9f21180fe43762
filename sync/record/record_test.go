package record

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/pattern"
)

// workshop is two phones and two engines of the demo's type.
type workshop struct {
	all        []entry.Entry
	maud, pell *device
	fit        entry.ID
}

func newWorkshop(t *testing.T) *workshop {
	w := &workshop{}
	w.maud, w.pell = newDevice(t, 1, "maud", &w.all), newDevice(t, 2, "pell", &w.all)
	w.maud.write("log", `{"device":"own","name":"P1","of":"maud"}`)
	w.maud.write("pattern", sheetBody(t))
	w.maud.write("engine", `{"asm":"2117","pattern":"ellandry-u6","name":"seventeen","band":"solid"}`)
	w.maud.write("engine", `{"asm":"2123","pattern":"ellandry-u6","name":"twenty-three","band":"hatched"}`)
	w.fit = w.maud.write("fitting", `{"moves":[{"asm":"2117","side":"left"},{"asm":"2123","side":"right"}],"day":"2027-03-06"}`)
	return w
}

func (w *workshop) state() *State { return build(w.all) }

func says(rs []Reading) string {
	var out []string
	for _, r := range rs {
		s := r.Value.Text
		if r.Struck != "" {
			s += " struck: " + r.Struck
		}
		if r.Contest != "" {
			s += " contested"
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

func TestReadings(t *testing.T) {
	w := newWorkshop(t)
	a := w.maud.write("reading", readingBody("2123", "pin.5.shell", "b.V", "machined:1", "61.587", ""))
	w.maud.write("withdraw", `{"why":"caps had been finger-tight"}`, a)
	w.maud.write("reading", readingBody("2123", "pin.5.shell", "b.V", "machined:1", "61.547", ""))
	w.maud.write("reading", readingBody("2123", "pin.5.shell", "b.V", "found", "62.050", ""))
	s := w.state()
	if got := says(s.At("2123", "pin.5.shell", "b.V", "machined:1")); got != "61.587 struck: caps had been finger-tight; 61.547" {
		t.Errorf("got %s", got)
	}
	if got := says(s.At("2123", "pin.5.shell", "b.V", "found")); got != "62.050" {
		t.Errorf("conditions were mixed: %s", got)
	}
	if got := s.Conditions("2123", "pin.5.shell"); !slices.Equal(got, []string{"found", "machined:1"}) {
		t.Errorf("conditions %v", got)
	}
}

func TestContestShowsAtItsPlace(t *testing.T) {
	w := newWorkshop(t)
	a := w.maud.write("reading", readingBody("2123", "main.3.journal", "b.V", "found", "74.981", ""))
	w.maud.write("reading", readingBody("2123", "main.3.journal", "b.V", "found", "74.979", ""), a)
	w.pell.write("withdraw", `{"why":"slipped"}`, a)
	s := w.state()
	if got := says(s.At("2123:crank", "main.3.journal", "b.V", "found")); got != "74.981 struck: corrected; 74.979 contested" && got != "74.981 struck: slipped; 74.979 contested" {
		t.Errorf("got %s", got)
	}
	if len(s.Contests) != 1 || len(s.Contests[0].Members) != 2 || s.Contests[0].Places[0].At != "main.3.journal" {
		t.Errorf("contests %+v", s.Contests)
	}
}

func TestSizesFollowTheCrank(t *testing.T) {
	w := newWorkshop(t)
	w.maud.write("reading", readingBody("2123", "main.3.journal", "b.V", "found", "74.981", ""))
	w.maud.write("reading", readingBody("2123", "main.3.shell", "b.V", "found", "75.079", ""))
	out := w.maud.write("part", `{"part":"2123:crank","state":"removed","asm":"2123","as":"crank","what":"crankshaft"}`)
	s := w.state()
	if e, _ := s.Engine("2123"); e.Crank != "" || e.Holds("main.3.journal") != "" {
		t.Errorf("the crank is out, and 2123 has %q", e.Crank)
	}
	gone := w.maud.write("part", `{"part":"2117:crank","state":"removed","asm":"2117","as":"crank"}`)
	w.maud.writeAfter("part", `{"part":"2123:crank","state":"fitted","asm":"2117","as":"crank"}`, []entry.ID{out, gone})
	s = w.state()
	e, _ := s.Engine("2117")
	if got := says(s.At(e.Holds("main.3.journal"), "main.3.journal", "b.V", "found")); got != "74.981" {
		t.Errorf("in 2117 the crank's journal reads %q", got)
	}
	if got := says(s.At(e.Holds("main.3.shell"), "main.3.shell", "b.V", "found")); got != "" {
		t.Errorf("the bore stayed with 2123, yet 2117 shows %q", got)
	}
}

func TestWhichEngine(t *testing.T) {
	for _, c := range []struct{ name, side, asm, moved, want string }{
		{"as shown", "right", "2123", "", ""},
		{"the other side", "left", "2123", "", "2123 was not there"},
		{"an engine that was not moved", "left", "9999", "", "did not move 9999"},
		{"on the day of the move", "right", "2123", "2027-03-07", ""},
		{"after it had been moved", "right", "2123", "2027-03-06", "after 2123 had been moved, on 2027-03-06"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorkshop(t)
			w.pell.write("reading", readingBody(c.asm, "cyl.2.liner", "", "found", "107.071", fmt.Sprintf(`,"side":%q,"fitting":%q`, c.side, w.fit)))
			if c.moved != "" {
				w.maud.writeAfter("fitting", fmt.Sprintf(`{"moves":[{"asm":"2123","place":"stand 2"}],"day":%q}`, c.moved), []entry.ID{w.fit})
			}
			s := w.state()
			if c.want == "" && len(s.Contests) > 0 || c.want != "" && (len(s.Contests) != 1 || !strings.Contains(s.Contests[0].Why, c.want)) {
				t.Errorf("contests %+v, want %q", s.Contests, c.want)
			}
		})
	}
}

func TestFittings(t *testing.T) {
	w := newWorkshop(t)
	w.maud.writeAfter("fitting", `{"moves":[{"asm":"2117","side":"right"},{"asm":"2123","side":"left"}],"day":"2027-04-01"}`, []entry.ID{w.fit})
	s := w.state()
	if e, _ := s.Engine("2117"); e.Fit.Side != "right" || len(e.History) != 2 || e.History[0].Ended != "2027-04-01" || e.Contested {
		t.Errorf("after the swap: %+v", e)
	}
	w.pell.writeAfter("fitting", `{"moves":[{"asm":"2117","place":"stand 2"}],"day":"2027-04-02"}`, []entry.ID{w.fit})
	s = w.state()
	if e, _ := s.Engine("2117"); !e.Contested {
		t.Error("two moves after the same one are contested")
	}
	w = newWorkshop(t)
	w.maud.writeAfter("fitting", `{"moves":[{"asm":"2117","side":"right"}],"day":"2027-04-03"}`, []entry.ID{w.fit})
	s = w.state()
	if !slices.ContainsFunc(s.Contests, func(c Contest) bool { return c.Register == "side/right" }) {
		t.Errorf("two engines on one side: %+v", s.Contests)
	}
}

func TestZeroChecks(t *testing.T) {
	w := newWorkshop(t)
	m2 := func(zero, value string) string {
		return strings.Replace(readingBody("2123", "main.3.journal", "b.V", "found", value, ""), `"instrument":"M1"`, `"instrument":"M2"`+zero, 1)
	}
	none := w.pell.write("reading", m2(`,"zero":"none"`, "74.962"))
	z := w.pell.write("zero", `{"instrument":"M2","bar":{"t":"50.000","u":"mm"},"read":{"t":"49.985","u":"mm"}}`)
	own := w.pell.write("reading", m2(fmt.Sprintf(`,"zero":%q`, z), "74.963"))
	lost := w.pell.write("reading", m2(`,"zero":"`+strings.Repeat("e", 64)+`"`, "74.964"))
	find := func(id entry.ID) Reading {
		rs := w.state().At("2123:crank", "main.3.journal", "b.V", "found")
		return rs[slices.IndexFunc(rs, func(r Reading) bool { return r.ID == id })]
	}
	if r := find(none); r.Zero != nil || r.ZeroHow != "none" {
		t.Errorf("uncorrected, and says so: %+v", r)
	}
	if r := find(own); r.Zero == nil || r.Zero.Read.Text != "49.985" || r.ZeroHow != "own" {
		t.Errorf("its own: %+v", r)
	}
	if r := find(lost); len(r.Waits) != 1 {
		t.Errorf("a zero check that has not arrived is waited for: %+v", r)
	}
	w.maud.write("apply", fmt.Sprintf(`{"zero":%q,"to":[%q]}`, z, none))
	if r := find(none); r.Zero == nil || r.ZeroHow != "applied" {
		t.Errorf("applied later: %+v", r)
	}
	w.pell.write("zero", `{"instrument":"M2","bar":{"t":"50.000","u":"mm"},"read":{"t":"49.986","u":"mm"}}`, z)
	if r := find(own); r.Zero == nil || r.Zero.Read.Text != "49.986" {
		t.Errorf("a corrected zero check reaches its readings: %+v", r.Zero)
	}
}

func TestCoverage(t *testing.T) {
	w := newWorkshop(t)
	line := func(pass int, what string) string {
		return fmt.Sprintf(`{"of":{"asm":"2117","at":"head"},"cond":"built","pass":%d,%s,"torque":{"t":"50","u":"N.m"},"thread":"oiled","tool":"W2"}`, pass, what)
	}
	w.maud.write("tighten", line(1, `"whole":true`))
	w.maud.write("tighten", line(2, `"fasteners":["7","20","8"]`))
	wrong := w.pell.write("tighten", line(2, `"fasteners":["26"]`))
	w.pell.write("withdraw", `{"why":"other engine"}`, wrong)
	j := w.state().Joints[0]
	if !j.Passes[0].Whole || len(j.Passes[0].Missing) != 0 {
		t.Errorf("pass 1: %+v", j.Passes[0])
	}
	if p := j.Passes[1]; !slices.Equal(p.Done, []string{"7", "8", "20"}) || len(p.Missing) != 23 || slices.Contains(p.Done, "26") {
		t.Errorf("pass 2: done %v, missing %v", p.Done, p.Missing)
	}
}

func TestAsks(t *testing.T) {
	w := newWorkshop(t)
	w.maud.write("ask", `{"of":{"asm":"2123","at":"main.3.journal","point":"b.V"},"cond":"found","who":"pell"}`)
	if s := w.state(); len(s.Asks) != 1 || s.Asks[0].Answered {
		t.Errorf("open: %+v", s.Asks)
	}
	blind := strings.Replace(readingBody("2123", "main.3.journal", "b.V", "found", "74.962", ""), `"read_by":"idris"`, `"read_by":"pell","blind":true`, 1)
	w.pell.write("reading", blind)
	if s := w.state(); !s.Asks[0].Answered {
		t.Error("answered by a blind reading")
	}
}

// TestBadEntriesAreListed: one bad entry never blocks the rest (T14).
func TestBadEntriesAreListed(t *testing.T) {
	w := newWorkshop(t)
	a := w.maud.write("reading", readingBody("2123", "cyl.1.liner", "", "found", "107.020", ""))
	w.pell.write("note", `{"text":"wrong kind"}`, a)
	w.maud.write("pattern", `{"pattern":"other","data":{"name":"x"}}`)
	s := w.state()
	if len(s.Unusable) != 2 || says(s.At("2123", "cyl.1.liner", "", "found")) != "107.020" {
		t.Errorf("unusable %+v", s.Unusable)
	}
}

func TestConditionsInOrder(t *testing.T) {
	list := []string{"built", "machined:10", "trial:GK-9", "machined:2", "found", "trial:GK-7"}
	slices.SortFunc(list, CompareConditions)
	if want := []string{"found", "trial:GK-7", "trial:GK-9", "machined:2", "machined:10", "built"}; !slices.Equal(list, want) {
		t.Errorf("got %v", list)
	}
}

// TestDemoSheet: the type sheet of the demo can be read, in order, in words.
func TestDemoSheet(t *testing.T) {
	s := newWorkshop(t).state()
	e, _ := s.Engine("2117")
	if e.Pattern == nil || len(e.Pattern.Places()) < 80 {
		t.Fatalf("no sheet: %+v", s.Unusable)
	}
	if got := e.Pattern.Words("main.3.journal") + ", " + pattern.PointWords("b.V"); got != "main bearing 3 · journal, plane b, in the throw" {
		t.Error(got)
	}
	if got := e.Pattern.Words("head.stud.14"); got != "head stud 14" {
		t.Error(got)
	}
	if _, ok := e.Pattern.Find("main.8.journal"); ok {
		t.Error("there is no main 8")
	}
}

// TestEverNamed: a name that was put right is still known, and one that was taken back.
func TestEverNamed(t *testing.T) {
	w := newWorkshop(t)
	old := w.maud.write("person", `{"person":"wick","name":"Wick Sayr","role":"viewer"}`)
	right := w.maud.write("person", `{"person":"wick","name":"Wick Sayer","role":"viewer"}`, old)
	w.maud.write("person", `{"person":"wick","name":"Wick Sayer","role":"fitter"}`, right)
	gone := w.maud.write("person", `{"person":"nell","name":"Nell Stroud","role":"fitter"}`)
	w.maud.write("withdraw", `{"why":"never came"}`, gone)
	st := w.state()
	named := map[string]int{}
	for _, p := range st.EverNamed() {
		named[p.Key+" "+p.Name]++
	}
	for _, want := range []string{"wick Wick Sayr", "wick Wick Sayer", "nell Nell Stroud"} {
		if named[want] != 1 {
			t.Errorf("%s is named %d times", want, named[want])
		}
	}
	if len(named) != len(st.People)+2 {
		t.Errorf("%d names for %d people: %v", len(named), len(st.People), named)
	}
}
