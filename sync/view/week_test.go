package view

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// TestWeek: what was done since a day is counted, engine by engine, and whose hands did it is not said unless it may be.
func TestWeek(t *testing.T) {
	s := demo(t)
	const since = "2027-03-25"
	v := s.view("public", `{"since":"`+since+`"}`)
	for _, asm := range []string{"2117", "2123"} {
		want, got := 0, 0
		for _, p := range s.st.Places {
			for _, r := range p.Readings {
				if r.Asm == asm && r.Struck == "" && r.At[:10] >= since {
					want++
				}
			}
		}
		for _, w := range v.Get("week").Items() {
			words := strings.Fields(w.Get("words").Text())
			if n := len(words); w.Get("asm").Text() == asm && strings.HasPrefix(words[n-1], "reading") {
				k, err := strconv.Atoi(words[n-2])
				if err != nil {
					t.Fatal(err)
				}
				got += k
			}
		}
		if got != want || want == 0 {
			t.Errorf("%s: %d readings are told, want %d", asm, got, want)
		}
	}
	// The story's own runs and parts, counted by hand in testdata/demo/story.txt.
	for _, w := range []string{`{"asm":"2117","words":"4 runs on the bench"}`, `{"asm":"2123","words":"2 runs on the bench"}`, `{"asm":"2117","words":"3 parts fitted"}`} {
		if !strings.Contains(v.Get("week").String(), w) {
			t.Errorf("the week lacks %s: %s", w, v.Get("week"))
		}
	}
	named := func(v jcs.Value) bool {
		text := v.Get("week").String() + v.Get("next").String()
		for _, p := range s.st.People {
			if strings.Contains(text, strings.Fields(p.Name)[0]) {
				return true
			}
		}
		return false
	}
	if named(v) || !named(s.view("public", `{"since":"`+since+`","people":true}`)) {
		t.Error("names stand where they may not, or not where they may")
	}
	if later := s.view("public", `{"since":"2099-01-01"}`); len(later.Get("week").Items()) != 0 {
		t.Errorf("in 2099: %s", later.Get("week"))
	}
}

// TestNextUp: without a plan, what is left to measure; with one, the first stage that is not over, and who is needed.
func TestNextUp(t *testing.T) {
	s := demo(t)
	s.st.Stages, s.st.Signs = nil, nil
	items := s.view("public", `{}`).Get("next").Items()
	if len(items) < 2 || find(items[0], "needed.0").Text() != "somebody to measure" || find(items[0], "asm").Text() != "2117" {
		t.Fatalf("without a plan: %v", items)
	}
	s.st.Stages = []record.Stage{
		{Key: "survey", Title: "Survey", Hold: &record.Hold{Key: "HP1", Title: "Numbered"}},
		{Key: "measure", Title: "Measure", Hold: &record.Hold{Key: "HP3", Title: "Every reading is here", Wants: []record.Want{{What: "measured", Of: "Crank and bearings"}}}},
		{Key: "match", Title: "Matching", Pair: true, Hold: &record.Hold{Key: "HP10", Title: "Matched", Wants: []record.Want{{What: "signed", Of: "HP3"}}}},
	}
	items = s.view("public", `{}`).Get("next").Items()
	if len(items) != 3 || find(items[0], "title").Text() != "Survey" || find(items[0], "needed.0").Text() != "the lead, to sign" {
		t.Fatalf("with a plan: %v", items)
	}
	s.st.Signs = []record.Sign{{Hold: "HP1", Asm: []string{"2117"}, By: "maud"}}
	items = s.view("public", `{}`).Get("next").Items()
	if find(items[0], "title").Text() != "Measure" || find(items[0], "needed.0").Text() != "somebody to measure" || find(items[1], "title").Text() != "Survey" {
		t.Errorf("the one engine has gone on: %v", items)
	}
	if find(items[2], "needed.0").Text() != "the lead" || find(items[2], "asm").Text() != "" {
		t.Errorf("the pair: %v", items[2])
	}
}

// TestMeasuredOn: what was measured long ago and written down this week is not of this week.
func TestMeasuredOn(t *testing.T) {
	for _, c := range []struct{ name, when, want string }{
		{"as it was written", "", "2027-03-26T10:00:00Z"}, {"the day before", "2027-03-25", "2027-03-25"}, {"in words", "about 2019", ""}, {"nobody knows", "day not known", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := measuredOn(record.Reading{At: "2027-03-26T10:00:00Z", When: c.when})
			if at != c.want {
				t.Errorf("measured on %q, want %q", at, c.want)
			}
			if n := since1(at, "2027-03-25", "", &[]string{}); (n == 1) != (c.want != "") {
				t.Errorf("counted %d times", n)
			}
		})
	}
}

// TestLimitsPageInside: the photo of a printed page that a limit was taken from is not on the volunteers' page.
func TestLimitsPageInside(t *testing.T) {
	s := demo(t)
	photos := s.view("public", "{}").Get("photos").Items()
	page := photos[0].Get("id").Text()
	st := *s.st
	st.Limits = slices.Clone(st.Limits)
	st.Limits[0].Photos = []entry.ID{entry.ID(page)}
	v, err := View(&st, nil, "public", jcs.Null())
	if err != nil {
		t.Fatal(err)
	}
	left := v.Get("photos").Items()
	if len(left) != len(photos)-1 || slices.ContainsFunc(left, func(p jcs.Value) bool { return p.Get("id").Text() == page }) {
		t.Errorf("%d photos of %d are shown, that of the page among them: %s", len(left), len(photos), v.Get("photos"))
	}
}
