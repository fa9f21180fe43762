package main

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"witnessmark/server/access"
	"witnessmark/server/api"
	"witnessmark/server/store"
)

// callers is everybody who may knock: three roles, and those who must stay outside.
type callers struct {
	o                                   *testOffice
	stranger, viewer, fitter, lead      *phone
	revoked, late, foreign              *phone
	guest, otherGuest, endedGuest       guest
	sha                                 string // a photo of the workshop
	everybody, devices, outsiders, outs []caller
}

type caller struct {
	name string
	*phone
}

func newCallers(t *testing.T) *callers {
	o := newOffice(t)
	c := &callers{o: o, stranger: o.stranger()}
	c.late = o.pairPhone(store.RoleLead)
	o.later(access.TokenLife + time.Second) // its token is over
	c.viewer, c.fitter, c.lead = o.pairPhone(store.RoleViewer), o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleLead)
	c.revoked, c.foreign = o.pairPhone(store.RoleLead), o.foreignPhone(store.RoleLead)
	c.lead.exchange(c.lead.write("ours"))
	c.sha = c.fitter.upload(noisyPNG(t, 20))
	c.guest, c.otherGuest, c.endedGuest = o.openLink(c.lead, false), o.openLink(c.lead, false), o.openLink(c.lead, false)
	c.lead.send("DELETE", "/api/v1/jobs/"+testJob+"/links/"+c.endedGuest.linkID, nil).want(200)
	c.lead.send("DELETE", "/api/v1/devices/"+string(c.revoked.device), nil).want(200)
	c.outsiders = []caller{{"nobody", c.stranger}, {"a view link", c.guest.phone}, {"a revoked phone", c.revoked}}
	c.outs = append(slices.Clone(c.outsiders), caller{"a token that is over", c.late})
	c.devices = []caller{{"viewer", c.viewer}, {"fitter", c.fitter}, {"lead", c.lead}, {"another group", c.foreign}}
	c.everybody = append(slices.Clone(c.outs), c.devices...)
	return c
}

// foreignPhone is a phone of another workspace on the same server.
func (o *testOffice) foreignPhone(role store.Role) *phone {
	o.t.Helper()
	other, err := openAccess(o.t.Context(), Config{Data: o.data, DB: o.cfg.DB, Workspace: "other", Now: o.clock})
	if err != nil {
		o.t.Fatal(err)
	}
	code, err := other.Pair(o.t.Context(), role)
	if err = closing(other.store, err); err != nil {
		o.t.Fatal(err)
	}
	p := o.stranger()
	p.send("POST", "/api/v1/pair", map[string]string{"code": code, "name": "of another group"}).want(200, `"jobs":[]`)
	p.buyToken()
	p.log = strings.Repeat("9", 32)
	return p
}

// whoMay says a second time, apart from the table of routes, who may use each: a rule changed by mistake is seen, and a new
// route has to be thought about here.
const whoMay = `
open           POST   /api/v1/pair
cookie         POST   /api/v1/token
reads          GET    /api/v1/jobs
reads          POST   /api/v1/jobs/{job}/exchange
leads          POST   /api/v1/jobs/{job}/handin
first message  GET    /api/v1/jobs/{job}/live
reads          GET    /api/v1/jobs/{job}/results
leads          GET    /api/v1/jobs/{job}/book
leads          GET    /api/v1/jobs/{job}/numbers
leads          GET    /api/v1/jobs/{job}/numbers/{name}
reads          GET    /api/v1/jobs/{job}/calendar
leads          GET    /api/v1/jobs/{job}/links
leads          POST   /api/v1/jobs/{job}/links
leads          DELETE /api/v1/jobs/{job}/links/{id}
leads          POST   /api/v1/codes
reads          GET    /api/v1/device
leads          GET    /api/v1/devices
reads          DELETE /api/v1/devices/{device}
leads          PATCH  /api/v1/devices/{device}
leads          POST   /api/v1/devices/{device}/key
leads          GET    /api/v1/audit
writes         HEAD   /api/v1/blobs/{sha}
writes         PATCH  /api/v1/blobs/{sha}
reads          GET    /api/v1/blobs/{sha}
reads          GET    /api/v1/calc
reads          POST   /api/v1/calc/{name}
open           GET    /v/{id}
open           POST   /v/{id}/open
views          GET    /v/{id}/data
views          GET    /v/{id}/live
views          GET    /v/{id}/photo/{sha}
open           GET    /book/{name}
open           GET    /healthz
open           GET    /metrics
open           GET    /
`

