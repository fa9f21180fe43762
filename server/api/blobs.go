package api

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"witnessmark/server/photos"
)

// maxChunkBody is a chunk and one byte, so that a longer one is told apart from a full one.
const maxChunkBody = photos.MaxChunk + 1

const (
	offsetHeader = "Upload-Offset"
	lengthHeader = "Upload-Length"
)

// blobOffset says where an upload goes on: Upload-Offset, and Upload-Complete: ?1 when it is whole.
func (s *server) blobOffset(w http.ResponseWriter, r *http.Request, c who) error {
	at, err := s.Photos.Offset(r.Context(), c.device.Workspace, r.PathValue("sha"))
	if err != nil {
		return err
	}
	progressHeaders(w.Header(), at)
	w.WriteHeader(http.StatusOK)
	return nil
}

func progressHeaders(h http.Header, at photos.Progress) {
	h.Set(offsetHeader, strconv.FormatInt(at.Offset, 10))
	if at.Whole {
		h.Set("Upload-Complete", "?1")
	} else {
		h.Set("Upload-Complete", "?0")
	}
}

// blobChunk takes one chunk. Readings never wait for it: photos have their own requests.
func (s *server) blobChunk(w http.ResponseWriter, r *http.Request, c who) error {
	offset, err := strconv.ParseInt(r.Header.Get(offsetHeader), 10, 64)
	if err != nil || offset < 0 {
		return invalid("the header Upload-Offset must say where the chunk begins")
	}
	size, err := optionalLength(r)
	if err != nil {
		return err
	}
	at, err := s.Photos.Take(r.Context(), photos.Upload{
		Workspace: c.device.Workspace, Device: c.device.ID, SHA: r.PathValue("sha"), Offset: offset, Size: size, Body: r.Body,
	})
	if errors.Is(err, photos.ErrOffset) {
		progressHeaders(w.Header(), at)
	}
	if err != nil {
		return chunkError(err)
	}
	progressHeaders(w.Header(), at)
	w.WriteHeader(http.StatusNoContent)
	return nil
}

func optionalLength(r *http.Request) (int64, error) {
	text := r.Header.Get(lengthHeader)
	if text == "" {
		return 0, nil
	}
	size, err := strconv.ParseInt(text, 10, 64)
	if err != nil || size <= 0 {
		return 0, invalid("the header Upload-Length must be the size of the whole file")
	}
	return size, nil
}

// chunkError calls a body over the limit by its proper name.
func chunkError(err error) error {
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return photos.ErrChunk
	}
	return err
}

// blob hands out what the caller may see: ?as=view (the default) is the derivative, ?as=original the bytes as taken, for
// the phone that sent them and for a lead.
func (s *server) blob(w http.ResponseWriter, r *http.Request, c who) error {
	sha := r.PathValue("sha")
	switch r.URL.Query().Get("as") {
	case "", "view":
		f, err := s.Photos.View(r.Context(), c.device.Workspace, sha)
		return s.serveFile(w, r, f, err)
	case "original":
		f, err := s.Photos.Original(r.Context(), c.device, sha)
		return s.serveFile(w, r, f, err)
	}
	return invalid("as must be view or original")
}

// serveFile sends bytes that came from outside so that no browser runs them (T35).
func (s *server) serveFile(w http.ResponseWriter, r *http.Request, f photos.File, err error) error {
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }() // only read
	h := w.Header()
	h.Set("Content-Type", f.Type)
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	h.Set("Cache-Control", "private, no-store")
	h.Set("ETag", `"`+f.SHA+`"`)
	disposition := "attachment"
	if photos.IsPicture(f.Type) || photos.IsSound(f.Type) {
		disposition = "inline" // as its own type, which was read from its content
	}
	h.Set("Content-Disposition", fmt.Sprintf(`%s; filename="%s"`, disposition, f.SHA[:16]))
	http.ServeContent(w, r, "", time.Time{}, f)
	return nil
}
