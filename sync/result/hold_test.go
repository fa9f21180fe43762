package result

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/calc"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"

	story "witnessmark/testdata/demo"
)

// pump is a phone that writes on beside the demo.
type pump struct {
	t    *testing.T
	set  *reconcile.Set
	job  entry.JobID
	last entry.Entry
}

func newPump(t *testing.T) *pump {
	t.Helper()
	p := &pump{t: t, set: reconcile.New()}
	for _, line := range story.Lines() {
		e, err := entry.Read(line)
		if err != nil {
			t.Fatal(err)
		}
		p.set.AddEntry(e)
		p.job = e.Job
	}
	p.write("log", `{"device":"own","name":"P9","of":"maud"}`)
	return p
}

func (p *pump) write(kind, body string, over ...entry.ID) entry.ID {
	p.t.Helper()
	v, err := jcs.Parse([]byte(body))
	if err != nil {
		p.t.Fatal(err)
	}
	e, err := entry.Compose(entry.Entry{Job: p.job, Log: entry.LogID(strings.Repeat("9", 32)), Seq: p.last.Seq + 1, Prev: p.last.ID, At: "2027-04-20T10:00:00+00:00",
		By: "maud", Kind: kind, Body: v, Over: over})
	if err != nil {
		p.t.Fatal(err)
	}
	p.set.AddEntry(e)
	p.last = e
	return e.ID
}

func (p *pump) start(more string) entry.ID {
	return p.write("hold-test", `{"of":{"asm":"2117"},"test":"fuel","pressure":{"t":"0.500","u":"bar"}`+more+`}`)
}

func (p *pump) end(start entry.ID, pressure, temp, elapsed string) entry.ID {
	if temp != "" {
		temp = `,"temp":{"t":"` + temp + `","u":"degC"}`
	}
	return p.write("hold-test", `{"of":{"asm":"2117"},"start":"`+string(start)+`","pressure":{"t":"`+pressure+`","u":"bar"},"elapsed":{"t":"`+elapsed+`","u":"s"}`+temp+`}`)
}

func (p *pump) limit(name, most, unit string) {
	p.write("limit", `{"limit":"`+name+`","asm":"2117","max":{"t":"`+most+`","u":"`+unit+`"},"judged":"read","words":"w","accepted":"maud"}`)
}

// asking is a limit that says the pressure of its test, and its minutes unless "".
func (p *pump) asking(pressure, unit, minutes string) {
	if minutes != "" {
		minutes = `,"test_time":{"t":"` + minutes + `","u":"min"}`
	}
	p.write("limit", `{"limit":"hold","asm":"2117","max":{"t":"0.200","u":"bar"},"test_pressure":{"t":"`+pressure+`","u":"`+unit+`"}`+minutes+`,"judged":"read","words":"w","accepted":"maud"}`)
}

func (p *pump) result(start entry.ID) Res {
	p.t.Helper()
	rs := All(record.Build(p.set.Resolve()))
	i := slices.IndexFunc(rs, func(r Res) bool { return r.ID == "hold/2117/"+string(start) })
	if i < 0 {
		p.t.Fatal("the hold test has no result")
	}
	return rs[i]
}

const warm = `,"temp":{"t":"18.0","u":"degC"}`

