package api

import (
	"fmt"
	"io"
	"net/http"
	"os"

	"witnessmark/server/numbers"
	"witnessmark/server/office"
	"witnessmark/server/recordbook"
	"witnessmark/server/store"
)

// bookPolicy is for a file that has everything inside and runs nothing.
const bookPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; sandbox"

// jobRecord is the record of the job in the path. A job that nobody has handed in is not there.
func (s *server) jobRecord(r *http.Request, c who) (*office.Record, error) {
	job, err := jobID(r)
	if err != nil {
		return nil, err
	}
	rec, err := s.Office.Look(r.Context(), c.device.Workspace, job)
	if err == nil && rec.Entries == 0 {
		err = store.ErrNotFound
	}
	return rec, err
}

// named says whether names of people stand: ?names=no leaves them out.
func named(r *http.Request) bool { return r.URL.Query().Get("names") != "no" }

// recordBook is the whole job as one HTML file. It is written to a file first: half a book must never look like a whole one,
// and its photos are not all in memory at once.
func (s *server) recordBook(w http.ResponseWriter, r *http.Request, c who) (err error) {
	rec, err := s.jobRecord(r, c)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp("", "witnessmark-book-*")
	if err != nil {
		return fmt.Errorf("make a file for the record book: %w", err)
	}
	defer func() { _, _ = f.Close(), os.Remove(f.Name()) }() // only a copy
	err = recordbook.Write(f, recordbook.Source{State: rec.State, Results: rec.Results, Names: named(r), Asm: r.URL.Query().Get("asm"),
		Picture: func(sha string) ([]byte, error) { return s.Photos.Print(r.Context(), c.device.Workspace, sha) }})
	if err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("read record book: %w", err)
	}
	fileHeaders(w.Header(), "text/html; charset=utf-8", "record-book.html")
	_, _ = io.Copy(w, f) // a client that went away cannot be told
	return nil
}

func fileHeaders(h http.Header, typ, name string) {
	h.Set("Content-Type", typ)
	h.Set("Content-Security-Policy", bookPolicy)
	h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
}

// listNumbers names the files of a job's numbers.
func (s *server) listNumbers(w http.ResponseWriter, r *http.Request, c who) error {
	rec, err := s.jobRecord(r, c)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"files": numbers.Files(rec.State, rec.Results)})
}

// numbersFile is one of them.
func (s *server) numbersFile(w http.ResponseWriter, r *http.Request, c who) error {
	rec, err := s.jobRecord(r, c)
	if err != nil {
		return err
	}
	name := r.PathValue("name")
	body, err := numbers.Write(name, rec.State, rec.Results, named(r))
	if err != nil {
		return err
	}
	fileHeaders(w.Header(), numbers.Type(name), name)
	_, _ = w.Write(body)
	return nil
}

// calendar is what is due again, for the crew's own calendars: it says nothing of people, and whoever is paired may have it.
func (s *server) calendar(w http.ResponseWriter, r *http.Request, c who) error {
	rec, err := s.jobRecord(r, c)
	if err != nil {
		return err
	}
	job, err := jobID(r)
	if err != nil {
		return err
	}
	fileHeaders(w.Header(), "text/calendar; charset=utf-8", numbers.Calendar)
	_, _ = w.Write(numbers.Due(job, rec.State, rec.Results, named(r)))
	return nil
}
