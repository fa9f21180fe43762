package numbers

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"witnessmark/sync/entry"
	"witnessmark/sync/record"
)

const calendarJob = "0123456789abcdef0123456789abcdef"

// component is a VEVENT or VTODO as read.
type component struct {
	kind  string
	props map[string]string
}

// readCalendar reads a calendar by the rules of RFC 5545 alone: 3.1 (lines end in CRLF and have at most 75 octets without
// it, a line that begins with a space goes on with the one before), 3.4 (one VCALENDAR), 3.6 (VERSION and PRODID once), 3.6.1
// and 3.6.2 (UID and DTSTAMP once in each component). No reader of the standard is among the tools that the tests need, so
// the rules are written out here.
func readCalendar(t interface {
	Helper()
	Fatalf(string, ...any)
}, body []byte) []component {
	t.Helper()
	if !utf8.Valid(body) || !bytes.HasSuffix(body, []byte("\r\n")) {
		t.Fatalf("not UTF-8, or the last line has no end: %q", body)
	}
	var lines []string
	for _, l := range strings.Split(strings.TrimSuffix(string(body), "\r\n"), "\r\n") {
		switch {
		case len(l) > 75 || strings.ContainsAny(l, "\r\n"):
			t.Fatalf("%d octets in %q", len(l), l)
		case strings.HasPrefix(l, " ") && len(lines) > 0:
			lines[len(lines)-1] += l[1:]
		default:
			lines = append(lines, l)
		}
	}
	if lines[0] != "BEGIN:VCALENDAR" || lines[len(lines)-1] != "END:VCALENDAR" {
		t.Fatalf("no calendar: %q", lines)
	}
	head := component{props: map[string]string{}}
	here := &head
	var all []component
	for _, l := range lines[1 : len(lines)-1] {
		name, value, ok := strings.Cut(l, ":")
		if !ok || !regexp.MustCompile(`^[A-Z-]+(;[A-Z-]+=[A-Z-]+)*$`).MatchString(name) {
			t.Fatalf("no content line: %q", l)
		}
		switch {
		case name == "BEGIN":
			all = append(all, component{value, map[string]string{}})
			here = &all[len(all)-1]
		case name == "END":
			if value != here.kind {
				t.Fatalf("END:%s ends a %s", value, here.kind)
			}
			here = &head
		default:
			if _, twice := here.props[name]; twice {
				t.Fatalf("%s twice", name)
			}
			here.props[name] = value
		}
	}
	if head.props["VERSION"] != "2.0" || head.props["PRODID"] == "" {
		t.Fatalf("the head lacks VERSION or PRODID: %v", head.props)
	}
	return all
}

// unescaped is a TEXT value as people read it (RFC 5545, 3.3.11).
func unescaped(s string) string {
	var out strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) {
			i++
			if s[i] == 'n' || s[i] == 'N' {
				out.WriteByte('\n')
				continue
			}
		}
		out.WriteByte(s[i])
	}
	return out.String()
}

func TestDue(t *testing.T) {
	st, rs := theDemo(t)
	for i := range st.Instruments {
		switch st.Instruments[i].Key {
		case "M1":
			st.Instruments[i].Due = "2028-03-01"
		case "W1":
			st.Instruments[i].Due, st.Instruments[i].What = "2027-12-24", "wrench, long; \"the blue one\"\\ Grün, mit Verlängerung für die Zuganker am Zylinderkopf"
		}
	}
	body := Due(calendarJob, st, rs, true)
	if again := Due(calendarJob, st, rs, true); !bytes.Equal(body, again) {
		t.Error("the same entries gave other bytes")
	}
	all := readCalendar(t, body)
	seen := map[string]bool{}
	var events []string
	for _, c := range all {
		if uid := c.props["UID"]; uid == "" || seen[uid] {
			t.Errorf("UID %q is missing or twice", uid)
		}
		seen[c.props["UID"]] = true
		if _, err := time.Parse("20060102T150405Z", c.props["DTSTAMP"]); err != nil {
			t.Errorf("DTSTAMP: %v", err)
		}
		if c.kind == "VEVENT" {
			day, err := time.Parse("20060102", c.props["DTSTART;VALUE=DATE"])
			if err != nil {
				t.Errorf("DTSTART: %v", err)
			}
			events = append(events, day.Format(time.DateOnly)+" "+unescaped(c.props["SUMMARY"]))
		} else if c.kind != "VTODO" || c.props["STATUS"] != "NEEDS-ACTION" {
			t.Errorf("component %v", c)
		}
	}
	want := "2027-04-28 Expected: GK-10 · head gasket for the shelf, as GK-9, from Tolver Gaskets|" +
		"2027-12-24 Calibration due: W1, wrench, long; \"the blue one\"\\ Grün, mit Verlängerung für die Zuganker am Zylinderkopf|2028-03-01 Calibration due: M1, micrometer 50–75"
	if got := strings.Join(events, "|"); got != want {
		t.Errorf("events\n%s, want\n%s", got, want)
	}
}

