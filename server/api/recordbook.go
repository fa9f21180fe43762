package api

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"strings"
	"time"

	"witnessmark/server/office"
	"witnessmark/server/recordbook"
)

// bookPolicy is for a file that has everything inside and runs nothing.
const bookPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; sandbox"

// printWithin is how long a browser may print; within it the server still answers (its own limit is five minutes).
const printWithin = 4 * time.Minute

// errBusy is for a print that was not done in that time.
var errBusy = failure{status: http.StatusServiceUnavailable, code: codeUnavailable,
	says: "the office could not print it in time: it has too much to do just now; try again, or take the HTML file and print it in any browser"}

// wanted is which record book is asked for.
type wanted struct {
	until, asm, paper string
	names, pdf        bool
}

func wantedBook(q url.Values) (wanted, error) {
	w := wanted{until: q.Get("until"), asm: q.Get("asm"), paper: q.Get("paper"), names: q.Get("names") != "no", pdf: q.Get("as") == "pdf"}
	if as := q.Get("as"); !w.pdf && as != "" && as != "html" {
		return w, invalid("as is html or pdf")
	}
	return w, nil
}

// file is the book's name in the downloads: an engine and a day stand in it.
func (w wanted) file() string {
	name := "record-book"
	for _, part := range []string{w.asm, w.until} {
		if part = strings.Map(plain, part); part != "" {
			name += "-" + part
		}
	}
	if w.pdf {
		return name + ".pdf"
	}
	return name + ".html"
}

// plain keeps of a serial what every disk takes in a file's name; -1 leaves a letter out.
func plain(r rune) rune {
	if r == '-' || '0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' {
		return r
	}
	return -1
}

// recordBook is the whole job, or one engine of it, now or on the evening of a day, as one HTML file or printed as PDF.
func (s *server) recordBook(w http.ResponseWriter, r *http.Request, c who) error {
	want, err := wantedBook(r.URL.Query())
	if err != nil {
		return err
	}
	rec, err := s.bookRecord(r, c, want.until)
	if err != nil {
		return err
	}
	src := recordbook.Source{State: rec.State, Results: rec.Results, Names: want.names, Asm: want.asm, Until: want.until, Paper: want.paper,
		Picture: func(sha string) ([]byte, error) { return s.Photos.Print(r.Context(), c.device.Workspace, sha) }}
	if want.pdf {
		return s.bookPDF(w, r, src, want.file())
	}
	return bookHTML(w, src, want.file())
}

// bookRecord is the job in the path, now or on the evening of a day.
func (s *server) bookRecord(r *http.Request, c who, until string) (*office.Record, error) {
	if until == "" {
		return s.jobRecord(r, c)
	}
	job, err := jobID(r)
	if err != nil {
		return nil, err
	}
	return s.Office.Stood(r.Context(), c.device.Workspace, job, until)
}

// bookHTML writes it to a file first: half a book must never look like a whole one, and its photos are not all in memory at once.
func bookHTML(w http.ResponseWriter, src recordbook.Source, name string) error {
	f, err := os.CreateTemp("", "witnessmark-book-*")
	if err != nil {
		return fmt.Errorf("make a file for the record book: %w", err)
	}
	defer func() { _, _ = f.Close(), os.Remove(f.Name()) }() // only a copy
	if err := recordbook.Write(f, src); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("read record book: %w", err)
	}
	fileHeaders(w.Header(), "text/html; charset=utf-8", name)
	_, _ = io.Copy(w, f) // a client that went away cannot be told
	return nil
}

// bookPDF prints it: one book at a time, since each starts a browser.
func (s *server) bookPDF(w http.ResponseWriter, r *http.Request, src recordbook.Source, name string) error {
	ctx, cancel := context.WithTimeout(r.Context(), printWithin)
	defer cancel()
	select {
	case s.printing <- struct{}{}:
		defer func() { <-s.printing }()
	case <-ctx.Done():
		return errBusy
	}
	body, err := recordbook.PDF(ctx, src)
	if errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return errBusy
	}
	if err != nil {
		return err
	}
	fileHeaders(w.Header(), "application/pdf", name)
	_, _ = w.Write(body)
	return nil
}

func fileHeaders(h http.Header, typ, name string) {
	h.Set("Content-Type", typ)
	h.Set("Content-Security-Policy", bookPolicy)
	h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
}
