package view

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/result"
)

// The limits of the invented engine as its lead set them (the scenario's own
// figures: least pressures 1.0 at 500 and 1.6 at 800, coolant stop 92).
var runSet = []string{
	limitLine("run.seen", "max", "10", "s"), limitLine("run.band", "min", "1.0", "bar"), limitLine("run.band.by", "max", "20", "s"),
	limitLine("oilpressure.min.500", "min", "1.0", "bar"), limitLine("oilpressure.min.800", "min", "1.6", "bar"), limitLine("oilpressure.min.hot", "min", "1.2", "bar"),
	limitLine("run.hot", "min", "70", "degC"), limitLine("run.coolant", "max", "92", "degC"), limitLine("run.speed", "max", "1900", "rpm"), limitLine("oilpressure.fall", "max", "0.5", "bar"),
}

func limitLine(name, end, text, unit string) string {
	return fmt.Sprintf(`limit {"limit":%q,"asm":"2117",%q:{"t":%q,"u":%q},"judged":"read","words":"as the lead set it","accepted":"maud"}`, name, end, text, unit)
}

// logged makes a line of the run that the given entry started: '6 oil.pressure
// 2.8 bar', '70 oil.pressure 1.4 bar 500', '6 oil.pressure seen', '9 fired', '600 station 800', '700 stop'.
func logged(start int, asm, text string) string {
	w := strings.Fields(text)
	head := fmt.Sprintf(`run {"of":{"asm":%q},"run":"@%c","elapsed":{"t":%q,"u":"s"},`, asm, rune('0'+start), w[0])
	switch {
	case w[1] == "stop":
		return head + `"does":"stop","why":"as planned"}`
	case w[1] == "station":
		return head + fmt.Sprintf(`"does":"event","event":"station","station":%q}`, w[2])
	case len(w) == 4:
		return head + fmt.Sprintf(`"does":"sample","what":%q,"value":{"t":%q,"u":%q}}`, w[1], w[2], w[3])
	case len(w) == 5:
		return head + fmt.Sprintf(`"does":"sample","what":%q,"value":{"t":%q,"u":%q},"station":%q}`, w[1], w[2], w[3], w[4])
	case len(w) == 3:
		return head + fmt.Sprintf(`"does":"sample","what":%q,"seen":%q}`, w[1], strings.ReplaceAll(w[2], "_", " "))
	}
	return head + fmt.Sprintf(`"does":"event","event":%q}`, strings.ReplaceAll(w[1], "_", " "))
}

// ran is a run of 2117 with these lines, after the limits.
func ran(t *testing.T, start string, lines ...string) jcs.Value {
	t.Helper()
	all := append(slices.Clone(runSet), start)
	for _, l := range lines {
		all = append(all, logged(len(runSet), "2117", l))
	}
	s, ids := holding(t, all...)
	return s.view("run", `{"id":"`+string(ids[len(runSet)])+`"}`)
}

const firstStart = `run {"of":{"asm":"2117"},"does":"start","title":"first start","not_fitted":["fan"],"most":{"t":"3","u":"min"}}`

func titles(v jcs.Value, path string) string {
	var out []string
	for _, a := range find(v, path).Items() {
		out = append(out, a.Get("title").Text())
	}
	return strings.Join(out, "; ")
}

