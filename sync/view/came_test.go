package view

import (
	"strings"
	"testing"

	"witnessmark/sync/jcs"
)

// TestCame: what others entered since somebody looked is told by person and place, never as a figure; own entries and what
// was seen are not.
func TestCame(t *testing.T) {
	s := demo(t)
	first := s.view("came", `{"me":"maud"}`)
	if first.Get("count").Int64() != 0 || len(first.Get("now").Members()) != len(s.st.Logs) {
		t.Errorf("who never looked before has nothing to catch up with: %v", first.Get("count"))
	}
	all := s.view("came", `{"me":"maud","seen":{}}`)
	if got := all.Get("people").Texts(); len(got) < 4 || strings.Contains(strings.Join(got, ","), "Maud") {
		t.Errorf("people: %v", got)
	}
	seen := first.Get("now")
	if v := s.view("came", jcs.Obj(text("me", "maud"), jcs.M("seen", seen)).String()); v.Get("count").Int64() != 0 {
		t.Errorf("all was seen: %v", v)
	}
	// One log as it was twenty entries ago.
	var n int64
	for _, l := range s.st.Logs {
		if l.Name == "P2" {
			seen = seen.With(string(l.Log), jcs.Int(l.Last-20))
			n = 20
		}
	}
	v := s.view("came", jcs.Obj(text("me", "maud"), jcs.M("seen", seen)).String())
	if got := v.Get("count").Int64(); n == 0 || got < 15 || got > n {
		t.Fatalf("%d of the last %d entries: some may be covered, few are", got, n)
	}
	for _, g := range v.Get("groups").Items() {
		if g.Get("by").Text() != "Idris Cole" || g.Get("open").Get("screen").Text() == "" || g.Get("words").Text() == "" {
			t.Errorf("%v", g)
		}
		if strings.Contains(g.String(), "mm") {
			t.Errorf("a figure is told: %v", g)
		}
	}
}
