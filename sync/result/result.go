// Package result binds the record to the calculations: which readings of which
// condition go into what, for every place of every engine. Its output is a
// function of the record; phone and server compare its digest.
package result

import (
	"slices"
	"strings"
	"sync"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// CoreVersion names the rules. It changes whenever the same entries may give
// another result.
const CoreVersion = "7"

// Res is one result of the job.
type Res struct {
	ID    string // "clearance/2123/main.3/found"
	Asm   string // the engine's serial; "2117+2123" for a result over both
	At    string // "main.3"
	Cond  string
	Words string   // "main bearing 3 · running clearance"
	Mixes []string // other conditions that some of its readings are of
	Sheet string   // the list of the type sheet that its readings stand on
	Wants []Want   // the places that its readings come from, read or not; follows from the rest, so no part of the digest
	calc.Result
	sum   string // its digest
	shown *shown
}

// shown is how a result stands in a list, made when it is first asked for: with each reading all lists are made anew, and
// nearly all of their lines stand as they stood.
type shown struct {
	once sync.Once
	line jcs.Value
}

// Shown returns what line makes of the result, made once. There is one such line.
func (r *Res) Shown(line func(*Res) jcs.Value) jcs.Value {
	if r.shown == nil {
		return line(r)
	}
	r.shown.once.Do(func() { r.shown.line = line(r) })
	return r.shown.line
}

// What stands on no list of a type sheet has a list of its own.
const (
	sheetRuns     = "runs"
	sheetHolds    = "hold tests"
	sheetMatching = "Matching"
)

// Gathered names the lists of results that no type sheet has.
var Gathered = []string{sheetRuns, sheetHolds, sheetMatching}

// Want is a place whose reading goes into a result, in a condition.
type Want struct{ Asm, At, Cond string }

// JSON is the result with what it is about.
func (r Res) JSON() jcs.Value {
	return r.Result.JSON(jcs.M("id", jcs.Str(r.ID)), jcs.M("asm", jcs.Str(r.Asm)), jcs.M("at", jcs.Str(r.At)),
		jcs.M("cond", jcs.Str(r.Cond)), jcs.M("words", jcs.Str(r.Words)), jcs.M("mixes", jcs.Strs(r.Mixes)))
}

// Digest is the SHA-256 over the digests of all results and the version of the core.
func Digest(rs []Res) string {
	sums := make([]jcs.Value, len(rs))
	for i, r := range rs {
		sums[i] = jcs.Str(r.digest())
	}
	return entry.DigestOf(jcs.Obj(jcs.M("core", jcs.Str(CoreVersion)), jcs.M("results", jcs.Arr(sums...))))
}

func (r Res) digest() string {
	if r.sum != "" {
		return r.sum
	}
	return entry.DigestOf(r.JSON())
}

// All works out every result that the record has readings for, in a fixed order.
func All(st *record.State) []Res { return From(st).All }

// binder is All at work. It works in pieces, each of which notes where it
// looked for readings, so that it alone is done again when one comes there.
type binder struct {
	st     *record.State
	pieces []piece
	before *piece        // the same piece before these spots were touched
	spots  []record.Spot // touched since
}

// piece is one binding: what it does, where it looked, what came out.
type piece struct {
	do    func(b *binder)
	spots map[record.Spot]bool
	out   []Res
}

// piece does one binding.
func (b *binder) piece(do func(b *binder)) {
	b.pieces = append(b.pieces, piece{do: do, spots: map[record.Spot]bool{}})
	do(b)
}

func (b *binder) current() *piece { return &b.pieces[len(b.pieces)-1] }

// conditions returns in which conditions something was read at a place.
func (b *binder) conditions(key, at string) []string {
	b.current().spots[record.Spot{Key: key, At: at}] = true
	return b.st.Conditions(key, at)
}

// engine binds everything that is of one engine alone.
func (b *binder) engine(e *record.Engine) {
	if e.Pattern == nil {
		return
	}
	for _, pl := range e.Pattern.Places() {
		f := pl.Feature
		if f.Calc != "" {
			continue
		}
		switch f.Shape {
		case "journal":
			b.piece(func(b *binder) { b.journal(e, pl) })
			b.piece(func(b *binder) { b.clearance(e, pl) })
		case "shell":
		case "cylinder":
			if strings.HasSuffix(pl.At, ".liner") {
				b.piece(func(b *binder) { b.liner(e, pl) })
			} else {
				b.piece(func(b *binder) { b.direct(e, pl) })
			}
		default:
			b.piece(func(b *binder) { b.direct(e, pl) })
		}
	}
	b.piece(func(b *binder) { b.undersizes(e) })
	b.piece(func(b *binder) { b.trials(e) })
	b.bound(e)
}

// add runs a calculation and keeps its result, with what the record knows of
// its readings: a contested one makes the result contested, one that waits
// makes it incomplete.
func (b *binder) add(g *gathered, name string, r Res) {
	if b.keep(r.ID, g.reads...) {
		return
	}
	res, err := calc.Run(name, g.in)
	if err != nil {
		panic("bug: " + name + ": " + err.Error())
	}
	r.Result = res
	r.Mixes, r.Wants = g.mixes(r.Cond), g.wants
	r.Working = append(r.Working, g.notes...)
	r.Missing = append(r.Missing, g.missing...)
	if len(g.refs) > 0 {
		r.Inputs = append(r.Inputs, g.refs...)
		slices.Sort(r.Inputs)
	}
	if len(g.missing) > 0 {
		r.Verdict = calc.Worse(r.Verdict, calc.Incomplete)
		r.Says = g.partly + r.Says
	}
	if len(g.contests) > 0 {
		r.Verdict, r.Close = calc.Contested, false
		r.Says = g.contests[0] + " " + r.Says
		r.Disagree = append(r.Disagree, g.disagree...)
	}
	if len(r.Mixes) > 0 {
		r.Working = append(r.Working, "conditions mixed: "+strings.Join(append([]string{r.Cond}, r.Mixes...), ", "))
	}
	r.sum, r.shown = entry.DigestOf(r.JSON()), &shown{}
	b.out(r)
}

// out puts a result out.
func (b *binder) out(r Res) {
	p := b.current()
	p.out = append(p.out, r)
}

// keep puts out a result as it was before when it is read from spots and none
// of them was touched: Extend changes nothing else that a result is made of,
// and a condition that is chosen because it is new was touched itself. Asked
// before its readings are gathered, it saves that too.
func (b *binder) keep(id string, reads ...record.Spot) bool {
	if b.before == nil || len(reads) == 0 || slices.ContainsFunc(reads, func(s record.Spot) bool { return slices.Contains(b.spots, s) }) {
		return false
	}
	k := slices.IndexFunc(b.before.out, func(r Res) bool { return r.ID == id })
	if k < 0 {
		return false
	}
	for _, s := range reads {
		b.current().spots[s] = true
	}
	b.out(b.before.out[k])
	return true
}
