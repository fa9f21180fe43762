package api

import (
	"cmp"
	"fmt"
	"io"
	"net/http"
	"slices"
	"sync"
)

// health says whether the server can answer: its database does.
func (s *server) health(w http.ResponseWriter, r *http.Request, _ who) error {
	if err := s.Store.Ping(r.Context()); err != nil {
		s.Log.Error("health", "err", err)
		return failure{status: http.StatusServiceUnavailable, code: codeUnavailable, says: "the database does not answer"}
	}
	// The page that helps phones looks at this from plain HTTP, to see whether the certificate is trusted.
	w.Header().Set("Cross-Origin-Resource-Policy", "cross-origin")
	return writeJSON(w, http.StatusOK, map[string]any{"ok": true})
}

type requestKey struct {
	route  string
	status int
}

// metrics are counts since the start, without any name or id.
type metrics struct {
	mu       sync.Mutex
	requests map[requestKey]int64
	stored   int64
	known    int64
	bad      int64
}

func (m *metrics) request(route string, status int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.requests[requestKey{route, status}]++
}

func (m *metrics) entries(stored, known, bad int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.stored += int64(stored)
	m.known += int64(known)
	m.bad += int64(bad)
}

// showMetrics writes the Prometheus text format, version 0.0.4.
func (s *server) showMetrics(w http.ResponseWriter, _ *http.Request, _ who) error {
	w.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
	s.metrics.write(w)
	gauge(w, "witnessmark_sockets", "Open sockets.", int64(s.Hub.Count()))
	if s.CertificateEnds != nil && !s.CertificateEnds().IsZero() {
		gauge(w, "witnessmark_certificate_seconds", "How long the certificate is still good.", int64(s.CertificateEnds().Sub(s.Now()).Seconds()))
	}
	return nil
}

func (m *metrics) write(w io.Writer) {
	m.mu.Lock()
	defer m.mu.Unlock()
	keys := make([]requestKey, 0, len(m.requests))
	for k := range m.requests {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b requestKey) int {
		return cmp.Or(cmp.Compare(a.route, b.route), cmp.Compare(a.status, b.status))
	})
	fmt.Fprint(w, "# HELP witnessmark_requests_total Requests answered.\n# TYPE witnessmark_requests_total counter\n")
	for _, k := range keys {
		fmt.Fprintf(w, "witnessmark_requests_total{route=%q,status=\"%d\"} %d\n", k.route, k.status, m.requests[k])
	}
	counter(w, "witnessmark_entries_stored_total", "Entries taken in.", m.stored)
	counter(w, "witnessmark_entries_known_total", "Entries handed in again.", m.known)
	counter(w, "witnessmark_entries_bad_total", "Lines that could not be read as entries.", m.bad)
}

func counter(w io.Writer, name, help string, value int64) {
	fmt.Fprintf(w, "# HELP %s %s\n# TYPE %s counter\n%s %d\n", name, help, name, name, value)
}

func gauge(w io.Writer, name, help string, value int64) {
	fmt.Fprintf(w, "# HELP %s %s\n# TYPE %s gauge\n%s %d\n", name, help, name, name, value)
}
