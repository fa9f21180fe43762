package view

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/result"
)

// measures are the points that a result still wants, as "asm at point cond".
func measures(s shown, id string) (out []string) {
	for _, e := range s.view("result", `{"id":"`+id+`"}`).Get("measure").Items() {
		for _, p := range e.Get("points").Items() {
			out = append(out, strings.Join([]string{e.Get("engine").Get("asm").Text(), p.Get("at").Text(), p.Get("point").Text(), p.Get("cond").Text()}, " "))
		}
	}
	return out
}

// TestMissingIsPlacesToGoTo: a result that misses something names the points
// to measure; one that misses nothing names none.
func TestMissingIsPlacesToGoTo(t *testing.T) {
	s := demo(t)
	if got, want := measures(s, "journal/2117/main.7/found"), []string{"2117 main.7.journal b.H found"}; !slices.Equal(got, want) {
		t.Errorf("a diameter that nobody measured: still to measure %q, want %q", got, want)
	}
	tried := measures(s, "gasket/2117+2123/gasket/trial:GK-7")
	if !slices.Contains(tried, "2123 gasket.compressed 1 trial:GK-7") || slices.Contains(tried, "2117 gasket.compressed 1 trial:GK-7") {
		t.Errorf("a trial on one engine only: still to measure %q", tried)
	}
	for _, r := range s.rs {
		if got := measures(s, r.ID); len(got) > 0 && len(r.Missing) == 0 {
			t.Errorf("%s misses nothing and still wants %q", r.ID, got)
		}
	}
}

// TestWalkCompletesTheResult: who measures the first point on the list, again
// and again, goes in the order of the walk and ends with a result that misses nothing.
func TestWalkCompletesTheResult(t *testing.T) {
	p := newPen(t)
	read := func(at, point string) {
		of := jcs.Obj(jcs.M("asm", jcs.Str("2117")), jcs.M("at", jcs.Str(at)), jcs.M("point", jcs.Str(point)), jcs.M("part", jcs.Str("2117:crank")))
		p.write("reading", `{"of":`+of.String()+`,"cond":"found","value":{"t":"74.98","u":"mm"},"read_by":"pell"}`)
	}
	read("pin.4.journal", "b.H")
	const id = "undersize/2117/pin/found"
	var walked []string
	for range 100 {
		st := p.state()
		s := shown{t: t, st: st, rs: result.All(st)}
		left := measures(s, id)
		if len(left) == 0 {
			break
		}
		f := strings.Fields(left[0])
		walked = append(walked, f[1])
		read(f[1], f[2])
	}
	st := p.state()
	i := slices.IndexFunc(result.All(st), func(r result.Res) bool { return r.ID == id })
	if missing := result.All(st)[i].Missing; slices.ContainsFunc(missing, func(m string) bool { return strings.Contains(m, "journal") }) {
		t.Errorf("after the walk it misses %q", missing)
	}
	if !slices.IsSorted(walked) || len(walked) < 6 {
		t.Errorf("walked %q", walked)
	}
}
