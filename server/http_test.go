package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"witnessmark/schema"
	"witnessmark/server/api"
	"witnessmark/server/store"
)

// TestHeaders is T56: every kind of reply carries the policy.
func TestHeaders(t *testing.T) {
	o := newOffice(t)
	for _, path := range []string{"/", "/healthz", "/api/v1/jobs", "/api/nothing", "/v/x", "/v/x/data", "/book/x"} {
		r := o.stranger().send("GET", path, nil)
		csp := r.header.Get("Content-Security-Policy")
		for _, part := range []string{
			"default-src 'none'", "script-src 'self' 'wasm-unsafe-eval'", "frame-ancestors 'none'", "base-uri 'none'",
			"require-trusted-types-for 'script'", "trusted-types witnessmark",
		} {
			if !strings.Contains(csp, part) {
				t.Errorf("%s: policy %q lacks %s", path, csp, part)
			}
		}
		if strings.Contains(csp, "unsafe-inline") || strings.Contains(csp, "http") {
			t.Errorf("%s: policy %q lets in too much", path, csp)
		}
		want := map[string]string{"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer"}
		if path != "/" && !strings.HasPrefix(path, "/book/") {
			want["Cache-Control"] = "no-store" // no other network hands an answer out again (T17)
		}
		for name, want := range want {
			if got := r.header.Get(name); got != want {
				t.Errorf("%s: %s = %q, want %q", path, name, got, want)
			}
		}
	}
}

// TestCrossSite: a form or a script of another site changes nothing.
func TestCrossSite(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleLead)
	cases := []struct {
		name    string
		headers []string
		status  int
	}{
		{"foreign origin", []string{"Content-Type", "application/json", "Origin", "https://example.net"}, 403},
		{"null origin", []string{"Content-Type", "application/json", "Origin", "null"}, 403},
		{"look-alike", []string{"Content-Type", "application/json", "Origin", o.url + ".example.net"}, 403},
		{"browser without origin", []string{"Content-Type", "application/json", "Sec-Fetch-Site", "cross-site"}, 403},
		{"form", []string{"Content-Type", "application/x-www-form-urlencoded", "Origin", o.url}, 400},
		{"text", []string{"Content-Type", "text/plain", "Origin", o.url}, 400},
		{"own origin", []string{"Content-Type", "application/json", "Origin", o.url}, 200},
		{"no browser", []string{"Content-Type", "application/json"}, 200},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := p.raw("POST", "/api/v1/token", []byte("{}"), c.headers...)
			r.t = t
			r.want(c.status)
		})
	}
}

func TestSmallBodies(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleLead)
	p.send("POST", "/api/v1/codes", map[string]string{"role": strings.Repeat("x", 10_000)}).wantError(413, "too_large")
	p.raw("POST", "/api/v1/codes", []byte("{"), "Content-Type", "application/json").wantError(400, "invalid")
	p.send("POST", "/api/v1/codes", map[string]string{"role": "owner"}).wantError(400, "invalid")
	p.send("POST", "/api/v1/pair", map[string]string{"code": "X", "name": ""}).wantError(400, "invalid")
	p.send("GET", "/api/v1/nothing", nil).wantError(404, "not_found")
	p.send("PUT", "/api/v1/jobs", map[string]string{}).wantError(404, "not_found")
	p.send("POST", "/", map[string]string{}).wantError(404, "not_found")
}

// TestCalcRoute: a result, and a name that the calculation does not have.
func TestCalcRoute(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	const pin = `[{"point":"b.V","v":{"t":"61.956","u":"mm"}}]`
	p.raw("POST", "/api/v1/calc/journal", []byte(`{"items":{"diameter":`+pin+`}}`), "Content-Type", "application/json").want(200)
	p.raw("POST", "/api/v1/calc/journal", []byte(`{"items":{"diamter":`+pin+`}}`), "Content-Type", "application/json").wantError(400, "invalid")
	p.raw("POST", "/api/v1/calc/horoscope", []byte(`{}`), "Content-Type", "application/json").wantError(404, "not_found")
}

func TestHealthAndMetrics(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"), []byte("bad"))
	o.stranger().send("GET", "/healthz", nil).want(200, `"ok":true`)
	r := o.stranger().send("GET", "/metrics", nil).want(200, "witnessmark_entries_stored_total 1", "witnessmark_entries_bad_total 1",
		`witnessmark_requests_total{route="/api/v1/jobs/{job}/exchange",status="200"} 1`, "witnessmark_sockets 0")
	if strings.Contains(string(r.body), testJob) {
		t.Error("the metrics name a job")
	}
}

// example is one request of openapi.yaml with the reply it shows.
type example struct {
	method, path, status, media string
	request, reply              string
}

