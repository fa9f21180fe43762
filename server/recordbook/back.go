package recordbook

import (
	"strconv"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/record"
)

type person struct{ Name, Role string }

func (m *maker) people() []person {
	var out []person
	for _, p := range m.st.People {
		out = append(out, person{m.who.Person(p.Key), p.Role})
	}
	return out
}

// device is a phone or a computer with its log.
type device struct{ Name, Kind, Of, Log, Entries string }

func (m *maker) devices() []device {
	var out []device
	for _, l := range m.st.Logs {
		kind := "the workshop's"
		if l.Device == "own" {
			kind = "own phone"
		}
		out = append(out, device{m.text(l.Name), kind, m.who.Person(l.Of), string(l.Log), strconv.Itoa(l.Entries)})
	}
	return out
}

// instrument is a tool with its scale and every zero check of it that stands.
type instrument struct {
	Key, What, Step, U, Range string
	Zeros                     []zero
	E                         ref
}

type zero struct {
	Read, Bar, In, By, When string
	E                       ref
}

func (m *maker) instruments() []instrument {
	var out []instrument
	for _, i := range m.st.Instruments {
		x := instrument{Key: i.Key, What: m.text(i.What), Step: said(i.Res), U: said(i.U), E: m.ref(i.ID)}
		if !i.From.IsZero() && !i.To.IsZero() {
			x.Range = i.From.String() + " to " + i.To.String()
		}
		for _, z := range m.st.Zeros {
			if z.Instrument == i.Key {
				x.Zeros = append(x.Zeros, zero{z.Read.String(), z.Bar.String(), z.In, m.who.Person(z.By), when(z.At), m.ref(z.ID)})
			}
		}
		out = append(out, x)
	}
	return out
}

// unknown says what the record does not know: where a reader must not take silence for an answer.
func (m *maker) unknown() []string {
	var out []string
	say := func(n int, one, many string) {
		switch {
		case n == 1:
			out = append(out, "1 "+one)
		case n > 1:
			out = append(out, strconv.Itoa(n)+" "+many)
		}
	}
	out = append(out, m.notBegun()...)
	bare, waits, none := m.doubts()
	say(bare, "reading was taken without a zero check of its instrument, and is as read.", "readings were taken without a zero check of their instrument, and are as read.")
	say(waits, "reading waits for an entry that has not arrived.", "readings wait for entries that have not arrived.")
	say(none, "reading names no instrument, so its uncertainty is only that of its last digit.", "readings name no instrument, so their uncertainty is only that of the last digit.")
	say(m.unjudged(), "result has no limit to be held against.", "results have no limit to be held against.")
	say(len(m.st.NeedsNewer), "entry is of a newer version of the tool than this book was printed with.", "entries are of a newer version of the tool than this book was printed with.")
	say(m.st.Forks, "place of a phone's log stands twice: it was restored or copied. Both count.", "places of phones' logs stand twice: they were restored or copied. Both count.")
	if m.st.Numbering.Name == "" {
		out = append(out, "No numbering convention was signed: which end number 1 is at is not known.")
	}
	for _, e := range m.engines {
		if e.Contested || len(e.History) == 0 {
			out = append(out, "Where "+e.Serial+" is fitted is not known for certain.")
		}
	}
	return append(out, "Times are what each phone's clock said. A clock that was wrong is not put right here; the order of the last appendix goes by what each entry knew, not by clocks.",
		"What was measured, decided or done without an entry is not in this book.")
}

// notBegun names the sheets of which nobody has measured anything.
func (m *maker) notBegun() []string {
	var out []string
	for _, e := range m.engines {
		if e.Pattern == nil {
			out = append(out, "The type sheet of "+e.Serial+" is not here, so what it should have had measured is not known.")
			continue
		}
		var names []string
		for _, name := range e.Pattern.Sheets() {
			if m.print.Sheet(e, name).Get("done").Int64() == 0 {
				names = append(names, name)
			}
		}
		if len(names) > 0 {
			out = append(out, "Nothing was measured on "+e.Serial+" "+m.text(e.Name)+" for: "+strings.Join(names, "; ")+".")
		}
	}
	return out
}

func (m *maker) doubts() (bare, waits, none int) {
	for _, p := range m.st.Places {
		for _, r := range p.Readings {
			switch {
			case !m.concerns(r.Asm):
				continue
			case r.Struck != "":
				continue
			case r.Instrument == "":
				none++
			case r.Zero == nil:
				bare++
			}
			if len(r.Waits) > 0 {
				waits++
			}
		}
	}
	return bare, waits, none
}

func (m *maker) unjudged() int {
	n := 0
	for i := range m.rs {
		if len(limitsOf(&m.rs[i])) == 0 {
			n++
		}
	}
	return n
}

// line is an entry in the list of all.
type line struct {
	N                                  int
	ID                                 entry.ID
	Kind, Words, By, When, Device, Was string
	CoveredBy                          []ref
}

func (m *maker) list() []line {
	devices := map[entry.LogID]string{}
	for _, l := range m.st.Logs {
		devices[l.Log] = m.text(l.Name)
	}
	var out []line
	for i, l := range m.lines {
		x := line{i + 1, l.ID, l.Kind, m.text(l.Words), m.who.Person(l.By), when(l.At), m.deviceLine(devices, l), l.State, refs(m, l.CoveredBy)}
		if l.Words == l.Kind {
			x.Words = ""
		}
		if l.Why != "" {
			x.Was += ": " + m.text(l.Why)
		}
		out = append(out, x)
	}
	return out
}

// deviceLine names the phone and the line of its log, as "P2, 17".
func (m *maker) deviceLine(devices map[entry.LogID]string, l record.Line) string {
	name := devices[l.Log]
	if name == "" {
		name = string(l.Log[:8])
	}
	return name + ", " + strconv.FormatInt(l.Seq, 10)
}
