package recordbook

import (
	"html/template"
	"strings"
	"unicode"
	"unicode/utf8"

	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/view"
)

// numbering is the signed convention with its words; Shops are those that count otherwise.
type numbering struct {
	record.Numbering
	Shops []shop
}

type shop struct{ Name, Says string }

func (m *maker) numbering() *numbering {
	n := m.st.Numbering
	if n.Name == "" {
		return nil
	}
	out := &numbering{Numbering: n}
	for _, x := range n.Machinists {
		out.Shops = append(out.Shops, shop{m.text(x.Name), view.Counts(m.st, x)})
	}
	return out
}

// engine is an engine with all its moves.
type engine struct {
	head
	Type, Crank string
	Moves       []move
}

type move struct {
	Day, To, Ended string
	E              ref
}

func (m *maker) engine(e *record.Engine) engine {
	out := engine{head: m.head(e), Type: e.Type, Crank: e.Crank}
	if e.Pattern != nil {
		out.Type = e.Pattern.Name
	}
	for _, f := range e.History {
		to := f.Side
		if to == "" {
			to = "not fitted: " + f.Place
		}
		out.Moves = append(out.Moves, move{day(f.Day), m.text(to), day(f.Ended), m.ref(f.ID)})
	}
	return out
}

// openGroup is what is open of one kind.
type openGroup struct {
	Title string
	Lines []openLine
}

type openLine struct {
	Title, Word, Says string
	W                 int // the working of the result; 0 = none
	E                 []ref
}

// open is the lead's own list, line by line as the screen has it; a sheet that was begun names the points that it lacks. What the
// tool could not use comes last.
func (m *maker) open() []openGroup {
	lead, err := view.View(m.st, m.rs, "lead", jcs.Null())
	if err != nil {
		panic("bug: the lead's list: " + err.Error())
	}
	lacks := m.missing()
	var out []openGroup
	for _, g := range lead.Get("groups").Items() {
		group := openGroup{Title: g.Get("title").Text()}
		for _, l := range g.Get("lines").Items() {
			if m.concerns(l.Get("asm").Text()) {
				group.Lines = append(group.Lines, m.openLine(l, lacks))
			}
		}
		out = append(out, group)
	}
	return append(out, openGroup{"Kept, but not usable", m.unusable()})
}

func (m *maker) openLine(l jcs.Value, lacks map[string]string) openLine {
	says := l.Get("says").Text()
	if points := lacks[l.Get("title").Text()]; l.Get("open").Get("screen").Text() == "sheet" && points != "" {
		says += ": " + points
	}
	out := openLine{Title: m.text(l.Get("title").Text()), Word: l.Get("word").Text(), Says: sentence(m.text(says))}
	id := l.Get("open").Get("id").Text()
	out.W = m.working[id]
	if c, ok := m.st.Contest(id); ok && l.Get("open").Get("screen").Text() == "contest" {
		out.E = refs(m, c.Members)
	}
	return out
}

// missing names, for each sheet that was begun, the points that nobody measured or skipped. The key is the title of its line.
func (m *maker) missing() map[string]string {
	out := map[string]string{}
	for _, e := range m.engines {
		if e.Pattern == nil {
			continue
		}
		for _, name := range e.Pattern.Sheets() {
			g := m.print.Sheet(e, name)
			if done := g.Get("done").Int64(); done > 0 && done < g.Get("total").Int64() {
				out[e.Serial+" · "+name] = missingWords(e.Pattern, g)
			}
		}
	}
	return out
}

// missingWords lists places of which nothing was read by their numbers, others by their points.
func missingWords(p *pattern.Pattern, sheet jcs.Value) string {
	var out []string
	var row *pattern.Feature // the feature that the last part of out is about, as long as places go missing whole
	for _, pl := range sheet.Get("places").Items() {
		var points []string
		all := pl.Get("points").Items()
		for _, x := range all {
			if x.Get("state").Text() == "missing" {
				points = append(points, x.Get("words").Text())
			}
		}
		place, _ := p.Find(pl.Get("at").Text())
		switch {
		case len(points) == 0:
		case len(points) < len(all):
			out, row = append(out, pl.Get("words").Text()+" ("+strings.Join(points, "; ")+")"), nil
		case row == place.Feature && place.N != "":
			out[len(out)-1] += " " + place.N
		default:
			out, row = append(out, strings.TrimSpace(featureWords(place.Feature)+" "+place.N)), place.Feature
		}
	}
	return strings.Join(out, "; ")
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + strings.TrimSuffix(s[size:], ".") + "."
}

func (m *maker) unusable() []openLine {
	var out []openLine
	for _, b := range m.st.Unusable {
		out = append(out, openLine{Title: b.Kind + by(m.who.Person(b.By)), Word: "not usable", Says: m.text(b.Why), E: []ref{m.ref(b.ID)}})
	}
	return out
}

func by(name string) string {
	if name == "" {
		return ""
	}
	return " by " + name
}

// drawing is a picture of the core with the engine that it shows.
type drawing struct {
	head
	SVG template.HTML
}

// maps are the engines with the state of each place, the left one left.
func (m *maker) maps() []drawing {
	var out []drawing
	for _, e := range m.engines {
		if svg := m.print.Map(e); svg != "" {
			out = append(out, drawing{m.head(e), still(svg)})
		}
	}
	return out
}

// still is a drawing of the core as one picture with its name: on paper nothing of it can be touched.
func still(svg string) template.HTML {
	return template.HTML(strings.Replace(svg, `role="group"`, `role="img"`, 1)) // package draw escapes what it writes
}