// TestWhoMay compares the table of routes with what is said here.
func TestWhoMay(t *testing.T) {
	said := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(whoMay), "\n") {
		said[strings.Join(strings.Fields(line[15:]), " ")] = strings.TrimSpace(line[:15])
	}
	for _, r := range api.Routes() {
		name := r.Method + " " + r.Path
		if rule, ok := said[name]; !ok || rule != r.Rule || rule == "" {
			t.Errorf("%s has the rule %q; said here: %q", name, r.Rule, rule)
		}
		delete(said, name)
	}
	for name := range said {
		t.Errorf("%s is no route", name)
	}
}

// TestEveryRouteEveryCaller walks the table of routes with everybody (T53, T54, T55): each rule lets in whom it names and
// nobody else. A route that has no rule, or one that this test does not know, fails.
func TestEveryRouteEveryCaller(t *testing.T) {
	c := newCallers(t)
	for _, r := range api.Routes() {
		t.Run(r.Method+" "+r.Path, func(t *testing.T) {
			switch r.Rule {
			case "open", "first message":
				c.everybodyAlike(t, r)
			case "cookie":
				c.refused(t, r, 401, c.outsiders...)
				c.admitted(t, r, append(c.devices, caller{"a token that is over", c.late})...) // that is how it buys the next
			case "reads":
				c.refused(t, r, 401, c.outs...)
				c.admitted(t, r, c.mayRead(r)...)
			case "writes":
				c.refused(t, r, 401, c.outs...)
				c.refused(t, r, 403, caller{"viewer", c.viewer})
				c.admitted(t, r, c.devices[1:]...)
			case "leads":
				c.refused(t, r, 401, c.outs...)
				c.refused(t, r, 403, c.devices[:2]...)
				c.admitted(t, r, c.devices[2:]...)
			case "views":
				c.refused(t, r, 401, c.devices...)
				c.refused(t, r, 401, caller{"nobody", c.stranger}, caller{"a revoked phone", c.revoked})
				c.refused(t, r, 401, caller{"another link", c.otherGuest.phone}, caller{"an ended link", c.endedGuest.phone})
				c.admitted(t, r, caller{"its own link", c.guest.phone})
			default:
				t.Errorf("the route has no rule, or %q is one that nobody has thought about here", r.Rule)
			}
		})
	}
}

// mayRead: whoever reads may come in; ending another phone is the lead's alone.
func (c *callers) mayRead(r api.Route) []caller {
	if r.Method == "DELETE" && strings.Contains(r.Path, "/devices/") {
		return c.devices[2:]
	}
	return c.devices
}

// knock sends what would be in order but for who sends it, with the page's own origin.
func (c *callers) knock(t *testing.T, r api.Route, who caller) reply {
	t.Helper()
	path := fillPath(r.Path, c.linkFor(r))
	headers := []string{"Content-Type", "application/json", "Origin", c.o.url}
	if strings.HasPrefix(r.Path, "/v/") {
		headers = append(headers, "Cookie", c.viewCookie(t, who))
	}
	body := []byte(`{}`)
	if strings.HasSuffix(path, "/exchange") {
		body, headers[1] = []byte(`{"v":1}`+"\n"), ndjson
	}
	got := who.raw(r.Method, path, body, headers...)
	got.t, got.what = t, who.name+": "+got.what
	return got
}

// linkFor: only the view's own routes are walked with a real link, which the walk must not end.
func (c *callers) linkFor(r api.Route) string {
	if strings.HasPrefix(r.Path, "/v/") {
		return c.guest.linkID
	}
	return "nobody"
}

// viewCookie sends a guest's cookie to a path that the browser would not send it to.
func (c *callers) viewCookie(t *testing.T, who caller) string {
	t.Helper()
	for _, g := range []guest{c.otherGuest, c.endedGuest} {
		if who.phone == g.phone {
			req, err := http.NewRequest("GET", c.o.url+"/v/"+g.linkID+"/data", nil)
			if err != nil {
				t.Fatal(err)
			}
			var all []string
			for _, cookie := range g.client.Jar.Cookies(req.URL) {
				all = append(all, cookie.Name+"="+cookie.Value)
			}
			if len(all) == 0 {
				t.Fatal("the link has no cookie: this walk would prove nothing")
			}
			return strings.Join(all, "; ")
		}
	}
	return ""
}

