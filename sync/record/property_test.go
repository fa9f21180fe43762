package record

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
	"witnessmark/testdata/seeds"
)

// TestOrderNeverMatters: at least 1,000 seeded histories (natively), each delivered
// shuffled, split and doubled, step by step and from nothing, give the same
// bytes (I3, T23).
func TestOrderNeverMatters(t *testing.T) {
	kinds := map[string]int{}
	contests, forks, bad, newer, twice, marked := 0, 0, 0, 0, 0, 0
	held, ran, snags := map[string]int{}, map[string]int{}, map[string]int{}
	for seed := range seeds.Of(1200) {
		h := newHistory(t, seed)
		want := build(h.all)
		for _, e := range h.all {
			kinds[e.Kind]++
		}
		contests, forks, bad = contests+len(want.Contests), forks+want.Forks, bad+len(want.Unusable)
		newer += len(want.NeedsNewer)
		for _, p := range want.Photos {
			marked += len(want.MarksOn(p))
		}
		for _, p := range want.Places {
			twice += count(p.Readings, func(r Reading) bool { return strings.HasPrefix(r.Struck, "said twice") })
		}
		countHolds(want, held)
		countRuns(want, ran)
		countSnags(want, snags)
		for trial := range uint64(2) {
			if got := delivered(h.all, seed, trial); !bytes.Equal(got, want.Bytes()) {
				t.Fatalf("seed %d, delivery %d:\n got %s\nwant %s", seed, trial, got, want.Bytes())
			}
		}
	}
	if !seeds.All {
		return
	}
	// A property over histories in which nothing happens proves nothing.
	if contests < 1000 || forks < 100 || bad < 100 || len(kinds) < 15 || newer < 100 || twice < 100 || marked < 100 || kinds["voice"] < 100 {
		t.Errorf("the histories are too tame: %d contests, %d forks, %d not usable, %d newer, %d said twice, %d marked, kinds %v", contests, forks, bad, newer, twice, marked, kinds)
	}
	for _, what := range []string{"started", "ended", "struck", "contested", "waits", "two ends"} {
		if held[what] < 30 {
			t.Errorf("the hold tests are too tame: %v", held)
		}
	}
	for _, what := range []string{"of both", "struck", "waits", "lines", "struck lines", "contested lines", "stopped", "two in one instant", "blocks", "adjusts", "clutches"} {
		if ran[what] < 30 {
			t.Errorf("the runs are too tame: %v", ran)
		}
	}
	for _, what := range []string{SnagRaised, SnagCured, SnagProven, SnagReopened, "contested", "not proven", "waits", "struck"} {
		if snags[what] < 30 {
			t.Errorf("the snags are too tame: %v", snags)
		}
	}
}

func countSnags(s *State, snags map[string]int) {
	for _, x := range s.Snags {
		snags[x.State]++
		for what, is := range map[string]bool{"contested": x.Contest != "", "not proven": x.NotProven != "", "waits": len(x.Waits) > 0, "struck": x.Struck != ""} {
			if is {
				snags[what]++
			}
		}
	}
}

func countHolds(s *State, held map[string]int) {
	for _, x := range s.Holds {
		_, ended := x.End()
		two := count(x.Ends, func(e HoldEnd) bool { return e.Struck == "" && e.Contest != "" }) > 1
		for what, is := range map[string]bool{"started": !ended, "ended": ended, "struck": x.Struck != "", "contested": x.Contest != "", "waits": len(x.Waits) > 0, "two ends": two} {
			if is {
				held[what]++
			}
		}
	}
}

func countRuns(s *State, ran map[string]int) {
	ran["adjusts"] += len(s.Adjusts)
	ran["clutches"] += len(s.Clutches)
	for i := range s.Runs {
		r := &s.Runs[i]
		_, stopped := r.Stop(r.Of[0].Asm)
		for what, is := range map[string]bool{"of both": len(r.Of) > 1, "struck": r.Struck != "", "waits": r.Title == "", "stopped": stopped} {
			if is {
				ran[what]++
			}
		}
		ran["lines"] += len(r.Lines)
		ran["struck lines"] += count(r.Lines, func(l RunLine) bool { return l.Struck != "" })
		ran["contested lines"] += count(r.Lines, func(l RunLine) bool { return l.Contest != "" })
		ran["blocks"] += count(r.Lines, func(l RunLine) bool { return l.Block != nil })
		for k := 1; k < len(r.Lines); k++ {
			if r.Lines[k].MS == r.Lines[k-1].MS {
				ran["two in one instant"]++
			}
		}
	}
}

