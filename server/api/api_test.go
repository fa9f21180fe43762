package api

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/photos"
	"witnessmark/server/store"
)

// TestNoRuleIsShut: a route that forgot its rule lets nobody in.
func TestNoRuleIsShut(t *testing.T) {
	s := &server{}
	if _, err := s.identify(shut, httptest.NewRequest("GET", "/", nil)); !errors.Is(err, access.ErrDenied) {
		t.Errorf("identify(shut) = %v, want ErrDenied", err)
	}
	for _, r := range s.routes() {
		if r.rule == shut || r.do == nil {
			t.Errorf("%s %s has no rule or no handler", r.method, r.path)
		}
		if changes(r.method) && r.rule == open && r.limit == (limit{}) {
			t.Errorf("%s %s is open, changes something and has no limit", r.method, r.path)
		}
	}
}

func TestLimit(t *testing.T) {
	now := time.Date(2031, 4, 12, 9, 0, 0, 0, time.UTC)
	l := newLimits(func() time.Time { return now })
	lim := limit{burst: 3, every: time.Second}
	for i := range 3 {
		if wait := l.take("a", lim); wait != 0 {
			t.Errorf("request %d waits %v", i, wait)
		}
	}
	if wait := l.take("a", lim); wait != time.Second {
		t.Errorf("the fourth waits %v, want 1s", wait)
	}
	if wait := l.take("b", lim); wait != 0 {
		t.Errorf("another address waits %v", wait)
	}
	now = now.Add(time.Second)
	if wait := l.take("a", lim); wait != 0 {
		t.Errorf("after a second it waits %v", wait)
	}
	for i := range maxBuckets + 10 {
		now = now.Add(time.Minute)
		l.take(fmt.Sprint("x", i), lim)
	}
	if n := len(l.buckets); n > maxBuckets {
		t.Errorf("%d buckets are kept", n)
	}
}

func TestReadLine(t *testing.T) {
	type line struct {
		text string
		long bool
	}
	cases := []struct {
		name, in string
		want     []line
	}{
		{"two lines", "ab\ncd\n", []line{{"ab", false}, {"cd", false}, {"", false}}},
		{"no end", "ab", []line{{"ab", false}}},
		{"as long as may be", strings.Repeat("x", 100) + "\n", []line{{strings.Repeat("x", 100), false}, {"", false}}},
		{"one too long", strings.Repeat("x", 101) + "\nab", []line{{"", true}, {"ab", false}}},
		{"far too long", strings.Repeat("x", 10_000) + "\nab\n", []line{{"", true}, {"ab", false}, {"", false}}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := bufio.NewReaderSize(strings.NewReader(c.in), 16)
			for i, want := range c.want {
				got, long, err := readLine(r, 100)
				if string(got) != want.text || long != want.long || (err == io.EOF) != (i == len(c.want)-1) {
					t.Errorf("line %d = %.20q, %v, %v, want %.20q, %v", i, got, long, err, want.text, want.long)
				}
			}
		})
	}
}

// TestErrors: each sentinel has its place on the wire, and what is unknown shows nothing of itself.
func TestErrors(t *testing.T) {
	cases := []struct {
		err    error
		status int
		code   code
		ours   bool
	}{
		{fmt.Errorf("find: %w", store.ErrNotFound), 404, codeNotFound, false},
		{fmt.Errorf("append: %w", store.ErrFull), 507, codeUnavailable, true},
		{fmt.Errorf("append: %w", store.ErrAway), 503, codeUnavailable, true},
		{access.ErrDenied, 401, codeUnauthorized, false},
		{photos.Refusal{Why: "no"}, 422, codeInvalid, false},
		{&http.MaxBytesError{Limit: 9}, 413, codeTooLarge, false},
		{errRole, 403, codeUnauthorized, false},
		{errors.New("pq: password authentication failed for user x"), 500, codeInternal, true},
	}
	for _, c := range cases {
		f, ours := classify(c.err)
		if f.status != c.status || f.code != c.code || ours != c.ours {
			t.Errorf("classify(%v) = %d %s %v, want %d %s %v", c.err, f.status, f.code, ours, c.status, c.code, c.ours)
		}
		if strings.Contains(f.says, "pq") {
			t.Errorf("the user sees %q", f.says)
		}
	}
}

