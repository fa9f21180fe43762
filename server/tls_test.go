package main

import (
	"bufio"
	"context"
	"crypto/tls"
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"net/http/httptrace"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"witnessmark/server/api"
	"witnessmark/server/authority"
)

const workshopName = "heron.home.arpa"

// movable is a clock that a test moves.
type movable struct {
	mu  sync.Mutex
	now time.Time
}

func (m *movable) clock() time.Time {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.now
}

func (m *movable) later(d time.Duration) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.now = m.now.Add(d)
}

// secured is a running server with the workshop's own certificate, and where its page for phones is.
type secured struct {
	t          *testing.T
	addr, help string
	clock      *movable
	roots      *x509.CertPool
}

func serveSecured(t *testing.T) *secured {
	t.Helper()
	data := t.TempDir()
	says(t, 0, "tls", "-data", data, "-name", workshopName, "-ip", "127.0.0.1")
	a, err := authority.Open(authorityFolder(data), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	s := &secured{t: t, clock: &movable{now: time.Now()}, roots: x509.NewCertPool()}
	root, err := x509.ParseCertificate(a.Root())
	if err != nil {
		t.Fatal(err)
	}
	s.roots.AddCert(root)
	ctx, stop := context.WithCancel(context.Background())
	r, w := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		ended <- serve(ctx, Config{Data: data, Now: s.clock.clock}, listenOn{addr: "127.0.0.1:0", own: true, help: "127.0.0.1:0"}, w)
	}()
	lines := bufio.NewScanner(r)
	for _, to := range []*string{&s.addr, &s.help} {
		if !lines.Scan() {
			t.Fatal("the server says nothing")
		}
		*to = lines.Text()[strings.LastIndex(lines.Text(), " ")+1:]
	}
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("serve = %v", err)
		}
	})
	return s
}

// client is a phone's browser that trusts the root, finds the name, and goes by the moved clock.
func (s *secured) client() *http.Client {
	tr := &http.Transport{
		TLSClientConfig: &tls.Config{RootCAs: s.roots, Time: s.clock.clock},
		DialContext: func(ctx context.Context, network, _ string) (net.Conn, error) {
			return (&net.Dialer{}).DialContext(ctx, network, s.addr)
		},
	}
	s.t.Cleanup(tr.CloseIdleConnections)
	return &http.Client{Transport: tr}
}

// ask gets /healthz and says which certificate was shown, and whether the connection was one that was open already.
func (s *secured) ask(c *http.Client) (serial string, reused bool) {
	s.t.Helper()
	trace := &httptrace.ClientTrace{GotConn: func(i httptrace.GotConnInfo) { reused = i.Reused }}
	req, err := http.NewRequestWithContext(httptrace.WithClientTrace(s.t.Context(), trace), "GET", "https://"+workshopName+"/healthz", nil)
	if err != nil {
		s.t.Fatal(err)
	}
	res, err := c.Do(req)
	if err != nil {
		s.t.Fatal(err)
	}
	if _, err := io.Copy(io.Discard, res.Body); err != nil {
		s.t.Fatal(err)
	}
	_ = res.Body.Close()
	return res.TLS.PeerCertificates[0].SerialNumber.String(), reused
}

