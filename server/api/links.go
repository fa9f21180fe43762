package api

import (
	"net/http"

	"witnessmark/server/access"
	"witnessmark/server/store"
)

type linkLine struct {
	ID      store.LinkID `json:"id"`
	Name    string       `json:"name"`
	People  bool         `json:"people"`
	Created string       `json:"created"`
	Expires string       `json:"expires"`
	Revoked string       `json:"revoked,omitempty"`
}

func lineOf(l store.Link) linkLine {
	return linkLine{
		ID: l.ID, Name: l.Name, People: l.People, Created: stamp(l.Created), Expires: stamp(l.Expires), Revoked: stamp(l.Revoked),
	}
}

func (s *server) listLinks(w http.ResponseWriter, r *http.Request, c who) error {
	job, err := jobID(r)
	if err != nil {
		return err
	}
	links, err := s.Store.Links(r.Context(), c.device.Workspace, job)
	if err != nil {
		return err
	}
	lines := make([]linkLine, 0, len(links))
	for _, l := range links {
		lines = append(lines, lineOf(l))
	}
	return writeJSON(w, http.StatusOK, map[string]any{"links": lines})
}

// makeLink makes a view link. The reply is the only place where its secret ever stands.
func (s *server) makeLink(w http.ResponseWriter, r *http.Request, c who) error {
	job, err := jobID(r)
	if err != nil {
		return err
	}
	var in struct {
		Name   string
		People bool
	}
	if err := readJSON(r, &in); err != nil {
		return err
	}
	l, secret, err := s.Access.DrawLink(r.Context(), access.NewLink{
		Workspace: c.device.Workspace, Job: job, Name: in.Name, People: in.People, By: c.device.ID,
	})
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, struct {
		linkLine
		Path string `json:"path"`
	}{lineOf(l), "/v/" + string(l.ID) + "#" + secret})
}

func (s *server) revokeLink(w http.ResponseWriter, r *http.Request, c who) error {
	job, err := jobID(r)
	if err != nil {
		return err
	}
	id := store.LinkID(r.PathValue("id"))
	if err := s.Access.RevokeLink(r.Context(), c.device, job, id); err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"revoked": id})
}
