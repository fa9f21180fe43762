package draw

import (
	"strings"

	"witnessmark/sync/pattern"
)

// State is what a map says at a place.
type State struct {
	Word  string // for people
	Class string // for the style sheet: empty, measured, within, outside, not-proven, incomplete, contested
	Words string // the place in words
}

// Map is an engine to be drawn, seen from above with its crank running up the
// page. It turns to how one stands: the end one stands at is drawn below;
// from underneath, left and right change places.
type Map struct {
	Pattern      *pattern.Pattern
	Serial, Name string
	Band         string
	Where        string // its side or place in words
	From         string // timing (end 1), flywheel (end 2), under; "" draws end 1 above
	Number1      string // the end that number 1 is at, as the convention names it
	Live         bool   // places can be touched
	Type         bool   // a type, not an engine: no band and no states
	States       map[string]State
}

const (
	width  = 390.0
	row    = 62.0 // a position along the engine
	top    = 96.0
	target = 54.0 // at the 350 pixels that a phone's screen leaves for the drawing, 48 remain
)

// column is a place across the drawing: x is its left edge seen from above.
type column struct{ x, w float64 }

var (
	colJournal = column{26, 72}
	colShell   = column{104, 72}
	colCyl     = column{186, 96}
	colValve   = column{292, 72}
)

// sheet is a map being drawn.
type sheet struct {
	*canvas
	m    Map
	rows int
}

// Engine draws the map. Targets are groups with data-place: a place, the
// beginning of several ("cyl.4"), or a joint ("head").
func Engine(m Map) string {
	rows := max(2*m.Pattern.Cylinders+1, 2*m.Pattern.Mains-1)
	height := top + float64(rows)*row + 96 + 3*row
	s := &sheet{newCanvas(width, height, "map", m.Serial+" "+m.Name+", "+m.Where), m, rows}
	s.frame(height)
	s.crank()
	s.cylinders()
	s.tags(height)
	return s.done()
}

// y turns a row into a height: row 0 is at end 1.
func (s *sheet) y(r float64) float64 {
	if s.m.From == "timing" {
		r = float64(s.rows) - 1 - r
	}
	return top + 40 + float64(r*row)
}

// x turns a column around when one lies underneath.
func (s *sheet) x(c column) float64 {
	if s.m.From == "under" {
		return width - c.x - c.w
	}
	return c.x
}

// frame draws the block, the band and the two ends with their names.
func (s *sheet) frame(height float64) {
	bottom := top + float64(s.rows)*row + 60
	s.rect("block", 14, top, width-28, bottom-top)
	name := 70.0
	if s.m.Type {
		name = 14
	} else {
		s.band(s.m.Band, 14, 14, 44, 44)
	}
	s.text("map-name", name, 34, "start", strings.TrimSpace(s.m.Serial+" "+s.m.Name))
	s.text("map-where", name, 56, "start", s.m.Where)
	above, below := s.m.Pattern.End1, s.m.Pattern.End2
	if s.m.From == "timing" {
		above, below = below, above
	}
	s.text("map-end", width/2, top-12, "middle", s.endWords(above))
	s.text("map-end", width/2, bottom+22, "middle", s.endWords(below))
	if s.m.From == "under" {
		s.text("map-note", width/2, top+20, "middle", "seen from underneath")
	}
}

func (s *sheet) endWords(end string) string {
	if s.m.Number1 != "" && end == s.m.Number1 {
		return end + " · number 1 here"
	}
	return end
}

// crank draws mains and pins in turn, each with its journal and its bore.
func (s *sheet) crank() {
	axis := s.x(colJournal) + colJournal.w/2
	s.line("axis", axis, top+6, axis, top+float64(s.rows)*row+54)
	for _, pl := range s.m.Pattern.Places() {
		r, ok := rowOf(s.m.Pattern, pl)
		if !ok {
			continue
		}
		col := colJournal
		if pl.Feature.Shape == "shell" {
			col = colShell
		}
		name, _, _ := strings.Cut(pl.At, ".")
		s.target(pl.At, name+" "+pl.N, shapeWord(pl.Feature.Shape), s.x(col), s.y(r), col.w, pl.Feature.Shape, s.m.States[pl.At])
	}
}

func shapeWord(shape string) string {
	if shape == "shell" {
		return "bore"
	}
	return "journal"
}

