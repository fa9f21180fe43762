package view

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// TestInstruction: what goes to the machinist has every size, both numberings
// and a sketch that is well-formed, and says so when it must not be used.
func TestInstruction(t *testing.T) {
	s, _ := holding(t)
	draft := s.view("result", `{"id":"undersize/2123/pin/found"}`).Get("decide")
	lines := draft.Get("lines")
	if n := len(lines.Items()); n != 6 || find(lines, "3.size").Text() != "61.500\u2009mm" {
		t.Fatalf("%d lines: %s", n, lines)
	}
	body := draft.Get("body").With("why", jcs.Str("pin 4")).With("original", jcs.Bool(true)).With("alternatives", jcs.Str("metal spray")).With("consent", jcs.Str("the trustees")).
		With("work", jcs.Obj(jcs.M("to", jcs.Str("Mr Lunt")), jcs.M("lines", lines)))
	s, ids := holding(t, "decision "+body.String())
	v := s.view("instruction", `{"id":"`+string(ids[0])+`"}`)
	for _, c := range []struct{ path, want string }{
		{"lines.3.what", "big-end pin 4 · journal"}, {"lines.3.theirs", "3"}, {"lines.0.theirs", "6"}, {"lines.0.tol", "+0 −0.015"}, {"engines.0.asm", "2123"}, {"number1", "timing end"}, {"stale", ""},
	} {
		if got := find(v, c.path).Text(); got != c.want {
			t.Errorf("%s is %q, want %q", c.path, got, c.want)
		}
	}
	svg := v.Get("svg").Text()
	if n := strings.Count(svg, "61.500"); n != 6 {
		t.Errorf("%d sizes on the sketch", n)
	}
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if d := s.view("decision", `{"id":"`+string(ids[0])+`"}`); d.Get("consent").Text() != "the trustees" || !d.Get("work").IsTrue() {
		t.Errorf("%s", d)
	}
	if e, err := entry.Compose(entry.Entry{Job: entry.JobID(strings.Repeat("0", 32)), Log: entry.LogID(strings.Repeat("1", 32)), Seq: 2, Prev: ids[0], At: "2027-04-20T10:00:00+00:00",
		By: "maud", Kind: "decision", Body: body.Without("consent")}); err == nil {
		t.Errorf("original metal without anybody's consent: %s", e.Raw)
	}
}

// TestOrderOfADecision: an order that comes of a decision goes dead when the
// decision is taken back.
func TestOrderOfADecision(t *testing.T) {
	s, _ := holding(t)
	draft := s.view("result", `{"id":"undersize/2123/pin/found"}`).Get("decide").Get("body").With("why", jcs.Str("pin 4"))
	order := `part {"part":"SH-8","state":"wanted","what":"shells, 0.50","decision":"@0"}`
	s, ids := holding(t, "decision "+draft.String(), order)
	if got := at(s, "decision", `{"id":"`+string(ids[0])+`"}`, "orders.#SH-8.state"); got != "wanted" {
		t.Errorf("the decision does not know its order: %q", got)
	}
	if got := at(s, "orders", `{}`, "suppliers.0.lines.#SH-8.waits.1"); got != "" {
		t.Errorf("the line waits for %q", got)
	}
	s, _ = holding(t, "decision "+draft.String(), order, `withdraw@0 {"why":"the crank is cracked"}`)
	if got := at(s, "orders", `{}`, "suppliers.0.lines.#SH-8.waits.1"); !strings.Contains(got, "was replaced or taken back") {
		t.Errorf("the line waits for %q", got)
	}
}
