package api

import (
	"net/http"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// handedLog is how far the office holds a log that the phone was the last to write.
type handedLog struct {
	Job entry.JobID `json:"job"`
	Log entry.LogID `json:"log"`
	Seq int64       `json:"seq"`
	ID  entry.ID    `json:"id"`
	At  string      `json:"at"`
}

// thisDevice tells a phone whose store was cleared what it was and what the office has from it: all that it needs to begin
// a new log in the same place.
func (s *server) thisDevice(w http.ResponseWriter, r *http.Request, c who) error {
	jobs, err := s.jobNames(r, c.device.Workspace)
	if err != nil {
		return err
	}
	logs, err := s.Store.HandedIn(r.Context(), c.device.Workspace, c.device.ID)
	if err != nil {
		return err
	}
	lines := make([]handedLog, 0, len(logs))
	for _, l := range logs {
		lines = append(lines, handedLog{Job: l.Job, Log: l.Head.Log, Seq: l.Head.Seq, ID: l.Head.ID, At: stamp(l.At)})
	}
	return writeJSON(w, http.StatusOK, map[string]any{
		"device": c.device.ID, "name": c.device.Name, "role": c.device.Role, "workspace": c.device.Workspace, "server": s.Server.ID,
		"jobs": jobs, "logs": lines,
	})
}

// jobNames lists a workspace's jobs as a phone that has none needs them.
func (s *server) jobNames(r *http.Request, ws store.WorkspaceID) ([]jobName, error) {
	jobs, err := s.Store.Jobs(r.Context(), ws)
	if err != nil {
		return nil, err
	}
	names := make([]jobName, 0, len(jobs))
	for _, j := range jobs {
		names = append(names, jobName{Job: j.ID, Title: j.Title})
	}
	return names, nil
}