// rowOf is where a main or a pin stands along the crank. Fewer mains than one
// beside each cylinder stand spread over its length, as between pairs of pins.
func rowOf(p *pattern.Pattern, pl pattern.Place) (float64, bool) {
	if pl.Feature.Shape != "journal" && pl.Feature.Shape != "shell" {
		return 0, false
	}
	k := number(pl.N)
	if !strings.HasPrefix(pl.At, "main.") {
		return float64(2*k - 1), true
	}
	if gaps := p.Mains - 1; gaps > 0 && gaps < p.Cylinders {
		return float64(2 * (((k-1)*p.Cylinders + gaps/2) / gaps)), true
	}
	return float64(2 * (k - 1)), true
}

func number(s string) int {
	k := 0
	for _, c := range s {
		if c < '0' || c > '9' {
			return 0
		}
		k = 10*k + int(c-'0')
	}
	return k
}

// cylinders draws each cylinder with its valves beside it.
func (s *sheet) cylinders() {
	per := 0
	if s.m.Pattern.Cylinders > 0 {
		per = len(s.m.Pattern.Valves) / s.m.Pattern.Cylinders
	}
	for i, c := range s.m.Pattern.Cylinder() {
		r := float64(2*i + 1)
		s.target("cyl."+c, "cyl "+c, "", s.x(colCyl), s.y(r), colCyl.w, "cylinder", s.worst("cyl."+c, "cylinder "+c))
		for k := range per {
			v := s.m.Pattern.Valves[i*per+k]
			at := r + (float64(k)-float64(per-1)/2)*0.9
			s.target("valve."+v, v, "", s.x(colValve), s.y(at), colValve.w, "valve", s.worst("valve."+v, "valve "+v))
		}
	}
}

// worst gathers the state of all places that begin with a name.
func (s *sheet) worst(prefix, words string) State {
	order := []string{"empty", "measured", "within", "incomplete", "not-proven", "outside", "contested"}
	out := State{Word: "not measured", Class: "empty", Words: words}
	rank := 0
	for _, pl := range s.m.Pattern.Places() {
		st, ok := s.m.States[pl.At]
		if !ok || !strings.HasPrefix(pl.At, prefix+".") {
			continue
		}
		for i, o := range order {
			if st.Class == o && i > rank {
				rank, out.Class, out.Word = i, st.Class, st.Word
			}
		}
	}
	return out
}

// tags lead to what has no place on the drawing: gasket, crank, joints.
func (s *sheet) tags(height float64) {
	y := height - 2.6*row
	type tag struct{ place, word, under string }
	var list []tag
	for _, prefix := range []string{"gasket", "crank"} {
		for _, pl := range s.m.Pattern.Places() {
			if strings.HasPrefix(pl.At, prefix+".") {
				list = append(list, tag{prefix, prefix, ""})
				break
			}
		}
	}
	for _, j := range s.m.Pattern.Joints {
		list = append(list, tag{j.Joint, j.Words, "fasteners"})
	}
	for i, t := range list {
		x := 14 + float64(i%2)*184
		st := s.worst(t.place, t.word)
		if _, joint := s.m.Pattern.Joint(t.place); joint {
			st = State{Word: "tighten", Class: "joint", Words: t.word + ", " + t.under}
		}
		s.target(t.place, t.word, t.under, x, y+float64(i/2)*row+row/2, 178, "tag", st)
	}
}

// target draws a place of at least 48 by 48 pixels around (x, y): x its left edge, y
// its middle.
func (s *sheet) target(at, word, under string, x, y, w float64, shape string, st State) {
	if s.m.Live {
		s.raw(`<g class="pl ` + shape + ` ` + st.Class + `" data-place="` + esc(at) + `" role="button" tabindex="0" aria-label="` +
			esc(s.m.Serial+", "+strings.TrimSpace(word+" "+under)+", "+st.Words+": "+st.Word) + `">`)
	} else {
		s.raw(`<g class="pl ` + shape + ` ` + st.Class + `"><title>` + esc(st.Words+": "+st.Word) + `</title>`)
	}
	h := target
	s.rect("hit", x, y-h/2, w, h)
	if shape == "cylinder" {
		s.circle("bore-line", x+w/2, y, h/2-1)
	}
	mark := y + 13
	if under != "" {
		s.text("pl-name", x+w/2, y-11, "middle", word)
		s.raw(" ") // readers say two words, not one
		s.text("pl-under", x+w/2, y+2, "middle", under)
		mark = y + 15
	} else {
		s.text("pl-name", x+w/2, y-1, "middle", word)
	}
	if st.Class != "joint" && !s.m.Type {
		s.mark(st.Class, x+w/2, mark)
	}
	s.raw("</g>")
}
