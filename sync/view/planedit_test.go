package view

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// TestPlanChanged: a plan is kept over the one that stands; what makes no sense is said, and so is a signature that would go.
func TestPlanChanged(t *testing.T) {
	s := demo(t)
	whole := jcs.Arr(commonPlan(s.st.Engines[0].Pattern).Items()...)
	s.st.Stages, s.st.Plan = nil, "p"
	for _, it := range whole.Items() {
		h := &record.Hold{Key: find(it, "hold.key").Text(), Title: find(it, "hold.title").Text()}
		for _, w := range find(it, "hold.wants").Items() {
			h.Wants = append(h.Wants, record.Want{What: w.Get("what").Text(), Of: w.Get("of").Text()})
		}
		s.st.Stages = append(s.st.Stages, record.Stage{Key: it.Get("key").Text(), Title: it.Get("title").Text(), Pair: it.Get("pair").IsTrue(), Hold: h})
	}
	s.st.Signs = []record.Sign{{Hold: "HP2", Asm: []string{"2117"}, By: "maud"}}
	plan := func(stages ...jcs.Value) jcs.Value {
		return s.view("plan", `{"stages":`+jcs.Arr(stages...).String()+`}`)
	}
	if v := s.view("plan", `{}`); !v.Get("draft").IsNull() || len(v.Get("wrong").Items()) > 0 || len(v.Get("stages").Items()) != 14 {
		t.Errorf("as it stands: %v %v", v.Get("wrong"), v.Get("draft"))
	}
	items := whole.Items()
	v := plan(append([]jcs.Value{items[0]}, items[2:]...)...)
	if got := strings.Join(v.Get("unsigned").Texts(), ""); got != "HP2 of 2117, signed by Maud Ferris" {
		t.Errorf("signature that goes: %q", got)
	}
	if got := strings.Join(v.Get("wrong").Texts(), ""); !strings.Contains(got, "it waits for HP2, which does not come before it") || !v.Get("draft").IsNull() {
		t.Errorf("waits for one that is gone: %q", got)
	}
	if got := find(v, "wants.1.0").Text(); got != "Crank and bearings: every point answered" {
		t.Errorf("a want in words: %q", got)
	}
	v = plan(items[0].With("title", jcs.Str("Look it over")))
	if find(v, "draft.body.stages.0.title").Text() != "Look it over" || find(v, "draft.over.0").Text() != "p" {
		t.Errorf("renamed: %v", v.Get("draft"))
	}
	for want, stages := range map[string][]jcs.Value{"needs a name": {items[0].With("title", jcs.Str(" "))}, "stands there twice": {items[0], items[0]}, "a stage at least": {},
		"needs a number": {items[0].With("hold", find(items[0], "hold").With("key", jcs.Str("")))}} {
		if got := strings.Join(plan(stages...).Get("wrong").Texts(), "; "); !strings.Contains(got, want) {
			t.Errorf("%q, want '… %s …'", got, want)
		}
	}
}

// TestJudgedLists: a hold point may wait for the results that stand on no list of the type sheet too.
func TestJudgedLists(t *testing.T) {
	s := demo(t)
	offered := map[string][]string{}
	for _, c := range s.view("plan", `{}`).Get("choices").Items() {
		for _, o := range c.Get("of").Items() {
			offered[c.Get("what").Text()] = append(offered[c.Get("what").Text()], o.Get("key").Text())
		}
	}
	for _, r := range s.rs {
		if r.Sheet != "" && !slices.Contains(offered["within"], r.Sheet) {
			t.Errorf("%s is on the list %q, which no hold point can wait for", r.ID, r.Sheet)
		}
	}
	if slices.Contains(offered["measured"], "runs") {
		t.Error("a run is not measured point by point")
	}
}
