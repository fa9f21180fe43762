package api

import (
	"context"
	"net/http"
	"time"

	"github.com/klauspost/compress/gzip"

	"witnessmark/server/access"
	"witnessmark/server/live"
	"witnessmark/server/store"
)

// The view cookie's names, over HTTPS and without. It is for one link's path, so it cannot have the __Host- prefix. Both
// are read: a page's plain reads carry no Origin, so they do not tell whether the proxy in front speaks HTTPS.
const (
	secureView = "__Secure-wm_view"
	plainView  = "wm_view"
)

func (s *server) viewCookie(r *http.Request) string {
	if s.secure(r) {
		return secureView
	}
	return plainView
}

// viewPage is the static page of every link: it says nothing about whether the link exists.
func (s *server) viewPage(w http.ResponseWriter, _ *http.Request, _ who) error {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(s.Book.Page()) // a client that went away cannot be told
	return nil
}

// bookAsset is a script, style or font of that page.
func (s *server) bookAsset(w http.ResponseWriter, r *http.Request, _ who) error {
	body, typ, ok := s.Book.Asset(r.PathValue("name"))
	if !ok {
		return store.ErrNotFound
	}
	w.Header().Set("Cache-Control", "no-cache")
	if typ == "font/woff2" { // packed already
		w.Header().Set("Content-Type", typ)
		_, _ = w.Write(body)
		return nil
	}
	return sendZipped(w, r, typ, body)
}

// viewOpen trades the secret of a link for its cookie. The link's name, which may have a person's in it, comes with the data.
func (s *server) viewOpen(w http.ResponseWriter, r *http.Request, _ who) error {
	var in struct{ Secret string }
	if err := readJSON(r, &in); err != nil {
		return err
	}
	id := store.LinkID(r.PathValue("id"))
	value, link, err := s.Access.OpenLink(r.Context(), id, in.Secret)
	if err != nil {
		return viewDenied(err)
	}
	http.SetCookie(w, &http.Cookie{
		Name: s.viewCookie(r), Value: value, Path: "/v/" + string(link.ID), MaxAge: int(access.ViewLife.Seconds()),
		Secure: s.secure(r), HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
	return writeJSON(w, http.StatusOK, map[string]any{"expires": stamp(link.Expires)})
}

var errDeadLink = failure{status: http.StatusUnauthorized, code: codeUnauthorized,
	says: "this link does not work, or no longer: ask whoever sent it for a new one"}

// viewDenied speaks to somebody without a phone of the workshop.
func viewDenied(err error) error {
	if f, _ := classify(err); f.code == codeUnauthorized {
		return errDeadLink
	}
	return err
}

// viewData is what the page shows now.
func (s *server) viewData(w http.ResponseWriter, r *http.Request, c who) error {
	rec, err := s.Office.Look(r.Context(), c.link.Workspace, c.link.Job)
	if err != nil {
		return err
	}
	since := s.Now().AddDate(0, 0, -week).UTC().Format(time.DateOnly)
	body, err := s.Book.Data(rec.State, rec.Results, c.link.Name, since, c.link.People)
	if err != nil {
		return err
	}
	return sendZipped(w, r, "application/json", body)
}

// week is how many days of what happened the page tells.
const week = 7

// sendZipped sends a body as small as the client can read it: a tea-room's line may be a phone's.
func sendZipped(w http.ResponseWriter, r *http.Request, typ string, body []byte) error {
	h := w.Header()
	h.Set("Content-Type", typ)
	h.Add("Vary", "Accept-Encoding")
	if !acceptsGzip(r) {
		_, _ = w.Write(body) // a client that went away cannot be told
		return nil
	}
	h.Set("Content-Encoding", "gzip")
	z := gzip.NewWriter(w)
	_, _ = z.Write(body)
	_ = z.Close() // the same
	return nil
}

// viewPhoto is the derivative of a photo that the page shows; any other photo of the workspace is missing here.
func (s *server) viewPhoto(w http.ResponseWriter, r *http.Request, c who) error {
	rec, err := s.Office.Look(r.Context(), c.link.Workspace, c.link.Job)
	if err != nil {
		return err
	}
	sha := r.PathValue("sha")
	if !s.Book.Shows(rec.State, sha) {
		return store.ErrNotFound
	}
	f, err := s.Photos.Picture(r.Context(), c.link.Workspace, sha)
	return s.serveFile(w, r, f, err)
}

// viewLive opens the page's socket. It only listens: any message ends it.
func (s *server) viewLive(w http.ResponseWriter, r *http.Request, c who) error {
	conn, err := s.upgrade(w, r)
	if err != nil {
		return err
	}
	s.Hub.Serve(context.WithoutCancel(r.Context()), conn, live.Subscription{
		Workspace: c.link.Workspace, Job: c.link.Job, Link: c.link.ID, Ends: c.ends, Heads: s.heads(c.link.Workspace, c.link.Job),
	})
	return nil
}