func (c *callers) refused(t *testing.T, r api.Route, status int, all ...caller) {
	t.Helper()
	for _, who := range all {
		got := c.knock(t, r, who)
		if got.status != status {
			t.Errorf("%s = %d, want %d: %.200s", got.what, got.status, status, got.body)
			continue
		}
		if r.Method != "HEAD" {
			got.wantError(status, "unauthorized")
		}
	}
}

func (c *callers) admitted(t *testing.T, r api.Route, all ...caller) {
	t.Helper()
	for _, who := range all {
		if got := c.knock(t, r, who); got.status == 401 || got.status == 403 || got.status >= 429 {
			t.Errorf("%s = %d: %.200s", got.what, got.status, got.body)
		}
	}
}

// everybodyAlike: an open route does not care who asks, so nothing can be learnt from it.
func (c *callers) everybodyAlike(t *testing.T, r api.Route) {
	t.Helper()
	want := c.knock(t, r, caller{"nobody", c.stranger})
	for _, who := range c.everybody {
		got := c.knock(t, r, who)
		if got.status != want.status || (string(got.body) != string(want.body) && r.Path != "/metrics") {
			t.Errorf("%s = %d, nobody's %d: %.200s", got.what, got.status, want.status, got.body)
		}
	}
}

func fillPath(path, link string) string {
	return strings.NewReplacer("{job}", testJob, "{id}", link, "{sha}", strings.Repeat("ab", 32), "{device}", strings.Repeat("cd", 16),
		"{name}", "ratio").Replace(path)
}

// TestForeignLooksMissing is T55 for every route: what is another group's is answered byte for byte as what never was.
func TestForeignLooksMissing(t *testing.T) {
	c := newCallers(t)
	ours := strings.NewReplacer("{job}", testJob, "{id}", c.guest.linkID, "{sha}", c.sha, "{device}", string(c.lead.device), "{name}", "ratio")
	never := strings.NewReplacer("{job}", otherJob, "{id}", "AAAAAAAAAAAAAAAAAAAAAA", "{sha}", shaOf([]byte("never")),
		"{device}", strings.Repeat("e", 32), "{name}", "ratio")
	for _, r := range api.Routes() {
		if !strings.Contains(r.Path, "{") || (r.Rule != "reads" && r.Rule != "writes" && r.Rule != "leads") {
			continue
		}
		body, typ := []byte(`{"name":"x"}`), "application/json"
		if strings.HasSuffix(r.Path, "/exchange") {
			body, typ = []byte(`{"v":1}`+"\n"), ndjson
		}
		a := c.foreign.raw(r.Method, ours.Replace(r.Path), body, "Content-Type", typ)
		b := c.foreign.raw(r.Method, never.Replace(r.Path), body, "Content-Type", typ)
		if got := strings.ReplaceAll(string(a.body), testJob, otherJob); a.status != b.status || got != string(b.body) {
			t.Errorf("%s %s: ours %d %.200s\nnever %d %.200s", r.Method, r.Path, a.status, a.body, b.status, b.body)
		}
	}
	if job, err := c.o.Store().Job(t.Context(), c.o.Workspace(), testJob); err != nil || job.Pos != 1 {
		t.Errorf("the walk has changed our job: %d, %v", job.Pos, err)
	}
}

