package main

import (
	"context"
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"witnessmark/server/store"
)

// dial opens a socket with an Origin ("" = none) and a cookie; status is the answer's when it is refused.
func (o *testOffice) dial(path, origin, cookie string) (*websocket.Conn, int) {
	o.t.Helper()
	h := http.Header{}
	if origin != "" {
		h.Set("Origin", origin)
	}
	if cookie != "" {
		h.Set("Cookie", cookie)
	}
	conn, res, err := websocket.DefaultDialer.DialContext(o.t.Context(), "ws"+strings.TrimPrefix(o.url, "http")+path, h)
	if err != nil {
		if res == nil {
			o.t.Fatalf("dial: %v", err)
		}
		return nil, res.StatusCode
	}
	o.t.Cleanup(func() { _ = conn.Close() })
	return conn, 101
}

func (p *phone) listen() *websocket.Conn {
	p.o.t.Helper()
	conn, status := p.o.dial("/api/v1/jobs/"+p.job+"/live", p.o.url, "")
	if status != 101 {
		p.o.t.Fatalf("live = %d", status)
	}
	if err := conn.WriteJSON(map[string]string{"token": p.token}); err != nil {
		p.o.t.Fatal(err)
	}
	return conn
}

// hear reads messages until one has the member with at least that position.
func hear(t *testing.T, conn *websocket.Conn, member string, pos int64) {
	t.Helper()
	for {
		_, msg, err := conn.ReadMessage()
		if err != nil {
			t.Fatalf("waiting for %s %d: %v", member, pos, err)
		}
		var got map[string]int64
		if err := json.Unmarshal(msg, &got); err != nil || len(got) != 1 {
			t.Fatalf("message %s: a push carries one position and nothing else", msg)
		}
		if p, ok := got[member]; ok && p >= pos {
			return
		}
	}
}

// ended reads until the socket is closed and returns the reason that the server gave.
func ended(t *testing.T, conn *websocket.Conn) string {
	t.Helper()
	for {
		if _, _, err := conn.ReadMessage(); err != nil {
			var c *websocket.CloseError
			if ok := asClose(err, &c); ok {
				return c.Text
			}
			return err.Error()
		}
	}
}

func asClose(err error, c **websocket.CloseError) bool {
	e, ok := err.(*websocket.CloseError)
	*c = e
	return ok
}

func TestLive(t *testing.T) {
	o := newOffice(t)
	a, b := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleViewer)
	a.exchange(a.write("one"))
	conn := b.listen()
	hear(t, conn, "more", 1)
	a.exchange(a.write("two"))
	hear(t, conn, "more", 2)
	hear(t, conn, "results", 2)

	// Another job's entries are not this socket's business: the answer to the next message still says 2.
	a.job, a.cursor, a.prev, a.seq, a.log = otherJob, nil, "", 0, strings.Repeat("7", 32)
	a.exchange(a.write("one"), a.write("two"), a.write("three"))
	if err := conn.WriteJSON(map[string]string{"token": b.token}); err != nil {
		t.Fatal(err)
	}
	for {
		_, msg, err := conn.ReadMessage()
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(msg), "more") {
			if string(msg) != `{"more":2}` {
				t.Errorf("push = %s, want {\"more\":2}", msg)
			}
			return
		}
	}
}

func TestLiveOrigin(t *testing.T) {
	o := newOffice(t)
	host := strings.TrimPrefix(o.url, "http://")
	for name, origin := range map[string]string{
		"foreign": "https://example.net", "missing": "", "null": "null", "look-alike": o.url + ".example.net",
		"host as user": "http://" + host + "@example.net", "host as path": "http://example.net/" + host, "other scheme": "ftp://" + host,
		"a port that begins alike": o.url + "1", "a name that ends alike": "http://evil-" + host, "more than an origin": o.url + "/x",
	} {
		if _, status := o.dial("/api/v1/jobs/"+testJob+"/live", origin, ""); status != 403 {
			t.Errorf("%s origin %q = %d, want 403", name, origin, status)
		}
	}
}

func TestLiveOriginList(t *testing.T) {
	o := newOffice(t, func(c *Config) { c.Origins = []string{"https://marks.example.net"} })
	if _, status := o.dial("/api/v1/jobs/"+testJob+"/live", "https://marks.example.net", ""); status != 101 {
		t.Errorf("the origin of the list = %d, want 101", status)
	}
	if _, status := o.dial("/api/v1/jobs/"+testJob+"/live", o.url, ""); status != 403 {
		t.Errorf("the request's own host beside a list = %d, want 403", status)
	}
}