func TestHolds(t *testing.T) {
	for _, c := range []struct {
		name    string
		write   func(p *pump) entry.ID
		verdict calc.Verdict
		says    string
	}{
		{"running", func(p *pump) entry.ID { return p.start(warm) }, calc.Incomplete, "Not yet: pressure at the end"},
		{"no limit", func(p *pump) entry.ID { s := p.start(warm); p.end(s, "0.400", "18.0", "900"); return s }, calc.NoLimit, "It leaks: 0.100"},
		{"no temperature", func(p *pump) entry.ID { s := p.start(""); p.end(s, "0.400", "", "900"); return s }, calc.Incomplete, "Not yet: temperature at the start"},
		{"the limit of what is held", func(p *pump) entry.ID {
			p.limit("hold.fuel", "0.050", "bar")
			p.limit("hold", "0.200", "bar")
			s := p.start(warm)
			p.end(s, "0.400", "18.0", "900")
			return s
		}, calc.Outside, "It leaks: 0.100"},
		{"the limit of all hold tests", func(p *pump) entry.ID {
			p.limit("hold", "0.200", "bar")
			s := p.start(warm)
			p.end(s, "0.400", "18.0", "900")
			return s
		}, calc.Within, "It leaks: 0.100"},
		{"a limit a minute", func(p *pump) entry.ID {
			p.limit("hold.fuel", "0.001", "bar/min")
			s := p.start(warm)
			p.end(s, "0.400", "18.0", "900")
			return s
		}, calc.Outside, "It leaks: 0.100"},
		{"a leak as free air without the volume", func(p *pump) entry.ID {
			p.limit("hold.fuel", "10", "cm3/min")
			s := p.start(warm)
			p.end(s, "0.499", "18.0", "900")
			return s
		}, calc.Incomplete, ""},
		{"held too short", func(p *pump) entry.ID {
			p.limit("hold", "0.200", "bar")
			s := p.start(warm + `,"wait":{"t":"15","u":"min"}`)
			p.end(s, "0.500", "18.0", "600")
			return s
		}, calc.Incomplete, "No loss"},
		{"held long enough", func(p *pump) entry.ID {
			p.limit("hold", "0.200", "bar")
			s := p.start(warm + `,"wait":{"t":"15","u":"min"}`)
			p.end(s, "0.500", "18.0", "899")
			return s
		}, calc.Within, "No loss"},
		{"two ends that differ", func(p *pump) entry.ID {
			s := p.start(warm)
			p.end(s, "0.400", "18.0", "900")
			p.end(s, "0.410", "18.0", "900")
			return s
		}, calc.Contested, "Not settled: the end of fuel"},
		{"less put on than the limit asks for", func(p *pump) entry.ID {
			p.asking("0.70", "bar", "")
			s := p.start(warm)
			p.end(s, "0.500", "18.0", "900")
			return s
		}, calc.NotProven, "Tested at 0.500\u2009bar, the limit asks for 0.70\u2009bar: not proven. No loss"},
		{"in another unit", func(p *pump) entry.ID {
			p.asking("8.7", "psi", "") // 0.600 bar (1 psi = 6.894757 kPa, NIST SP 811, B.8)
			s := p.start(warm)
			p.end(s, "0.500", "18.0", "900")
			return s
		}, calc.NotProven, "Tested at 0.500\u2009bar, the limit asks for 8.7\u2009psi: not proven."},
		{"as asked, to the digits that the limit has", func(p *pump) entry.ID {
			p.asking("0.5", "bar", "15")
			s := p.start(warm)
			p.end(s, "0.500", "18.0", "899")
			return s
		}, calc.Within, "No loss"},
		{"held for less than the limit asks for", func(p *pump) entry.ID {
			p.asking("0.5", "bar", "20")
			s := p.start(warm)
			p.end(s, "0.500", "18.0", "900")
			return s
		}, calc.NotProven, "Held for 900\u2009s, the limit asks for 20\u2009min: not proven."},
		{"a leak is one at less pressure too", func(p *pump) entry.ID {
			p.asking("0.70", "bar", "")
			s := p.start(warm)
			p.end(s, "0.200", "18.0", "900")
			return s
		}, calc.Outside, "Tested at 0.500\u2009bar, the limit asks for 0.70\u2009bar: not proven. It leaks: 0.300"},
		{"a vacuum without its sign, as asked", func(p *pump) entry.ID {
			p.asking("-0.50", "bar", "")
			s := p.start(warm + `,"vacuum":true`)
			p.end(s, "0.500", "18.0", "900")
			return s
		}, calc.Within, "No loss"},
		{"a vacuum", func(p *pump) entry.ID {
			s := p.start(warm + `,"vacuum":true`)
			p.end(s, "0.400", "18.0", "900")
			return s
		}, calc.NoLimit, "Air comes in: 0.100"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newPump(t)
			r := p.result(c.write(p))
			if r.Verdict != c.verdict || !strings.Contains(r.Says, c.says) {
				t.Errorf("%s: %s, missing %v", r.Verdict, r.Says, r.Missing)
			}
		})
	}
}

// TestHoldRests: a result names its start, its end and its gauge, and says what was doubted about the time.
func TestHoldRests(t *testing.T) {
	p := newPump(t)
	gauge := p.write("instrument", `{"instrument":"G1","what":"gauge 0–1.6","res":{"t":"0.2","u":"bar"},"u":{"t":"0.05","u":"bar"}}`)
	s := p.start(warm + `,"gauge":"G1"`)
	end := p.write("hold-test", `{"of":{"asm":"2117"},"start":"`+string(s)+`","pressure":{"t":"0.400","u":"bar"},"temp":{"t":"18.0","u":"degC"},"elapsed":{"t":"15","u":"min"},"counted":{"t":"4503","u":"s"},"clock":"the clock was put forward"}`)
	r := p.result(s)
	want := []string{string(gauge), string(s), string(end)}
	slices.Sort(want)
	if !slices.Equal(r.Inputs, want) {
		t.Errorf("rests on %v", r.Inputs)
	}
	working := strings.Join(r.Working, "\n")
	for _, line := range []string{"the phone counted 4503\u2009s; put right to 15\u2009min", "the time: the clock was put forward"} {
		if !strings.Contains(working, line) {
			t.Errorf("%q is not in %s", line, working)
		}
	}
	if !strings.HasPrefix(r.Says, "No loss that these readings can tell") {
		t.Errorf("a gauge in steps of 0.2 tells no 0.1: %s", r.Says)
	}
}