// TestEverySocketMessage walks what a socket may be told first (T53, T54, T55).
func TestEverySocketMessage(t *testing.T) {
	c := newCallers(t)
	path := "/api/v1/jobs/" + testJob + "/live"
	first := func(cookie, text string) *websocket.Conn {
		t.Helper()
		conn, status := c.o.dial(path, c.o.url, cookie)
		if status != 101 {
			t.Fatalf("live = %d", status)
		}
		if err := conn.WriteMessage(websocket.TextMessage, []byte(text)); err != nil {
			t.Fatal(err)
		}
		return conn
	}
	view := cookieOf(t, c.guest)
	_, value, _ := strings.Cut(view, "=")
	for name, m := range map[string]struct{ cookie, text string }{
		"nobody":                      {"", `{}`},
		"a view link":                 {view, `{}`},
		"a view link as a token":      {view, `{"token":"` + value + `"}`},
		"a revoked phone":             {"", `{"token":"` + c.revoked.token + `"}`},
		"a token that is over":        {"", `{"token":"` + c.late.token + `"}`},
		"a phone's secret, no token":  {cookieHeader(t, c.lead, c.lead.client.Jar), `{}`},
		"a list of tokens":            {"", `{"token":["` + c.lead.token + `"]}`},
		"something else with a token": {"", `["` + c.lead.token + `"]`},
	} {
		if why := ended(t, first(m.cookie, m.text)); why != "unauthorized" {
			t.Errorf("%s: ended with %q, want unauthorized", name, why)
		}
	}
	for _, who := range c.devices[:3] {
		hear(t, first("", `{"token":"`+who.token+`"}`), "more", 1)
	}

	// Another group may open a socket of that name: it is its own job of that name, which nobody has written to.
	foreign := first("", `{"token":"`+c.foreign.token+`"}`)
	c.lead.exchange(c.lead.write("two"))
	c.foreign.exchange(c.foreign.write("theirs"))
	_, msg, err := foreign.ReadMessage()
	if err != nil || string(msg) != `{"more":1}` {
		t.Errorf("another group hears %s, %v; want its own first entry and nothing of ours", msg, err)
	}

	// A later message with somebody else's token ends the socket.
	mixed := first("", `{"token":"`+c.viewer.token+`"}`)
	hear(t, mixed, "more", 2)
	if err := mixed.WriteMessage(websocket.TextMessage, []byte(`{"token":"`+c.lead.token+`"}`)); err != nil {
		t.Fatal(err)
	}
	if why := ended(t, mixed); why == "" || strings.Contains(why, "more") {
		t.Errorf("another's token in a later message: %q", why)
	}
}

// TestOneLineAnAction is T57: each act of access leaves exactly one line that says who and what, and no secret is anywhere.
func TestOneLineAnAction(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	count := func() map[string]int {
		lines, err := o.Store().AuditLines(t.Context(), o.Workspace(), 1000)
		if err != nil {
			t.Fatal(err)
		}
		n := map[string]int{}
		for _, l := range lines {
			n[l.Action]++
			if l.At.IsZero() || l.Action == "" {
				t.Errorf("a line without time or action: %+v", l)
			}
		}
		return n
	}
	var code string
	var p *phone
	var g guest
	acts := []struct {
		action string
		do     func()
	}{
		{access.ActionCode, func() {
			code = lead.send("POST", "/api/v1/codes", map[string]string{"role": "fitter"}).want(200).text("code")
		}},
		{access.ActionPair, func() {
			p = o.stranger()
			p.device = store.DeviceID(p.send("POST", "/api/v1/pair", map[string]string{"code": code, "name": "P2"}).want(200).text("device"))
			p.log = string(p.device)
		}},
		{"", func() { p.buyToken() }},
		{"", func() { p.exchange(p.write("one")) }},
		{access.ActionRefuse, func() { p.exchange([]byte("no entry")) }},
		{access.ActionFork, func() {
			p.seq, p.prev = 0, ""
			p.exchange(p.write("another first"))
		}},
		{access.ActionClone, func() {
			p.lease += 10
			p.exchange()
		}},
		{access.ActionShare, func() { g = o.openLink(lead, false) }},
		{"", func() { g.send("GET", "/v/"+g.linkID+"/data", nil).want(200) }},
		{access.ActionUnshare, func() { lead.send("DELETE", "/api/v1/jobs/"+testJob+"/links/"+g.linkID, nil).want(200) }},
		{access.ActionRevoke, func() { lead.send("DELETE", "/api/v1/devices/"+string(p.device), nil).want(200) }},
		{"", func() { lead.send("DELETE", "/api/v1/devices/"+string(p.device), nil).want(200) }}, // twice is once
		{access.ActionHandIn, func() { lead.takeIn(p.saved(p.write("from a file"))).want(200) }},
		{"", func() {
			o.stranger().send("POST", "/api/v1/pair", map[string]string{"code": "BCDFGHJK", "name": "x"}).want(401)
		}},
	}
	secrets := map[string]string{}
	for i, a := range acts {
		before := count()
		a.do()
		for action, n := range count() {
			want := before[action]
			if action == a.action {
				want++
			}
			if n != want {
				t.Errorf("act %d (%s): %d lines of %q, want %d", i, a.action, n, action, want)
			}
		}
	}
	secrets["pairing code"], secrets["link secret"] = code, g.secret
	secrets["lead's token"], secrets["fitter's token"] = lead.token, p.token
	_, secrets["device secret"], _ = strings.Cut(cookieHeader(t, p, p.client.Jar), "=")
	audit := lead.send("GET", "/api/v1/audit", nil).want(200)
	metrics := o.stranger().send("GET", "/metrics", nil).want(200)
	for where, text := range map[string]string{"log": o.log.String(), "audit": string(audit.body), "metrics": string(metrics.body)} {
		if len(text) < 200 {
			t.Errorf("the %s holds next to nothing: %s", where, text)
		}
		for what, secret := range secrets {
			if secret == "" || strings.Contains(text, secret) {
				t.Errorf("the %s holds the %s %q", where, what, secret)
			}
		}
	}
}

