package api

import (
	"net/http"

	"witnessmark/server/numbers"
	"witnessmark/server/office"
	"witnessmark/server/store"
)

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
