package main

import (
	"regexp"
	"slices"
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

// firstView is the most that a view link may fetch before its photos, in bytes as sent.
const firstView = 150 << 10

// TestFirstViewIsSmall: what a browser fetches for the first view of the invented workshop, page, style, scripts, fonts and
// data, as it is sent.
func TestFirstViewIsSmall(t *testing.T) {
	data := demoData(t)
	o := newOffice(t, func(c *Config) { c.Data = data })
	lead := o.pairPhone(store.RoleLead)
	var jobs struct{ Jobs []struct{ Job string } }
	lead.send("GET", "/api/v1/jobs", nil).want(200).into(&jobs)
	path := lead.send("POST", "/api/v1/jobs/"+jobs.Jobs[0].Job+"/links", map[string]any{"name": "Friends"}).want(200).text("path")
	page, secret, _ := strings.Cut(path, "#")
	guest := o.stranger()
	guest.send("POST", page+"/open", map[string]string{"secret": secret}).want(200)
	fetched := []string{page, page + "/data"}
	named := regexp.MustCompile(`/book/([a-z]+\.(?:css|js|woff2))|from '\./([a-z]+\.js)'`)
	sum := 0
	for i := 0; i < len(fetched); i++ {
		// Naming an encoding oneself keeps the client from unpacking it: the body is what went over the line.
		r := guest.send("GET", fetched[i], nil, "Accept-Encoding", "gzip").want(200)
		sum += len(r.body)
		t.Logf("%7d bytes %s %s", len(r.body), strings.TrimPrefix(fetched[i], page), r.header.Get("Content-Encoding"))
		plain := guest.send("GET", fetched[i], nil).want(200)
		if fetched[i] == page+"/data" {
			continue
		}
		for _, m := range named.FindAllStringSubmatch(string(plain.body), -1) {
			if name := "/book/" + m[1] + m[2]; !slices.Contains(fetched, name) {
				fetched = append(fetched, name)
			}
		}
	}
	if len(fetched) < 8 {
		t.Fatalf("only %v were found", fetched)
	}
	if sum > firstView {
		t.Errorf("the first view takes %d bytes, want at most %d", sum, firstView)
	}
}

// TestViewWeek: the page tells what was done in the last seven days, and no longer what was done before.
func TestViewWeek(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	lead.exchange(lead.write("one"))
	g := o.openLink(lead, false)
	g.send("GET", "/v/"+g.linkID+"/data", nil).want(200, `"week":[]`)
	lead.keeps("photo", `{"sha":"`+strings.Repeat("ab", 32)+`","size":9,"type":"image/jpeg"}`)
	g.send("GET", "/v/"+g.linkID+"/data", nil).want(200, `"week":[{"words":"1 photo taken"}]`)
	o.later(7 * 24 * time.Hour)
	g.send("POST", "/v/"+g.linkID+"/open", map[string]string{"secret": g.secret}).want(200)
	g.send("GET", "/v/"+g.linkID+"/data", nil).want(200, "1 photo taken")
	o.later(24 * time.Hour)
	g.send("POST", "/v/"+g.linkID+"/open", map[string]string{"secret": g.secret}).want(200)
	g.send("GET", "/v/"+g.linkID+"/data", nil).want(200, `"week":[]`)
}
