package api

import (
	"encoding/json"
	"io"
	"mime"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"
)

// policy is the one content security policy of the app and the view page (T56).
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: data:; " +
	"connect-src 'self'; font-src 'self'; worker-src 'self'; manifest-src 'self'; media-src 'self' blob:; base-uri 'none'; " +
	"form-action 'self'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types witnessmark"

// handle puts around a route what all routes need: headers, limits, origin, identity, errors, log and counts.
func (s *server) handle(rt route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := s.Now()
		reply := &replyWriter{ResponseWriter: w}
		headers(w.Header())
		c, err := s.admit(rt, reply, r)
		if err == nil {
			err = rt.do(reply, r, c)
		}
		if err != nil {
			s.fail(reply, r, err)
		}
		s.note(rt, reply, r, c, began)
	})
}

func headers(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(self), microphone=(self), geolocation=()")
	h.Set("X-Robots-Tag", "noindex, nofollow")
	h.Set("Cache-Control", "no-store")
}

// admit lets a request through to its handler, or says why not.
func (s *server) admit(rt route, w http.ResponseWriter, r *http.Request) (who, error) {
	if rt.limit != (limit{}) {
		if wait := s.limits.take(rt.path+" "+s.address(r), rt.limit); wait > 0 {
			return who{}, tooMany(wait)
		}
	}
	if changes(r.Method) && !s.sameOrigin(r) {
		return who{}, errOrigin
	}
	if rt.json && !isJSON(r) {
		return who{}, invalid("the body must be application/json")
	}
	// Before the handler knows the caller, so that nobody can make the server read without end.
	r.Body = http.MaxBytesReader(w, r.Body, rt.maxBody)
	return s.identify(rt.rule, r)
}

func changes(method string) bool {
	return method != http.MethodGet && method != http.MethodHead && method != http.MethodOptions
}

func isJSON(r *http.Request) bool {
	typ, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	return err == nil && typ == "application/json"
}

// sameOrigin checks a browser's Origin against the exact list. A program that is no browser sends none; a browser that
// sends none but says Sec-Fetch-Site is refused unless it names this site.
func (s *server) sameOrigin(r *http.Request) bool {
	origin := r.Header.Get("Origin")
	if origin == "" {
		site := r.Header.Get("Sec-Fetch-Site")
		return site == "" || site == "same-origin"
	}
	return s.knownOrigin(origin, r)
}

func (s *server) knownOrigin(origin string, r *http.Request) bool {
	if len(s.Origins) > 0 {
		return slices.Contains(s.Origins, origin)
	}
	u, err := url.Parse(origin)
	return err == nil && (u.Scheme == "http" || u.Scheme == "https") && strings.EqualFold(u.Host, r.Host) &&
		origin == u.Scheme+"://"+u.Host
}

// secure says whether the browser reached us by HTTPS, here or at the proxy in front. The Origin was checked before, so its
// scheme is the page's; a request without one goes by the list.
func (s *server) secure(r *http.Request) bool {
	if r.TLS != nil || (s.TrustProxy && r.Header.Get("X-Forwarded-Proto") == "https") {
		return true
	}
	if origin := r.Header.Get("Origin"); origin != "" {
		return strings.HasPrefix(origin, "https://")
	}
	return slices.ContainsFunc(s.Origins, func(o string) bool { return strings.HasPrefix(o, "https://") })
}

// address is where a request comes from. Behind a trusted proxy it is the last address in X-Forwarded-For: the one that the
// proxy wrote itself.
func (s *server) address(r *http.Request) string {
	if s.TrustProxy {
		list := strings.Split(strings.Join(r.Header.Values("X-Forwarded-For"), ","), ",")
		if last := strings.TrimSpace(list[len(list)-1]); last != "" {
			return last
		}
	}
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// replyWriter remembers whether and how the reply began.
type replyWriter struct {
	http.ResponseWriter
	status int
	bytes  int64
}

func (w *replyWriter) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
	w.ResponseWriter.WriteHeader(status)
}

func (w *replyWriter) Write(b []byte) (int, error) {
	if w.status == 0 {
		w.status = http.StatusOK
	}
	n, err := w.ResponseWriter.Write(b)
	w.bytes += int64(n)
	return n, err
}

// Unwrap lets http.ResponseController reach the connection.
func (w *replyWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// note writes the log line and counts. It names the route's pattern, never the path or the query: they may hold a secret.
func (s *server) note(rt route, w *replyWriter, r *http.Request, c who, began time.Time) {
	s.metrics.request(rt.path, w.status)
	s.Log.Debug("request", "method", r.Method, "route", rt.path, "status", w.status, "bytes", w.bytes,
		"device", string(c.device.ID), "ms", s.Now().Sub(began).Milliseconds())
}

// readJSON reads a small body into v. Unknown members are let through: a newer phone may send more.
func readJSON(r *http.Request, v any) error {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return err // fail knows http.MaxBytesError
	}
	if err := json.Unmarshal(body, v); err != nil {
		return invalid("the body is not the JSON that this route takes")
	}
	return nil
}

func writeJSON(w http.ResponseWriter, status int, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	// A client that went away cannot be told; the log line has the status.
	_, _ = w.Write(append(body, '\n'))
	return nil
}
