package main

import (
	"strings"
	"testing"
	"time"

	"witnessmark/server/store"
)

// guest is a browser with an open view link.
type guest struct {
	*phone
	linkID, secret string
}

func (o *testOffice) openLink(lead *phone, people bool) guest {
	o.t.Helper()
	path := lead.send("POST", "/api/v1/jobs/"+testJob+"/links", map[string]any{"name": "Friends", "people": people}).want(200).text("path")
	page, secret, _ := strings.Cut(path, "#")
	g := guest{phone: o.stranger(), linkID: strings.TrimPrefix(page, "/v/"), secret: secret}
	r := g.send("POST", page+"/open", map[string]string{"secret": secret}).want(200, `"name":"Friends"`)
	if c := r.header.Get("Set-Cookie"); !strings.Contains(c, "Path="+page) || !strings.Contains(c, "HttpOnly") || !strings.Contains(c, "SameSite=Strict") {
		o.t.Errorf("cookie = %q", c)
	}
	return g
}

// TestViewLink is T54.
func TestViewLink(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	o.stranger().send("GET", "/v/nobody", nil).want(200)
	lead.send("POST", "/api/v1/jobs/"+testJob+"/links", map[string]any{"name": "x"}).wantError(404, "not_found")
	lead.exchange(lead.write("one"))
	g := o.openLink(lead, false)
	r := g.send("GET", "/v/"+g.linkID+"/data", nil).want(200)
	for name, want := range map[string]string{"Cache-Control": "no-store", "Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex, nofollow"} {
		if got := r.header.Get(name); got != want {
			t.Errorf("%s = %q, want %q", name, got, want)
		}
	}

	other := o.openLink(lead, false)
	// The cookie of one link opens no other, whatever path it is sent to.
	cookie := cookieOf(t, g)
	o.stranger().send("GET", "/v/"+other.linkID+"/data", nil, "Cookie", cookie).wantError(401, "unauthorized")
	o.stranger().send("GET", "/v/"+g.linkID+"/data", nil, "Cookie", cookie).want(200)
	// Neither as a device's secret nor as its token.
	_, value, _ := strings.Cut(cookie, "=")
	o.stranger().send("POST", "/api/v1/token", map[string]string{}, "Cookie", "wm_device="+value).wantError(401, "unauthorized")
	o.stranger().send("GET", "/api/v1/jobs", nil, "Authorization", "Bearer "+value).wantError(401, "unauthorized")
	// And a device's token is no view cookie.
	o.stranger().send("GET", "/v/"+g.linkID+"/data", nil, "Cookie", "wm_view="+lead.token).wantError(401, "unauthorized")

	lead.send("DELETE", "/api/v1/jobs/"+testJob+"/links/"+g.linkID, nil).want(200)
	g.send("GET", "/v/"+g.linkID+"/data", nil).wantError(401, "unauthorized")
	g.send("POST", "/v/"+g.linkID+"/open", map[string]string{"secret": g.secret}).wantError(401, "unauthorized")
	other.send("GET", "/v/"+other.linkID+"/data", nil).want(200)
	o.later(31 * 24 * time.Hour)
	other.send("POST", "/v/"+other.linkID+"/open", map[string]string{"secret": other.secret}).wantError(401, "unauthorized")

	wrong := o.stranger().send("POST", "/v/"+other.linkID+"/open", map[string]string{"secret": "guess"}).wantError(401, "unauthorized")
	never := o.stranger().send("POST", "/v/never/open", map[string]string{"secret": "guess"}).wantError(401, "unauthorized")
	if string(wrong.body) != string(never.body) {
		t.Errorf("a wrong secret says %s, a link that never was says %s", wrong.body, never.body)
	}
	// No secret is in any log line (T57).
	log := o.log.String()
	for what, secret := range map[string]string{"link secret": g.secret, "view cookie": value, "token": lead.token, "guess": "guess"} {
		if strings.Contains(log, secret) {
			t.Errorf("the log holds the %s", what)
		}
	}
}

func cookieOf(t *testing.T, g guest) string {
	t.Helper()
	r := g.send("POST", "/v/"+g.linkID+"/open", map[string]string{"secret": g.secret}).want(200)
	cookie, _, _ := strings.Cut(r.header.Get("Set-Cookie"), ";")
	return cookie
}

// TestViewOpenLimit: guessing is slow.
func TestViewOpenLimit(t *testing.T) {
	o := newOffice(t)
	p := o.stranger()
	for range 30 {
		p.send("POST", "/v/x/open", map[string]string{"secret": "guess"}).wantError(401, "unauthorized")
	}
	r := p.send("POST", "/v/x/open", map[string]string{"secret": "guess"}).wantError(429, "unavailable")
	if r.header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
	o.later(time.Minute)
	p.send("POST", "/v/x/open", map[string]string{"secret": "guess"}).wantError(401, "unauthorized")
}