// examples reads openapi.yaml line by line: its shape is fixed (two spaces a level, examples as one line of JSON or as a
// block), which spares a YAML reader for one test.
func examples(t *testing.T) []example {
	t.Helper()
	var all []example
	var e *example
	part, block := "", 0
	for _, line := range strings.Split(schema.OpenAPI[strings.Index(schema.OpenAPI, "\npaths:"):], "\n") {
		text := strings.TrimLeft(line, " ")
		depth := len(line) - len(text)
		if block > 0 && depth > block {
			e.put(part, text+"\n")
			continue
		}
		block = 0
		key := strings.TrimSuffix(text, ":")
		switch {
		case depth == 2 && strings.HasPrefix(text, "/"):
			all = append(all, example{path: key})
			e = &all[len(all)-1]
		case depth == 4 && strings.HasSuffix(text, ":"):
			if e.method != "" {
				all = append(all, example{path: e.path})
				e = &all[len(all)-1]
			}
			e.method = strings.ToUpper(key)
		case depth == 6:
			part = key
		case depth == 8 && strings.HasPrefix(text, `"`) && e.status == "":
			e.status = strings.Trim(strings.SplitN(text, ":", 2)[0], `"`)
		case strings.HasPrefix(text, "application/") && part == "requestBody":
			e.media = key
		case text == "example: |":
			block = depth
		case strings.HasPrefix(text, "example: "):
			e.put(part, strings.TrimPrefix(text, "example: "))
		}
	}
	if len(all) < 20 {
		t.Fatalf("only %d operations found in openapi.yaml", len(all))
	}
	return all
}

func (e *example) put(part, text string) {
	if part == "requestBody" {
		e.request += text
		return
	}
	e.reply += text
}

// TestOpenAPIRoutes: the description and the table name the same routes.
func TestOpenAPIRoutes(t *testing.T) {
	described := map[string]bool{}
	for _, e := range examples(t) {
		described[e.method+" "+e.path] = true
	}
	for _, r := range api.Routes() {
		if !described[r.Method+" "+r.Path] {
			t.Errorf("%s %s is not in openapi.yaml", r.Method, r.Path)
		}
		delete(described, r.Method+" "+r.Path)
	}
	for left := range described {
		t.Errorf("%s is in openapi.yaml and nowhere else", left)
	}
}

// TestOpenAPIExamples sends every example and compares the members of the replies.
func TestOpenAPIExamples(t *testing.T) {
	o := newOffice(t)
	lead := o.pairPhone(store.RoleLead)
	lead.exchange(lead.write("one"))
	lead.tell(`{"app":"a1","core":"1","unsent":0,"photos":2}`, o.clock())
	if err := o.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	rules := map[string]string{}
	for _, r := range api.Routes() {
		rules[r.Method+" "+r.Path] = r.Rule
	}
	for _, e := range examples(t) {
		if e.reply == "" && e.request == "" || strings.Contains(e.path, "/calc/") {
			continue // nothing to send; calc's inputs have their own tests
		}
		t.Run(e.method+" "+e.path, func(t *testing.T) {
			g := o.openLink(lead, false) // a fresh one: another example revokes it
			who := lead
			if rules[e.method+" "+e.path] == "open" {
				who = g.phone
			}
			path := fillPath(e.path, g.linkID)
			if strings.Contains(e.path, "{device}") {
				p := o.pairPhone(store.RoleViewer)
				path = strings.ReplaceAll(e.path, "{device}", string(p.device))
			}
			sendExample(t, o, who, e, path, g.secret)
		})
	}
}

func sendExample(t *testing.T, o *testOffice, who *phone, e example, path, secret string) {
	body := e.request
	if strings.Contains(body, "BCDFGHJK") {
		code, err := o.Pair(t.Context(), store.RoleFitter)
		if err != nil {
			t.Fatal(err)
		}
		body = strings.ReplaceAll(body, "BCDFGHJK", code)
	}
	body = strings.ReplaceAll(body, "c2Vj…", secret)
	var headers []string
	if e.media != "" {
		headers = []string{"Content-Type", e.media}
	}
	r := who.raw(e.method, path, []byte(body), headers...)
	if status := e.status; status == "" || !strings.HasPrefix(status, "2") {
		t.Fatalf("the first reply described is %q", status)
	}
	r.t = t
	r.want(200)
	if e.reply == "" {
		return
	}
	var shown, got map[string]any
	first := func(b []byte) []byte { line, _, _ := bytes.Cut(b, []byte("\n")); return line }
	if err := json.Unmarshal(first([]byte(e.reply)), &shown); err != nil {
		t.Fatalf("example: %v", err)
	}
	if err := json.Unmarshal(first(r.body), &got); err != nil {
		t.Fatalf("reply: %v", err)
	}
	sameMembers(t, "", shown, got)
}

// sameMembers compares names and kinds, not values: ids and times differ.
func sameMembers(t *testing.T, at string, shown, got map[string]any) {
	t.Helper()
	for name, s := range shown {
		g, ok := got[name]
		if !ok {
			t.Errorf("the reply lacks %s%s", at, name)
			continue
		}
		if inner, ok := s.(map[string]any); ok && at+name != "heads" && at+name != "results" {
			if gm, ok := g.(map[string]any); ok {
				sameMembers(t, at+name+".", inner, gm)
			}
		}
	}
	for name := range got {
		if _, ok := shown[name]; !ok {
			t.Errorf("the example lacks %s%s", at, name)
		}
	}
}
