package numbers

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"time"
	"unicode/utf8"

	"witnessmark/server/names"
	"witnessmark/sync/entry"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
)

// Calendar is the name of the calendar file.
const Calendar = "due.ics"

// Due writes what is due again as a calendar (RFC 5545): what has a day as an event of that whole day, what waits for an
// occasion as a thing to do without a day. The same entries give the same bytes: DTSTAMP is when the entry was written on
// which a line rests, and a line keeps its UID as long as it is about the same thing of the same job.
func Due(job entry.JobID, st *record.State, rs []result.Res, show bool) []byte {
	who := names.Of(st, show)
	c := &calendar{job: job}
	c.line("BEGIN", "VCALENDAR")
	c.line("VERSION", "2.0")
	c.line("PRODID", "-//Witnessmark//due//EN")
	c.text("NAME", st.Job.Title+": due") // RFC 7986
	for _, d := range view.ForPrint(st, rs).Due() {
		d.Said, d.How = who.Text(d.Said), who.Text(d.How)
		c.due(d)
	}
	c.line("END", "VCALENDAR")
	return []byte(c.out.String())
}

type calendar struct {
	job entry.JobID
	out strings.Builder
}

func (c *calendar) due(d view.Due) {
	kind := "VTODO"
	if d.Day != "" {
		kind = "VEVENT"
	}
	sum := sha256.Sum256([]byte(string(c.job) + "\n" + d.What))
	c.line("BEGIN", kind)
	c.line("UID", hex.EncodeToString(sum[:16])+"@witnessmark")
	c.line("DTSTAMP", utc(d.At))
	if d.Day != "" {
		c.line("DTSTART;VALUE=DATE", strings.ReplaceAll(d.Day, "-", ""))
		c.line("TRANSP", "TRANSPARENT") // it takes up nobody's day
	} else {
		c.line("STATUS", "NEEDS-ACTION")
	}
	if d.Since != "" {
		c.line("DTSTART;VALUE=DATE", strings.ReplaceAll(d.Since, "-", ""))
	}
	if d.First {
		c.line("PRIORITY", "1") // RFC 5545, 3.8.1.9: the highest
	}
	c.text("SUMMARY", d.Said)
	c.text("DESCRIPTION", d.How)
	c.line("END", kind)
}

// utc is a time of a phone as the standard writes it; one that cannot be read is the beginning of 1970, never now.
func utc(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		t = time.Unix(0, 0)
	}
	return t.UTC().Format("20060102T150405Z")
}

// text writes a line of the value type TEXT (RFC 5545, 3.3.11). A control character is no text and becomes a space.
func (c *calendar) text(name, words string) {
	words = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ReplaceAll(strings.ToValidUTF8(words, "?"), "\r\n", "\n"))
	c.line(name, strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(words))
}

// maxOctets is how long a line may be without its end (RFC 5545, 3.1).
const maxOctets = 75

// line writes a content line, folded between characters.
func (c *calendar) line(name, value string) {
	rest, room := name+":"+value, maxOctets
	for len(rest) > room {
		cut := room
		for !utf8.RuneStart(rest[cut]) {
			cut--
		}
		c.out.WriteString(rest[:cut] + "\r\n ")
		rest, room = rest[cut:], maxOctets-1
	}
	c.out.WriteString(rest + "\r\n")
}
