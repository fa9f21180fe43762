package main

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"witnessmark/server/store"
)

// TestPairing is T49 by HTTP.
func TestPairing(t *testing.T) {
	o := newOffice(t)
	code, err := o.Pair(t.Context(), store.RoleFitter)
	if err != nil {
		t.Fatal(err)
	}
	p := o.stranger()
	asTyped := strings.ToLower(code[:4]) + " - " + code[4:]
	r := p.send("POST", "/api/v1/pair", map[string]string{"code": asTyped, "name": "Idris"}).want(200, `"role":"fitter"`, `"jobs":[]`)
	cookie := r.header.Get("Set-Cookie")
	for _, part := range []string{"wm_device=", "HttpOnly", "SameSite=Strict", "Path=/"} {
		if !strings.Contains(cookie, part) {
			t.Errorf("cookie %q lacks %s", cookie, part)
		}
	}
	p.send("POST", "/api/v1/pair", map[string]string{"code": code, "name": "again"}).wantError(401, "unauthorized")
	late, err := o.Pair(t.Context(), store.RoleLead)
	if err != nil {
		t.Fatal(err)
	}
	o.later(10 * time.Minute)
	p.send("POST", "/api/v1/pair", map[string]string{"code": late, "name": "late"}).wantError(401, "unauthorized")
	if _, err := o.Pair(t.Context(), "owner"); err == nil {
		t.Error("Pair(owner) = nil, want an error")
	}
}

func TestPairingWrongTries(t *testing.T) {
	o := newOffice(t)
	code, err := o.Pair(t.Context(), store.RoleFitter)
	if err != nil {
		t.Fatal(err)
	}
	p := o.stranger()
	for range 5 {
		p.send("POST", "/api/v1/pair", map[string]string{"code": "BCDFGHJK", "name": "x"}).wantError(401, "unauthorized")
	}
	r := p.send("POST", "/api/v1/pair", map[string]string{"code": code, "name": "x"}).wantError(429, "unauthorized")
	if r.header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
}

// TestPairingCookieOverHTTPS: behind a proxy that speaks HTTPS the cookie is bound to the host.
func TestPairingCookieOverHTTPS(t *testing.T) {
	o := newOffice(t, func(c *Config) { c.TrustProxy = true })
	code, err := o.Pair(t.Context(), store.RoleFitter)
	if err != nil {
		t.Fatal(err)
	}
	r := o.stranger().send("POST", "/api/v1/pair", map[string]string{"code": code, "name": "Idris"}, "X-Forwarded-Proto", "https").want(200)
	if c := r.header.Get("Set-Cookie"); !strings.HasPrefix(c, "__Host-wm_device=") || !strings.Contains(c, "Secure") || strings.Contains(c, "Domain") {
		t.Errorf("cookie = %q", c)
	}
}

// TestSecretRotation is T51: the reply with the new secret may be lost.
func TestSecretRotation(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	old := p.client.Jar
	o.later(31 * 24 * time.Hour)
	p.client.Jar = nil
	cookie := cookieHeader(t, p, old)
	first := p.send("POST", "/api/v1/token", map[string]string{}, "Cookie", cookie).want(200)
	if first.header.Get("Set-Cookie") == "" {
		t.Fatal("no fresh secret after 31 days")
	}
	second := p.send("POST", "/api/v1/token", map[string]string{}, "Cookie", cookie).want(200)
	fresh, _, _ := strings.Cut(second.header.Get("Set-Cookie"), ";")
	p.send("POST", "/api/v1/token", map[string]string{}, "Cookie", fresh).want(200)
	p.send("POST", "/api/v1/token", map[string]string{}, "Cookie", cookie).wantError(401, "unauthorized")
}

func cookieHeader(t *testing.T, p *phone, jar http.CookieJar) string {
	t.Helper()
	req, err := http.NewRequest("GET", p.o.url, nil)
	if err != nil {
		t.Fatal(err)
	}
	var parts []string
	for _, c := range jar.Cookies(req.URL) {
		parts = append(parts, c.Name+"="+c.Value)
	}
	return strings.Join(parts, "; ")
}

// TestRevoked is T52: the next call is refused, the entries stay.
func TestRevoked(t *testing.T) {
	o := newOffice(t)
	lead, p := o.pairPhone(store.RoleLead), o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"))
	p.send("DELETE", "/api/v1/devices/"+string(lead.device), nil).wantError(403, "unauthorized")
	lead.send("DELETE", "/api/v1/devices/"+string(p.device), nil).want(200)
	p.send("GET", "/api/v1/jobs", nil).wantError(401, "unauthorized")
	p.send("POST", "/api/v1/token", map[string]string{}).wantError(401, "unauthorized")
	if h := lead.exchange(); len(h.entries) != 1 {
		t.Errorf("%d entries, want the revoked phone's to stay", len(h.entries))
	}
	lead.send("GET", "/api/v1/devices", nil).want(200, `"revoked":"2031-`)
	lead.send("GET", "/api/v1/audit", nil).want(200, `"revoke phone"`)
	own := o.pairPhone(store.RoleViewer)
	own.send("DELETE", "/api/v1/devices/"+string(own.device), nil).want(200)
	own.send("GET", "/api/v1/jobs", nil).wantError(401, "unauthorized")
}

func TestTokenExpires(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	o.later(10*time.Minute + time.Second)
	p.send("GET", "/api/v1/jobs", nil).wantError(401, "unauthorized")
	p.buyToken()
	p.send("GET", "/api/v1/jobs", nil).want(200)
}

// TestWorkspaces is T55: what is another workspace's looks exactly like what is missing.
func TestWorkspaces(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	lead.exchange(lead.write("ours"))
	link := o.openLink(lead, false)

	other, err := openAccess(t.Context(), Config{Data: o.data, Workspace: "other", Now: o.clock})
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	code, err := other.Pair(t.Context(), store.RoleLead)
	if err != nil {
		t.Fatal(err)
	}
	stranger := o.stranger()
	stranger.send("POST", "/api/v1/pair", map[string]string{"code": code, "name": "stranger"}).want(200, `"jobs":[]`)
	stranger.buyToken()
	stranger.log = strings.Repeat("9", 32)

	stranger.send("GET", "/api/v1/jobs", nil).want(200, `{"jobs":[]}`)
	if h := stranger.exchange(); h.Count != 0 || len(h.entries) != 0 || len(h.Heads) != 0 {
		t.Errorf("exchange = %+v", h)
	}
	foreign := []struct{ method, path string }{
		{"GET", "/api/v1/jobs/" + testJob + "/results"}, {"DELETE", "/api/v1/jobs/" + testJob + "/links/" + link.linkID},
		{"DELETE", "/api/v1/devices/" + string(lead.device)},
	}
	for _, f := range foreign {
		a := stranger.send(f.method, f.path, nil).wantError(404, "not_found")
		b := stranger.send(f.method, strings.Replace(strings.Replace(f.path, testJob, otherJob, 1), string(lead.device), strings.Repeat("e", 32), 1), nil)
		if string(a.body) != string(b.body) || a.status != b.status {
			t.Errorf("%s %s: %s, a missing one: %s", f.method, f.path, a.body, b.body)
		}
	}
	stranger.send("POST", "/api/v1/jobs/"+testJob+"/links", map[string]any{"name": "x"}).wantError(404, "not_found")
	stranger.send("GET", "/api/v1/jobs/"+testJob+"/links", nil).want(200, `{"links":[]}`)
	if got := stranger.send("GET", "/api/v1/audit", nil).want(200); strings.Contains(string(got.body), string(lead.device)) {
		t.Errorf("foreign audit lines: %s", got.body)
	}
}