func TestRunAlarms(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []string
		want  string // the alarms that stand
	}{
		{"all is well", []string{"5 fired", "8 oil.pressure 2.8 bar", "30 coolant 40 degC"}, ""},
		{"pressure came late", []string{"5 fired", "16 oil.pressure seen"}, "Oil pressure came late"},
		{"seen in time, its band late", []string{"5 fired", "8 oil.pressure seen", "40 oil.pressure in_band"}, "Oil pressure came into its band late"},
		{"nought on the gauge is not seen", []string{"5 fired", "8 oil.pressure 0 bar", "16 oil.pressure 1.4 bar"}, "Oil pressure came late"},
		{"below the station's least", []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "90 oil.pressure 1.5 bar"}, "Oil pressure 1.5\u2009bar"},
		{"the same is enough at idle", []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 500", "90 oil.pressure 1.5 bar"}, ""},
		{"enough cold, not hot", []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 500", "80 coolant 71 degC", "90 oil.pressure 1.1 bar"}, "Oil pressure 1.1\u2009bar"},
		{"a new reading answers the old one", []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "90 oil.pressure 1.5 bar", "95 oil.pressure 1.7 bar"}, ""},
		{"a higher station does not judge what was read before", []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 500", "90 oil.pressure 1.4 bar", "100 station 800"}, ""},
		{"it falls at one speed", []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 oil.pressure 2.4 bar", "130 oil.pressure 1.8 bar"}, "Oil pressure falls: 2.4\u2009bar, now 1.8\u2009bar"},
		{"coolant", []string{"5 fired", "8 oil.pressure 2.8 bar", "90 coolant 93 degC"}, "Coolant out 93\u2009°C"},
		{"speed", []string{"5 fired", "8 oil.pressure 2.8 bar", "90 speed 1910 rpm"}, "Speed 1910\u2009rpm"},
		{"a knock", []string{"5 fired", "8 oil.pressure 2.8 bar", "90 knock"}, "Knock"},
		{"smoke alone stops nothing", []string{"5 fired", "8 oil.pressure 2.8 bar", "90 smoke_white"}, ""},
		{"somebody answers for going on", []string{"5 fired", "8 oil.pressure 2.8 bar", "90 knock", "95 going_on"}, ""},
		{"it has stopped", []string{"5 fired", "8 oil.pressure 2.8 bar", "90 knock", "95 stop"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := titles(ran(t, firstStart, c.lines...), "sides.0.alarms"); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}

// An alarm that was answered stays in what was raised.
func TestRunRaised(t *testing.T) {
	v := ran(t, firstStart, "5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "90 oil.pressure 1.5 bar", "95 oil.pressure 1.7 bar", "120 stop")
	if got := titles(v, "sides.0.raised"); got != "Oil pressure 1.5\u2009bar" {
		t.Errorf("raised: %q", got)
	}
	if got := find(v, "sides.0.ran").Text(); got != "1\u2009min" {
		t.Errorf("ran %q", got)
	}
}

// 70 to 75 psi is the same band in bar and in kPa: 1 psi = 6894.757 Pa (the
// International Yard and Pound, 1959, with the standard gravity of 1901).
func TestRunPressureInAnyUnit(t *testing.T) {
	for _, c := range []struct {
		text string
		fine bool
	}{
		{"70 psi", true}, {"69.9 psi", false}, {"4.83 bar", true}, {"4.82 bar", false}, {"483 kPa", true}, {"482 kPa", false},
		{"75 psi", true}, {"75.1 psi", false}, {"5.17 bar", true}, {"5.18 bar", false}, {"517 kPa", true}, {"518 kPa", false},
	} {
		band := `limit {"limit":"oilpressure.min.1700","asm":"2117","min":{"t":"70","u":"psi"},"max":{"t":"75","u":"psi"},"judged":"read","words":"70 to 75 psi","accepted":"maud"}`
		lines := []string{band, firstStart}
		for _, l := range []string{"5 fired", "8 oil.pressure seen", "60 station 1700", "90 oil.pressure " + c.text} {
			lines = append(lines, logged(1, "2117", l))
		}
		s, ids := holding(t, lines...)
		got := titles(s.view("run", `{"id":"`+string(ids[1])+`"}`), "sides.0.alarms")
		if (got == "") != c.fine {
			t.Errorf("%s: alarms %q", c.text, got)
		}
	}
}

func TestRunDeadlinesAndReadings(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []string
		want  string
	}{
		{"before firing nothing is due", []string{"3 oil.pressure 1.2 bar"}, " · Its limits: "},
		{"after firing", []string{"5 fired"}, "20 · Its limits: 15 No oil pressure was seen; 25 Oil pressure is not in its band; 605 Coolant does not warm; 185 Its time is over"},
		{"seen", []string{"5 fired", "8 oil.pressure seen"}, "23 · Its limits: 25 Oil pressure is not in its band; 605 Coolant does not warm; 185 Its time is over"},
		{"in its band, two minutes on", []string{"5 fired", "8 oil.pressure 2.8 bar", "125 oil.pressure 2.8 bar"}, "155 · Its limits: 605 Coolant does not warm; 185 Its time is over"},
		{"a quarter of an hour on", []string{"5 fired", "8 oil.pressure 2.8 bar", "905 oil.pressure 2.8 bar"}, "1025 · Its limits: 605 Coolant does not warm; 185 Its time is over"},
		{"a new station is tight again", []string{"5 fired", "8 oil.pressure 2.8 bar", "905 oil.pressure 2.8 bar", "910 station 800"}, "925 · Its limits: 605 Coolant does not warm; 185 Its time is over"},
		{"stopped", []string{"5 fired", "8 oil.pressure 2.8 bar", "90 stop"}, " · Its limits: "},
	} {
		t.Run(c.name, func(t *testing.T) {
			side := find(ran(t, firstStart, c.lines...), "sides.0")
			var lines []string
			for _, d := range side.Get("deadlines").Items() {
				lines = append(lines, d.Get("at_s").String()+" "+d.Get("title").Text())
			}
			due := ""
			if d := side.Get("due_s"); !d.IsNull() {
				due = d.String()
			}
			if got := due + " · Its limits: " + strings.Join(lines, "; "); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// A run that nobody let begin is never refused; it says so, and the lead sees it.
func TestRunRelease(t *testing.T) {
	s, _ := holding(t, firstStart)
	lead := s.view("lead", `{}`)
	if got := find(lead, "groups.0.lines").String(); !strings.Contains(got, "without release") {
		t.Errorf("the lead sees %s", got)
	}
	signed := []string{`stages {"stages":[{"key":"bench","title":"Bench","hold":{"key":"HP20","title":"Card read","wants":[]}}]}`, `sign {"hold":"HP20","asm":["2117"],"rests":[]}`,
		`run {"of":{"asm":"2117"},"does":"start","title":"first start","hold":"HP20","release":["@1"]}`}
	s, ids := holding(t, signed...)
	card := s.view("runs", `{"asm":"2117"}`)
	if got := find(card, "card.holds.0.key").Text(); got != "HP20" {
		t.Errorf("the card offers %q", got)
	}
	v := s.view("run", `{"id":"`+string(ids[2])+`"}`)
	if got := find(v, "release").Text(); got != "HP20 signed by Maud Ferris" || !find(v, "unreleased").IsNull() {
		t.Errorf("release %q, %s", got, find(v, "unreleased"))
	}
	if got := find(s.view("lead", `{}`), "groups.0.lines").String(); strings.Contains(got, "without release") {
		t.Error("a released run stands among what cannot go on")
	}
	s, ids = holding(t, append(signed, `withdraw@1 {"why":"the plate does not fit"}`)...)
	if got := find(s.view("run", `{"id":"`+string(ids[2])+`"}`), "unreleased").Text(); got != "without release" {
		t.Errorf("with its release taken back: %q", got)
	}
}

// Idle speeds of 500 and 1000 beat like one engine with twice the firings: by
// ear they may pass, by the record never.
func TestRunTwiceTheSpeedNeverMatches(t *testing.T) {
	lines := []string{
		`run {"of":{"asm":"2117"},"with":{"asm":"2123"},"does":"start","title":"pair, uncoupled"}`,
	}
	for asm, speed := range map[string]string{"2117": "500", "2123": "1000"} {
		lines = append(lines, fmt.Sprintf(`run {"of":{"asm":%q},"run":"@0","elapsed":{"t":"60","u":"s"},"does":"sample","what":"speed","station":"500","round":1,"value":{"t":%q,"u":"rpm"}}`, asm, speed))
	}
	s, ids := holding(t, lines...)
	i := slices.IndexFunc(s.rs, func(r result.Res) bool { return strings.HasSuffix(r.ID, string(ids[0])+"/1") })
	if i < 0 || s.rs[i].Verdict != "outside" {
		t.Fatalf("500 and 1000: %s", s.rs[max(i, 0)].Says)
	}
}

// What went wrong in a run may be raised as a snag: each thing once, in the
// words of the log; what is no fault is left out.
func TestRunFaults(t *testing.T) {
	v := ran(t, firstStart, "5 fired", "9 smoke_white", "20 knock", "40 leak", "41 leak", "60 shouted", "90 stop")
	if got := find(v, "sides.0.faults").Texts(); !slices.Equal(got, []string{"Knock", "Leak"}) {
		t.Errorf("faults %q", got)
	}
}

// What the lead set beside the others: ten minutes to warm, and what coolant
// and speed may do at one station (trade: no warming in ten minutes; a fall
// without cause; surges; common practice, no source).
var runSteady = []string{limitLine("run.warming", "max", "10", "min"), limitLine("run.coolant.fall", "max", "5", "degC"), limitLine("run.surge", "max", "40", "rpm")}

func TestRunSteady(t *testing.T) {
	for _, c := range []struct {
		name  string
		set   bool
		lines []string
		want  string // the alarms that stand
		due   string // the deadlines
	}{
		{"it warms", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "30 coolant 14 degC", "200 coolant 25 degC"}, "", "Its time is over"},
		{"it does not warm", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "30 coolant 14 degC", "200 coolant 14 degC"}, "", "Coolant does not warm; Its time is over"},
		{"hot to begin with", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "30 coolant 80 degC"}, "", "Its time is over"},
		{"it warmed late", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "30 coolant 14 degC", "700 coolant 15 degC"}, "Coolant warmed late", "Its time is over"},
		{"what the lead has not accepted judges nothing", false, []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 coolant 80 degC", "80 coolant 70 degC", "90 speed 800 rpm", "91 speed 900 rpm"}, "", "Its time is over"},
		{"the coolant falls", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 coolant 80 degC", "80 coolant 74 degC"}, "Coolant falls: 80\u2009°C, now 74\u2009°C", "Its time is over"},
		{"it falls as far as it may", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 coolant 80 degC", "80 coolant 75 degC"}, "", "Its time is over"},
		{"another speed begins anew", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 coolant 80 degC", "75 station 500", "80 coolant 74 degC"}, "", "Its time is over"},
		{"it hunts", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 speed 800 rpm", "72 speed 841 rpm"}, "It hunts: 800\u2009rpm, then 841\u2009rpm", "Coolant does not warm; Its time is over"},
		{"it dies away", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 speed 800 rpm", "72 speed 841 rpm", "74 speed 820 rpm"}, "", "Coolant does not warm; Its time is over"},
		{"as far as it may swing", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 speed 800 rpm", "72 speed 840 rpm"}, "", "Coolant does not warm; Its time is over"},
		{"the lever was moved", true, []string{"5 fired", "8 oil.pressure 2.8 bar", "60 station 800", "70 speed 800 rpm", "71 lever", "72 speed 900 rpm"}, "", "Coolant does not warm; Its time is over"},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := slices.Clone(runSet)
			for _, l := range runSteady {
				if !c.set {
					l = strings.Replace(l, `,"accepted":"maud"`, "", 1)
				}
				all = append(all, l)
			}
			at := len(all)
			all = append(all, firstStart)
			for _, l := range c.lines {
				all = append(all, logged(at, "2117", l))
			}
			s, ids := holding(t, all...)
			v := s.view("run", `{"id":"`+string(ids[at])+`"}`)
			if got := titles(v, "sides.0.alarms"); got != c.want {
				t.Errorf("alarms %q, want %q", got, c.want)
			}
			if got := titles(v, "sides.0.deadlines"); got != c.due {
				t.Errorf("due %q, want %q", got, c.due)
			}
		})
	}
}

// A run that ended cold has it among what was raised.
func TestRunEndedCold(t *testing.T) {
	all := append(slices.Clone(runSet), runSteady...)
	at := len(all)
	all = append(all, firstStart, logged(at, "2117", "5 fired"), logged(at, "2117", "8 oil.pressure 2.8 bar"), logged(at, "2117", "700 stop"))
	s, ids := holding(t, all...)
	if got := titles(s.view("run", `{"id":"`+string(ids[at])+`"}`), "sides.0.raised"); got != "Coolant did not warm" {
		t.Errorf("raised %q", got)
	}
}
