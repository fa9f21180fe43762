package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
)

func TestExchange(t *testing.T) {
	o := newOffice(t)
	a, b := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleFitter)
	one, two, three := a.write("one"), a.write("two"), b.write("three")

	h := a.exchange(one, two)
	if h.Status != "ok" || h.Stored != 2 || h.Held != 0 || h.Count != 2 || len(h.Bad) != 0 || h.Job != testJob || h.Server != o.server.ID {
		t.Errorf("reply = %+v", h)
	}
	if got := h.Heads[a.log]; got.Seq != 2 || got.ID != string(a.prev) {
		t.Errorf("head = %+v, want 2 and %s", got, a.prev)
	}
	// The phone's own entries come back to it: it did not say that it holds them.
	if !slices.Equal(h.entries, []string{string(one), string(two)}) {
		t.Errorf("entries = %q", h.entries)
	}
	h = b.exchange(three)
	if !slices.Equal(h.entries, []string{string(one), string(two), string(three)}) {
		t.Errorf("the other phone gets %q", h.entries)
	}
	h = a.exchange(two)
	if h.Stored != 0 || h.Held != 1 || !slices.Equal(h.entries, []string{string(three)}) {
		t.Errorf("after the cursor: stored %d, held %d, %q", h.Stored, h.Held, h.entries)
	}
	if want := setDigest(t, one, two, three); h.Digest != want {
		t.Errorf("digest = %s, want the core's %s", h.Digest, want)
	}
}

// setDigest is the order-independent digest as the core makes it (T22: both sides compare).
func setDigest(t *testing.T, raws ...[]byte) string {
	t.Helper()
	set := reconcile.New()
	for _, raw := range raws {
		if _, err := set.Add(raw); err != nil {
			t.Fatal(err)
		}
	}
	return fmt.Sprintf("%x", set.Digest())
}

// TestExchangeHolds: what the phone holds is not sent again, but the cursor goes past it.
func TestExchangeHolds(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"), p.write("two"), p.write("three"))
	body := fmt.Sprintf(`{"v":1,"log":"%s","holds":{"%s":2},"limit":500}`, p.log, p.log)
	h := p.exchanged(p.raw("POST", "/api/v1/jobs/"+testJob+"/exchange", []byte(body), "Content-Type", ndjson))
	if len(h.entries) != 1 || !strings.Contains(h.entries[0], "three") || !strings.Contains(string(h.Cursor), `"pos":3`) {
		t.Errorf("entries %q, cursor %s", h.entries, h.Cursor)
	}
}

// TestExchangeBadLines is T14: what cannot be read disturbs nothing else.
func TestExchangeBadLines(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	foreign := *p
	foreign.job = otherJob
	long := bytes.Repeat([]byte("x"), entry.MaxEntry+10)
	good, more := p.write("good"), p.write("more")
	h := p.exchange(good, []byte("<html>this network wants money</html>"), foreign.write("lost"), long, more)
	if h.Stored != 2 || len(h.Bad) != 3 {
		t.Fatalf("stored %d, bad %+v", h.Stored, h.Bad)
	}
	for i, line := range []int{3, 4, 5} {
		if h.Bad[i].Line != line || h.Bad[i].Why == "" {
			t.Errorf("bad[%d] = %+v, want line %d with a reason", i, h.Bad[i], line)
		}
	}
}

func TestExchangeGzip(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	var zipped bytes.Buffer
	z := gzip.NewWriter(&zipped)
	if _, err := z.Write(p.request(p.write(strings.Repeat("zipped ", 200)))); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	r := p.raw("POST", "/api/v1/jobs/"+testJob+"/exchange", zipped.Bytes(),
		"Content-Type", ndjson, "Content-Encoding", "gzip", "Accept-Encoding", "gzip")
	r.want(200)
	if r.header.Get("Content-Encoding") != "gzip" {
		t.Fatalf("the reply is not gzip")
	}
	unzip, err := gzip.NewReader(bytes.NewReader(r.body))
	if err != nil {
		t.Fatal(err)
	}
	if r.body, err = io.ReadAll(unzip); err != nil {
		t.Fatal(err)
	}
	if h := p.exchanged(r); h.Stored != 1 || len(h.entries) != 1 {
		t.Errorf("reply = %+v", h)
	}
}

