package view

import (
	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// Print lends the rules of the screens to what is printed or carried away: the
// record book and the tables of numbers. The phone does not use it, so that it
// does not download it.
type Print struct{ v *viewer }

// ForPrint returns the rules over a job as it stands.
func ForPrint(st *record.State, rs []result.Res) Print {
	return Print{&viewer{st: st, rs: rs, args: jcs.Null()}}
}

// Word is a verdict on a screen.
func Word(verdict calc.Verdict, close bool) string { return word(verdict, close) }

// Engines returns the engines as they are drawn: the left one first, the right one last.
func (p Print) Engines() []*record.Engine { return p.v.inOrder() }

// Where says an engine's place in words.
func (p Print) Where(e *record.Engine) string { return p.v.where(e) }

// Place names a place, and its point if there is one, in words.
func (p Print) Place(e *record.Engine, at, point string) string { return p.v.placeName(e, at, point) }

// Latest reports whether no newer condition of the same place has a result.
func (p Print) Latest(r *result.Res) bool { return p.v.latest(r.ID) }

// Glyph is the limit glyph of the value that decides a result.
func (p Print) Glyph(r *result.Res) calc.Glyph { return glyphOf(r) }

// Stale says what changed under a decision, or "".
func (p Print) Stale(d record.Decision) string { return p.v.stale(d) }

// Snag says how far a snag is, and why somebody's proof of it does not count, or "".
func (p Print) Snag(s *record.Snag) (word, notProven string) {
	_, word = p.v.snagState(s)
	if notProven = s.NotProven; notProven == "" {
		notProven = p.v.proofDoubt(s)
	}
	return word, notProven
}

// Contest says what a contest is about, and what stands against what.
func (p Print) Contest(c record.Contest) (about, says string) {
	return p.v.contestWords(c), sentence(p.v.contestSays(c))
}

// Zero says in words how a reading's zero was checked; "" when nothing was said.
func (p Print) Zero(r record.Reading) string { return zeroWords(r) }

// Remarks says what is wrong with a pass over a joint.
func (p Print) Remarks(sheet *pattern.Joint, have record.Joint, pass int) []string {
	return p.v.remarks(sheet, have, pass)
}

// AfterHeat says whether a joint was tightened again after the first heat.
func (p Print) AfterHeat(sheet *pattern.Joint, have record.Joint) string {
	return p.v.afterHeat(have.Asm, sheet, have)
}

// Sheet is what is done and missing on one sheet of an engine, as the screen of that name shows it.
func (p Print) Sheet(e *record.Engine, name string) jcs.Value { return p.v.sheetGroup(e, name) }

// Skipped returns the answer by which somebody passed a point by. Key is whose size it is.
func (p Print) Skipped(key, at, point string) (record.Check, bool) {
	return p.v.skipped(key, at, point)
}

// Map draws an engine with the state of each place; "" without its type sheet.
func (p Print) Map(e *record.Engine) string {
	if e.Pattern == nil {
		return ""
	}
	states := map[string]draw.State{}
	for _, pl := range e.Pattern.Places() {
		s := p.v.stateOf(e, pl)
		states[pl.At] = draw.State{Word: s.word(), Class: class(s), Words: e.Pattern.Words(pl.At)}
	}
	return p.v.drawing(e, "", false, states)
}

// Joint draws a joint with the passes that reached each fastener.
func (p Print) Joint(sheet *pattern.Joint, have record.Joint) string {
	return draw.JointStill(sheet, have.Asm, wholePasses(sheet, have))
}

// wholePasses counts a pass that was reported as done whole on every fastener.
func wholePasses(sheet *pattern.Joint, have record.Joint) map[string][]int {
	out := map[string][]int{}
	for _, p := range have.Passes {
		reached := p.Done
		if p.Whole {
			reached = nil
			for _, f := range sheet.Fasteners {
				reached = append(reached, f.Name)
			}
		}
		for _, f := range reached {
			out[f] = append(out[f], p.N)
		}
	}
	return out
}

// Chart draws the choice that a result offers; "" when it offers none.
func (p Print) Chart(r *result.Res) string { return chart(r) }
