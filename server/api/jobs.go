package api

import (
	"encoding/json"
	"net/http"

	"witnessmark/server/office"
)

type jobLine struct {
	jobName
	Pos int64 `json:"pos"`
}

func (s *server) listJobs(w http.ResponseWriter, r *http.Request, c who) error {
	jobs, err := s.Store.Jobs(r.Context(), c.device.Workspace)
	if err != nil {
		return err
	}
	lines := make([]jobLine, 0, len(jobs))
	for _, j := range jobs {
		lines = append(lines, jobLine{jobName: jobName{Job: j.ID, Title: j.Title}, Pos: j.Pos})
	}
	return writeJSON(w, http.StatusOK, map[string]any{"jobs": lines})
}

// results is what the office last worked out for a job, with the position that it knew.
func (s *server) results(w http.ResponseWriter, r *http.Request, c who) error {
	job, err := jobID(r)
	if err != nil {
		return err
	}
	res, err := s.Store.Results(r.Context(), c.device.Workspace, job, office.CoreVersion)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{
		"pos": res.Pos, "digest": res.Digest, "core": res.Core, "made": stamp(res.At), "results": json.RawMessage(res.Body),
	})
}
