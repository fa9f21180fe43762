package recordbook

import "strings"

// snag is what was wrong somewhere, with its story.
type snag struct {
	Of, What, Rate, Word, NotProven, By, When string
	Stop                                      bool
	Steps                                     []snagStep
	E                                         ref
}

type snagStep struct {
	State, When, By, Text, Struck string
	E                             ref
}

func (m *maker) snags() []snag {
	var out []snag
	for i := range m.st.Snags {
		s := &m.st.Snags[i]
		if !m.concerns(s.Of.Asm) {
			continue
		}
		of := s.Of.Asm
		if e, ok := m.st.Engine(s.Of.Asm); ok && e.Pattern != nil && s.Of.At != "" {
			of += " · " + e.Pattern.Words(s.Of.At)
		}
		word, not := m.print.Snag(s)
		x := snag{Of: of, What: m.text(s.What), Rate: m.text(s.Rate), Word: m.text(word), NotProven: sentence(m.text(not)), By: m.who.Person(s.By), When: when(s.At), Stop: s.Stop, E: m.ref(s.ID)}
		for _, st := range s.Steps {
			var text []string
			for _, t := range []string{m.text(st.Did), m.seen(st.SeenBy), twinWords(st.Twin), m.text(st.NotProven), m.text(st.Note)} {
				if t != "" {
					text = append(text, t)
				}
			}
			x.Steps = append(x.Steps, snagStep{st.State, when(st.At), m.who.Person(st.By), strings.Join(text, "; "), m.text(st.Struck), m.ref(st.ID)})
		}
		out = append(out, x)
	}
	return out
}

// seen says who saw it dry, where names are told.
func (m *maker) seen(key string) string {
	if who := m.who.Person(key); key != "" && who != "" {
		return "seen dry by " + who
	}
	return ""
}

func twinWords(twin string) string {
	if twin == "" {
		return ""
	}
	return "the other engine: " + twin
}
