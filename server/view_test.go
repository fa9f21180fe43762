package main

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/jcs"
)

// guest is a browser with an open view link.
type guest struct {
	*phone
	linkID, secret string
	people         bool
}

func (o *testOffice) openLink(lead *phone, people bool) guest {
	o.t.Helper()
	return o.openLinkFor(lead, "Friends", people)
}

func (o *testOffice) openLinkFor(lead *phone, name string, people bool) guest {
	o.t.Helper()
	path := lead.send("POST", "/api/v1/jobs/"+testJob+"/links", map[string]any{"name": name, "people": people}).want(200).text("path")
	page, secret, _ := strings.Cut(path, "#")
	g := guest{phone: o.stranger(), linkID: strings.TrimPrefix(page, "/v/"), secret: secret, people: people}
	r := g.send("POST", page+"/open", map[string]string{"secret": secret}).want(200, `"expires":`)
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

// told are words of everything that is said in a job, each with a name in it as people write one.
var told = []struct{ kind, body string }{
	{"person", `{"person":"idris","name":"Idris Cole","role":"lead"}`},
	{"person", `{"person":"bram-hale","name":"Bram Hale","role":"fitter"}`},
	{"job", `{"title":"Idris Cole's railcar","vehicle":"railcar of BRAM HALE"}`},
	{"numbering", `{"name":"ours","end1":"timing end","end2":"flywheel end","facing":"as Bram stands","left":"Idris's side","right":"right"}`},
	{"engine", `{"asm":"2117","pattern":"u6","name":"Hale","band":"solid"}`},
	{"engine", `{"asm":"2123","pattern":"u6","name":"twenty-three","band":"hatched"}`},
	{"fitting", `{"moves":[{"asm":"2117","side":"left"},{"asm":"2123","place":"bench of Idris Cole"}],"day":"2031-04-12"}`},
	{"photo", `{"of":{"asm":"2117","at":"pin.4.journal"},"sha":"` + strings.Repeat("ab", 32) + `","size":9,"type":"image/jpeg","caption":"Idris Cole holding the gauge, bram hale behind"}`},
	{"mark", `{"photo":"PHOTO","shape":"ring","x":1,"y":1,"to_x":9,"to_y":9,"words":"Bram's thumb"}`},
	{"voice", `{"of":{"asm":"2117","at":"pin.4.journal"},"sha":"` + strings.Repeat("cd", 32) + `","size":9,"type":"audio/webm","seconds":3,"caption":"what Idris Cole heard"}`},
	{"note", `{"text":"Idris Cole has the key"}`},
	{"decision", `{"decide":"gasket","asm":["2117"],"chosen":{"part":"GK-9"},"rests":[],"inputs":[],"why":"Bram Hale and IDRIS saw the print","open":"Bram asks again"}`},
	{"stages", `{"stages":[{"key":"run","title":"Running, with Bram","hold":{"key":"HP1","title":"Idris Cole has seen it","wants":[{"what":"proven"}]}}]}`},
	{"snag", `{"state":"raised","of":{"asm":"2117","at":"fuel.return"},"what":"drips on Bram Hale's boots","rate":"20 drops, says Idris"}`},
	{"run", `{"of":{"asm":"2117"},"does":"start","title":"Bram's first start"}`},
}

// TestViewNamesNobody is T54: where names are left out, no name of any person is in anything that the page gets, whatever sentence
// it stands in, also after news over its socket; what is no name stays as it is.
func TestViewNamesNobody(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	lead.tells("pattern", `{"pattern":"u6","data":`+string(readFile(t, "../testdata/demo/pattern.json"))+`}`)
	for _, e := range told {
		lead.tells(e.kind, strings.Replace(e.body, "PHOTO", string(lead.prev), 1)) // a mark comes after its photo
	}
	bare, named := o.openLinkFor(lead, "Friends of Idris Cole", false), o.openLinkFor(lead, "Friends of Idris Cole", true)
	body := bare.page(t)
	for _, want := range []string{
		`"caption":"person 2 holding the gauge, person 1 behind"`, `"why":"person 1 and person 2 saw the print"`, `drips on person 1's boots`,
		`"asm":"2117"`, `"name":"Hale"`, `>2117 Hale</text>`, `"sha":"` + strings.Repeat("ab", 32) + `"`, `"link":"Friends of person 2"`, `bench of person 2</text>`,
	} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	if with := named.page(t); !strings.Contains(with, "Idris Cole holding the gauge") || !strings.Contains(with, "Bram Hale and IDRIS saw") {
		t.Error("a link with people leaves names out")
	}
	conn, status := o.dial("/v/"+bare.linkID+"/live", o.url, cookieOf(t, bare))
	if status != 101 {
		t.Fatalf("live = %d", status)
	}
	lead.tells("photo", `{"of":{"asm":"2117"},"sha":"`+strings.Repeat("ef", 32)+`","size":9,"type":"image/jpeg","caption":"now Bram Hale has it"}`)
	hear(t, conn, "more", int64(len(told)+2)) // hear takes no message that has more than a position
	if body = bare.page(t); !strings.Contains(body, "now person 1 has it") {
		t.Error("the news are not on the page")
	}
}

// tells hands in an entry whose body may be written in any way.
func (p *phone) tells(kind, body string) {
	p.o.t.Helper()
	v, err := jcs.Parse([]byte(body))
	if err != nil {
		p.o.t.Fatalf("%v: %s", err, body)
	}
	p.keeps(kind, v.String())
}

// page is everything that the page of a link gets as words; where names are left out it has to have none.
func (g guest) page(t *testing.T) string {
	t.Helper()
	open := g.send("POST", "/v/"+g.linkID+"/open", map[string]string{"secret": g.secret}).want(200)
	body := string(g.send("GET", "/v/"+g.linkID+"/data", nil).want(200).body)
	if g.people {
		return body
	}
	// The engine is called Hale, and may be.
	text := regexp.MustCompile(`"name":"Hale"|2117 Hale\b`).ReplaceAllString(string(open.body)+body, "")
	if at := regexp.MustCompile(`(?i)\b(idris|cole|bram|hale)\b`).FindStringIndex(text); at != nil {
		t.Errorf("the page names somebody: …%s…", text[max(0, at[0]-60):min(len(text), at[1]+40)])
	}
	return body
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