// TestRenewedWhileOpen is T45: through two renewals, without a network and without a restart, a connection stays open.
func TestRenewedWhileOpen(t *testing.T) {
	s := serveSecured(t)
	stays := s.client()
	first, _ := s.ask(stays)
	seen := map[string]bool{first: true}
	for range 2 {
		s.clock.later(61 * 24 * time.Hour)
		fresh, reused := s.ask(s.client())
		if seen[fresh] || reused {
			t.Errorf("after 61 days a new connection is shown the old certificate (reused %v)", reused)
		}
		seen[fresh] = true
		if old, reused := s.ask(stays); !reused || old != first {
			t.Errorf("the open connection was not kept: reused %v", reused)
		}
	}
	res, err := stays.Get("https://" + workshopName + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if text, err := io.ReadAll(res.Body); err != nil || !strings.Contains(string(text), "\nwitnessmark_certificate_seconds ") {
		t.Errorf("the metrics do not say how long the certificate is good: %v", err)
	}
}

// TestOnlyHelpInTheClear is T47: no route of the server answers on plain HTTP, and HTTPS has no page for phones.
func TestOnlyHelpInTheClear(t *testing.T) {
	s := serveSecured(t)
	plain := &http.Client{Transport: &http.Transport{}}
	defer plain.CloseIdleConnections()
	get := func(method, path string) *http.Response {
		t.Helper()
		req, err := http.NewRequest(method, "http://"+s.help+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		res, err := plain.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = io.Copy(io.Discard, res.Body) // only the status is of interest
		_ = res.Body.Close()
		return res
	}
	for _, r := range api.Routes() {
		if r.Path == "/" {
			continue
		}
		if res := get(r.Method, fillPath(r.Path, "x")); res.StatusCode != 404 {
			t.Errorf("%s %s in the clear = %d, want 404", r.Method, r.Path, res.StatusCode)
		}
	}
	for path, typ := range map[string]string{"/": "text/html; charset=utf-8", "/workshop.crt": "application/x-x509-ca-cert"} {
		if res := get("GET", path); res.StatusCode != 200 || res.Header.Get("Content-Type") != typ {
			t.Errorf("%s = %d, %s", path, res.StatusCode, res.Header.Get("Content-Type"))
		}
	}
	if res := get("GET", "/"); res.Header.Get("Strict-Transport-Security") != "" {
		t.Error("a certificate of the workshop's own must not pin the name to HTTPS: a phone could never fetch the next root")
	}
}

// TestOriginIsTheName is T48: phones may come by the name and by no address, though the certificate holds it.
func TestOriginIsTheName(t *testing.T) {
	s := serveSecured(t)
	_, port, err := net.SplitHostPort(s.addr)
	if err != nil {
		t.Fatal(err)
	}
	for origin, status := range map[string]int{
		"https://" + net.JoinHostPort(workshopName, port): 401, // let in as far as the missing cookie
		"https://" + s.addr: 403, "http://" + net.JoinHostPort(workshopName, port): 403, "https://" + workshopName + ".example.net": 403,
	} {
		req, err := http.NewRequest("POST", "https://"+workshopName+"/api/v1/token", strings.NewReader("{}"))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Origin", origin)
		res, err := s.client().Do(req)
		if err != nil {
			t.Fatal(err)
		}
		_ = res.Body.Close()
		if res.StatusCode != status {
			t.Errorf("from %s = %d, want %d", origin, res.StatusCode, status)
		}
		if res.Header.Get("Strict-Transport-Security") != "" {
			t.Error("HSTS without a public certificate")
		}
	}
}

// TestTLSVerb: set up once, shown, carried to another machine; no backup of the data holds the key.
func TestTLSVerb(t *testing.T) {
	data, other := t.TempDir(), t.TempDir()
	if _, e := says(t, 1, "tls", "-data", data); !strings.Contains(e, "-name NAME") {
		t.Errorf("without one: %q", e)
	}
	if _, e := says(t, 1, "serve", "-data", data, "-addr", "127.0.0.1:0", "-tls"); !strings.Contains(e, "witnessmark tls") {
		t.Errorf("serve -tls without one: %q", e)
	}
	if _, e := says(t, 1, "serve", "-data", data, "-addr", "127.0.0.1:0", "-help-addr", "127.0.0.1:0"); !strings.Contains(e, "belongs to -tls") {
		t.Errorf("-help-addr alone: %q", e)
	}
	if _, e := says(t, 1, "tls", "-data", data, "-name", "192.168.1.20"); !strings.Contains(e, "an address is none") {
		t.Errorf("an address: %q", e)
	}
	if _, e := says(t, 1, "tls", "-data", data, "-name", workshopName, "-ip", "here"); !strings.Contains(e, "no address") {
		t.Errorf("-ip here: %q", e)
	}
	made, _ := says(t, 0, "tls", "-data", data, "-name", workshopName, "-ip", "192.168.1.20")
	shown, _ := says(t, 0, "tls", "-data", data)
	if made != shown || !strings.Contains(shown, "https://"+workshopName) {
		t.Errorf("made %q, shown %q", made, shown)
	}
	if _, e := says(t, 1, "tls", "-data", data, "-name", "other.home.arpa"); !strings.Contains(e, "every phone again") {
		t.Errorf("another name: %q", e)
	}
	file := filepath.Join(t.TempDir(), "authority.pem")
	says(t, 0, "tls", "-data", data, "-out", file)
	says(t, 1, "tls", "-data", data, "-out", file)
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v, want 0600", info.Mode(), err)
	}
	if carried, _ := says(t, 0, "tls", "-data", other, "-from", file); carried != shown {
		t.Errorf("carried %q, want %q", carried, shown)
	}
	app, err := openApp(t.Context(), Config{Data: data}) // makes the database
	if err != nil {
		t.Fatal(err)
	}
	if err := app.Close(); err != nil {
		t.Fatal(err)
	}
	saved := filepath.Join(t.TempDir(), "b.zip")
	says(t, 0, "backup", "-data", data, "-out", saved)
	if held := string(readFile(t, saved)); strings.Contains(held, "PRIVATE KEY") || strings.Contains(held, "authority.pem") {
		t.Error("the backup holds the authority's key")
	}
}

// TestCertificateWarns is T46: less than three weeks before its end the log says so, as loud as it can.
func TestCertificateWarns(t *testing.T) {
	for left, want := range map[time.Duration]string{20 * 24 * time.Hour: "ends soon", 30 * 24 * time.Hour: "level=INFO msg=certificate"} {
		o := &testOffice{log: &safeBuffer{}}
		l := &listening{certificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
			return &tls.Certificate{Leaf: &x509.Certificate{NotAfter: time.Now().Add(left)}}, nil
		}}
		l.warn(Config{Now: time.Now, Log: logger(o.log, false)})
		if !strings.Contains(o.log.String(), want) {
			t.Errorf("%v before its end: %q, want %q", left, o.log, want)
		}
	}
}

