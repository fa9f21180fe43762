package recordbook

import (
	"html/template"
	"strings"

	"witnessmark/sync/record"
)

// run is an engine's run on the stand, or that of both.
type run struct {
	Title, Of, By, When, Mark, Release, Matching string
	Card                                         []string
	Sides                                        []runSide
	Lines                                        []runLine
	Drawings                                     []runDrawing
	E                                            ref
}

type runSide struct {
	Asm, Ran, Stopped string
	Raised            []string
}

type runLine struct {
	At, Asm, Words, By, Struck string
	E                          ref
}

type runDrawing struct {
	Title string
	SVG   template.HTML
}

func (m *maker) runs() []run {
	var out []run
	for _, r := range m.print.Runs() {
		if m.concerns(strings.Join(r.Engines(), "+")) && r.Struck == "" {
			out = append(out, m.run(r))
		}
	}
	return out
}

func (m *maker) run(r *record.Run) run {
	told := m.print.Run(r)
	out := run{Title: m.text(r.Title), Of: strings.Join(r.Engines(), " and "), By: m.who.Person(r.By), When: when(r.At), Mark: told.Mark, Release: m.text(told.Release),
		Matching: m.text(told.Matching), Card: m.card(r), E: m.ref(r.ID)}
	for _, s := range told.Sides {
		out.Sides = append(out.Sides, runSide{s.Asm, s.Ran, m.text(s.Stopped), m.texts(s.Raised)})
	}
	for _, l := range told.Lines {
		out.Lines = append(out.Lines, runLine{l.At, l.Line.Of.Asm, m.text(l.Words), m.who.Person(l.Line.By), m.text(l.Line.Struck), m.ref(l.Line.ID)})
	}
	for _, d := range told.Drawings {
		out.Drawings = append(out.Drawings, runDrawing{d.Title, still(d.SVG)})
	}
	return out
}

// card says what stood on the run card, but for the answers that were yes.
func (m *maker) card(r *record.Run) []string {
	var out []string
	add := func(what, words string) {
		if words != "" {
			out = append(out, what+": "+m.text(words))
		}
	}
	add("stand", r.Stand)
	add("fluids", r.Fluids)
	add("not fitted", strings.Join(r.NotFitted, ", "))
	if r.Most != nil {
		add("may run", r.Most.String())
	}
	for _, p := range r.Posts {
		add(p.Post, m.who.Person(p.Who))
	}
	for _, c := range r.Checks {
		if !strings.HasPrefix(c.Answer, "yes") {
			add(c.Check, c.Answer)
		}
	}
	return out
}
