package record

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/pattern"
	"witnessmark/sync/reconcile"
)

// recounted is the sheet of the invented engines with other counts.
func recounted(t *testing.T, s *State, edits ...pattern.Edit) string {
	now, wrong := s.Patterns[0].Pattern.With(edits)
	if len(wrong) > 0 {
		t.Fatal(wrong)
	}
	return `{"pattern":"ellandry-u6","data":` + now.JSON().String() + `}`
}

// TestCountsWhileMeasuring: one phone takes the sixth cylinder and four studs off the type while another, that does not know
// it, measures there. Whatever order it all arrives in, step by step or from nothing, the state is the same (I3), nothing of
// it is lost, and it counts again when the counts go back.
func TestCountsWhileMeasuring(t *testing.T) {
	w := newWorkshop(t)
	sheet := w.state().Patterns[0].ID
	w.pell.write("reading", readingBody("2117", "cyl.6.liner", "top.thrust", "found", "107.010", ""))
	changed := w.maud.write("pattern", recounted(t, w.state(), pattern.Edit{Key: "cylinders", Text: "5"}, pattern.Edit{Key: "studs", Text: "22"}), sheet)
	w.pell.write("reading", readingBody("2117", "cyl.6.liner", "bottom.thrust", "found", "107.020", ""))
	w.pell.write("reading", readingBody("2117", "cyl.5.liner", "top.thrust", "found", "107.030", ""))
	w.pell.write("note", `{"of":{"asm":"2117","at":"cyl.6.bowl"},"text":"cracked at the lip"}`)
	w.pell.write("check", `{"of":{"asm":"2123","at":"valve.E6.clay"},"answer":"skipped","why":"cannot reach"}`)
	w.pell.write("tighten", `{"of":{"asm":"2117","at":"head"},"pass":1,"fasteners":["20","26"],"torque":{"t":"50","u":"N.m"},"thread":"oiled","tool":"W2"}`)
	want := w.state()
	var why []string
	for _, u := range want.Unusable {
		why = append(why, u.Kind+" "+u.Of.At+": "+u.Why)
	}
	slices.Sort(why)
	for i, part := range []string{"check valve.E6.clay: no such place: ", "note cyl.6.bowl: no such place: ", "reading cyl.6.liner: no such place: the type sheet of 2117 has no place cyl.6.liner",
		"reading cyl.6.liner: ", "tighten head: no such place: the type sheet of 2117 has no fastener 26 on the cylinder head"} {
		if len(why) != 5 || !strings.HasPrefix(why[i], part) {
			t.Fatalf("%d is not '%s …' of\n%s", i, part, strings.Join(why, "\n"))
		}
	}
	anyOrder(t, w)
	w.maud.write("pattern", sheetBody(t), changed)
	back := w.state()
	if len(back.Unusable) > 0 || says(back.At("2117", "cyl.6.liner", "bottom.thrust", "found")) != "107.020" || len(back.Joints[0].Passes[0].Strange) > 0 {
		t.Errorf("not as it was: %+v", back.Unusable)
	}
	anyOrder(t, w)
}

// anyOrder holds every order of arrival, and every state on the way, against the state from nothing.
func anyOrder(t *testing.T, w *workshop) {
	t.Helper()
	want := w.state().Bytes()
	for trial := range uint64(25) {
		if got := delivered(w.all, 7, trial); !bytes.Equal(got, want) {
			t.Fatalf("delivery %d: \n got %s\nwant %s", trial, got, want)
		}
		list, r := slices.Clone(w.all), rand.New(rand.NewPCG(8, trial))
		r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		set := reconcile.New()
		s := Build(set.Resolve())
		for _, e := range list {
			set.AddEntry(e)
			now := set.Resolve()
			next, _, ok := s.Extend(now)
			if built := Build(now); !ok {
				next = built
			} else if !bytes.Equal(next.Bytes(), built.Bytes()) {
				t.Fatalf("order %d: extended by a %s, it is not the state from nothing", trial, e.Kind)
			}
			s = next
		}
	}
}