// TestDueAfterHeat: a joint that was tightened as built waits for the first heat; tightened again it waits no longer.
func TestDueAfterHeat(t *testing.T) {
	st, rs := theDemo(t)
	count := func() int {
		n := 0
		for _, c := range readCalendar(t, Due(calendarJob, st, rs, true)) {
			if c.kind == "VTODO" && strings.HasPrefix(c.props["SUMMARY"], "Tighten again after the first heat: 2117") {
				n++
			}
		}
		return n
	}
	e, _ := st.Engine("2117")
	sheet := &e.Pattern.Joints[0]
	joint := record.Joint{Asm: "2117", Joint: sheet.Joint, Cond: "built"}
	for i := range sheet.Passes {
		joint.Passes = append(joint.Passes, record.Pass{N: i + 1, Whole: true, Lines: []record.Tighten{{At: "2027-04-03T09:00:00+00:00"}}})
	}
	st.Joints = []record.Joint{joint}
	if got := count(); got != 1 {
		t.Errorf("before the first heat %d things are due, want 1", got)
	}
	st.Joints[0].Passes = append(st.Joints[0].Passes, record.Pass{N: len(sheet.Passes) + 1, Whole: true})
	if got := count(); got != 0 {
		t.Errorf("after it %d are, want none", got)
	}
}

// TestCalendarLines: whatever the words, the lines are lines, and the words come back.
func TestCalendarLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.StringOf(rapid.RuneFrom([]rune("aéß€𝄞;,\\\n :\"x"))).Draw(t, "words")
		c := &calendar{}
		c.line("BEGIN", "VCALENDAR")
		c.line("VERSION", "2.0")
		c.line("PRODID", "x")
		c.line("BEGIN", "VTODO")
		c.text("SUMMARY", words)
		c.line("END", "VTODO")
		c.line("END", "VCALENDAR")
		if got := unescaped(readCalendar(t, []byte(c.out.String()))[0].props["SUMMARY"]); got != words {
			t.Fatalf("%q came back as %q", words, got)
		}
	})
}

// TestDueOrdersAndSnags: what was ordered for a day stands on that day until all of it has come; a snag waits, from the day
// on which it was raised, until it is seen dry.
func TestDueOrdersAndSnags(t *testing.T) {
	st, rs := theDemo(t)
	st.Parts = append(st.Parts, record.Part{Key: "SH-8", What: "half shells; for the pins", State: "ordered", Buying: []entry.ID{"o"}, Story: []record.Step{
		{State: "wanted"}, {ID: "o", State: "ordered", Asm: "2117", Order: record.Order{Supplier: "Orsett", Due: "2027-05-04", Count: 14}}}})
	st.Snags = []record.Snag{
		{ID: "s2", Of: record.Of{Asm: "2123"}, What: "weep at the sump", At: "2027-04-05T09:00:00+01:00", State: record.SnagCured},
		{ID: "s1", Of: record.Of{Asm: "2117", At: "cyl.5.liner"}, What: "leak, fuel union", Stop: true, At: "2027-04-03T11:04:00+01:00", State: record.SnagRaised},
		{ID: "s0", Of: record.Of{Asm: "2117"}, What: "dry now", At: "2027-04-01T11:04:00+01:00", State: record.SnagProven}}
	due := func() (order string, snags []string) {
		for _, c := range readCalendar(t, Due(calendarJob, st, rs, true)) {
			said := unescaped(c.props["SUMMARY"])
			switch {
			case strings.HasPrefix(said, "Expected: SH-8"):
				order = c.kind + " " + c.props["DTSTART;VALUE=DATE"] + " " + said
			case strings.HasPrefix(said, "Snag"):
				snags = append(snags, strings.Join([]string{c.kind, c.props["DTSTART;VALUE=DATE"], c.props["PRIORITY"], said}, " "))
			}
		}
		return order, snags
	}
	order, snags := due()
	if want := "VEVENT 20270504 Expected: SH-8 · half shells; for the pins, from Orsett, for 2117 seventeen"; order != want {
		t.Errorf("the order is %q, want %q", order, want)
	}
	want := []string{"VTODO 20270403 1 Snag, open since 2027-04-03: 2117 seventeen · cylinder 5 · liner bore: leak, fuel union", "VTODO 20270405  Snag, cured, not seen dry since 2027-04-05: 2123 twenty-three: weep at the sump"}
	if diff := cmp.Diff(want, snags); diff != "" {
		t.Error(diff)
	}
	part := &st.Parts[len(st.Parts)-1]
	part.State, part.Story = "received", append(part.Story, record.Step{State: "received", Order: record.Order{Count: 14}})
	if order, _ := due(); order != "" {
		t.Errorf("it has come, and is still expected: %s", order)
	}
}
