package view

import (
	"slices"

	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// RunReport is a run as a page tells it.
type RunReport struct {
	Mark, Release, Matching string // Mark: without release, or ""; Matching: how far it came, of a run of both
	Sides                   []RunSideReport
	Lines                   []RunLineReport
	Drawings                []RunDrawing
}

// RunSideReport is what a run came to for one engine.
type RunSideReport struct {
	Asm, Ran, Stopped string
	Raised            []string
}

// RunLineReport is one line of a run's log.
type RunLineReport struct {
	At, Words string
	Line      *record.RunLine
}

// RunDrawing is a drawing of a run.
type RunDrawing struct{ Title, SVG string }

// Runs returns all runs whose start has arrived, the oldest first by what the
// phones' clocks said.
func (p Print) Runs() []*record.Run {
	runs := slices.DeleteFunc(p.v.runsOf(""), func(r *record.Run) bool { return r.Title == "" })
	slices.Reverse(runs)
	return runs
}

// Run tells a run.
func (p Print) Run(r *record.Run) RunReport {
	var out RunReport
	out.Mark, out.Release = p.v.released(r)
	for _, asm := range result.Sides(p.v.st, r) {
		out.Sides = append(out.Sides, p.runSide(r, asm))
	}
	for i := range r.Lines {
		l := &r.Lines[i]
		out.Lines = append(out.Lines, RunLineReport{clockWords(l.MS), lineWords(l), l})
	}
	for _, g := range p.v.graphs(r) {
		out.Drawings = append(out.Drawings, RunDrawing{g.Get("title").Text(), g.Get("svg").Text()})
	}
	if len(r.Of) > 1 {
		out.Matching = p.v.matchState(r)
		for _, a := range p.v.adjustsOf(r) {
			out.Matching += " Moved: " + result.AdjustWords(a) + "."
		}
	}
	return out
}

func (p Print) runSide(r *record.Run, asm string) RunSideReport {
	out := RunSideReport{Asm: asm}
	e, ok := p.v.st.Engine(asm)
	if !ok {
		return out
	}
	w := p.v.watched(e, r)
	if n := ranFor(r, asm); n >= 0 {
		out.Ran = ranWords(n)
	}
	if stop, ok := r.Stop(asm); ok {
		out.Stopped = stop.Words
	}
	for _, a := range w.raised {
		out.Raised = append(out.Raised, clockWords(a.ms)+" "+a.title+": "+a.words())
	}
	return out
}