func TestPhoneApp(t *testing.T) {
	built := fstest.MapFS{
		"index.html": {Data: []byte("<!doctype html>app")}, "sw.js": {Data: []byte("//" + strings.Repeat("x", 500))},
		"assets/main-Bx3kQ9_d.js": {Data: []byte(strings.Repeat("code ", 500))}, "assets/core-PE5Yr1EM.wasm": {Data: []byte("\x00asm")},
		"manifest.webmanifest": {Data: []byte("{}")},
	}
	never, forever, check := "no-cache, no-store, must-revalidate", "public, max-age=31536000, immutable", "no-cache"
	cases := []struct{ path, typ, cache, body string }{
		{"/", "text/html; charset=utf-8", never, "app"}, {"/index.html", "text/html; charset=utf-8", never, "app"},
		{"/pair", "text/html; charset=utf-8", never, "app"}, {"/job/x/sheet", "text/html; charset=utf-8", never, "app"},
		{"/sw.js", "text/javascript; charset=utf-8", never, "//"}, {"/assets/core-PE5Yr1EM.wasm", "application/wasm", forever, "asm"},
		{"/assets/main-Bx3kQ9_d.js", "text/javascript; charset=utf-8", forever, "code"},
		{"/manifest.webmanifest", "application/manifest+json", check, "{}"},
	}
	s := &server{app: newApp(built)}
	for _, c := range cases {
		w := httptest.NewRecorder()
		if err := s.phoneApp(w, httptest.NewRequest("GET", c.path, nil), who{}); err != nil {
			t.Errorf("%s: %v", c.path, err)
		}
		if h := w.Header(); h.Get("Content-Type") != c.typ || h.Get("Cache-Control") != c.cache || !strings.Contains(w.Body.String(), c.body) {
			t.Errorf("%s: %s, %s, %.20s", c.path, h.Get("Content-Type"), h.Get("Cache-Control"), w.Body)
		}
	}
	for _, path := range []string{"/assets/none-12345678.js", "/../api.go", "/assets"} {
		err := s.phoneApp(httptest.NewRecorder(), httptest.NewRequest("GET", path, nil), who{})
		if path != "/assets" && !errors.Is(err, store.ErrNotFound) {
			t.Errorf("%s = %v, want ErrNotFound", path, err)
		}
	}
	r := httptest.NewRequest("GET", "/assets/main-Bx3kQ9_d.js", nil)
	r.Header.Set("Accept-Encoding", "br, gzip;q=0.9")
	w := httptest.NewRecorder()
	if err := s.phoneApp(w, r, who{}); err != nil || w.Header().Get("Content-Encoding") != "gzip" {
		t.Errorf("gzip: %v, %q", err, w.Header().Get("Content-Encoding"))
	}
	built["assets/core-Qk7.wasm"] = &fstest.MapFile{Data: []byte(strings.Repeat("core", 500))}
	built["assets/core-Qk7.wasm.gz"] = &fstest.MapFile{Data: []byte("as the build made it")}
	for accepts, want := range map[string]string{"gzip": "as the build made it", "br": "corecore"} {
		s := &server{app: newApp(built)}
		r := httptest.NewRequest("GET", "/assets/core-Qk7.wasm", nil)
		r.Header.Set("Accept-Encoding", accepts)
		w := httptest.NewRecorder()
		if err := s.phoneApp(w, r, who{}); err != nil || !strings.HasPrefix(w.Body.String(), want) || w.Header().Get("Content-Type") != "application/wasm" {
			t.Errorf("the core for %s: %v, %q, %.20s", accepts, err, w.Header().Get("Content-Type"), w.Body)
		}
	}
	empty := &server{app: newApp(fstest.MapFS{"README": {}})}
	if err := empty.phoneApp(httptest.NewRecorder(), httptest.NewRequest("GET", "/", nil), who{}); err == nil || !strings.Contains(err.Error(), "make build") {
		t.Errorf("without a build = %v", err)
	}
}

func TestSecure(t *testing.T) {
	r := httptest.NewRequest("POST", "http://marks.example.net/x", nil)
	r.Header.Set("X-Forwarded-Proto", "https")
	r.Header.Set("X-Forwarded-For", "203.0.113.9, 198.51.100.7")
	plain := &server{}
	if plain.secure(r) || plain.address(r) != "192.0.2.1" {
		t.Errorf("without a trusted proxy: secure %v, address %s", plain.secure(r), plain.address(r))
	}
	behind := &server{Config: Config{TrustProxy: true}}
	if !behind.secure(r) || behind.address(r) != "198.51.100.7" {
		t.Errorf("behind one: secure %v, address %s", behind.secure(r), behind.address(r))
	}
	named := &server{Config: Config{Origins: []string{"https://marks.example.net"}}}
	if !named.secure(r) {
		t.Error("with an https origin for this host: not secure")
	}
}
