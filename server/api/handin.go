package api

import (
	"errors"
	"mime"
	"net/http"
	"strconv"

	"witnessmark/server/access"
	"witnessmark/server/handin"
	"witnessmark/server/store"
)

// handInFile takes in what a phone saved as a file because it could not hand it in; a lead answers for it (T52).
func (s *server) handInFile(w http.ResponseWriter, r *http.Request, c who) error {
	job, err := jobID(r)
	if err != nil {
		return err
	}
	if typ, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || typ != handin.MediaType {
		return failure{status: http.StatusUnsupportedMediaType, code: codeInvalid, says: "the body must be " + handin.MediaType}
	}
	f, err := handin.Read(r.Body)
	if err != nil {
		return handInError(err)
	}
	if f.Job != job {
		return invalid("this file is of another job: open that job and take it in there")
	}
	got, err := f.Into(r.Context(), handin.Take{Workspace: c.device.Workspace, By: c.device.ID, At: s.Now(), Store: s.Store})
	if err != nil {
		return handInError(err)
	}
	s.afterFile(r, c, f, got)
	return writeJSON(w, http.StatusOK, handInReply(f, got))
}

func handInError(err error) error {
	var broken handin.Broken
	switch {
	case errors.As(err, &broken):
		return invalid(broken.Error())
	case errors.Is(err, handin.ErrForeign):
		return failure{status: http.StatusConflict, code: codeConflict, says: handin.ErrForeign.Error()}
	}
	return err
}

// afterFile is what follows a commit, as after an exchange: faults are only logged.
func (s *server) afterFile(r *http.Request, c who, f handin.File, got handin.Taken) {
	ws := c.device.Workspace
	s.metrics.entries(got.Held.Stored, got.Held.Known, len(f.Bad))
	if got.Held.Stored > 0 {
		if err := s.Store.Publish(r.Context(), store.Note{Workspace: ws, Job: f.Job, Pos: got.Held.Job.Pos}); err != nil {
			s.Log.Error("tell the sockets", "job", f.Job, "err", err)
		}
	}
	if got.Held.Stored+got.Held.Known > 0 { // also of what was held: its commit may have been in doubt, and nobody told
		s.Office.Nudge(ws, f.Job)
	}
	for _, t := range got.Held.Forked {
		line := store.Line{At: s.Now(), Workspace: ws, Device: c.device.ID, Action: access.ActionFork, Subject: string(t.Log), Detail: "at " + strconv.FormatInt(t.Seq, 10)}
		if err := s.Store.Audit(r.Context(), line); err != nil {
			s.Log.Error("write audit line", "action", line.Action, "err", err)
		}
	}
}

func handInReply(f handin.File, got handin.Taken) map[string]any {
	bad := f.Bad
	if bad == nil {
		bad = []handin.Bad{}
	}
	return map[string]any{
		"stored": got.Held.Stored, "held": got.Held.Known, "bad": bad,
		"phone": got.Phone.Name, "revoked": stamp(got.Phone.Revoked),
	}
}
