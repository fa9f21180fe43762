package calc

import (
	"math/rand"
	"strings"
	"testing"
)

var (
	n1 = &Tool{Key: "N1", U: 2.0 / 60, Res: 1.0 / 60}
	n2 = &Tool{Key: "N2", U: 2.0 / 60, Res: 1.0 / 60}
)

// pairBefore is the matching of the invented scenario, N1 on both.
func pairBefore() Inputs {
	return Inputs{Items: map[string][]Item{
		"left":  readingsOf(n1, "500 2117 482 rpm", "800 2117 790 rpm", "1100 2117 1088 rpm", "1400 2117 1391 rpm", "governed 2117 1846 rpm"),
		"right": readingsOf(n1, "500 2123 521 rpm", "800 2123 826 rpm", "1100 2123 1118 rpm", "1400 2123 1412 rpm", "governed 2123 1871 rpm"),
	}, Limits: map[string]Limit{"match": most("10 rpm"), "match_percent": most("1 %"), "share": most("5 %")},
		Nominal: typedIn("idle", "500 rpm", "droop", "150 rpm", "torque", "404 N.m", "firings", "3")}
}

// TestMatch: before and after (invented scenario, with its figures).
func TestMatch(t *testing.T) {
	r := run(t, "match", pairBefore())
	for name, want := range map[string]string{"difference.500": "39", "difference.800": "36", "difference.1100": "30", "difference.1400": "21",
		"difference.governed": "25", "percent.500": "7.8", "percent.800": "4.5", "percent.1100": "2.7", "percent.1400": "1.5", "percent.governed": "1.3",
		"beat": "0.65", "exhaust": "1.95", "share": "16.7", "torque": "67", "share_allows": "7.5", "off.left": "18", "off.right": "−21"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if r.Verdict != Outside || !strings.HasPrefix(r.Says, "2123 runs 39\u2009rpm faster at 500 (7.8\u2009%): outside, limit at most 10\u2009rpm.") {
		t.Errorf("%s: %s", r.Verdict, r.Says)
	}
	mentions(t, r, "largest at idle and dies away")
	mentions(t, r, "At idle lower 2123 by 21\u2009rpm; then, with its rod back on, raise 2117 by 18\u2009rpm.")
	if v := val(t, r, "difference.1400"); v.Limit.Max.String() != "14.0\u2009rpm" || v.Verdict != Outside {
		t.Errorf("at 1400 the larger limit is 1 %% of 1401.5: %s %s", v.Limit.Max.String(), v.Verdict)
	}
	after := pairBefore()
	after.Items["left"] = readingsOf(n1, "500 2117 500 rpm", "800 2117 802 rpm", "1100 2117 1101 rpm", "1400 2117 1402 rpm", "governed 2117 1849 rpm")
	after.Items["right"] = readingsOf(n1, "500 2123 503 rpm", "800 2123 806 rpm", "1100 2123 1106 rpm", "1400 2123 1405 rpm", "governed 2123 1853 rpm")
	r = run(t, "match", after)
	if v := val(t, r, "share"); v.Text != "2.7" || r.Verdict != Within {
		t.Errorf("after: share %s, %s: %s", v.Text, r.Verdict, r.Says)
	}
}

// TestMatchLine: differences on a straight line tell the stop from the
// linkage: worked by hand, 12 + 0.01 × speed and the like.
func TestMatchLine(t *testing.T) {
	of := func(right ...string) Result {
		return run(t, "match", Inputs{Items: map[string][]Item{
			"left":  readingsOf(n1, "a 2117 500 rpm", "b 2117 900 rpm", "c 2117 1300 rpm", "d 2117 1700 rpm"),
			"right": readingsOf(n1, "a 2123 "+right[0]+" rpm", "b 2123 "+right[1]+" rpm", "c 2123 "+right[2]+" rpm", "d 2123 "+right[3]+" rpm"),
		}})
	}
	for _, c := range []struct {
		name, want string
		right      []string
	}{
		{"same everywhere", "the idle stop or the length of a rod, not the ratio", []string{"520", "921", "1319", "1720"}},
		{"grows from nought", "It grows with speed: the linkage", []string{"500", "910", "1321", "1730"}},
		{"there at idle and grows", "the idle stop first, then the linkage", []string{"520", "930", "1340", "1750"}},
		{"scatter", "Neither a stop nor a linkage stands clear", []string{"503", "897", "1304", "1698"}},
	} {
		t.Run(c.name, func(t *testing.T) { mentions(t, of(c.right...), c.want) })
	}
	r := of("510", "920", "1330", "1740")
	nearTo(t, "slope: 10 more every 410", val(t, r, "ratio").SI, 10.0/405, 1e-9)
	nearTo(t, "at idle", val(t, r, "stop").SI*60, 10, 1e-9)
}

// TestMatchExchange: N2 reads 4 rpm more than N1, which the exchange shows.
func TestMatchExchange(t *testing.T) {
	in := Inputs{Items: map[string][]Item{
		"left": readingsOf(n1, "500 2117 500 rpm"), "right": readingsOf(n2, "500 2123 507 rpm"),
		"left_exchanged": readingsOf(n2, "500 2117 504 rpm"), "right_exchanged": readingsOf(n1, "500 2123 503 rpm"),
	}}
	r := run(t, "match", in)
	if a, b := val(t, r, "instruments.500"), val(t, r, "difference.500"); a.Text != "4" || b.Text != "3" || b.U*60 > 1 {
		t.Errorf("tachometers %s, engines %s ± %s", a.Text, b.Text, b.UText)
	}
	mentions(t, r, "not innocent")
	in.Items["left_exchanged"] = readingsOf(n1, "500 2117 504 rpm")
	mentions(t, run(t, "match", in), "really changed over")
}

// TestMatchOther: 482 and 521 with N1 on both, 484 and 523 with N2 on both, as
// the demonstration has them: the engines differ by 39, and N2 reads 2 more.
// The figures are worked by hand: (521 − 482 + 523 − 484)/2 and (2 + 2)/2.
func TestMatchOther(t *testing.T) {
	in := Inputs{Items: map[string][]Item{
		"left": readingsOf(n1, "500 2117 482 rpm"), "right": readingsOf(n1, "500 2123 521 rpm"),
		"left_exchanged": readingsOf(n2, "500 2117 484 rpm"), "right_exchanged": readingsOf(n2, "500 2123 523 rpm"),
	}}
	r := run(t, "match", in)
	if a, b := val(t, r, "instruments.500"), val(t, r, "difference.500"); a.Text != "2" || b.Text != "39" || len(r.Missing) != 0 {
		t.Errorf("tachometers %s, engines %s, missing %v", a.Text, b.Text, r.Missing)
	}
	mentions(t, r, "more: innocent")
	in.Items["right_exchanged"] = readingsOf(n2, "500 2123 540 rpm")
	mentions(t, run(t, "match", in), "not innocent")
}

// TestMatchByEar: 39 beats of the shafts in a minute are 39 rpm, and 117 of
// two six-cylinder four-stroke exhausts, and back.
func TestMatchByEar(t *testing.T) {
	r := run(t, "match", Inputs{Nominal: typedIn("beats", "117", "beat_time", "60 s", "firings", "3")})
	if v := val(t, r, "heard"); v.Text != "39.0" || len(r.Missing) != 0 {
		t.Errorf("%s rpm, missing %v", v.Text, r.Missing)
	}
}

func TestMatchTurns(t *testing.T) {
	in := pairBefore()
	in.Nominal["per_turn"] = asWritten("36 rpm")
	r := run(t, "match", in)
	if a, b := val(t, r, "turns.left").Text, val(t, r, "turns.right").Text; a != "0.50" || b != "−0.58" {
		t.Errorf("%s and %s turns", a, b)
	}
	delete(in.Nominal, "idle")
	if got := val(t, run(t, "match", in), "turns").Text; got != "1.08" {
		t.Errorf("without an idle wanted: %s", got)
	}
}

func TestMatchMissingAndBad(t *testing.T) {
	for _, c := range []struct {
		name        string
		left, right []Item
		want        string
	}{
		{"one engine", readingsOf(n1, "500 2117 482 rpm"), nil, "speed of the right engine at 500"},
		{"no station in common", readingsOf(n1, "500 2117 482 rpm"), readingsOf(n1, "800 2123 826 rpm"), "speed of the left engine at 800"},
		{"stands still", readingsOf(n1, "500 2117 0 rpm"), readingsOf(n1, "500 2123 521 rpm"), "above nought"},
		{"turns backwards", readingsOf(n1, "500 2117 -482 rpm"), readingsOf(n1, "500 2123 521 rpm"), "above nought"},
		{"another kind", readingsOf(n1, "500 2117 482 mm"), readingsOf(n1, "500 2123 521 rpm"), "not a speed"},
		{"both engines on one side", readingsOf(n1, "500 2117 482 rpm", "800 2123 826 rpm"), readingsOf(n1, "500 2123 521 rpm"), "say which engine it is"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run2(t, "match", Inputs{Items: map[string][]Item{"left": c.left, "right": c.right}})
			if r.Verdict != Incomplete {
				t.Errorf("%s: %s", r.Verdict, r.Says)
			}
			mentions(t, r, c.want)
		})
	}
}

// TestMatchSwapped: the engines named the other way round give the same
// differences with the other sign.
func TestMatchSwapped(t *testing.T) {
	rnd := rand.New(rand.NewSource(13))
	for range 30 {
		var l, r []string
		for _, p := range []string{"a", "b", "c", "d"} {
			l = append(l, p+" 2117 "+anyway(rnd, 400, 1900, 0)+" rpm")
			r = append(r, p+" 2123 "+anyway(rnd, 400, 1900, 0)+" rpm")
		}
		one := run(t, "match", Inputs{Items: map[string][]Item{"left": readingsOf(n1, l...), "right": readingsOf(n1, r...)}})
		two := run(t, "match", Inputs{Items: map[string][]Item{"left": readingsOf(n1, r...), "right": readingsOf(n1, l...)}})
		for _, v := range one.Vals {
			if strings.HasPrefix(v.Name, "difference.") || v.Name == "stop" || v.Name == "ratio" {
				nearTo(t, v.Name, val(t, two, v.Name).SI, -v.SI, 1e-12)
			}
		}
		sane(t, one)
	}
}
