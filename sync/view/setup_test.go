package view

import (
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
)

// TestSetUp: a set-up goes from one job to another without anything that belongs to a vehicle, and without anybody's accepting.
func TestSetUp(t *testing.T) {
	s := demo(t)
	out := s.view("setup", `{}`)
	kinds := map[string]int{}
	for _, e := range out.Get("entries").Items() {
		kinds[e.Get("kind").Text()]++
		if !e.Get("body").Get("accepted").IsNull() || !e.Get("body").Get("asm").IsNull() {
			t.Errorf("it takes along who accepted it, or whose it was: %s", e)
		}
	}
	if kinds["person"] != len(s.st.People) || kinds["instrument"] != len(s.st.Instruments) || kinds["pattern"] != 1 || kinds["limit"] == 0 || len(kinds) < 4 {
		t.Errorf("it holds %v", kinds)
	}
	if again := s.view("setup", `{"file":`+out.String()+`}`); strings.Contains(again.String(), `"there":false`) || !strings.Contains(again.String(), `"there":true`) {
		t.Error("what is here already is not told")
	}
	empty := record.Build(reconcile.New().Resolve())
	v, err := View(empty, nil, "setup", jcs.Obj(jcs.M("file", out)))
	if err != nil || len(v.Get("entries").Items()) != len(out.Get("entries").Items()) || strings.Contains(v.String(), `"there":true`) {
		t.Errorf("an empty job would get %s, %v", v, err)
	}
	if v.Get("entries").Items()[0].Get("kind").Text() != "person" {
		t.Error("people do not come first: whoever writes must be known")
	}
	hostile := s.view("setup", `{"file":{"title":"x","entries":[{"kind":"reading","body":{}},{"kind":"fitting","body":{}},5]}}`)
	if n := len(hostile.Get("entries").Items()); n != 0 {
		t.Errorf("%d entries of kinds that do not go came in", n)
	}
}
