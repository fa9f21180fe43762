package view

import (
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"

	story "witnessmark/testdata/demo"
)

type shown struct {
	t  *testing.T
	st *record.State
	rs []result.Res
}

func demo(t *testing.T) shown {
	t.Helper()
	set := reconcile.New()
	for _, line := range story.Lines() {
		if _, err := set.Add(line); err != nil {
			t.Fatal(err)
		}
	}
	st := record.Build(set.Resolve())
	return shown{t, st, result.All(st)}
}

func (s shown) view(name, args string) jcs.Value {
	s.t.Helper()
	a, err := jcs.Parse([]byte(args))
	if err != nil {
		s.t.Fatal(err)
	}
	v, err := View(s.st, s.rs, name, a)
	if err != nil {
		s.t.Fatalf("%s %s: %v", name, args, err)
	}
	return v
}

// find walks members and items by a path like "own.0.text".
func find(v jcs.Value, path string) jcs.Value {
	for _, step := range strings.Split(path, ".") {
		if i, err := strconv.Atoi(step); err == nil {
			if i >= len(v.Items()) {
				return jcs.Null()
			}
			v = v.Items()[i]
			continue
		}
		v = v.Get(step)
	}
	return v
}

func TestViews(t *testing.T) {
	s := demo(t)
	for _, c := range []struct{ name, view, args, path, want string }{
		{"the job's title", "job", `{}`, "title", "Railcar No. 4, the Heron"},
		{"left is drawn first", "job", `{}`, "engines.0.asm", "2117"},
		{"side and place in words", "job", `{}`, "engines.1.where", "right · position B"},
		{"a place's state", "engine", `{"asm":"2123"}`, "places.0.word", "within"},
		{"one's own reading", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V","cond":"found"}`, "own.0.text", "61.768\u2009mm"},
		{"a struck reading keeps its reason", "point", `{"asm":"2123","at":"pin.5.shell","point":"b.V"}`, "own.1.why", "the caps had been only finger-tight"},
		{"nominal", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V"}`, "nominal", "62.000\u2009mm"},
		{"side as shown", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V"}`, "of.side", "right"},
		{"a size belongs to the crank", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V"}`, "of.part", "2123:crank"},
		{"faint leading digits", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V","cond":"found"}`, "lead", "61."},
		{"read back", "say", `{"t":"74,98","u":"mm"}`, "text", "74,98\u2009mm"},
		{"asked, not guessed", "say", `{"t":"1,234","u":"mm"}`, "error", "'1,234' can be read in two ways: write 1.234 with a point, or 1234 with none"},
		{"the thimble's half millimetre", "say", `{"t":"74.481","u":"mm","asm":"2123","at":"main.3.journal","point":"b.V","cond":"found"}`, "question", "this fits neither the nominal size nor what was read here before: read it once more, and the thimble's half millimetre"},
		{"a good value is not questioned", "say", `{"t":"74.981","u":"mm","asm":"2123","at":"main.3.journal","point":"b.V","cond":"found"}`, "question", ""},
		{"another instrument was in the hand", "say", `{"t":"74.981","u":"mm","asm":"2123","at":"main.3.journal","point":"b.V","cond":"found","tool":"M3"}`, "question", "M3 goes from 0\u2009mm to 25\u2009mm: was it another instrument?"},
		{"the point was left out", "say", `{"t":"74981","u":"mm","asm":"2123","at":"main.3.journal","point":"b.V","cond":"found","tool":"M1"}`, "question", "this is about 1000 times what belongs here: has the point slipped?"},
		{"the point is one digit early", "say", `{"t":"7.498","u":"mm","asm":"2123","at":"main.3.journal","point":"b.V","cond":"found","tool":"M1"}`, "question", "this is about a tenth of what belongs here: has the point slipped?"},
		{"no slip of the point makes it fit", "say", `{"t":"31.2","u":"mm","asm":"2123","at":"main.3.journal","point":"b.V","cond":"found","tool":"M1"}`, "question", "M1 goes from 50\u2009mm to 75\u2009mm: was it another instrument?"},
		{"in its range nothing is asked", "say", `{"t":"74.981","u":"mm","asm":"2123","at":"main.3.journal","point":"b.V","cond":"found","tool":"M1"}`, "question", ""},
		{"a dial goes both ways", "say", `{"t":"-0.06","u":"mm","asm":"2117","at":"coupling.rim","point":"left","cond":"built","tool":"D1"}`, "question", ""},
		{"an instrument without a range", "say", `{"t":"72.6","u":"cm3","asm":"2117","at":"cyl.1.bowl","cond":"found","tool":"V1"}`, "question", ""},
		{"an instrument of another kind", "say", `{"t":"72.6","u":"cm3","asm":"2117","at":"cyl.1.bowl","cond":"found","tool":"M1"}`, "question", "M1 is not read in cm³: was it another instrument?"},
		{"what reaches the size comes first", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V","me":"maud"}`, "tools.fit.0", "B1"},
		{"what does not comes after", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V","me":"maud"}`, "tools.short.0", "D1"},
		{"what reads something else does not come", "point", `{"asm":"2123","at":"cyl.1.bowl","me":"maud"}`, "tools.fit.1", ""},
		{"what a plane is", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V","me":"maud"}`, "point_help.0", "a: the plane nearest the timing end, clear of the fillet"},
		{"what V is", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V","me":"maud"}`, "point_help.3", "V: in the throw, from the crank's own centre towards the pin; of shells, square to the joint of their cap"},
		{"a place without short names explains none", "point", `{"asm":"2123","at":"crank.float","me":"maud"}`, "point_help.0", ""},
		{"the gasket's window", "gasket", `{}`, "from", "1.17"},
		{"the gasket's best", "gasket", `{}`, "best", "1.22"},
		{"the head's next stud", "tighten", `{"asm":"2117","joint":"head","cond":"trial:GK-7"}`, "next", ""},
		{"nothing tightened yet", "tighten", `{"asm":"2123","joint":"head","cond":"trial:GK-7"}`, "next", "7"},
		{"verdict in words", "result", `{"id":"clearance/2117/main.7/found"}`, "word", "too close to call"},
		{"a decision rests on its result", "result", `{"id":"undersize/2123/pin/found"}`, "decide.body.rests.0.verdict", "within"},
		{"and says what it takes", "result", `{"id":"undersize/2123/pin/found"}`, "decide.body.decide", "undersize pin"},
		{"on what is missing it is decided only with an open point", "result", `{"id":"clearance/2123/pin.1/found"}`, "decide.must_open", "incomplete"},
		{"on what is proven without", "result", `{"id":"undersize/2123/pin/found"}`, "decide.must_open", ""},
		{"the answer stands in what it rests on", "result", `{"id":"undersize/2123/pin/found"}`, "decide.body.rests.0.vals.1.label", "Undersize"},
		{"the sizes to grind to", "result", `{"id":"undersize/2123/pin/found"}`, "decide.lines.5.what", "big-end pin 6 · journal"},
		{"inputs in words", "result", `{"id":"journal/2123/main.3/found"}`, "inputs.0.words", ""},
		{"the lead's first group", "lead", `{}`, "groups.0.title", "Cannot go on"},
		{"a pass is complete", "tighten", `{"asm":"2117","joint":"head","cond":"built"}`, "after_heat", "Tightened again after the first heat."},
		{"a wrench out of its range", "tighten", `{"asm":"2123","joint":"head","cond":"trial:GK-7"}`, "tools.0.why", "W1 is trusted from 70\u2009N·m; 50\u2009N·m is outside."},
		{"the walk goes place by place", "sheet", `{"asm":"2117"}`, "next.at", "main.1.journal"},
		{"or all of one direction first", "point", `{"asm":"2117","at":"pin.1.journal","point":"a.V","walk":"direction","me":"maud"}`, "next.at", "pin.2.journal"},
		{"place by place from there", "point", `{"asm":"2117","at":"pin.1.journal","point":"a.V","me":"maud"}`, "next.point", "a.H"},
		{"every calculation can be worked out by hand", "calcs", `{}`, "calcs.0.group", "Crank and bearings"},
		{"its inputs, with their units", "workout", `{"name":"rim","in":{}}`, "needs.0.units.0.code", "mm"},
		{"its answer", "workout", `{"name":"rim","in":{"nominal":{"diameter":{"t":"430.0","u":"mm"},"degrees":{"t":"24","u":"deg"}}}}`, "vals.1.text", "90.1"},
		{"a place off the drawing shows its result", "point", `{"asm":"2117","at":"timing.rim","cond":"found","me":"maud"}`, "results.0.id", "timing/2117/timing.rim/built"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := find(s.view(c.view, c.args), c.path)
			if got.Text() != c.want && c.want != "" || c.want == "" && c.path != "inputs.0.words" && got.Text() != "" {
				t.Errorf("%s is %q, want %q", c.path, got.Text(), c.want)
			}
		})
	}
}

// TestLeadIsBlind: today's list does not say what comes out where somebody is still to read unseen; who asked for it sees it.
func TestLeadIsBlind(t *testing.T) {
	s := demo(t)
	ask := s.st.Asks[slices.IndexFunc(s.st.Asks, func(a record.Ask) bool { return !a.Answered })]
	for _, c := range []struct {
		name, me string
		hidden   bool
	}{{"who is asked", ask.Who, true}, {"who asked", ask.By, false}, {"somebody else", "maud", false}} {
		said := ""
		for _, g := range s.view("lead", `{"me":"`+c.me+`"}`).Get("groups").Items() {
			for _, l := range g.Get("lines").Items() {
				if l.Get("title").Text() == "2117 · main bearing 7 · running clearance" {
					said = l.Get("says").Text()
				}
			}
		}
		if said == "" || (said == hiddenWords) != c.hidden {
			t.Errorf("%s: %q", c.name, said)
		}
	}
}

// TestTwinIsHidden: the other engine's figure is not in the view until one's
// own is kept or it is asked for; its count is.
func TestTwinIsHidden(t *testing.T) {
	s := demo(t)
	args := `{"asm":"2117","at":"main.3.journal","point":"b.V","cond":"found"}`
	v := s.view("point", args)
	if strings.Contains(v.String(), "74.98") || find(v, "twin.count").Int64() == 0 || !find(v, "twin.hidden").IsTrue() {
		t.Errorf("the twin shows: %s", v.Get("twin"))
	}
	v = s.view("point", strings.Replace(args, "{", `{"shown":true,`, 1))
	if !strings.Contains(v.Get("twin").String(), "74.981") {
		t.Errorf("one tap shows it: %s", v.Get("twin"))
	}
}

// TestBlind: while a check reading is asked of me I see neither readings nor results.
func TestBlind(t *testing.T) {
	s := demo(t)
	v := s.view("point", `{"asm":"2117","at":"main.7.journal","point":"b.V","cond":"found","me":"pell"}`)
	if !v.Get("blind").IsTrue() || strings.Contains(v.String(), "74.958") || len(v.Get("results").Items()) != 0 || v.Get("hidden").Int64() != 1 {
		t.Errorf("the check reading is not blind: %s", v)
	}
	v = s.view("point", `{"asm":"2117","at":"main.7.journal","point":"b.V","cond":"found","me":"maud"}`)
	if v.Get("blind").IsTrue() || !strings.Contains(v.String(), "74.958") {
		t.Errorf("it is blind for somebody else: %s", v)
	}
}

// TestRuling: the draft of a ruling covers every member and says what one says.
func TestRuling(t *testing.T) {
	s := demo(t)
	if len(s.st.Contests) != 1 {
		t.Fatalf("contests: %+v", s.st.Contests)
	}
	v := s.view("contest", `{"id":"`+string(s.st.Contests[0].ID)+`"}`)
	if len(v.Get("members").Items()) != 2 || len(find(v, "members.0.ruling.over").Items()) != 2 || find(v, "members.0.ruling.body.value.t").Text() == "" {
		t.Errorf("%s", v)
	}
	if got := find(v, "words").Text(); got != "2123 · main bearing 6 · journal, plane b, square to it" {
		t.Error(got)
	}
}

// TestNobodyIsNamed: the volunteers' page does not say who did what unless the link says so.
func TestNobodyIsNamed(t *testing.T) {
	s := demo(t)
	page := s.view("public", `{}`).String()
	for _, p := range s.st.People {
		if strings.Contains(page, p.Name) {
			t.Errorf("%s is named", p.Name)
		}
	}
	if page = s.view("public", `{"people":true}`).String(); !strings.Contains(page, "Maud Ferris") {
		t.Error("with names, somebody is")
	}
}

// TestDrawings: every drawing is well-formed, holds no style and no script,
// and its targets are at least 48 by 48 and do not overlap.
func TestDrawings(t *testing.T) {
	s := demo(t)
	for _, c := range []struct{ view, args, path string }{
		{"engine", `{"asm":"2117"}`, "svg"}, {"engine", `{"asm":"2123","where":"timing"}`, "svg"}, {"engine", `{"asm":"2123","where":"under"}`, "svg"},
		{"gasket", `{}`, "svg"}, {"tighten", `{"asm":"2117","joint":"head"}`, "svg"}, {"public", `{}`, "engines.0.svg"},
	} {
		svg := find(s.view(c.view, c.args), c.path).Text()
		if len(svg) < 500 || strings.Contains(svg, "style=") || strings.Contains(svg, "<script") || strings.Contains(svg, "NaN") {
			t.Errorf("%s %s: %.300s", c.view, c.args, svg)
		}
		hits := targets(t, svg)
		if c.view == "engine" && len(hits) < 40 || c.view == "tighten" && len(hits) != 26 {
			t.Errorf("%s has %d targets", c.view, len(hits))
		}
		for i, a := range hits {
			if a.w < 48 || a.h < 48 || a.x < 0 || a.x+a.w > 390 {
				t.Errorf("%s: a target of %v", c.view, a)
			}
			for _, b := range hits[i+1:] {
				if a.x < b.x+b.w && b.x < a.x+a.w && a.y < b.y+b.h && b.y < a.y+a.h {
					t.Errorf("%s: %v and %v overlap", c.view, a, b)
				}
			}
		}
	}
}

type box struct{ x, y, w, h float64 }

func targets(t *testing.T, svg string) []box {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	var out []box
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("%v in %.200s", err, svg)
		}
		if e, ok := tok.(xml.StartElement); ok && e.Name.Local == "rect" {
			a := map[string]string{}
			for _, at := range e.Attr {
				a[at.Name.Local] = at.Value
			}
			if a["class"] == "hit" {
				f := func(k string) float64 { v, _ := strconv.ParseFloat(a[k], 64); return v }
				out = append(out, box{f("x"), f("y"), f("width"), f("height")})
			}
		}
	}
}

func TestEveryEngineSaysWhere(t *testing.T) {
	s := demo(t)
	for _, name := range []string{"engine", "sheet", "point", "tighten"} {
		v := s.view(name, `{"asm":"2123","at":"main.3.journal","point":"b.V","joint":"head"}`)
		if find(v, "engine.asm").Text() != "2123" || find(v, "engine.where").Text() != "right · position B" || find(v, "engine.band").Text() != "hatched" {
			t.Errorf("%s: %s", name, v.Get("engine"))
		}
	}
	if _, err := View(s.st, s.rs, "engine", jcs.Obj(jcs.M("asm", jcs.Str("9")))); !errors.Is(err, ErrNowhere) {
		t.Error(err)
	}
	if _, err := View(s.st, s.rs, "horoscope", jcs.Null()); !errors.Is(err, ErrUnknown) {
		t.Error(err)
	}
}

// pen writes more entries into the demo's job.
type pen struct {
	t    *testing.T
	set  *reconcile.Set
	job  entry.JobID
	last entry.Entry
}

func newPen(t *testing.T) *pen {
	p := &pen{t: t, set: reconcile.New()}
	for _, line := range story.Lines() {
		e, err := entry.Read(line)
		if err != nil {
			t.Fatal(err)
		}
		p.set.AddEntry(e)
		p.job = e.Job
	}
	p.write("log", `{"device":"own","name":"P9","of":"pell"}`)
	return p
}

func (p *pen) write(kind, body string, over ...entry.ID) entry.ID {
	p.t.Helper()
	b, err := jcs.Parse([]byte(body))
	if err != nil {
		p.t.Fatal(err)
	}
	e, err := entry.Compose(entry.Entry{Job: p.job, Log: entry.LogID(strings.Repeat("9", 32)), Seq: p.last.Seq + 1, Prev: p.last.ID, At: "2031-04-12T10:22:31+01:00", By: "pell", Kind: kind, Body: b, Over: over})
	if err != nil {
		p.t.Fatal(err)
	}
	p.set.AddEntry(e)
	p.last = e
	return e.ID
}

// takeBack withdraws entries of the scenario.
func (p *pen) takeBack(which func(entry.Entry) bool) {
	p.t.Helper()
	for _, line := range story.Lines() {
		e, err := entry.Read(line)
		if err != nil {
			p.t.Fatal(err)
		}
		if which(e) {
			p.write("withdraw", `{"why":"left out here"}`, e.ID)
		}
	}
}

func (p *pen) shown() shown {
	st := p.state()
	return shown{p.t, st, result.All(st)}
}

func (p *pen) state() *record.State { return record.Build(p.set.Resolve()) }

// TestTwoZeroChecks: who settles which of two zero checks counts is told that
// the other goes from every reading that it was applied to.
func TestTwoZeroChecks(t *testing.T) {
	p := newPen(t)
	var ids []string
	for _, v := range []string{"74.981", "74.982"} {
		ids = append(ids, string(p.write("reading", `{"of":{"asm":"2117","at":"main.1.journal","point":"b.H","part":"2117:crank"},"cond":"found","value":{"t":"`+v+`","u":"mm"},"read_by":"pell","instrument":"M2"}`)))
	}
	for _, read := range []string{"50.010", "50.020"} {
		z := p.write("zero", `{"instrument":"M2","bar":{"t":"50.000","u":"mm"},"read":{"t":"`+read+`","u":"mm"}}`)
		p.write("apply", `{"zero":"`+string(z)+`","to":["`+strings.Join(ids, `","`)+`"]}`)
	}
	st := p.state()
	i := slices.IndexFunc(st.Contests, func(c record.Contest) bool { return strings.Contains(c.Why, "two different zero checks") })
	if i < 0 {
		t.Fatal("no contest")
	}
	v, err := View(st, nil, "contest", jcs.Obj(jcs.M("id", jcs.Str(string(st.Contests[i].ID)))))
	if err != nil {
		t.Fatal(err)
	}
	if says := v.Get("says").Text(); !strings.Contains(says, "taken back for every reading") {
		t.Errorf("says %q", says)
	}
	if got := find(v, "members.0.text").Text(); got != "a zero check applied to 2 readings" {
		t.Errorf("member %q", got)
	}
}

// TestSkipped: a point passed by with a reason is answered, a reading of it is
// worth more, and a skip taken back is gone.
func TestSkipped(t *testing.T) {
	p := newPen(t)
	cell := func() string {
		v, err := View(p.state(), nil, "sheet", jcs.Obj(jcs.M("asm", jcs.Str("2117"))))
		if err != nil {
			t.Fatal(err)
		}
		return find(v, "groups.0.places.0.points.1.state").Text() + " " + find(v, "groups.0.places.0.points.1.text").Text() + " next " + find(v, "next.at").Text() + " " + find(v, "next.point").Text()
	}
	p.write("reading", `{"of":{"asm":"2117","at":"main.1.journal","point":"b.V","part":"2117:crank"},"cond":"found","value":{"t":"74.98","u":"mm"},"read_by":"pell"}`)
	if got := cell(); got != "missing  next main.1.journal b.H" {
		t.Errorf("before: %s", got)
	}
	id := p.write("check", `{"of":{"asm":"2117","at":"main.1.journal","point":"b.H","part":"2117:crank"},"cond":"found","answer":"skipped","why":"not fitted"}`)
	if got := cell(); got != "skipped not fitted next main.2.journal b.V" {
		t.Errorf("skipped: %s", got)
	}
	p.write("withdraw", `{"why":"it is fitted"}`, id)
	if got := cell(); got != "missing  next main.1.journal b.H" {
		t.Errorf("taken back: %s", got)
	}
	p.write("check", `{"of":{"asm":"2117","at":"main.1.journal","point":"b.H","part":"2117:crank"},"cond":"found","answer":"skipped","why":"not fitted"}`)
	p.write("reading", `{"of":{"asm":"2117","at":"main.1.journal","point":"b.H","part":"2117:crank"},"cond":"found","value":{"t":"74.99","u":"mm"},"read_by":"pell"}`)
	if got := cell(); got != "done 74.99\u2009mm next main.2.journal b.V" {
		t.Errorf("measured: %s", got)
	}
}

// TestStages: a hold point lists what it waits for, can be signed when there is
// nothing left, and says so when what it rests on changes.
func TestStages(t *testing.T) {
	p := newPen(t)
	plan := func(wants string) {
		p.write("stages", `{"stages":[{"key":"m","title":"Measure","hold":{"key":"HP20","title":"measured","wants":`+wants+`}},{"key":"g","title":"Gearbox","pair":true,"hold":{"key":"HP21","title":"aligned","wants":[{"what":"signed","of":"HP20"}]}}]}`, p.state().Plan)
	}
	see := func(path string) string {
		t.Helper()
		st := p.state()
		v, err := View(st, result.All(st), "stages", jcs.Null())
		if err != nil {
			t.Fatal(err)
		}
		return find(v, path).Text()
	}
	want := func(what, got, want string) {
		t.Helper()
		if got != want {
			t.Errorf("%s: %q, want %q", what, got, want)
		}
	}
	none := p.state()
	none.Stages, none.Plan = nil, ""
	drafted, err := View(none, nil, "stages", jcs.Null())
	if err != nil {
		t.Fatal(err)
	}
	want("no plan yet: a draft of a common one", find(drafted, "draft.body.stages.2.hold.wants.0.of").Text(), "Crank and bearings")
	p.write("reading", `{"of":{"asm":"2117","at":"clutch.pull"},"cond":"built","value":{"t":"40","u":"N"},"read_by":"pell"}`)
	plan(`[{"what":"within","of":"Coupling and clutch"}]`)
	want("the left engine's clutch", see("engines.0.stages.0.hold.todo.0.words"), "2117 · drag of a clutch from a pull on an arm, both sides, as built: outside")
	want("in a word", see("engines.0.stages.0.hold.word"), "one thing to do")
	want("the right engine's clutch is within", see("engines.1.stages.0.hold.state"), "met")
	want("the pair waits for both", see("pair.0.hold.todo.0.words"), "HP20, measured, 2117: one thing to do")

	draft := func() jcs.Value {
		st := p.state()
		v, _ := View(st, result.All(st), "stages", jcs.Null())
		return find(v, "engines.1.stages.0.hold.draft.body")
	}
	p.write("sign", draft().String())
	want("signed", see("engines.1.stages.0.hold.state"), "signed")
	p.write("note", `{"of":{"asm":"2123","at":"clutch.pull"},"text":"looked at"}`)
	want("a note changes nothing", see("engines.1.stages.0.hold.state"), "signed")
	p.write("reading", `{"of":{"asm":"2123","at":"clutch.pull"},"cond":"built","value":{"t":"40","u":"N"},"read_by":"pell"}`)
	want("a reading that turns the answer", see("engines.1.stages.0.hold.state"), "broken")
	want("and how", see("engines.1.stages.0.hold.changed.0"), "2123 · drag of a clutch from a pull on an arm, both sides was within, now outside")
	body := draft().With("why", jcs.Str("the balance was stiff"))
	over := find(func() jcs.Value { st := p.state(); v, _ := View(st, result.All(st), "stages", jcs.Null()); return v }(), "engines.1.stages.0.hold.draft.over").Texts()
	p.write("sign", body.String(), entry.ID(over[0]))
	want("a concession", see("engines.1.stages.0.hold.state"), "conceded")
	want("the pair waits for the other only", see("pair.0.hold.todo.1.words"), "")
	want("what was done before is offered where something is to do", see("engines.0.stages.0.hold.before.body.why"), "done before, not recorded")
	st := p.state()
	v, _ := View(st, result.All(st), "stages", jcs.Null())
	before := p.write("sign", find(v, "engines.0.stages.0.hold.before.body").With("says", jcs.Str("Fred Marl")).With("how", jcs.Str("in his notebook of 2019")).String())
	want("and is said so", see("engines.0.stages.0.hold.word"), "done before, not recorded")
	want("with who says so and how that is known", see("engines.0.stages.0.hold.signed.why"), "Fred Marl says so: in his notebook of 2019")
	want("which is no concession", find(p.shown().view("entry", `{"id":"`+string(before)+`"}`), "words").Text(), "HP20 of 2117, done before, not recorded: Fred Marl says so: in his notebook of 2019")
	want("once", see("engines.0.stages.0.hold.before.kind"), "")
	p.write("stages", `{"stages":[{"key":"s","title":"Strip","hold":{"key":"HP22","title":"stripped","wants":[]}}]}`, p.state().Plan)
	want("without a condition it says that there is none", see("engines.0.stages.0.hold.word"), "nothing is set that it waits for")
	want("and can be signed", see("engines.0.stages.0.hold.draft.body.hold"), "HP22")
}
