package view

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
)

// The scenario's own figures: five stations before and after the screws were moved.
var (
	stations = []string{"500", "800", "1100", "1400", "governed"}
	before   = [2][]string{{"482", "790", "1088", "1391", "1846"}, {"521", "826", "1118", "1412", "1871"}}
	after    = [2][]string{{"500", "802", "1101", "1402", "1849"}, {"503", "806", "1106", "1405", "1853"}}
)

// matchLines are a run of both after a note: its index is 1.
func matchLines(rounds ...[2][]string) []string {
	lines := []string{
		`note {"text":"the scenario allows 10 rpm or 1 %, the larger"}`,
		`run {"of":{"asm":"2117"},"with":{"asm":"2123"},"does":"start","title":"pair, uncoupled"}`,
	}
	for n, round := range rounds {
		for side, asm := range []string{"2117", "2123"} {
			for i, speed := range round[side] {
				lines = append(lines, fmt.Sprintf(`run {"of":{"asm":%q},"run":"@1","elapsed":{"t":"%d","u":"s"},"does":"sample","what":"speed","station":%q,"round":%d,"value":{"t":%q,"u":"rpm"}}`,
					asm, 100*n+10*i, stations[i], n+1, speed))
			}
		}
	}
	return lines
}

func turned(asm, what, way, turned string, round int) string {
	return fmt.Sprintf(`adjust {"of":{"asm":%q},"what":%q,"way":%q,"turned":{"t":%q,"u":"1"},"run":"@1","round":%d}`, asm, what, way, turned, round)
}

func matchView(t *testing.T, lines []string) jcs.Value {
	t.Helper()
	s, ids := holding(t, lines...)
	return find(s.view("run", `{"id":"`+string(ids[1])+`"}`), "matching")
}

func TestMatching(t *testing.T) {
	idleOnly := [2][]string{after[0][:1], after[1][:1]}
	screws := []string{turned("2117", "idle stop", "in", "0.5", 1), turned("2123", "idle stop", "out", "0.75", 1), turned("2123", "governed stop", "out", "0.25", 1)}
	for _, c := range []struct {
		name  string
		lines []string
		state string // how it begins
		round int64
	}{
		{"nothing read", matchLines(), "No station is read yet.", 1},
		{"before", matchLines(before), "Round 1: outside: 2123 runs 39", 1},
		{"the screws are moved: a new round", append(matchLines(before), screws...), "Round 1: outside", 2},
		{"once inside", append(matchLines(before, after), screws...), "Inside the band at every station once.", 2},
		{"twice", append(matchLines(before, after, after), screws...), "Inside the band at every station, twice running.", 3},
		{"moved again since", append(matchLines(before, after, after), turned("2117", "idle stop", "in", "0.1", 3)), "Something was moved since", 4},
		{"idle alone is not matched", matchLines(idleOnly, idleOnly), "Round 2: only 1 of at least 3 stations", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := matchView(t, c.lines)
			if got := find(m, "state").Text(); !strings.HasPrefix(got, c.state) {
				t.Errorf("%q, want %q", got, c.state)
			}
			if got := find(m, "round").Int64(); got != c.round {
				t.Errorf("round %d, want %d", got, c.round)
			}
		})
	}
}

// Half a turn in brought 2117 from 482 to 500: 36 rpm for a turn; three
// quarters out brought 2123 from 521 to 503: 24.
func TestMatchingSaysWhatATurnDoes(t *testing.T) {
	lines := append(matchLines(before, after), turned("2117", "idle stop", "in", "0.5", 1), turned("2123", "idle stop", "out", "0.75", 1))
	m := matchView(t, lines)
	if got := find(m, "rounds.1.measured").String(); !strings.Contains(got, "2117: its idle stop changed the idle speed by 36") || !strings.Contains(got, "by 24") {
		t.Errorf("measured: %s", got)
	}
	again := matchView(t, append(matchLines(before, [2][]string{{"490", "795", "1095"}, {"503", "806", "1106"}}), turned("2117", "idle stop", "in", "0.25", 1)))
	if got := find(again, "rounds.0.next").String(); !strings.Contains(got, "2117 idles 10\u2009rpm too slow: idle stop 0.31 of a turn in, as a turn in did 32\u2009rpm here") {
		t.Errorf("what to move next: %s", got)
	}
	if got := find(again, "rounds.1.next").String(); !strings.Contains(got, "nobody has measured yet") {
		t.Errorf("what to move first: %s", got)
	}
	if got := find(m, "totals").String(); !strings.Contains(got, "2123, idle stop: 0.75 of a turn out") {
		t.Errorf("totals: %s", got)
	}
	if got := find(m, "rounds.1.rows.0.difference").Text(); got != "39" {
		t.Errorf("difference %q", got)
	}
}

