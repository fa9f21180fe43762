package view

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/record"
)

// leadHolds are the lines of one of the lead's groups that are about hold points, with what they say.
func leadHolds(s shown, group string) []string {
	var out []string
	for _, g := range s.view("lead", `{}`).Get("groups").Items() {
		if g.Get("word").Text() != group {
			continue
		}
		for _, l := range g.Get("lines").Items() {
			if find(l, "open.screen").Text() == "stages" {
				out = append(out, l.Get("title").Text()+" | "+l.Get("word").Text()+" | "+l.Get("says").Text())
			}
		}
	}
	return out
}

// TestLeadHolds: the lead's list has what was signed and no longer holds, and the next hold point of each engine and of the
// pair; what is over is not said.
func TestLeadHolds(t *testing.T) {
	s := demo(t)
	if got, want := leadHolds(s, "look"), []string{"2123 · Measure | signed, and no longer holds | HP3, Every reading of the crank is here, every question settled. " +
		"To do: Settle 2123 · main bearing 6 · journal, plane b, square to it."}; !slices.Equal(got, want) {
		t.Errorf("to look at again: %q, want %q", got, want)
	}
	if got, want := leadHolds(s, "now"), []string{"2117 and 2123 · Installation, in May | one thing to do | HP13, Alignment measured again in the car, all guards on. " +
		"To do: Snag of 2123, oil weeps at the plug of the clutch housing: cured, not seen dry. After it: HP14, Run in, oil looked at after 10 h and 50 h; doubts accepted in writing."}; !slices.Equal(got, want) {
		t.Errorf("next: %q, want %q", got, want)
	}
	s.st.Signs = slices.DeleteFunc(s.st.Signs, func(x record.Sign) bool { return x.Asm[0] == "2117" && len(x.Asm) == 1 && x.Hold != "HP1" })
	got := leadHolds(s, "now")
	if len(got) != 2 || got[0] != "2117 · Strip | ready to sign | HP2, Nothing unlabelled on the bench; cap, rod and shell still paired. After it: HP3, Every reading of the crank is here, every question settled." {
		t.Errorf("with HP2 of 2117 not signed: %q", got)
	}
	s = demo(t)
	s.st.Stages[3].Hold.Wants = append(s.st.Stages[3].Hold.Wants, record.Want{What: "signed", Of: "HP2"})
	s.st.Stages[4].Hold.Wants = append(s.st.Stages[4].Hold.Wants, record.Want{What: "signed", Of: "HP3"})
	if key := find(s.view("stages", `{}`), "engines.1.stages.4.hold.state").Text(); key != "broken" {
		t.Errorf("HP4 waits for HP3, and is %s", key)
	}
	if got := leadHolds(s, "look"); len(got) != 1 || !strings.HasPrefix(got[0], "2123 · Measure") {
		t.Errorf("one reason, said once: %q", got)
	}
	s.st.Signs = nil
	if got := leadHolds(s, "now"); len(got) != 3 || !strings.Contains(strings.Join(got, "\n"), "2117 and 2123 · Matching | one thing to do") && !strings.Contains(strings.Join(got, "\n"), "2117 and 2123 · Matching | 2 things to do") {
		t.Errorf("nothing signed: %q", got)
	}
	s.st.Stages = nil
	if got := append(leadHolds(s, "now"), leadHolds(s, "look")...); len(got) != 0 {
		t.Errorf("without a plan: %q", got)
	}
}

// TestHeldMeanwhile: a hold test that has just begun undoes no signature; one that ended badly does.
func TestHeldMeanwhile(t *testing.T) {
	begun := `hold-test {"of":{"asm":"2123"},"test":"cooling water","pressure":{"t":"0.700","u":"bar"},"temp":{"t":"16","u":"degC"}}`
	s, _ := holding(t, begun)
	if got := leadHolds(s, "look"); len(got) != 1 || !strings.HasPrefix(got[0], "2123 · Measure") {
		t.Errorf("while it is held: %q", got)
	}
	s, _ = holding(t, begun, `hold-test {"of":{"asm":"2123"},"start":"@0","pressure":{"t":"0.500","u":"bar"},"temp":{"t":"16","u":"degC"},"elapsed":{"t":"900","u":"s"}}`)
	if got := leadHolds(s, "look"); len(got) != 2 || !strings.HasPrefix(got[1], "2123 · Bench preparation") || !strings.Contains(got[1], "hold test") {
		t.Errorf("after it leaked: %q", got)
	}
}