func TestLiveUnauthorized(t *testing.T) {
	o := newOffice(t)
	for first, code := range map[string]int{
		`{"token":"x"}`: websocket.ClosePolicyViolation, `{}`: websocket.ClosePolicyViolation,
		"nonsense": websocket.ClosePolicyViolation,
	} {
		conn, _ := o.dial("/api/v1/jobs/"+testJob+"/live", o.url, "")
		if err := conn.WriteMessage(websocket.TextMessage, []byte(first)); err != nil {
			t.Fatal(err)
		}
		if _, _, err := conn.ReadMessage(); !websocket.IsCloseError(err, code) || !strings.Contains(err.Error(), "unauthorized") {
			t.Errorf("%.20s: %v, want close %d", first, err, code)
		}
	}
	long, _ := o.dial("/api/v1/jobs/"+testJob+"/live", o.url, "")
	// The server may cut while this is still being written; then the error is the writer's.
	_ = long.WriteMessage(websocket.TextMessage, []byte(strings.Repeat("x", 10_000)))
	if _, msg, err := long.ReadMessage(); err == nil {
		t.Errorf("after a message of 10,000 bytes: %s", msg)
	}
}

// TestLiveRevoked is T52: a revoked phone's socket closes, other phones' stay.
func TestLiveRevoked(t *testing.T) {
	o := newOffice(t)
	lead, p := o.pairPhone(store.RoleLead), o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"))
	stays, goes := lead.listen(), p.listen()
	hear(t, stays, "more", 1)
	hear(t, goes, "more", 1)
	lead.send("DELETE", "/api/v1/devices/"+string(p.device), nil).want(200)
	if why := ended(t, goes); why != "revoked" {
		t.Errorf("ended with %q, want revoked", why)
	}
	lead.exchange(lead.write("two"))
	hear(t, stays, "more", 2)
	if err := o.hub.Until(t.Context(), 1); err != nil {
		t.Error(err)
	}
}

// TestLiveView: a view socket hears, says nothing, and dies with its link.
func TestLiveView(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	lead.exchange(lead.write("one"))
	g := o.openLink(lead, false)
	cookie := cookieOf(t, g)
	path := "/v/" + g.linkID + "/live"
	if _, status := o.dial(path, o.url, ""); status != 401 {
		t.Errorf("without a cookie = %d, want 401", status)
	}
	if _, status := o.dial(path, "https://example.net", cookie); status != 403 {
		t.Errorf("from another site = %d, want 403", status)
	}
	talks, _ := o.dial(path, o.url, cookie)
	hear(t, talks, "more", 1)
	if err := talks.WriteJSON(map[string]string{"token": lead.token}); err != nil {
		t.Fatal(err)
	}
	if why := ended(t, talks); why != "this socket only listens" {
		t.Errorf("a message from a view: %q", why)
	}
	conn, _ := o.dial(path, o.url, cookie)
	hear(t, conn, "more", 1)
	lead.send("DELETE", "/api/v1/jobs/"+testJob+"/links/"+g.linkID, nil).want(200)
	if why := ended(t, conn); why != "revoked" {
		t.Errorf("ended with %q, want revoked", why)
	}
}

// TestLiveExpires: the socket ends with its token unless it is renewed.
func TestLiveExpires(t *testing.T) {
	o := newOffice(t)
	p, q := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"))
	renews, expires := p.listen(), q.listen()
	hear(t, renews, "more", 1)
	hear(t, expires, "more", 1)
	o.later(9 * time.Minute)
	p.buyToken()
	if err := renews.WriteJSON(map[string]string{"token": p.token}); err != nil {
		t.Fatal(err)
	}
	hear(t, renews, "more", 1) // the answer to the fresh token
	o.later(2 * time.Minute)
	// Waking the writers makes them look at the clock.
	o.hub.Note(store.Note{Lost: true})
	if why := ended(t, expires); why != "expired" {
		t.Errorf("ended with %q, want expired", why)
	}
	p.exchange(p.write("two"))
	hear(t, renews, "more", 2)
}

// TestCloseEndsSockets: closing the server leaves no socket behind.
func TestCloseEndsSockets(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"))
	conn := p.listen()
	hear(t, conn, "more", 1)
	o.hub.Close()
	if why := ended(t, conn); why != "the server is closing" {
		t.Errorf("ended with %q", why)
	}
	if err := o.hub.Until(context.Background(), 0); err != nil {
		t.Error(err)
	}
}