// TestLimits is T56: each route that anybody may use is bounded for an address, and says how long to wait; another address
// goes on.
func TestLimits(t *testing.T) {
	for _, c := range []struct{ method, path string }{
		{"POST", "/api/v1/pair"}, {"POST", "/api/v1/token"}, {"POST", "/v/x/open"}, {"GET", "/v/x/data"}, {"GET", "/v/x/live"},
		{"GET", "/api/v1/jobs/" + testJob + "/live"},
	} {
		t.Run(c.method+" "+c.path, func(t *testing.T) {
			o := newOffice(t, func(c *Config) { c.TrustProxy = true })
			p := o.stranger()
			knock := func(address string) reply {
				return p.raw(c.method, c.path, []byte(`{}`), "Content-Type", "application/json", "X-Forwarded-For", address)
			}
			n := 0
			for knock("198.51.100.1").status != http.StatusTooManyRequests {
				if n++; n > 1000 {
					t.Fatal("a thousand requests of one address, and no end")
				}
			}
			r := knock("198.51.100.1").wantError(http.StatusTooManyRequests, "unavailable")
			if r.header.Get("Retry-After") == "" {
				t.Error("no Retry-After")
			}
			if other := knock("198.51.100.2"); other.status == http.StatusTooManyRequests {
				t.Error("another address is held up")
			}
			o.later(time.Minute)
			if again := knock("198.51.100.1"); again.status == http.StatusTooManyRequests {
				t.Error("after a minute it is still held up")
			}
			t.Log(fmt.Sprint(n, " at once"))
		})
	}
}

// TestPhoneLimit is T56: one phone that asks without end is held up, and the others are not.
func TestPhoneLimit(t *testing.T) {
	o := newOffice(t)
	p, other := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleFitter)
	n := 0
	for p.send("GET", "/api/v1/jobs", nil).status != http.StatusTooManyRequests {
		if n++; n > 10_000 {
			t.Fatal("ten thousand requests of one phone, and no end")
		}
	}
	if r := p.send("GET", "/api/v1/jobs", nil).wantError(http.StatusTooManyRequests, "unavailable"); r.header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
	other.send("GET", "/api/v1/jobs", nil).want(200)
	o.later(time.Second)
	p.send("GET", "/api/v1/jobs", nil).want(200)
}

// TestCrossSiteEveryRoute is T56: whatever changes something refuses a page of another site, though the browser sent every
// key along with it; a JSON route refuses what a plain form can send.
func TestCrossSiteEveryRoute(t *testing.T) {
	c := newCallers(t)
	walked := 0
	for _, r := range api.Routes() {
		if r.Method == "GET" || r.Method == "HEAD" {
			continue
		}
		walked++
		path := fillPath(r.Path, c.linkFor(r))
		for name, headers := range map[string][]string{
			"foreign origin": {"Origin", "https://example.net"}, "no origin": {"Origin", "null"}, "look-alike": {"Origin", c.o.url + ".example.net"},
			"a browser that sends none": {"Sec-Fetch-Site", "cross-site"}, "another name of this site": {"Sec-Fetch-Site", "same-site"},
		} {
			got := c.lead.raw(r.Method, path, []byte(`{}`), append(headers, "Content-Type", "application/json")...)
			got.t = t
			if got.status != 403 {
				t.Errorf("%s %s, %s = %d, want 403", r.Method, r.Path, name, got.status)
			}
		}
	}
	if walked < 8 {
		t.Errorf("only %d routes change something", walked)
	}
	if job, err := c.o.Store().Job(t.Context(), c.o.Workspace(), testJob); err != nil || job.Pos != 1 {
		t.Errorf("the walk has changed the job: %d, %v", job.Pos, err)
	}
}
