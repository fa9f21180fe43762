package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

const (
	testJob  = "0123456789abcdef0123456789abcdef"
	otherJob = "fedcba9876543210fedcba9876543210"
	ndjson   = "application/vnd.witnessmark.exchange+ndjson"
)

// office is a real server on port 0 with a clock of its own and everything it logs.
type testOffice struct {
	*App
	t    *testing.T
	url  string
	data string
	log  *safeBuffer

	mu  sync.Mutex
	now time.Time
}

// safeBuffer is a log that many goroutines write.
type safeBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *safeBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *safeBuffer) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

func (o *testOffice) clock() time.Time {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.now
}

func (o *testOffice) later(d time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.now = o.now.Add(d)
}

func newOffice(t *testing.T, change ...func(*Config)) *testOffice {
	t.Helper()
	o := &testOffice{t: t, data: t.TempDir(), log: &safeBuffer{}, now: time.Date(2031, 4, 12, 9, 0, 0, 0, time.UTC)}
	cfg := Config{Data: o.data, Now: o.clock, Log: slog.New(slog.NewTextHandler(o.log, &slog.HandlerOptions{Level: slog.LevelDebug}))}
	for _, c := range change {
		c(&cfg)
	}
	app, err := openApp(t.Context(), cfg)
	if err != nil {
		t.Fatalf("openApp: %v", err)
	}
	o.App = app
	server := httptest.NewServer(app.Handler())
	o.url = server.URL
	t.Cleanup(func() {
		server.Close()
		if err := app.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	})
	return o
}

// phone is a paired device as a client sees it.
type phone struct {
	o      *testOffice
	client *http.Client
	device store.DeviceID
	token  string
	job    string
	log    string
	seq    int64
	prev   entry.ID
	lease  int
	cursor json.RawMessage
}

// pairPhone pairs by HTTP and buys a token.
func (o *testOffice) pairPhone(role store.Role) *phone {
	o.t.Helper()
	code, err := o.Pair(o.t.Context(), role)
	if err != nil {
		o.t.Fatalf("Pair: %v", err)
	}
	p := o.stranger()
	reply := p.send("POST", "/api/v1/pair", map[string]string{"code": code, "name": "phone of " + string(role)})
	reply.want(200)
	p.device = store.DeviceID(reply.text("device"))
	p.log = string(p.device)
	p.buyToken()
	return p
}

// stranger is a browser that is not paired.
func (o *testOffice) stranger() *phone {
	jar, err := cookiejar.New(nil)
	if err != nil {
		o.t.Fatal(err)
	}
	return &phone{o: o, client: &http.Client{Jar: jar}, job: testJob}
}

func (p *phone) buyToken() {
	p.o.t.Helper()
	reply := p.send("POST", "/api/v1/token", map[string]string{})
	reply.want(200)
	p.token = reply.text("token")
}

// reply is an answer, read whole.
type reply struct {
	t      *testing.T
	what   string
	status int
	header http.Header
	body   []byte
}

// send sends JSON (nil: no body) with the phone's cookies and, if it has one, its token.
func (p *phone) send(method, path string, body any, headers ...string) reply {
	p.o.t.Helper()
	if body == nil {
		return p.raw(method, path, nil, headers...)
	}
	text, err := json.Marshal(body)
	if err != nil {
		p.o.t.Fatal(err)
	}
	return p.raw(method, path, text, append([]string{"Content-Type", "application/json"}, headers...)...)
}

func (p *phone) raw(method, path string, body []byte, headers ...string) reply {
	p.o.t.Helper()
	req, err := http.NewRequestWithContext(p.o.t.Context(), method, p.o.url+path, bytes.NewReader(body))
	if err != nil {
		p.o.t.Fatal(err)
	}
	if p.token != "" {
		req.Header.Set("Authorization", "Bearer "+p.token)
	}
	for i := 0; i < len(headers); i += 2 {
		req.Header.Set(headers[i], headers[i+1])
	}
	res, err := p.client.Do(req)
	if err != nil {
		p.o.t.Fatalf("%s %s: %v", method, path, err)
	}
	defer res.Body.Close()
	got, err := io.ReadAll(res.Body)
	if err != nil {
		p.o.t.Fatalf("%s %s: %v", method, path, err)
	}
	return reply{t: p.o.t, what: method + " " + path, status: res.StatusCode, header: res.Header, body: got}
}

func (r reply) want(status int, contains ...string) reply {
	r.t.Helper()
	if r.status != status {
		r.t.Fatalf("%s = %d, want %d: %.400s", r.what, r.status, status, r.body)
	}
	for _, c := range contains {
		if !strings.Contains(string(r.body), c) {
			r.t.Errorf("%s: %.400s\nlacks %q", r.what, r.body, c)
		}
	}
	return r
}