// The hold point before the combining gearbox reads the matching.
func TestMatchedIsAWant(t *testing.T) {
	plan := `stages {"stages":[{"key":"match","title":"Matching","pair":true,"hold":{"key":"HP10","title":"Inside the band","wants":[{"what":"matched"}]}}]}`
	for _, c := range []struct {
		name   string
		rounds [][2][]string
		want   string
	}{{"matched in the scenario", nil, ""}, {"outside", [][2][]string{after, after, before}, "Round 3: outside"}, {"twice inside", [][2][]string{before, after, after}, ""}} {
		t.Run(c.name, func(t *testing.T) {
			s, _ := holding(t, append(matchLines(c.rounds...), plan)...)
			got := find(s.view("stages", `{}`), "pair.0.hold.todo").String()
			if (c.want == "") != (got == "[]") || !strings.Contains(got, c.want) {
				t.Errorf("to do: %s", got)
			}
		})
	}
}

// What an earlier round found is answered by a later one: it does not hold the job up.
func TestLaterRoundAnswers(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []string
		stops bool
	}{{"outside", matchLines(before), true}, {"then inside", matchLines(before, after), false},
		{"then inside at idle only", matchLines(before, [2][]string{after[0][:1], after[1][:1]}), true}} {
		s, ids := holding(t, c.lines...)
		lead := find(s.view("lead", `{}`), "groups.0.lines").String()
		if got := strings.Contains(lead, "match/2117+2123/"+string(ids[1])); got != c.stops {
			t.Errorf("%s: among what cannot go on: %v", c.name, got)
		}
	}
}

// Every drawing of a run has its axes named and its lines.
func TestRunGraphs(t *testing.T) {
	s, ids := holding(t, matchLines(before, after)...)
	v := s.view("run", `{"id":"`+string(ids[1])+`"}`)
	svg := find(v, "graphs.0.svg").Text()
	for _, has := range []string{"Δn / rpm", "n / rpm", "round 1", "round 2", "limit-line"} {
		if !strings.Contains(svg, has) {
			t.Errorf("the drawing of the rounds lacks %q", has)
		}
	}
	pressure := ran(t, firstStart, "5 fired", "60 station 500", "70 oil.pressure 1.4 bar 500", "75 coolant 60 degC", "80 station 800", "90 oil.pressure 33.36 psi 800", "95 coolant 71 degC")
	svg = find(pressure, "graphs.0.svg").Text()
	for _, has := range []string{"p / psi", "2117", "least"} {
		if !strings.Contains(svg, has) {
			t.Errorf("the drawing of the pressure lacks %q", has)
		}
	}
	if svg = find(pressure, "graphs.1.svg").Text(); !strings.Contains(svg, "T / °C") || !strings.Contains(svg, "forbidden") {
		t.Errorf("the drawing of the warmth has no axis or no limit")
	}
}

func TestClutchMatrix(t *testing.T) {
	try := func(asm, result, more string) string {
		return fmt.Sprintf(`clutch {"of":{"asm":%q},"try":"drag","result":%q,"hot":true%s}`, asm, result, more)
	}
	for _, c := range []struct {
		name  string
		lines []string
		want  string // of 2123, hot
	}{
		{"untried", nil, "untried"},
		{"bad", []string{try("2123", "bad", `,"value":{"t":"31","u":"N"}`)}, "bad"},
		{"tried again, and good", []string{try("2123", "bad", ""), try("2123", "good", `,"again":["@0"]`)}, "good"},
		{"two that do not know of each other", []string{try("2123", "bad", ""), try("2123", "good", "")}, "differ"},
		{"the other engine's", []string{try("2117", "good", "")}, "untried"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, _ := holding(t, append(c.lines, `stages {"stages":[{"key":"clutches","title":"Clutches","hold":{"key":"HP12","title":"Tried","wants":[{"what":"tried"}]}}]}`)...)
			v := s.view("clutch", `{}`)
			if got := find(v, "rows.3.cells.3.state").Text(); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
			if todo := find(s.view("stages", `{}`), "engines.1.stages.0.hold.todo").String(); strings.Contains(todo, "drag when out") != (c.want != "good") {
				t.Errorf("to do: %s", todo)
			}
		})
	}
}
