package recordbook

import (
	"html/template"

	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// whole is the book as its pages show it.
type whole struct {
	Only                   string // the serial of the one engine that it is about; "" is the whole job
	Head                   template.HTML
	Title, Vehicle, AsOf   string
	Until                  string // the day on whose evening the job stood so; "" is now
	Entries                int
	Record, Digest, Core   string
	Names                  bool
	Numbering              *numbering
	Engines                []engine
	Open                   []openGroup
	Maps                   []drawing
	Types                  []typeOf
	Elsewhere              []elsewhere
	Both                   []bothResult
	Stages                 []stages
	Decisions, Concessions []decision
	Joints                 []joint
	Runs                   []run
	Snags                  []snag
	Parts                  []part
	Remarks                remarks
	People                 []person
	Logs                   []device
	Instruments            []instrument
	Limits                 []limitLine
	Unknown                []string
	Working                []working
	Cautions               []string
	Lines                  []line
	Contents               []content
}

// content is a line of the contents.
type content struct {
	ID, Title string
	Under     []content
}

func (m *maker) book() *whole {
	b := &whole{
		Only:  m.Asm,
		Title: m.text(m.st.Job.Title), Vehicle: m.text(m.st.Job.Vehicle), AsOf: m.asOf(), Until: day(m.Until), Entries: m.st.Entries, Record: m.st.Digest(),
		Digest: result.Digest(m.rs), Core: result.CoreVersion, Names: m.Names, Numbering: m.numbering(), Open: m.open(), Maps: m.maps(), Types: m.types(),
	}
	// What follows takes what the measured tables have left.
	for _, e := range m.engines {
		b.Engines = append(b.Engines, m.engine(e))
	}
	b.Elsewhere, b.Both, b.Joints, b.Snags, b.Parts = m.elsewhere(), m.both(), m.joints(), m.snags(), m.parts()
	b.Stages = m.plan()
	b.Decisions, b.Concessions = m.decisions()
	b.Runs = m.runs()
	b.Remarks = m.remarks(func(record.Of) bool { return true })
	b.People, b.Logs, b.Instruments, b.Limits = m.people(), m.devices(), m.instruments(), m.allLimits()
	b.Unknown, b.Lines = m.unknown(), m.list()
	b.Working, b.Cautions = m.workings()
	b.Head = m.style(b)
	b.Contents = contents(b)
	return b
}

// MapsTitle heads the maps: of one engine when the book is of one alone.
func (b *whole) MapsTitle() string {
	if len(b.Maps) == 1 {
		return "The engine as it stands"
	}
	return "Both engines as they stand"
}

// contents lists the sections in their order; empty ones say so themselves.
func contents(b *whole) []content {
	out := []content{{ID: "how", Title: "How to read this book"}, {ID: "open", Title: "What is open"}, {ID: "maps", Title: b.MapsTitle()}}
	for _, t := range b.Types {
		c := content{ID: t.ID, Title: "Measured and worked out: " + t.Name}
		for _, s := range t.Sheets {
			c.Under = append(c.Under, content{ID: s.ID, Title: s.Name})
		}
		out = append(out, c)
	}
	if len(b.Elsewhere) > 0 {
		out = append(out, content{ID: "elsewhere", Title: "Readings of parts that are in no engine now"})
	}
	return append(out, content{ID: "both", Title: "Both engines together"}, content{ID: "stages", Title: "Stages and hold points"}, content{ID: "decisions", Title: "Decisions"},
		content{ID: "concessions", Title: "Concessions"}, content{ID: "joints", Title: "Tightening"}, content{ID: "runs", Title: "Runs on the bench"}, content{ID: "snags", Title: "Snags"}, content{ID: "parts", Title: "Parts"},
		content{ID: "remarks", Title: "Other notes and photos"}, content{ID: "limits", Title: "Limits and where they come from"},
		content{ID: "people", Title: "People, phones and instruments"}, content{ID: "unknown", Title: "What is not known"},
		content{ID: "working", Title: "Appendix W: the working of each result"}, content{ID: "entries", Title: "Appendix E: every entry"})
}