// TestCertificateFilesWhileOpen is T46: new files are taken up while the server runs, and who is connected stays so.
func TestCertificateFilesWhileOpen(t *testing.T) {
	dir := t.TempDir()
	files := &certFiles{cert: filepath.Join(dir, "cert.pem"), key: filepath.Join(dir, "key.pem")}
	writeCert(t, files, 1)
	l, err := listen(Config{}.filled(), listenOn{addr: "127.0.0.1:0", cert: files.cert, key: files.key})
	if err != nil {
		t.Fatal(err)
	}
	server := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {})}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	t.Cleanup(func() {
		_ = server.Close()
		<-ended
	})
	// The certificate is nobody's: only which one is shown matters here.
	dial := func() *http.Client {
		tr := &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}
		t.Cleanup(tr.CloseIdleConnections)
		return &http.Client{Transport: tr}
	}
	serial := func(c *http.Client) string {
		t.Helper()
		res, err := c.Get("https://" + l.Addr().String() + "/")
		if err != nil {
			t.Fatal(err)
		}
		_ = res.Body.Close()
		return res.TLS.PeerCertificates[0].SerialNumber.String()
	}
	stays := dial()
	if got := serial(stays); got != "1" {
		t.Fatalf("serial %s", got)
	}
	writeCert(t, files, 2)
	age(t, files.cert, time.Hour)
	if fresh, old := serial(dial()), serial(stays); fresh != "2" || old != "1" {
		t.Errorf("a new connection sees %s, want 2; the open one %s, want 1", fresh, old)
	}
}