// wantError checks status and code of the closed list.
func (r reply) wantError(status int, code string) reply {
	r.t.Helper()
	r.want(status)
	var e struct{ Error struct{ Code, Says string } }
	if err := json.Unmarshal(r.body, &e); err != nil || e.Error.Code != code || e.Error.Says == "" {
		r.t.Errorf("%s: %s, want code %s and words", r.what, r.body, code)
	}
	return r
}

func (r reply) object() map[string]any {
	r.t.Helper()
	var m map[string]any
	if err := json.Unmarshal(r.body, &m); err != nil {
		r.t.Fatalf("%s: %v: %s", r.what, err, r.body)
	}
	return m
}

// into reads the reply's JSON into v.
func (r reply) into(v any) {
	r.t.Helper()
	if err := json.Unmarshal(r.body, v); err != nil {
		r.t.Fatalf("%s: %v: %s", r.what, err, r.body)
	}
}

func (r reply) text(member string) string {
	r.t.Helper()
	s, ok := r.object()[member].(string)
	if !ok || s == "" {
		r.t.Fatalf("%s: no text %q in %s", r.what, member, r.body)
	}
	return s
}

// write makes the phone's next entry, a note, as canonical JSON.
func (p *phone) write(text string) []byte {
	p.o.t.Helper()
	p.seq++
	prev := ""
	if p.prev != "" {
		prev = fmt.Sprintf(`"prev":"%s",`, p.prev)
	}
	raw := fmt.Appendf(nil, `{"at":"2031-04-12T10:22:31+01:00","body":{"text":%q},"by":"idris","job":"%s","kind":"note","log":"%s",%s"seq":%d,"v":1}`,
		text, p.job, p.log, prev, p.seq)
	e, err := entry.Read(raw)
	if err != nil {
		p.o.t.Fatalf("entry: %v", err)
	}
	p.prev = e.ID
	return raw
}

// keeps writes an entry of a kind, its body as canonical JSON, and hands it in.
func (p *phone) keeps(kind, body string) {
	p.o.t.Helper()
	raw := strings.Replace(strings.Replace(string(p.write("x")), `"kind":"note"`, `"kind":"`+kind+`"`, 1), `{"text":"x"}`, body, 1)
	e, err := entry.Read([]byte(raw))
	if err != nil || e.Bad != "" {
		p.o.t.Fatalf("entry: %v %s", err, e.Bad)
	}
	p.prev = e.ID
	p.exchange([]byte(raw))
}

// head is what tests read of an exchange's reply.
type head struct {
	Server, Workspace, Job, Status string
	Stored, Held                   int
	Bad                            []struct {
		Line int
		Why  string
	}
	Heads map[string]struct {
		Seq    int64
		ID     string
		Forked bool
		Tips   []struct {
			Seq int64
			ID  string
		}
	}
	Cursor  json.RawMessage
	More    bool
	Count   int64
	Jobs    int
	Digest  string
	Results *struct {
		Pos          int64
		Digest, Core string
	}
	entries []string
}

// request is the body of an exchange with the phone's cursor and next lease.
func (p *phone) request(entries ...[]byte) []byte {
	p.lease++
	cursor := ""
	if p.cursor != nil {
		cursor = `"cursor":` + string(p.cursor) + `,`
	}
	out := fmt.Appendf(nil, `{"v":1,%s"lease":{"current":"%032x","next":"%032x"},"log":"%s","holds":{},"count":0,"limit":500}`+"\n",
		cursor, p.lease, p.lease+1, p.log)
	for _, e := range entries {
		out = append(append(out, e...), '\n')
	}
	return out
}

func (p *phone) exchange(entries ...[]byte) head {
	p.o.t.Helper()
	return p.exchanged(p.raw("POST", "/api/v1/jobs/"+p.job+"/exchange", p.request(entries...), "Content-Type", ndjson))
}

func (p *phone) exchanged(r reply) head {
	p.o.t.Helper()
	r.want(200)
	if got := r.header.Get("Content-Type"); got != ndjson {
		p.o.t.Errorf("Content-Type = %q, want %q", got, ndjson)
	}
	lines := strings.Split(strings.TrimSuffix(string(r.body), "\n"), "\n")
	var h head
	if err := json.Unmarshal([]byte(lines[0]), &h); err != nil {
		p.o.t.Fatalf("reply head: %v: %s", err, lines[0])
	}
	h.entries = lines[1:]
	p.cursor = h.Cursor
	return h
}
