package api

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"regexp"
	"strings"
	"sync"
	"time"

	"github.com/klauspost/compress/gzip"

	"witnessmark/server/store"
)

// app is the built phone app: files by path, each with its headers and a compressed copy, which the build has made (path.gz)
// or which is made on first use.
type app struct {
	files fs.FS
	mu    sync.Mutex
	ready map[string]*asset
}

type asset struct {
	body, zipped []byte
	typ, etag    string
}

func newApp(files fs.FS) *app { return &app{files: files, ready: map[string]*asset{}} }

// hashed is a file whose name carries a hash of its content, as the build names them: it never changes.
var hashed = regexp.MustCompile(`^assets/.+[-.][A-Za-z0-9_-]{8,}\.[a-z0-9]+$`)

// phoneApp serves the app's files. A path that is no file is a screen of the app, so it gets index.html.
func (s *server) phoneApp(w http.ResponseWriter, r *http.Request, _ who) error {
	if changes(r.Method) {
		return store.ErrNotFound
	}
	name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
	if name == "" {
		name = "index.html"
	}
	a, err := s.app.open(name)
	if err != nil && path.Ext(name) == "" {
		name = "index.html"
		a, err = s.app.open(name)
	}
	if err != nil && name == "index.html" {
		return failure{status: http.StatusNotFound, code: codeNotFound, says: "the phone app is not in this build: run make build"}
	}
	if err != nil {
		return store.ErrNotFound
	}
	h := w.Header()
	h.Set("Cache-Control", "no-cache")
	if hashed.MatchString(name) {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	if name == "index.html" || name == "sw.js" {
		// Never cached by HTTP: the browser must see a new version (T39).
		h.Set("Cache-Control", "no-cache, no-store, must-revalidate")
	}
	a.serve(w, r)
	return nil
}

func (a *app) open(name string) (*asset, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if f, ok := a.ready[name]; ok {
		return f, nil
	}
	body, err := fs.ReadFile(a.files, name)
	if err != nil {
		return nil, err
	}
	zipped, err := fs.ReadFile(a.files, name+".gz")
	if errors.Is(err, fs.ErrNotExist) {
		zipped, err = zip(body)
	}
	if err != nil {
		return nil, err
	}
	f := newAsset(name, body, zipped)
	a.ready[name] = f
	return f, nil
}

func newAsset(name string, body, zipped []byte) *asset {
	sum := sha256.Sum256(body)
	f := &asset{body: body, typ: typeOf(name), etag: `"` + hex.EncodeToString(sum[:8]) + `"`}
	if len(zipped) < len(body)*9/10 {
		f.zipped = zipped
	}
	return f
}

func zip(body []byte) ([]byte, error) {
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(body); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// typeOf names the types that the app has; the machine's own table differs from one to the next.
func typeOf(name string) string {
	switch path.Ext(name) {
	case ".html":
		return "text/html; charset=utf-8"
	case ".js", ".mjs":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".wasm":
		return "application/wasm"
	case ".webmanifest":
		return "application/manifest+json"
	case ".svg":
		return "image/svg+xml"
	case ".json":
		return "application/json"
	case ".woff2":
		return "font/woff2"
	case ".png":
		return "image/png"
	case ".ico":
		return "image/x-icon"
	}
	if typ := mime.TypeByExtension(path.Ext(name)); typ != "" {
		return typ
	}
	return "application/octet-stream"
}

func (f *asset) serve(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Type", f.typ)
	h.Set("Vary", "Accept-Encoding")
	body := f.body
	etag := f.etag
	if f.zipped != nil && acceptsGzip(r) {
		h.Set("Content-Encoding", "gzip")
		body, etag = f.zipped, strings.TrimSuffix(f.etag, `"`)+`-gz"`
	}
	h.Set("ETag", etag)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(body))
}
