package recordbook

import (
	"html/template"
	"slices"
	"strings"
	"time"

	"witnessmark/server/names"
	"witnessmark/sync/entry"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
)

// maker puts a book together.
type maker struct {
	Source
	st      *record.State
	rs      []result.Res
	who     *names.Names
	print   view.Print
	engines []*record.Engine // the left one first
	lines   []record.Line
	entries map[entry.ID]int // from 1, in the order of the last appendix
	working map[string]int   // of results, from 1
	shown   map[spot]bool    // what the measured tables have shown
	placed  map[entry.ID]bool
}

// spot is a point of a place in one condition.
type spot struct{ key, at, point, cond string }

func newMaker(src Source) *maker {
	m := &maker{Source: src, st: src.State, rs: src.Results, who: names.Of(src.State, src.Names), print: view.ForPrint(src.State, src.Results),
		lines: src.State.Lines(), entries: map[entry.ID]int{}, working: map[string]int{}, shown: map[spot]bool{}, placed: map[entry.ID]bool{}}
	m.engines = slices.DeleteFunc(m.print.Engines(), func(e *record.Engine) bool { return !m.concerns(e.Serial) })
	m.rs = slices.DeleteFunc(slices.Clone(m.rs), func(r result.Res) bool { return !m.concerns(r.Asm) })
	for i, l := range m.lines {
		m.entries[l.ID] = i + 1
	}
	for i := range m.rs {
		m.working[m.rs[i].ID] = i + 1
	}
	return m
}

// concerns reports whether something belongs into the book: asm is a serial, two of them with a plus, or "" for the whole job.
func (m *maker) concerns(asm string) bool {
	return m.Asm == "" || asm == "" || slices.Contains(strings.Split(asm, "+"), m.Asm)
}

// text is a sentence with names as they may stand.
func (m *maker) text(s string) string { return m.who.Text(s) }

// ref names an entry: "E12", or that it has not arrived.
type ref struct {
	N  int
	ID entry.ID
}

func (m *maker) ref(id entry.ID) ref { return ref{m.entries[id], id} }

func refs[S ~string](m *maker, ids []S) []ref {
	out := make([]ref, 0, len(ids))
	for _, id := range ids {
		out = append(out, m.ref(entry.ID(id)))
	}
	return out
}

// head is an engine as it is named everywhere: band, serial, name, side in words.
type head struct {
	Serial, Name, Where string
	Band                template.HTML
}

func (m *maker) head(e *record.Engine) head {
	return head{e.Serial, m.text(e.Name), m.text(m.print.Where(e)), band(e.Band)}
}

func (m *maker) heads(engines []*record.Engine) []head {
	out := make([]head, 0, len(engines))
	for _, e := range engines {
		out = append(out, m.head(e))
	}
	return out
}

// band is the engine's band, solid or hatched.
func band(kind string) template.HTML {
	inside := `<rect class="band-solid" x="1" y="1" width="14" height="22"/>`
	if kind == "hatched" {
		inside = `<rect class="band-edge" x="1" y="1" width="14" height="22"/><path class="band-hatch" d="M1 8 8 1M1 16 15 2M3 22 15 10M10 23 15 18"/>`
	}
	return template.HTML(`<svg class="band" viewBox="0 0 16 24" aria-hidden="true">` + inside + `</svg>`)
}

// when is a time as a phone said it, as people write one.
func when(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.Format("2 January 2006, 15:04")
}

// day is a day as people write one.
func day(d string) string {
	t, err := time.Parse(time.DateOnly, d)
	if err != nil {
		return d
	}
	return t.Format("2 January 2006")
}

// asOf is the time of the newest entry, in its own zone.
func (m *maker) asOf() string {
	t := newest(m.lines)
	if t.IsZero() {
		return "no entry yet"
	}
	return t.Format("2 January 2006, 15:04")
}

// newest is the time of the newest entry, in its own zone; the zero time when none says one.
func newest(lines []record.Line) time.Time {
	var out time.Time
	for _, l := range lines {
		if t, err := time.Parse(time.RFC3339, l.At); err == nil && t.After(out) {
			out = t
		}
	}
	return out
}
