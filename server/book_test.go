package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"witnessmark/server/store"
)

// demoData is a folder with the invented workshop in it.
func demoData(t *testing.T) string {
	t.Helper()
	data := filepath.Join(t.TempDir(), "demo")
	says(t, 0, "demo", "-load", data)
	return data
}

func read(t *testing.T, path string) string {
	t.Helper()
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// TestBookVerb: the book of the demo, twice the same, with its photos; without names; of one engine; and what goes wrong.
func TestBookVerb(t *testing.T) {
	data, dir := demoData(t), t.TempDir()
	one, two, bare := filepath.Join(dir, "1.html"), filepath.Join(dir, "2.html"), filepath.Join(dir, "3.html")
	says(t, 0, "book", "-data", data, "-out", one)
	says(t, 0, "book", "-data", data, "-out", two)
	page := read(t, one)
	if page != read(t, two) {
		t.Error("the second book differs from the first")
	}
	if n := strings.Count(page, "data:image/jpeg;base64,"); n != 2 {
		t.Errorf("%d photos inside, want 2", n)
	}
	for _, want := range []string{"Railcar No. 4, the Heron", "<s><span class=\"v\">61.587</span></s>", "finger-tight", "Bram Hale"} {
		if !strings.Contains(page, want) {
			t.Errorf("the book lacks %q", want)
		}
	}
	then := filepath.Join(dir, "then.html")
	says(t, 0, "book", "-data", data, "-out", then, "-until", "2027-03-12")
	note := regexp.MustCompile(`<dt>Stands at</dt><dd>the evening of [^<]*</dd>\n`)
	if page := read(t, then); !strings.Contains(note.FindString(page), "12 March 2027") || !strings.Contains(page, "<dt>As of</dt><dd>12 March 2027") || strings.Contains(page, "finger-tight") || strings.Contains(page, "April 2027") {
		t.Error("the book of the evening of 12 March holds what was written later, or does not say its day")
	}
	says(t, 0, "book", "-data", data, "-out", then, "-until", "2027-04-17")
	if alike(note.ReplaceAllString(read(t, then), "")) != alike(page) {
		t.Error("the book of the newest entry's evening is not the book of now but for its words about the day")
	}
	says(t, 2, "book", "-data", data, "-out", then, "-until", "March")
	says(t, 0, "book", "-data", data, "-out", bare, "-no-names", "-asm", "2117")
	if page := read(t, bare); strings.Contains(page, "Bram Hale") || strings.Contains(page, `<span class="v">61.587`) || !strings.Contains(page, "only engine 2117") {
		t.Error("the book without names, of 2117, has what it should not")
	}
	for want, args := range map[string][]string{
		"no engine of that serial": {"book", "-data", data, "-out", one, "-asm", "2999"},
		"no workshop in":           {"book", "-data", filepath.Join(dir, "nowhere"), "-out", one},
		"say which job":            {"book", "-data", data, "-out", one, "-job", "0123"},
		"has not come yet":         {"book", "-data", data, "-out", one, "-until", "2099-01-01"},
		"the first entry is of":    {"book", "-data", data, "-out", one, "-until", "2020-01-01"},
	} {
		if _, e := says(t, 1, args...); !strings.Contains(e, want) {
			t.Errorf("%v says %q, want %q", args, e, want)
		}
	}
	if page != read(t, one) {
		t.Error("a book that failed took the place of a good one")
	}
	says(t, 2, "book", "-data", data)
	says(t, 2, "book", "-data", data, "-out", one, "-paper", "foolscap")
	if left, _ := filepath.Glob(filepath.Join(dir, ".witnessmark-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// alike is a book without what it says of its day in other places than the note: the foot of each page, where an engine is.
func alike(page string) string {
	for _, p := range [][2]string{{"as it stood on the evening of 17 April 2027", "as of 17 April 2027, 16:00"}, {"On 17 April 2027: <b>", "Now: <b>"}, {"still there on 17 April 2027", "now"}} {
		page = strings.ReplaceAll(page, p[0], p[1])
	}
	return regexp.MustCompile(`'sha256-[^']*'`).ReplaceAllString(page, "") // of the style sheet, which has the foot
}

func TestNumbersVerb(t *testing.T) {
	data, out := demoData(t), filepath.Join(t.TempDir(), "numbers")
	listed, _ := says(t, 0, "numbers", "-data", data, "-out", out)
	for _, path := range strings.Split(strings.TrimSpace(listed), "\n") {
		if len(read(t, path)) == 0 {
			t.Errorf("%s is empty", path)
		}
	}
	table, err := csv.NewReader(strings.NewReader(read(t, filepath.Join(out, "readings.csv")))).ReadAll()
	if err != nil || len(table) < 200 {
		t.Errorf("readings.csv: %d rows, %v", len(table), err)
	}
	if !strings.Contains(read(t, filepath.Join(out, "readings.csv")), "Bram Hale") {
		t.Error("no names, though they were wanted")
	}
	says(t, 0, "numbers", "-data", data, "-out", out, "-no-names")
	if strings.Contains(read(t, filepath.Join(out, "readings.csv")), "Bram Hale") {
		t.Error("names, though they were not wanted")
	}
	says(t, 2, "numbers", "-data", data)
}

// TestBookRoutes: the lead takes the book and the numbers out of a running server; nobody else does.
func TestBookRoutes(t *testing.T) {
	o := newOffice(t)
	lead, fitter := o.pairPhone(store.RoleLead), o.pairPhone(store.RoleFitter)
	base := "/api/v1/jobs/" + testJob
	lead.send("GET", base+"/book", nil).wantError(404, "not_found")
	lead.exchange(lead.write("The journal <b>shines</b>"))
	r := lead.send("GET", base+"/book?names=no", nil).want(200, "The journal &lt;b&gt;shines&lt;/b&gt;", "Names of people are left out", "</html>")
	for name, want := range map[string]string{
		"Content-Type": "text/html; charset=utf-8", "Content-Disposition": `attachment; filename="record-book.html"`,
		"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; sandbox", "Cache-Control": "no-store",
	} {
		if got := r.header.Get(name); got != want {
			t.Errorf("%s = %q, want %q", name, got, want)
		}
	}
	lead.send("GET", base+"/book?asm=2117", nil).wantError(404, "not_found")
	var list struct{ Files []string }
	if err := json.Unmarshal(lead.send("GET", base+"/numbers", nil).want(200).body, &list); err != nil || len(list.Files) < 7 {
		t.Fatalf("files %v, %v", list.Files, err)
	}
	for _, name := range list.Files {
		lead.send("GET", base+"/numbers/"+name, nil).want(200)
	}
	notes := lead.send("GET", base+"/numbers/notes.csv", nil).want(200, "The journal <b>shines</b>")
	if got := notes.header.Get("Content-Type"); got != "text/csv; charset=utf-8" {
		t.Errorf("Content-Type = %q", got)
	}
	lead.send("GET", base+"/numbers/secrets.csv", nil).wantError(404, "not_found")
	for _, path := range []string{"/book", "/numbers", "/numbers/notes.csv"} {
		fitter.send("GET", base+path, nil).wantError(403, "unauthorized")
		o.stranger().send("GET", base+path, nil).wantError(401, "unauthorized")
		lead.send("GET", "/api/v1/jobs/"+otherJob+path, nil).wantError(404, "not_found")
	}
}

// TestBookAtADay: a book of an engine at a day by HTTP says so on its title and its pages, comes twice the same, and what cannot
// be is refused with what would do.
func TestBookAtADay(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	base := "/api/v1/jobs/" + testJob + "/book"
	lead.send("GET", base+"?until=2031-04-12", nil).wantError(404, "not_found")
	lead.exchange(lead.write("The journal shines")) // on 12 April 2031, by this phone's clock
	then := lead.send("GET", base+"?until=2031-04-12&paper=letter&names=no", nil).want(200, "The journal shines", "the evening of 12 April 2031, by the phones", `content: "Record book, as it stood on the evening of 12 April 2031"`, "size: letter")
	if got := then.header.Get("Content-Disposition"); got != `attachment; filename="record-book-2031-04-12.html"` {
		t.Errorf("Content-Disposition = %q", got)
	}
	if again := lead.send("GET", base+"?until=2031-04-12&paper=letter&names=no", nil).want(200); !bytes.Equal(again.body, then.body) {
		t.Error("the same entries and the same query gave other bytes")
	}
	refused := map[string]string{
		"until=March": "write it as in 2031-04-12", "until=2031-02-30": "write it as in 2031-04-12", "until=2099-01-01": "has not come yet; the newest entry is of 2031-04-12",
		"until=2031-04-11": "the first entry is of 2031-04-12: choose that day or a later one", "paper=foolscap": "A4 or letter", "as=tape": "html or pdf",
	}
	for query, want := range refused {
		r := lead.send("GET", base+"?"+query, nil)
		if r.wantError(400, "invalid"); !strings.Contains(string(r.body), want) {
			t.Errorf("?%s says %s, want %q", query, r.body, want)
		}
	}
	lead.send("GET", base+"?until=2031-04-12&asm=2999", nil).wantError(404, "not_found")
}

// TestBookRoutePDF: the office prints; twice the same bytes, with the newest entry's time as the PDF's own; without a browser it
// says what to do.
func TestBookRoutePDF(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	lead.exchange(lead.write("The journal shines"))
	url := "/api/v1/jobs/" + testJob + "/book?as=pdf&paper=a4&until=2031-04-12"
	one := lead.send("GET", url, nil).want(200)
	if got := one.header.Get("Content-Type"); got != "application/pdf" || !bytes.HasPrefix(one.body, []byte("%PDF-")) {
		t.Fatalf("Content-Type %q, body %.20q", got, one.body)
	}
	path := filepath.Join(t.TempDir(), "book.pdf")
	if err := os.WriteFile(path, one.body, 0o600); err != nil {
		t.Fatal(err)
	}
	if info := poppler(t, "pdfinfo", "-isodates", path); !strings.Contains(info, "(A4)") || !strings.Contains(info, "CreationDate:    2031-04-12T09:22:31Z") {
		t.Errorf("not A4, or not of the newest entry's time:\n%s", info)
	}
	if text := poppler(t, "pdftotext", "-layout", path, "-"); strings.Count(text, "as it stood on the evening of 12 April 2031") < 3 {
		t.Errorf("the pages do not say the day:\n%.600s", text)
	}
	if two := lead.send("GET", url, nil).want(200); !bytes.Equal(one.body, two.body) {
		t.Error("the second print differs from the first")
	}
	t.Setenv("PATH", t.TempDir())
	r := lead.send("GET", url, nil)
	if r.wantError(503, "unavailable"); !strings.Contains(string(r.body), "no Chromium was found") {
		t.Errorf("without a browser: %s", r.body)
	}
}

// TestCalendar: what is due again, by the command and by HTTP, for whoever is paired.
func TestCalendar(t *testing.T) {
	path := filepath.Join(t.TempDir(), "due.ics")
	says(t, 0, "calendar", "-data", demoData(t), "-out", path)
	if body := read(t, path); !strings.HasPrefix(body, "BEGIN:VCALENDAR\r\n") || !strings.HasSuffix(body, "END:VCALENDAR\r\n") || strings.Contains(body, "\n\n") {
		t.Errorf("no calendar: %.200q", body)
	}
	says(t, 2, "calendar")
	o := newOffice(t)
	viewer, writer := o.pairPhone(store.RoleViewer), o.pairPhone(store.RoleFitter)
	base := "/api/v1/jobs/" + testJob + "/calendar"
	viewer.send("GET", base, nil).wantError(404, "not_found")
	writer.keeps("instrument", `{"due":"2031-05-02","instrument":"M1","res":{"t":"0.001","u":"mm"},"u":{"t":"0.004","u":"mm"},"what":"micrometer"}`)
	r := viewer.send("GET", base, nil).want(200, "DTSTART;VALUE=DATE:20310502", "SUMMARY:Calibration due: M1\\, micrometer", "DTSTAMP:20310412T092231Z")
	if got := r.header.Get("Content-Type"); got != "text/calendar; charset=utf-8" {
		t.Errorf("Content-Type = %q", got)
	}
	uid := regexp.MustCompile(`UID:\S+`)
	first := uid.Find(r.body)
	writer.keeps("instrument", `{"due":"2032-05-02","instrument":"M1","res":{"t":"0.001","u":"mm"},"u":{"t":"0.004","u":"mm"},"what":"micrometer"}`)
	o.stranger().send("GET", base, nil).wantError(401, "unauthorized")
	if len(first) == 0 || !bytes.Contains(viewer.send("GET", base, nil).want(200).body, first) {
		t.Errorf("the same thing has lost its UID %s", first)
	}
}
