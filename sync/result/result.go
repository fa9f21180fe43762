// Package result binds the record to the calculations: which readings of which
// condition go into what, for every place of every engine. Its output is a
// function of the record; phone and server compare its digest.
package result

import (
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/record"
)

// CoreVersion names the rules. It changes whenever the same entries may give
// another result.
const CoreVersion = "1"

// Res is one result of the job.
type Res struct {
	ID    string // "clearance/2123/main.3/found"
	Asm   string // the engine's serial; "2117+2123" for a result over both
	At    string // "main.3"
	Cond  string
	Words string   // "main bearing 3 · running clearance"
	Mixes []string // other conditions that some of its readings are of
	Sheet string   // the list of the type sheet that its readings stand on
	calc.Result
}

// JSON is the result with what it is about.
func (r Res) JSON() jcs.Value {
	return r.Result.JSON().With("id", jcs.Str(r.ID)).With("asm", jcs.Str(r.Asm)).With("at", jcs.Str(r.At)).
		With("cond", jcs.Str(r.Cond)).With("words", jcs.Str(r.Words)).With("mixes", jcs.Strs(r.Mixes))
}

// Digest is the SHA-256 over all results and the version of the core.
func Digest(rs []Res) string {
	items := make([]jcs.Value, len(rs))
	for i, r := range rs {
		items[i] = r.JSON()
	}
	return entry.DigestOf(jcs.Obj(jcs.M("core", jcs.Str(CoreVersion)), jcs.M("results", jcs.Arr(items...))))
}

// All works out every result that the record has readings for, in a fixed order.
func All(st *record.State) []Res {
	b := &binder{st: st}
	b.index()
	for i := range st.Engines {
		b.engine(&st.Engines[i])
	}
	b.gaskets()
	order.By(b.out, func(x, y Res) int { return strings.Compare(x.ID, y.ID) })
	return b.out
}

// binder is All at work.
type binder struct {
	st     *record.State
	out    []Res
	points map[spot][]int // places of the record, by identity and place
	seen   map[string]bool
}

type spot struct{ key, at string }

func (b *binder) index() {
	b.points = map[spot][]int{}
	b.seen = map[string]bool{}
	for i, p := range b.st.Places {
		k := spot{p.Key, p.At}
		b.points[k] = append(b.points[k], i)
	}
}

// engine binds everything that is of one engine alone.
func (b *binder) engine(e *record.Engine) {
	if e.Pattern == nil {
		return
	}
	for _, pl := range e.Pattern.Places() {
		f := pl.Feature
		switch f.Shape {
		case "journal":
			b.journal(e, pl)
			b.clearance(e, pl)
		case "shell":
		case "cylinder":
			if strings.HasSuffix(pl.At, ".liner") {
				b.liner(e, pl)
			} else {
				b.direct(e, pl)
			}
		default:
			b.direct(e, pl)
		}
	}
	b.undersizes(e)
	b.trials(e)
}

// add runs a calculation and keeps its result, with what the record knows of
// its readings: a contested one makes the result contested, one that waits
// makes it incomplete.
func (b *binder) add(g *gathered, name string, r Res) {
	if b.seen[r.ID] {
		return
	}
	b.seen[r.ID] = true
	res, err := calc.Run(name, g.in)
	if err != nil {
		panic("bug: " + name + ": " + err.Error())
	}
	r.Result = res
	r.Mixes = g.mixes(r.Cond)
	r.Working = append(r.Working, g.notes...)
	r.Missing = append(r.Missing, g.missing...)
	if len(g.missing) > 0 {
		r.Verdict = calc.Worse(r.Verdict, calc.Incomplete)
	}
	if len(g.contests) > 0 {
		r.Verdict, r.Close = calc.Contested, false
		r.Says = g.contests[0] + " " + r.Says
		r.Disagree = append(r.Disagree, g.disagree...)
	}
	if len(r.Mixes) > 0 {
		r.Working = append(r.Working, "conditions mixed: "+strings.Join(append([]string{r.Cond}, r.Mixes...), ", "))
	}
	b.out = append(b.out, r)
}
