package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math/rand/v2"
	"net/http"
	"strings"
	"testing"

	simulated "witnessmark/server/phone"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// simPhone pairs a simulated phone with a test office, over a network of the test's choice.
func (o *testOffice) simPhone(role store.Role, through http.RoundTripper, log entry.LogID) *simulated.Phone {
	o.t.Helper()
	p := simulated.New(simulated.Config{URL: o.url, Job: testJob, Name: "P2", Of: "idris", Log: log, Transport: through, Now: o.clock})
	code, err := o.Pair(o.t.Context(), role)
	if err != nil {
		o.t.Fatal(err)
	}
	if err := p.Pair(o.t.Context(), code); err != nil {
		o.t.Fatal(err)
	}
	return p
}

func noted(t *testing.T, p *simulated.Phone, text string) entry.Entry {
	t.Helper()
	e, err := p.Write(entry.Entry{Kind: "note", By: "idris", Body: jcs.Obj(jcs.M("text", jcs.Str(text)))})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func exchanged(t *testing.T, phones ...*simulated.Phone) {
	t.Helper()
	for _, p := range phones {
		if err := p.Exchange(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
}

func sameSets(t *testing.T, phones ...*simulated.Phone) {
	t.Helper()
	for _, p := range phones[1:] {
		if p.Set().Digest() != phones[0].Set().Digest() || p.Set().Len() != phones[0].Set().Len() {
			t.Errorf("%d entries on one phone, %d on another", phones[0].Set().Len(), p.Set().Len())
		}
	}
}

func TestPhones(t *testing.T) {
	o := newOffice(t)
	a, b := o.simPhone(store.RoleFitter, nil, ""), o.simPhone(store.RoleFitter, nil, "")
	if err := simulated.New(simulated.Config{URL: o.url, Job: testJob}).Exchange(t.Context()); !errors.Is(err, simulated.ErrNotPaired) {
		t.Errorf("unpaired: %v", err)
	}
	first := noted(t, a, "one")
	if first.Seq != 2 || a.Waiting() != 2 {
		t.Errorf("the first note is entry %d of its log, %d wait; want 2 and 2: a log opens with whose it is", first.Seq, a.Waiting())
	}
	noted(t, b, "two")
	exchanged(t, a, b, a)
	sameSets(t, a, b)
	if a.Set().Len() != 4 || a.Waiting() != 0 || a.Count() != 4 {
		t.Errorf("%d held, %d waiting, the office has %d", a.Set().Len(), a.Waiting(), a.Count())
	}
	if err := o.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	exchanged(t, a)
	if a.Results().Pos != 4 || a.Results().Digest == "" {
		t.Errorf("results = %+v", a.Results())
	}
}

// TestPhonesPages: more than one batch out and many pages back.
func TestPhonesPages(t *testing.T) {
	o := newOffice(t)
	a := o.simPhone(store.RoleFitter, nil, "")
	for range 1200 {
		noted(t, a, "n")
	}
	b := simulated.New(simulated.Config{URL: o.url, Job: testJob, Limit: 100})
	code, err := o.Pair(t.Context(), store.RoleViewer)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Pair(t.Context(), code); err != nil {
		t.Fatal(err)
	}
	exchanged(t, a, b)
	sameSets(t, a, b)
}

// TestPhonesBadNetwork: requests and replies get lost; nothing else does.
func TestPhonesBadNetwork(t *testing.T) {
	o := newOffice(t)
	bad := &simulated.BadNetwork{Rng: rand.New(rand.NewPCG(3, 3)), Through: http.DefaultTransport}
	a, b := o.simPhone(store.RoleFitter, bad, ""), o.simPhone(store.RoleFitter, nil, "")
	bad.Request, bad.Reply = 30, 30
	for i := range 60 {
		noted(t, a, strings.Repeat("x", i+1))
		if err := a.Exchange(t.Context()); err != nil && !errors.Is(err, simulated.ErrLost) {
			t.Fatal(err)
		}
	}
	bad.Request, bad.Reply = 0, 0
	exchanged(t, a, b, a)
	sameSets(t, a, b)
	if bad.Lost == 0 || bad.LostAfter == 0 || a.Count() != 61 {
		t.Errorf("lost %d before and %d after; the office has %d entries, want 61", bad.Lost, bad.LostAfter, a.Count())
	}
}

// TestPhonesAgain: a server that lost its last entries gets them back, from any phone that has them (T21).
func TestPhonesAgain(t *testing.T) {
	o, empty := newOffice(t), newOffice(t)
	net := &elsewhere{}
	a, b := o.simPhone(store.RoleFitter, net, ""), o.simPhone(store.RoleFitter, nil, "")
	noted(t, a, "a")
	noted(t, b, "b")
	exchanged(t, a, b, a)
	// The same server with a new epoch: every cursor is unknown.
	if err := o.Store().NewEpoch(t.Context(), store.Line{At: o.clock(), Action: "restored"}); err != nil {
		t.Fatal(err)
	}
	noted(t, a, "later")
	exchanged(t, a, b)
	sameSets(t, a, b)
	// Another server gets nothing of it: it is not the office.
	net.host = strings.TrimPrefix(empty.url, "http://")
	noted(t, a, "last")
	if err := a.Exchange(t.Context()); err == nil || a.Waiting() == 0 {
		t.Errorf("at a foreign server: %v, %d waiting", err, a.Waiting())
	}
	net.host = ""
	exchanged(t, a)
}

// elsewhere sends every request to another host.
type elsewhere struct{ host string }

func (e *elsewhere) RoundTrip(req *http.Request) (*http.Response, error) {
	if e.host != "" {
		req = req.Clone(req.Context())
		req.URL.Host = e.host
	}
	return http.DefaultTransport.RoundTrip(req)
}

// TestPhonesClone is T11: a second phone with the same log writes on in a new one that says which branch it continues.
func TestPhonesClone(t *testing.T) {
	o := newOffice(t)
	const log = "00112233445566778899aabbccddeeff"
	a, clone := o.simPhone(store.RoleFitter, nil, log), o.simPhone(store.RoleFitter, nil, log)
	noted(t, a, "trunk")
	exchanged(t, a, a)
	for _, id := range []int64{1, 2} {
		for _, it := range a.Set().Resolve().Ordered {
			if it.Seq == id {
				if err := clone.Carry(it.Raw); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	noted(t, clone, "branch")
	noted(t, a, "trunk again")
	exchanged(t, a, clone)
	if clone.Log() == log {
		t.Fatal("the copy still writes the old log")
	}
	noted(t, clone, "on its own")
	exchanged(t, clone, a)
	sameSets(t, a, clone)
	if forks := a.Set().Forks(); len(forks) != 1 || forks[0].Seq != 3 {
		t.Errorf("forks = %+v, want one at 3", forks)
	}
}

// TestPhonesPortal: a network that answers with its own page is told apart, and nothing counts as handed in (T17).
func TestPhonesPortal(t *testing.T) {
	o := newOffice(t)
	net := &portal{}
	a := o.simPhone(store.RoleFitter, net, "")
	noted(t, a, "one")
	for _, page := range []struct{ typ, body string }{
		{"text/html", "<html>pay here</html>"},
		{"application/vnd.witnessmark.exchange+ndjson", "<html>pay here</html>\n"},
		{"application/vnd.witnessmark.exchange+ndjson", `{"v":1,"server":"x","stored":2}` + "\n"},
	} {
		net.typ, net.body = page.typ, page.body
		if err := a.Exchange(t.Context()); !errors.Is(err, simulated.ErrNotOffice) || a.Waiting() != 2 {
			t.Errorf("%s: %v, %d waiting", page.body, err, a.Waiting())
		}
	}
	net.body = ""
	exchanged(t, a)
}

// portal answers every request itself while it has a body.
type portal struct{ typ, body string }

func (p *portal) RoundTrip(req *http.Request) (*http.Response, error) {
	if p.body == "" {
		return http.DefaultTransport.RoundTrip(req)
	}
	return &http.Response{
		StatusCode: http.StatusOK, Header: http.Header{"Content-Type": {p.typ}}, Body: io.NopCloser(strings.NewReader(p.body)), Request: req,
	}, nil
}

// TestPhonesPhoto: an upload goes on where it stopped.
func TestPhonesPhoto(t *testing.T) {
	o := newOffice(t)
	bad := &simulated.BadNetwork{Rng: rand.New(rand.NewPCG(5, 5)), Through: http.DefaultTransport}
	a := o.simPhone(store.RoleFitter, bad, "")
	data := noisyPNG(t, 900)
	bad.Request, bad.Reply = 25, 25
	var sha string
	for tries := 0; ; tries++ {
		got, err := a.SendPhoto(t.Context(), data)
		if sha = got; err == nil {
			break
		}
		if !errors.Is(err, simulated.ErrLost) || tries > 200 {
			t.Fatal(err)
		}
	}
	bad.Request, bad.Reply = 0, 0
	if sha != shaOf(data) || len(data) < 2<<20 {
		t.Errorf("sha %s of %d bytes", sha, len(data))
	}
	if _, err := a.SendPhoto(context.Background(), bytes.Clone(data)); err != nil {
		t.Errorf("again: %v", err)
	}
	if _, err := a.SendPhoto(t.Context(), []byte("no picture")); !errors.As(err, new(simulated.Refused)) {
		t.Errorf("no picture: %v", err)
	}
}

// TestPhonesFollow: one phone hears that another has handed in, and fetches it.
func TestPhonesFollow(t *testing.T) {
	o := newOffice(t)
	a, b := o.simPhone(store.RoleFitter, nil, ""), o.simPhone(store.RoleFitter, nil, "")
	noted(t, a, "before")
	exchanged(t, a)
	ctx, stop := context.WithCancel(t.Context())
	news, err := b.Follow(ctx)
	if err != nil {
		t.Fatal(err)
	}
	e := noted(t, a, "while listening")
	exchanged(t, a)
	for n := range news {
		if n.More < 3 {
			continue // how it stood before
		}
		exchanged(t, b)
		break
	}
	if !b.Set().Has(e.ID) {
		t.Error("the other phone did not hear of it")
	}
	stop()
	for range news { // the rest, until the channel is closed
	}
	if _, err := simulated.New(simulated.Config{URL: o.url, Job: testJob}).Follow(t.Context()); !errors.Is(err, simulated.ErrNotPaired) {
		t.Errorf("unpaired: %v", err)
	}
}