func TestExchangeRefused(t *testing.T) {
	o := newOffice(t)
	p, viewer := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleViewer)
	path := "/api/v1/jobs/" + testJob + "/exchange"
	tooMany := []byte(`{"v":1}` + "\n" + strings.Repeat("x\n", 501))
	tooBig := append([]byte(`{"v":1}`+"\n"), bytes.Repeat(append(bytes.Repeat([]byte("y"), 60000), '\n'), 20)...)
	var bomb bytes.Buffer
	z := gzip.NewWriter(&bomb)
	if _, err := z.Write(append([]byte(`{"v":1}`+"\n"), make([]byte, 64<<20)...)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name    string
		who     *phone
		path    string
		body    []byte
		headers []string
		status  int
		code    string
	}{
		{"json", p, path, []byte(`{"v":1}`), []string{"Content-Type", "application/json"}, 415, "invalid"},
		{"brotli", p, path, []byte(`{"v":1}`), []string{"Content-Type", ndjson, "Content-Encoding", "br"}, 415, "invalid"},
		{"not gzip", p, path, []byte(`{"v":1}`), []string{"Content-Type", ndjson, "Content-Encoding", "gzip"}, 400, "invalid"},
		{"no head", p, path, []byte("nonsense\n"), []string{"Content-Type", ndjson}, 400, "invalid"},
		{"empty", p, path, nil, []string{"Content-Type", ndjson}, 400, "invalid"},
		{"version 2", p, path, []byte(`{"v":2}`), []string{"Content-Type", ndjson}, 400, "invalid"},
		{"log in capitals", p, path, []byte(`{"v":1,"log":"ABCDEFABCDEFABCDEFABCDEFABCDEFAB"}`), []string{"Content-Type", ndjson}, 400, "invalid"},
		{"lease without log", p, path, []byte(`{"v":1,"lease":{"current":"00","next":"01"}}`), []string{"Content-Type", ndjson}, 400, "invalid"},
		{"501 entries", p, path, tooMany, []string{"Content-Type", ndjson}, 413, "too_large"},
		{"over 1 MiB", p, path, tooBig, []string{"Content-Type", ndjson}, 413, "too_large"},
		{"gzip bomb", p, path, bomb.Bytes(), []string{"Content-Type", ndjson, "Content-Encoding", "gzip"}, 413, "too_large"},
		{"job that can be nobody's", p, "/api/v1/jobs/../../etc/exchange", []byte(`{"v":1}`), []string{"Content-Type", ndjson}, 404, "not_found"},
		{"viewer hands in", viewer, path, viewer.request(viewer.write("no")), []string{"Content-Type", ndjson}, 403, "unauthorized"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := c.who.raw("POST", c.path, c.body, c.headers...)
			r.t = t
			r.wantError(c.status, c.code)
		})
	}
	if h := viewer.exchange(); h.Stored != 0 || h.Status != "ok" {
		t.Errorf("a viewer reads: %+v", h)
	}
	if h := p.exchange(); h.Count != 0 {
		t.Errorf("%d entries were kept of refused batches", h.Count)
	}
}

// TestExchangeStartAgain is T21: an unknown cursor gets the beginning, and the batch is stored all the same.
func TestExchangeStartAgain(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"))
	for _, cursor := range []string{
		`{"epoch":"00","pos":1,"digest":"` + strings.Repeat("0", 64) + `"}`, `{"epoch":"x","pos":-5,"digest":"short"}`,
		`{"epoch":"` + o.server.Epoch + `","pos":1,"digest":"` + strings.Repeat("0", 64) + `"}`, // of a timeline that was overtaken
	} {
		p.cursor = json.RawMessage(cursor)
		h := p.exchange(p.write("more"))
		if h.Status != "start again" || h.Stored != 1 || len(h.entries) != 0 || !h.More || !strings.Contains(string(h.Cursor), `"pos":0`) {
			t.Errorf("after %s: %+v", cursor, h)
		}
	}
	if h := p.exchange(); h.Status != "ok" || len(h.entries) != 4 {
		t.Errorf("from the beginning: %s, %d entries", h.Status, len(h.entries))
	}
}

// TestExchangeClone is T11: a copied phone is found, what it wrote is kept, and both branches are told apart.
func TestExchangeClone(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("trunk"))
	clone := *p
	if h := p.exchange(p.write("left")); h.Status != "ok" {
		t.Fatalf("the phone itself: %s", h.Status)
	}
	h := clone.exchange(clone.write("right"))
	if h.Status != "new log" {
		t.Fatalf("the copy: %s", h.Status)
	}
	if h.Stored != 1 || !h.Heads[p.log].Forked || len(h.Heads[p.log].Tips) != 2 {
		t.Errorf("the branch: %+v", h)
	}
}

// TestExchangeForked: whoever writes on in a log that was forked is told to go on in a new one, the phone itself too (T10).
func TestExchangeForked(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("trunk"))
	clone := *p
	p.exchange(p.write("left"))
	clone.exchange(clone.write("right"))
	if h := p.exchange(p.write("left too")); h.Status != "new log" || h.Stored != 1 {
		t.Errorf("the phone itself: %s, stored %d", h.Status, h.Stored)
	}
}

