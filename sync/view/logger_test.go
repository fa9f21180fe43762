package view

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
)

// block is a line of the run that the given entry started.
func block(start int, asm, elapsed, more string) string {
	return fmt.Sprintf(`run {"of":{"asm":%q},"run":"@%c","does":"samples","elapsed":{"t":%q,"u":"s"},%s}`, asm, rune('0'+start), elapsed, more)
}

func ranWith(t *testing.T, lines ...string) jcs.Value {
	t.Helper()
	s, ids := holding(t, append(append(slices.Clone(runSet), firstStart), lines...)...)
	return s.view("run", `{"id":"`+string(ids[len(runSet)])+`"}`)
}

// A gauge that samples by itself raises one alarm for as long as it lasts, and
// says how bad it became; the next time it is another one.
func TestSampledAlarms(t *testing.T) {
	at := len(runSet)
	v := ranWith(t, logged(at, "2117", "5 fired"), logged(at, "2117", "8 oil.pressure 2.8 bar"), logged(at, "2117", "60 station 800"),
		block(at, "2117", "61", `"columns":[{"what":"oil.pressure","u":"bar","values":"2.4 1.5 1.4 1.5 - 2.3 1.55"}],"step":{"t":"1","u":"s"}`), logged(at, "2117", "70 stop"))
	raised := find(v, "sides.0.raised").Items()
	var got []string
	for _, a := range raised {
		got = append(got, a.Get("at").Text()+" "+a.Get("title").Text()+": "+a.Get("says").Text())
	}
	want := []string{"1:02 Oil pressure 1.5\u2009bar: at least 1.6\u2009bar at 800\u2009rpm: 'as the lead set it'; until 1:04, 1.4\u2009bar at the worst",
		"1:07 Oil pressure 1.55\u2009bar: at least 1.6\u2009bar at 800\u2009rpm: 'as the lead set it'"}
	if !slices.Equal(got, want) {
		t.Errorf("raised\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// What was typed while a gauge sampled is judged in the order of the times:
// the station of 0:30 counts for the rows after it, not for those before.
func TestSampledBetween(t *testing.T) {
	at := len(runSet)
	v := ranWith(t, logged(at, "2117", "5 fired"), logged(at, "2117", "8 oil.pressure 2.8 bar"), logged(at, "2117", "20 station 500"),
		block(at, "2117", "21", `"columns":[{"what":"oil.pressure","u":"bar","values":"1.3 1.3 1.3"}],"times":"0 4 20"`), logged(at, "2117", "30 station 800"))
	if got := titles(v, "sides.0.alarms"); got != "Oil pressure 1.3\u2009bar" {
		t.Errorf("alarms %q", got)
	}
	if got := find(v, "sides.0.raised.0.at").Text(); got != "0:41" {
		t.Errorf("raised at %s, want 0:41: only at 800 it is too little", got)
	}
	if got := find(v, "sides.0.tiles.0.at").Text(); got != "0:41" {
		t.Errorf("the tile shows what came last: at %q", got)
	}
	// Somebody answers for it: the same alarm does not come back with the next row.
	v = ranWith(t, logged(at, "2117", "5 fired"), logged(at, "2117", "8 oil.pressure 2.8 bar"), logged(at, "2117", "20 station 800"),
		block(at, "2117", "21", `"columns":[{"what":"oil.pressure","u":"bar","values":"1.3 1.3 1.3"}],"times":"0 4 20"`), logged(at, "2117", "30 going_on"))
	if got := titles(v, "sides.0.alarms"); got != "" {
		t.Errorf("alarms %q after somebody answered", got)
	}
}

// A block puts off no reading that is due, and is no reading at a station.
func TestSampledIsNoReading(t *testing.T) {
	at := len(runSet)
	lines := []string{logged(at, "2117", "5 fired"), logged(at, "2117", "8 oil.pressure 2.8 bar")}
	before := find(ranWith(t, lines...), "sides.0.due_s").Int64()
	after := find(ranWith(t, append(lines, block(at, "2117", "9", `"columns":[{"what":"coolant","u":"degC","values":"40 41 42"}],"step":{"t":"20","u":"s"}`))...), "sides.0.due_s").Int64()
	if before != after || before == 0 {
		t.Errorf("due at %d, with samples at %d", before, after)
	}
}

// polylines are the points of every line of a drawing with a class.
func polylines(svg, class string) [][]string {
	var out [][]string
	for _, piece := range strings.Split(svg, `<polyline class="series `+class+`" points="`)[1:] {
		points, _, _ := strings.Cut(piece, `"`)
		out = append(out, strings.Fields(points))
	}
	return out
}

func graph(v jcs.Value, title string) string {
	for _, g := range v.Get("graphs").Items() {
		if g.Get("title").Text() == title {
			return g.Get("svg").Text()
		}
	}
	return ""
}

// Four hours at one a second with one peak of one second: the drawing has few
// points, the peak is one of them, and a quarter of an hour without a row stays open.
func TestSampledDrawing(t *testing.T) {
	at := len(runSet)
	lines := []string{logged(at, "2117", "5 fired")}
	for i := range 48 {
		if i >= 20 && i < 23 {
			continue
		}
		figures := slices.Repeat([]string{"80"}, 300)
		if i == 10 {
			figures[150] = "97"
		}
		lines = append(lines, block(at, "2117", fmt.Sprint(300*i), `"columns":[{"what":"coolant","u":"degC","values":"`+strings.Join(figures, " ")+`"}],"step":{"t":"1","u":"s"}`))
	}
	v := ranWith(t, lines...)
	pieces := polylines(graph(v, "Temperature against time"), v.Get("sides").Items()[0].Get("engine").Get("band").Text()) // a solid band is a solid line
	if len(pieces) != 2 {
		t.Fatalf("%d pieces, want 2: the gap stays open", len(pieces))
	}
	n, high := 0, map[string]bool{}
	for _, p := range pieces {
		n += len(p)
		for _, xy := range p {
			_, y, _ := strings.Cut(xy, ",")
			high[y] = true
		}
	}
	if len(high) != 2 {
		t.Errorf("heights %v: want 80 and the peak of 97", high)
	}
	if n > 4*265 || n < 264 {
		t.Errorf("%d points of 13,500", n)
	}
}

const loggerText = "name;t;oil;water\nunit;s;bar;degC\nx;0;2,80;58\nx;1;2,7;59\nx;1;2,7;59\nx;two;2,7;59\nx;2;err;\nx;4;2,6;61\n"

func (s shown) logger(run, more string) jcs.Value {
	return s.view("logger", `{"id":"`+run+`","asm":"2117","sep":"semicolon","text":`+jcs.Str(loggerText).String()+more+`}`)
}

func TestLogger(t *testing.T) {
	s, ids := holding(t, append(slices.Clone(runSet), firstStart)...)
	run := string(ids[len(runSet)])
	v := s.logger(run, "")
	if got := len(v.Get("columns").Items()); got != 4 {
		t.Fatalf("%d columns", got)
	}
	if got := strings.Join(v.Get("wants").Texts(), "; "); got != "which one column is the time; which columns are gauges; whether figures are written with a point or a comma; when the first row was, since the start of the run" {
		t.Errorf("it asks for %s", got)
	}
	if len(v.Get("bodies").Items()) != 0 {
		t.Error("something is guessed")
	}
	v = s.logger(run, `,"file":"tuesday.csv","heads":2,"mark":",","first_s":60,"columns":[{},{"role":"time","unit":"s"},{"role":"oil.pressure","unit":"bar"},{"role":"coolant","unit":"degC"}]`)
	if got := v.Get("wants").Texts(); len(got) != 0 {
		t.Fatalf("it still asks for %v", got)
	}
	if got := strings.Join(v.Get("told").Texts(), " "); !strings.Contains(got, "Row 5: its time is not after") || !strings.Contains(got, "Row 6: 'two' is no time") || !strings.Contains(got, "Row 7: 'err' is no figure of oil pressure") {
		t.Errorf("told: %s", got)
	}
	bodies := v.Get("bodies").Items()
	want := `{"columns":[{"u":"bar","values":"2.80 2.7 - 2.6","what":"oil.pressure"},{"u":"degC","values":"58 59 - 61","what":"coolant"}],"does":"samples","elapsed":{"t":"60","u":"s"},"file":"tuesday.csv","run":"` + run + `","times":"0 1 2 4"}`
	if len(bodies) != 1 || bodies[0].Without("of").String() != want {
		t.Fatalf("bodies\n%v\nwant\n%s", bodies, want)
	}
	s, _ = holding(t, append(append(slices.Clone(runSet), firstStart), "run "+bodies[0].String())...) // as the phone keeps it
	log := find(s.view("run", `{"id":"`+run+`"}`), "log_lines.0.words").Text()
	if log != "Oil pressure in bar, Coolant out in °C: 4 samples, each with its time, until 1:04, from tuesday.csv" {
		t.Errorf("the log says %q", log)
	}
	again := s.logger(run, `,"heads":2,"mark":",","first_s":60,"columns":[{},{"role":"time","unit":"s"},{"role":"oil.pressure","unit":"bar"}]`)
	if got := again.Get("there").Texts(); len(got) != 1 || got[0] != "Oil pressure of 2117 has samples in this time already." {
		t.Errorf("brought in twice, it says %q", got)
	}
}

func TestLoggerTimes(t *testing.T) {
	l := &loggerFile{v: &viewer{args: jcs.Obj(text("mark", "."))}}
	for _, c := range []struct {
		text, unit string
		want       int64
		ok         bool
	}{
		{"10:42:31", "clock", 38_551_000, true}, {"2027-04-03 10:42:31.5", "clock", 38_551_500, true}, {"2027-04-03T00:00:01", "clock", 1000, true},
		{"10:42", "clock", 0, false}, {"1.5", "min", 90_000, true}, {"250", "ms", 250, true}, {"0.5", "h", 1_800_000, true}, {"1,5", "s", 0, false}, {"", "s", 0, false}, {"", "clock", 0, false},
	} {
		got, ok := l.time(c.text, c.unit)
		if ok != c.ok || ok && got != c.want {
			t.Errorf("%q in %s: %d %v, want %d %v", c.text, c.unit, got, ok, c.want, c.ok)
		}
	}
}