func count[T any](list []T, is func(T) bool) (n int) {
	for _, x := range list {
		if is(x) {
			n++
		}
	}
	return n
}

// delivered adds the entries in another order, with repeats, resolving on the
// way as a phone does after each page.
func delivered(all []entry.Entry, seed, trial uint64) []byte {
	r := rand.New(rand.NewPCG(seed, trial))
	list := slices.Clone(all)
	for range len(all) / 4 {
		list = append(list, all[r.IntN(len(all))])
	}
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	set := reconcile.New()
	for i, e := range list {
		set.AddEntry(e)
		if r.IntN(20) == 0 {
			if s := Build(set.Resolve()); s.Entries != set.Len() || i > len(list) {
				panic("entries went missing")
			}
		}
	}
	return Build(set.Resolve()).Bytes()
}

// TestExtendEqualsNothing: as entries come in, log by log in their own order
// with now and then one that overtook another, the state extended by them is
// byte for byte the one built from nothing, and the states before stay as they
// were.
func TestExtendEqualsNothing(t *testing.T) {
	extended, built, logged := 0, 0, 0
	for seed := range seeds.Of(250) {
		h := newHistory(t, seed)
		var run entry.ID
		ranOn := ""
		for range 42 { // the quiet part of a Saturday
			d, asm := h.devices[h.r.IntN(len(h.devices))], h.pick("2117", "2123")
			switch h.r.IntN(10) {
			default:
				h.reading(d, asm)
			case 3, 4:
				if run == "" {
					run, ranOn = d.write("run", fmt.Sprintf(`{"of":{"asm":%q},"does":"start","title":"stations"}`, asm)), asm
				} else {
					h.logged(d, fmt.Sprintf(`{"asm":%q}`, ranOn), string(run))
				}
			case 0:
				h.media(d, asm)
			case 1:
				h.mark(d)
			case 2:
				d.write("note", fmt.Sprintf(`{"of":{"asm":%q,"at":"main.1.journal"},"text":"look"}`, asm))
			}
		}
		set, sofar := reconcile.New(), []entry.Entry{}
		st := Build(set.Resolve())
		for i, e := range arrivals(h.all, seed) {
			set.AddEntry(e)
			sofar = append(sofar, e)
			if i%3 == int(seed%3) {
				continue // two at once
			}
			before := st.Bytes()
			next, spots, ok := st.Extend(set.Resolve())
			if !ok {
				next = Build(set.Resolve())
				built++
			} else if len(spots) > 0 {
				extended++
			}
			if ok && e.Kind == "run" {
				logged++
			}
			if want := build(sofar).Bytes(); !bytes.Equal(next.Bytes(), want) {
				t.Fatalf("seed %d, after %d entries (extended %v):\n got %s\nwant %s", seed, len(sofar), ok, next.Bytes(), want)
			}
			if !bytes.Equal(st.Bytes(), before) {
				t.Fatalf("seed %d: extending changed the state before", seed)
			}
			st = next
		}
	}
	if seeds.All && (extended < 500 || built < 1000 || logged < 100) {
		t.Errorf("too tame: %d extended, %d built, %d of runs", extended, built, logged)
	}
}

// arrivals deals the logs out at random, each in its order but for a few.
func arrivals(all []entry.Entry, seed uint64) []entry.Entry {
	r := rand.New(rand.NewPCG(seed, 99))
	byLog := map[entry.LogID][]entry.Entry{}
	var logs []entry.LogID
	for _, e := range all {
		if len(byLog[e.Log]) == 0 {
			logs = append(logs, e.Log)
		}
		byLog[e.Log] = append(byLog[e.Log], e)
	}
	var out []entry.Entry
	for len(out) < len(all) {
		l := logs[r.IntN(len(logs))]
		k := min(len(byLog[l]), 1+r.IntN(6))
		out, byLog[l] = append(out, byLog[l][:k]...), byLog[l][k:]
	}
	for range len(out) / 20 {
		i, j := r.IntN(len(out)), r.IntN(len(out))
		out[i], out[j] = out[j], out[i]
	}
	return out
}
