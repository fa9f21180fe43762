package recordbook

import (
	"encoding/base64"
	"errors"
	"html/template"
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// decision is what was decided, why, and on what it rests.
type decision struct {
	What, Of, Why, By, When string
	Chosen                  []string
	Stale                   string
	Rests                   []rest
	Inputs                  []ref
	Open                    string
	Alternatives, Consent   string // of what removes original metal
	E                       ref
}

type rest struct {
	Says, Verdict string
	W             int
}

// decisions are all decisions; what was decided as a concession stands in a section of its own.
func (m *maker) decisions() (all, concessions []decision) {
	for _, d := range m.st.Decisions {
		if !m.concerns(strings.Join(d.Asm, "+")) {
			continue
		}
		out := decision{What: m.text(d.Decide), Of: strings.Join(d.Asm, " and "), Why: m.text(d.Why), By: m.who.Person(d.By), When: when(d.At),
			Open: m.text(d.Open), Alternatives: m.text(d.Alternatives), Consent: m.text(d.Consent), Chosen: m.chosen(d.Chosen), Stale: m.text(m.print.Stale(d)), Inputs: refs(m, d.Inputs), E: m.ref(d.ID)}
		for _, r := range d.Rests {
			out.Rests = append(out.Rests, rest{m.text(r.Says), r.Verdict, m.working[r.Result]})
		}
		if d.Decide == "concession" {
			concessions = append(concessions, out)
			continue
		}
		all = append(all, out)
	}
	return all, concessions
}

// chosen says what was chosen, member by member.
func (m *maker) chosen(canonical string) []string {
	v, err := jcs.Parse([]byte(canonical))
	if err != nil {
		return []string{m.text(canonical)}
	}
	var out []string
	for _, x := range v.Members() {
		said := x.Val.Text()
		switch {
		case x.Val.Kind() == jcs.KindObject && !calc.WrittenFrom(x.Val).IsZero():
			said = calc.WrittenFrom(x.Val).String()
		case x.Val.Kind() != jcs.KindText:
			said = x.Val.String()
		}
		if x.Key != "says" { // the result's own sentence, which stands under 'rests on'
			out = append(out, m.text(strings.ReplaceAll(x.Key, "_", " ")+": "+said))
		}
	}
	return out
}

// joint is a row of fasteners with the engines side by side.
type joint struct {
	Words  string
	Thread string
	Order  string
	Sides  []jointOf
}

// jointOf is one engine's joint in one condition.
type jointOf struct {
	head
	Cond, AfterHeat string
	Map             template.HTML
	Passes          []pass
	Remarks         remarks
}

type pass struct {
	N       int
	Sheet   string // the torque that the sheet says
	Lines   []tightened
	Missing string
	Remarks []string
}

type tightened struct {
	What, Torque, Set, Moved, Thread, Tool, By, When, Note string
	E                                                      ref
}

func (m *maker) joints() []joint {
	var out []joint
	seen := map[string]bool{}
	for _, e := range m.engines {
		if e.Pattern == nil {
			continue
		}
		for i := range e.Pattern.Joints {
			sheet := &e.Pattern.Joints[i]
			if key := e.Type + "/" + sheet.Joint; !seen[key] {
				seen[key] = true
				out = append(out, m.joint(sheet, m.ofType(e.Type)))
			}
		}
	}
	return out
}

func (m *maker) joint(sheet *pattern.Joint, engines []*record.Engine) joint {
	j := joint{Words: sheet.Words, Thread: sheet.Thread, Order: strings.Join(sheet.Order, " ")}
	joints := slices.Clone(m.st.Joints)
	slices.SortStableFunc(joints, func(a, b record.Joint) int { return record.CompareConditions(a.Cond, b.Cond) })
	for _, e := range engines {
		for _, have := range joints {
			if have.Asm != e.Serial || have.Joint != sheet.Joint {
				continue
			}
			of := jointOf{head: m.head(e), Cond: m.text(pattern.CondWords(have.Cond)), AfterHeat: m.print.AfterHeat(sheet, have), Map: still(m.print.Joint(sheet, have))}
			for _, p := range have.Passes {
				of.Passes = append(of.Passes, m.pass(sheet, have, p))
			}
			of.Remarks = m.remarks(func(x record.Of) bool { return x.Asm == e.Serial && x.At == sheet.Joint })
			j.Sides = append(j.Sides, of)
		}
	}
	return j
}

func (m *maker) pass(sheet *pattern.Joint, have record.Joint, p record.Pass) pass {
	out := pass{N: p.N, Missing: strings.Join(p.Missing, " "), Remarks: m.texts(m.print.Remarks(sheet, have, p.N))}
	if p.N <= len(sheet.Passes) {
		out.Sheet = sheet.Passes[p.N-1].String()
	}
	for _, t := range p.Lines {
		what := strings.Join(t.Fasteners, " ")
		if t.Whole {
			what = "the whole pass, reported whole"
		}
		out.Lines = append(out.Lines, tightened{what, t.Torque.String(), said(t.Set), said(t.Moved), m.text(t.Thread), t.Tool, m.who.Person(t.By), when(t.At), m.text(t.Note), m.ref(t.ID)})
	}
	return out
}

func first(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func said(w quantity.Written) string {
	if w.IsZero() {
		return ""
	}
	return w.String()
}

// part is a part with its story.
type part struct {
	Key, What, As, State, Where string
	Facts                       []string
	Story                       []step
}

type step struct {
	State, Where, Day, By, Note string
	Card                        []cardLine
	E                           ref
}

// cardLine is a line of a goods-inward card.
type cardLine struct {
	What, Want, Got string
	No              bool
}

// facts are what is known of a part besides where it is. What it cost is nobody's who reads this.
func (m *maker) facts(p record.Part) []string {
	var out []string
	for _, f := range []struct{ before, text string }{{"", p.Origin}, {"batch ", p.Batch}, {"papers: ", p.Papers}, {"lies: ", p.Stored}} {
		if f.text != "" {
			out = append(out, m.text(f.before+f.text))
		}
	}
	if p.Undersize != nil {
		out = append(out, p.Undersize.String()+" undersize")
	}
	return out
}

func (m *maker) parts() []part {
	var out []part
	for _, p := range m.st.Parts {
		if !slices.ContainsFunc(p.Story, func(s record.Step) bool { return m.concerns(first(s.Asm, p.Asm)) }) {
			continue
		}
		x := part{Key: p.Key, What: m.text(p.What), As: p.As, State: p.State, Where: p.Asm, Facts: m.facts(p)}
		for _, s := range p.Story {
			where := s.Asm
			if e, ok := m.st.Engine(s.Asm); ok && e.Pattern != nil && s.Place != "" {
				where += " · " + e.Pattern.Words(s.Place)
			}
			st := step{State: s.State, Where: where, Day: day(s.Day), By: m.who.Person(s.By), Note: m.text(s.Note), E: m.ref(s.ID)}
			for _, l := range s.Inward {
				st.Card = append(st.Card, cardLine{m.text(l.What), m.text(l.Want), m.text(l.Got), l.No})
			}
			x.Story = append(x.Story, st)
		}
		out = append(out, x)
	}
	return out
}

// remarks are notes, answers and photos that belong together.
type remarks struct {
	Notes  []note
	Photos []photo
}

type note struct {
	Of, Text, By, When string
	E                  ref
}

type photo struct {
	note
	Src func() (template.HTMLAttr, error) // the picture inside, or nothing when it has not arrived
}

// Alt says what the picture is of, for who cannot see it.
func (p photo) Alt() string {
	switch {
	case p.Text != "":
		return "Photo: " + p.Text
	case p.Of != "":
		return "Photo of " + p.Of + ", without a caption"
	}
	return "Photo without a caption"
}

// remarks takes what is about something, each once: what a section has taken, no later one shows again.
func (m *maker) remarks(about func(record.Of) bool) remarks {
	var out remarks
	take := func(id entry.ID, of record.Of) bool {
		if m.placed[id] || !m.concerns(of.Asm) || !about(of) {
			return false
		}
		m.placed[id] = true
		return true
	}
	for _, n := range byTime(m.st.Notes, func(n *record.Note) string { return n.At }) {
		if take(n.ID, n.Of) {
			out.Notes = append(out.Notes, note{m.of(n.Of), m.text(n.Text), m.who.Person(n.By), when(n.At), m.ref(n.ID)})
		}
	}
	for _, c := range byTime(m.st.Checks, func(c record.Check) string { return c.At }) {
		if c.Answer != "skipped" && take(c.ID, c.Of) { // what was skipped stands in its table
			answer := c.Answer
			if c.Why != "" {
				answer += ": " + c.Why
			}
			out.Notes = append(out.Notes, note{m.of(c.Of), m.text(answer), m.who.Person(c.By), when(c.At), m.ref(c.ID)})
		}
	}
	for _, p := range byTime(m.st.Photos, func(p *record.Photo) string { return p.At }) {
		if take(p.ID, p.Of) {
			out.Photos = append(out.Photos, photo{note{m.of(p.Of), m.text(p.Caption), m.who.Person(p.By), when(p.At), m.ref(p.ID)}, m.picture(p.SHA)})
		}
	}
	return out
}

// byTime puts what people wrote in the order of their phones' clocks, which decides nothing but how it reads.
func byTime[T any](of []T, at func(T) string) []T {
	out := slices.Clone(of)
	slices.SortStableFunc(out, func(a, b T) int { return strings.Compare(at(a), at(b)) })
	return out
}

// of says in words what an entry is about.
func (m *maker) of(of record.Of) string {
	e, ok := m.st.Engine(of.Asm)
	if !ok {
		return strings.TrimSpace(of.Asm + " " + of.At)
	}
	words := e.Serial + " " + e.Name
	if of.Side != "" {
		words += ", " + of.Side
	}
	if e.Pattern != nil && of.At != "" {
		words += " · " + m.print.Place(e, of.At, of.Point)
	}
	return m.text(words)
}

// picture is asked for when its page is written, so that one picture at a time is in memory.
func (m *maker) picture(sha string) func() (template.HTMLAttr, error) {
	return func() (template.HTMLAttr, error) {
		if m.Picture == nil {
			return "", nil
		}
		jpeg, err := m.Picture(sha)
		if err != nil {
			return "", errors.Join(errors.New("picture "+sha), err)
		}
		if len(jpeg) == 0 {
			return "", nil
		}
		return template.HTMLAttr(`src="data:image/jpeg;base64,` + base64.StdEncoding.EncodeToString(jpeg) + `"`), nil
	}
}
