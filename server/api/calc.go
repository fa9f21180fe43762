package api

import (
	"io"
	"net/http"

	"witnessmark/server/store"
	"witnessmark/sync/calc"
	"witnessmark/sync/jcs"
)

type calcLine struct {
	Name    string      `json:"name"`
	Version string      `json:"version"`
	Title   string      `json:"title"`
	Needs   []calc.Need `json:"needs"`
}

// listCalc names every calculation of the registry with what it needs.
func (s *server) listCalc(w http.ResponseWriter, _ *http.Request, _ who) error {
	lines := []calcLine{}
	for _, spec := range calc.Registry() {
		lines = append(lines, calcLine{Name: spec.Name, Version: spec.Version, Title: spec.Title, Needs: spec.Needs})
	}
	return writeJSON(w, http.StatusOK, map[string]any{"calculations": lines})
}

// runCalc runs one calculation on the inputs in the body, without storing anything.
func (s *server) runCalc(w http.ResponseWriter, r *http.Request, _ who) error {
	spec, ok := calc.Find(r.PathValue("name"))
	if !ok {
		return store.ErrNotFound
	}
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return err
	}
	v, err := jcs.Parse(body)
	if err != nil {
		return invalid("the body is not readable: " + err.Error())
	}
	in, err := calc.FromJSON(v)
	if err != nil {
		return invalid(err.Error())
	}
	res, err := spec.Answer(in)
	if err != nil {
		return invalid(err.Error())
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(res.JSON().Append(nil))
	return nil
}
