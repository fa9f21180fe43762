package view

import (
	"cmp"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/record"
)

// MaxFound is how many finds a phone is shown.
const MaxFound = 40

// maxSays is how much of a note or a reason a find shows, in letters.
const maxSays = 140

// search finds what a job holds: every word asked for must be there, as the
// beginning of a word at least, in any order. Nothing asked for: the places
// that the phone names as recent. Finds stand by engine, the left one first.
func (v *viewer) search() jcs.Value {
	s := newSearch(v)
	if len(s.words) == 0 {
		return s.grouped(s.recent(), "")
	}
	s.all()
	trouble := s.tags(v.arg("q"))
	total := len(s.hits)
	order.By(s.hits, compareHits)
	var found []thing
	for _, h := range s.hits[:min(total, MaxFound)] {
		found = append(found, h.make())
	}
	return s.grouped(found, countWords(total)).With("trouble", jcs.Opt(trouble))
}

// thing is something that can be found: what it is, of which engines, and
// where it opens.
type thing struct {
	kind, title, says string
	asm               []string
	open              jcs.Value
}

// hit is a find before it is put into words: only the best are.
type hit struct {
	score, rank, seq int
	make             func() thing
}

// best first; of equals the kind decides, then the order of the job.
func compareHits(a, b hit) int {
	return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.rank, b.rank), cmp.Compare(a.seq, b.seq))
}

// search is one question at work. What it knows of engines and places is kept
// folded: thousands of notes are of a few of them.
type search struct {
	v      *viewer
	words  []sought
	hits   []hit
	name   []byte
	more   []byte
	near   map[string][]byte
	placed map[[2]string]string
}

func newSearch(v *viewer) *search {
	return &search{v: v, words: words(v.arg("q")), near: map[string][]byte{}, placed: map[[2]string]string{}}
}

// weights: what a thing is called and the engine that it is of count more than
// what else is said of it, a whole word more than its beginning.
const (
	nameWhole = 6
	nameBegin = 4
	moreWhole = 2
	moreBegin = 1
)

// score adds up how well every word stands; 0 when one of them is nowhere.
// Near is the engines that the thing is of, folded.
func (s *search) score(name string, near []byte, more ...string) int {
	s.name, s.more = fold(s.name[:0], name), s.more[:0]
	for _, text := range more {
		s.more = fold(s.more, text)
	}
	total := 0
	for _, w := range s.words {
		switch called, said := max(w.in(s.name), w.in(near)), w.in(s.more); {
		case called == 2:
			total += nameWhole
		case called == 1:
			total += nameBegin
		case said == 2:
			total += moreWhole
		case said == 1:
			total += moreBegin
		default:
			return 0
		}
	}
	return total
}

// engines is how engines may be called, folded: serial, spoken name, band,
// side, place. The list is of serials with + between them.
func (s *search) engines(list string) []byte {
	near, ok := s.near[list]
	if ok || list == "" {
		return near
	}
	for _, serial := range strings.Split(list, "+") {
		if e, ok := s.v.st.Engine(serial); ok {
			near = fold(near, e.Serial+" "+e.Name+" "+e.Band+" "+s.v.where(e))
		}
	}
	s.near[list] = near
	return near
}

// place is the words of a place that something is about.
func (s *search) place(of record.Of) string {
	if of.At == "" {
		return ""
	}
	key := [2]string{of.Asm, of.At}
	words, ok := s.placed[key]
	if e, known := s.v.st.Engine(of.Asm); !ok && known && e.Pattern != nil {
		words = e.Pattern.Words(of.At)
		s.placed[key] = words
	}
	return words
}

// asks reports whether a word of a text was asked for: an outside name must
// be, before its numbers count.
func (s *search) asks(text string) bool {
	folded := fold(nil, text)
	for _, w := range s.words {
		if w.in(folded) > 0 && !digit(w.begin[1]) {
			return true
		}
	}
	return false
}

func (s *search) offer(score, rank, seq int, make func() thing) {
	if score > 0 {
		s.hits = append(s.hits, hit{score, rank, seq, make})
	}
}

func countWords(n int) string {
	switch {
	case n == 0:
		return "Nothing found. Fewer letters find more."
	case n > MaxFound:
		return count(MaxFound) + " of " + count(n) + " shown. Another word narrows it."
	}
	return count(n) + " found."
}

// grouped puts finds under their engines, in the order in which these are
// drawn; then what is of more than one, then what is of none.
func (s *search) grouped(found []thing, says string) jcs.Value {
	var groups []jcs.Value
	add := func(title string, engines []jcs.Value, of func(thing) bool) {
		var lines []jcs.Value
		for _, t := range found {
			if of(t) {
				lines = append(lines, t.line())
			}
		}
		if len(lines) > 0 {
			groups = append(groups, jcs.Obj(str("title", title), jcs.M("engines", jcs.Arr(engines...)), jcs.M("lines", jcs.Arr(lines...))))
		}
	}
	var all []jcs.Value
	for _, e := range s.v.inOrder() {
		all = append(all, s.v.tag(e))
		add("", []jcs.Value{s.v.tag(e)}, func(t thing) bool { return len(t.asm) == 1 && t.asm[0] == e.Serial })
	}
	add("Of more than one engine", all, func(t thing) bool { return len(t.asm) > 1 })
	add("Of no one engine", nil, func(t thing) bool { return len(t.asm) == 0 })
	return jcs.Obj(text("q", s.v.arg("q")), jcs.M("groups", jcs.Arr(groups...)), num("count", len(found)), str("says", says))
}

func (t thing) line() jcs.Value {
	return jcs.Obj(str("kind", t.kind), text("title", cut(t.title)), str("says", cut(t.says)), jcs.M("asm", jcs.Strs(t.asm)), jcs.M("open", t.open))
}

// cut shortens a text between two letters.
func cut(s string) string {
	n := 0
	for i := range s {
		if n == maxSays {
			return s[:i] + "…"
		}
		n++
	}
	return s
}