// TestExchangeCut: a request that was cut on the way is not taken for a shorter one, wherever the cut falls (T17).
func TestExchangeCut(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	one, two := p.write("one"), p.write("two")
	whole := []byte(`{"v":1,"lines":2}` + "\n" + string(one) + "\n" + string(two) + "\n")
	second := len(whole) - len(two) - 1
	for _, at := range []int{second, second + 9, len(whole) - 1} {
		p.raw("POST", "/api/v1/jobs/"+testJob+"/exchange", whole[:at], "Content-Type", ndjson).wantError(400, "invalid")
	}
	h := p.exchanged(p.raw("POST", "/api/v1/jobs/"+testJob+"/exchange", whole, "Content-Type", ndjson))
	if h.Stored != 2 || len(h.Bad) != 0 {
		t.Errorf("the whole: stored %d, bad %v", h.Stored, h.Bad)
	}
}

// TestExchangeCloneFound: the copy sends another next lease than the phone did.
func TestExchangeCloneFound(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("trunk"))
	p.exchange()
	p.exchange()
	p.lease = 0
	if h := p.exchange(p.write("late")); h.Status != "new log" || h.Stored != 1 {
		t.Errorf("an old lease: %s, stored %d", h.Status, h.Stored)
	}
	lines, err := o.Store().AuditLines(t.Context(), o.Workspace(), 10)
	if err != nil || !slices.ContainsFunc(lines, func(l store.Line) bool { return l.Action == "second phone with one log" }) {
		t.Errorf("audit lines %v, %v", lines, err)
	}
}

// TestExchangeCarried: whoever brings new entries of a log that another phone writes is named among what was done (T21).
func TestExchangeCarried(t *testing.T) {
	o := newOffice(t)
	p, other := o.pairPhone(store.RoleLead), o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"))
	if h := other.exchange(p.write("in another's name"), other.write("own")); h.Stored != 2 {
		t.Fatalf("stored %d, want 2", h.Stored)
	}
	lines, err := o.Store().AuditLines(t.Context(), o.Workspace(), 10)
	if err != nil || !slices.ContainsFunc(lines, func(l store.Line) bool {
		return l.Action == "another phone's entries" && l.Device == other.device && l.Subject == string(p.device) && strings.HasPrefix(l.Detail, "1, log ")
	}) {
		t.Errorf("audit lines %v, %v", lines, err)
	}
}

// TestExchangeUnknownJob: a phone that comes to an emptied server is answered with an empty job, not with an error, so that
// it hands everything in again.
func TestExchangeUnknownJob(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.cursor = json.RawMessage(`{"epoch":"` + o.server.Epoch + `","pos":7,"digest":"` + strings.Repeat("ab", 32) + `"}`)
	if h := p.exchange(); h.Status != "start again" || h.Count != 0 || len(h.Heads) != 0 {
		t.Errorf("reply = %+v", h)
	}
	if jobs, err := o.Store().Jobs(t.Context(), o.Workspace()); err != nil || len(jobs) != 0 {
		t.Errorf("jobs = %v, %v, want none", jobs, err)
	}
}

// TestExchangeSaysJobs: a phone that was paired before a second job was begun hears of it with its next exchange, one that
// only looks on too, and finds its title in the list.
func TestExchangeSaysJobs(t *testing.T) {
	o := newOffice(t)
	before, looker, lead := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleViewer), o.pairPhone(store.RoleLead)
	if h := before.exchange(before.write("one")); h.Jobs != 1 {
		t.Errorf("after the first entry there are %d jobs, want 1", h.Jobs)
	}
	lead.job = otherJob
	lead.keeps("job", `{"title":"Inspection trolley"}`)
	for who, p := range map[string]*phone{"a fitter's": before, "one that looks on": looker} {
		if h := p.exchanged(p.raw("POST", "/api/v1/jobs/"+testJob+"/exchange", []byte(`{"v":1,"holds":{},"count":0,"limit":500}`+"\n"), "Content-Type", ndjson)); h.Jobs != 2 {
			t.Errorf("%s phone hears of %d jobs, want 2", who, h.Jobs)
		}
	}
	if err := o.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	before.send("GET", "/api/v1/jobs", nil).want(200, testJob, otherJob, `"title":"Inspection trolley"`)
}

// TestResults: the office works behind the acknowledgement and says so on the socket and in the next exchange.
func TestResults(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"))
	if err := o.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	h := p.exchange()
	if h.Results == nil || h.Results.Pos != 1 || h.Results.Digest == "" {
		t.Fatalf("results = %+v", h.Results)
	}
	p.send("GET", "/api/v1/jobs/"+testJob+"/results", nil).want(200, `"pos":1`, h.Results.Digest)
	p.send("GET", "/api/v1/jobs/"+otherJob+"/results", nil).wantError(404, "not_found")
}
