package view

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestDaysBetween holds our count of days against Go's package time.
func TestDaysBetween(t *testing.T) {
	from := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	for n := -800; n < 3000; n += 7 {
		to := from.AddDate(0, 0, n)
		if got, ok := daysBetween("2027-01-01", to.Format("2006-01-02")); !ok || got != n {
			t.Fatalf("to %s: %d, want %d", to, got, n)
		}
	}
	for _, bad := range []string{"", "2027-13-01", "soon, maybe", "2027-1-1"} {
		if _, ok := daysBetween("2027-01-01", bad); ok {
			t.Errorf("%q is a day", bad)
		}
	}
}

func TestCents(t *testing.T) {
	for _, c := range []struct {
		text string
		want int64
		ok   bool
	}{{"42", 4200, true}, {"42.5", 4250, true}, {"17,05", 1705, true}, {"0.99", 99, true}, {"1.234", 0, false}, {"", 0, false}, {"-5", 0, false}, {"about 40", 0, false}} {
		if got, ok := cents(c.text); ok != c.ok || ok && got != c.want {
			t.Errorf("cents(%q) = %d, %v", c.text, got, ok)
		}
	}
}

func TestPartViews(t *testing.T) {
	demo, _ := holding(t)
	late, _ := holding(t,
		`part {"part":"SH-8","state":"known","what":"half shells","as":"shells","batch":"B7"}`,
		`part {"part":"SH-8","state":"ordered","asm":"2117","supplier":"Orsett","price":{"t":"42.50","u":"EUR"},"count":14,"due":"2027-04-10","matters":[{"what":"wall","want":"2.225 to 2.230"}],"waits":"the crank, ground"}`,
		`part {"part":"RB-1","state":"wanted","what":"coupling rubber"}`,
		`part {"part":"RB-1","state":"asked","supplier":"Orsett","price":{"t":"17,05","u":"EUR"},"answer":"three weeks"}`,
		`part {"part":"SH-8","state":"received","count":6}`)
	refused, _ := holding(t, `part {"part":"SH-8","state":"known","what":"half shells","as":"shells"}`,
		`part {"part":"SH-8","state":"accepted","inward":[{"what":"wall","want":"2.225","got":"2.221","answer":"no"}],"note":"paired by position"}`)
	fitted, _ := holding(t, `part {"part":"SH-8","state":"ordered","what":"half shells","as":"shells","asm":"2117"}`,
		`part {"part":"SH-8","state":"fitted","as":"shells","asm":"2123"}`, `part {"part":"SH-8","state":"removed"}`)
	wanted := `part {"part":"SH-8","state":"wanted","what":"half shells","as":"shells","asm":"2117"}`
	both, _ := holding(t, wanted, `part {"part":"SH-8","state":"ordered","supplier":"Orsett"}`)
	unlike := strings.Replace("elsewhere "+wanted, "2117", "2123", 1)
	torn, _ := holding(t, wanted, unlike)
	settled, _ := holding(t, wanted, unlike, `part^ {"part":"SH-8","state":"ordered","supplier":"Orsett","asm":"2123"}`)
	came, _ := holding(t, wanted, unlike, `part^ {"part":"SH-8","state":"received"}`)
	cameApart, _ := holding(t, wanted, `part {"part":"SH-8","state":"received"}`, unlike)
	thenFitted, _ := holding(t, wanted, unlike, `part^ {"part":"SH-8","state":"fitted","as":"shells","asm":"2117"}`)
	removed := []string{wanted, `part {"part":"SH-8","state":"fitted","as":"shells","asm":"2117"}`, `part {"part":"SH-8","state":"removed"}`}
	tornAgain, _ := holding(t, append(removed, wanted, strings.Replace("elsewhere "+wanted, "2117", "2123", 1))...)
	back, _ := holding(t, append(removed, `part {"part":"SH-8","state":"sent"}`, `part {"part":"SH-8","state":"received"}`)...)
	gone, _ := holding(t, wanted, `part {"part":"SH-8","state":"received"}`, `part {"part":"SH-8","state":"scrapped"}`)
	for _, c := range []struct {
		name             string
		s                shown
		view, args, path string
		want             string
	}{
		{"fitted now", demo, "parts", `{}`, "engines.0.fitted.#CH-1.word", "fitted"},
		{"not yet on the day before", demo, "parts", `{"day":"2027-03-26"}`, "engines.0.fitted.#CH-1.word", ""},
		{"then it was on the shelf", demo, "parts", `{"day":"2027-03-26"}`, "spare.#CH-1.state", "accepted"},
		{"and fitted on its day", demo, "parts", `{"day":"2027-03-27"}`, "engines.0.fitted.#CH-1.since", "2027-03-27"},
		{"nobody knew it before", demo, "parts", `{"day":"2027-03-01"}`, "spare.#CH-1.state", ""},
		{"a place in words", demo, "parts", `{}`, "engines.1.fitted.#L-3.place", "cylinder 3 · liner bore"},
		{"what was refused is out", demo, "parts", `{}`, "gone.#GK-7.state", "rejected"},
		{"one supplier for both", late, "orders", `{"today":"2027-04-21"}`, "suppliers.#Orsett.sums.0", "612.05\u2009EUR"}, // 14 × 42.50 + 17.05
		{"what a line waits for", late, "orders", `{"today":"2027-04-21"}`, "suppliers.#Orsett.lines.#SH-8.waits.0", "the other 8, due 2027-04-10: 11 days late"},
		{"and what else", late, "orders", `{"today":"2027-04-21"}`, "suppliers.#Orsett.lines.#SH-8.waits.1", "the crank, ground"},
		{"which engine it is for", late, "orders", `{}`, "suppliers.#Orsett.lines.#SH-8.for", "2117"},
		{"what it must measure when it comes", late, "orders", `{}`, "suppliers.#Orsett.lines.#SH-8.matters.0.want", "2.225 to 2.230"},
		{"how many", late, "orders", `{}`, "suppliers.#Orsett.lines.#SH-8.count", "14"},
		{"an answer that nobody has acted on", late, "orders", `{}`, "suppliers.#Orsett.lines.#RB-1.waits.0", "the order; the answer was: three weeks"},
		{"the card is what was ordered", late, "part", `{"part":"SH-8"}`, "card.0.want", "2.225 to 2.230"},
		{"or what matters as a rule", demo, "part", `{"part":"GK-9"}`, "card.1.what", "fire ring, inside"},
		{"and the engine it was wanted for", late, "part", `{"part":"SH-8"}`, "for_engine.asm", "2117"},
		{"no more once it was fitted", fitted, "part", `{"part":"SH-8"}`, "for_engine.asm", ""},
		{"nor when it was ordered for both", both, "part", `{"part":"SH-8"}`, "for_engine.asm", ""},
		{"nor when it is wanted for each by those who do not know of each other", torn, "part", `{"part":"SH-8"}`, "for_engine.asm", ""},
		{"which is said", torn, "part", `{"part":"SH-8"}`, "torn", "which engine it is for is not settled"},
		{"and in the orders", torn, "orders", `{}`, "suppliers.0.lines.#SH-8.torn", "which engine it is for is not settled"},
		{"where it is for none", torn, "orders", `{}`, "suppliers.0.lines.#SH-8.for", ""},
		{"and waits for somebody to say it", torn, "orders", `{}`, "suppliers.0.lines.#SH-8.waits.1", "somebody to say which engine it is for"},
		{"that it came settles nothing", came, "part", `{"part":"SH-8"}`, "torn", "which engine it is for is not settled"},
		{"nor does who had it come for one", cameApart, "part", `{"part":"SH-8"}`, "for_engine.asm", ""},
		{"but where it is fitted does", thenFitted, "part", `{"part":"SH-8"}`, "torn", ""},
		{"fitted and taken out, and then wanted apart: torn again", tornAgain, "part", `{"part":"SH-8"}`, "torn", "which engine it is for is not settled"},
		{"back from a machinist, it is for the engine that it was in", back, "orders", `{}`, "suppliers.0.lines.#SH-8.for", "2117"},
		{"the next step settles it", settled, "part", `{"part":"SH-8"}`, "for_engine.asm", "2123"},
		{"and then it is torn no more", settled, "part", `{"part":"SH-8"}`, "torn", ""},
		{"an order for both is for both", both, "orders", `{}`, "suppliers.#Orsett.lines.#SH-8.for", ""},
		{"nor when it has gone", gone, "part", `{"part":"SH-8"}`, "for_engine.asm", ""},
		{"measured before it came: whose clock says so", demo, "part", `{"part":"GK-7"}`, "early.0", "9 of its readings are of 2027-03-12 by the clock of P3, Bram Hale, and it came on 2027-03-13: that clock was wrong, or one of the days is. Times stand as they were written, and decide nothing."},
		{"and nobody else's", demo, "part", `{"part":"GK-7"}`, "early.1", ""},
		{"what was sent first had not just come", demo, "part", `{"part":"2123:crank"}`, "story.0.state", "sent"},
		{"nor of what came back from the grinder", demo, "part", `{"part":"2123:crank"}`, "early.0", ""},
		{"nor of another part", demo, "part", `{"part":"GK-9"}`, "early.0", ""},
		{"a batch picks its parts", late, "parts", `{"batch":"B7"}`, "ordered.#SH-8.batch", "B7"},
		{"and no others", late, "parts", `{"batch":"B7"}`, "engines.0.fitted.#CH-1.word", ""},
		{"a line that will not do stays to be seen", refused, "part", `{"part":"SH-8"}`, "story.1.card.0.got", "2.221"},
		{"a wrench since a day", demo, "wrench", `{"tool":"W2","since":"2027-03-28"}`, "uses.0.engine.asm", "2123"},
		{"and none after", demo, "wrench", `{"tool":"W2","since":"2027-12-01"}`, "uses.0.engine.asm", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := at(c.s, c.view, c.args, c.path); got != c.want {
				t.Errorf("%s is %q, want %q", c.path, got, c.want)
			}
		})
	}
}

// at finds a text in a view; a step #X is the item that is of X.
func at(s shown, view, args, path string) string {
	v := s.view(view, args)
	for _, step := range strings.Split(path, ".") {
		key, named := strings.CutPrefix(step, "#")
		if !named {
			v = find(v, step)
			continue
		}
		items := v.Items()
		v = find(v, "no such member")
		for _, it := range items {
			if it.Get("part").Text() == key || it.Get("supplier").Text() == key {
				v = it
			}
		}
	}
	return v.Text()
}

// TestNoPriceForVisitors: what a part cost is on no view link.
func TestNoPriceForVisitors(t *testing.T) {
	s, _ := holding(t, `part {"part":"RB-1","state":"ordered","supplier":"Orsett","price":{"t":"98.76","u":"EUR"}}`)
	if text := fmt.Sprint(s.view("public", `{"people":true}`)); strings.Contains(text, "98.76") {
		t.Error("the price is on the view link")
	}
	if text := fmt.Sprint(s.view("orders", `{}`)); !strings.Contains(text, "98.76") {
		t.Error("the price is not on the order list")
	}
}
