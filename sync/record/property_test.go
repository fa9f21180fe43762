package record

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
)

// TestOrderNeverMatters: at least 1,000 seeded histories, each delivered
// shuffled, split and doubled, step by step and from nothing, give the same
// bytes (I3, T23).
func TestOrderNeverMatters(t *testing.T) {
	kinds := map[string]int{}
	contests, forks, bad, newer, twice := 0, 0, 0, 0, 0
	for seed := range uint64(1200) {
		h := newHistory(t, seed)
		want := build(h.all)
		for _, e := range h.all {
			kinds[e.Kind]++
		}
		contests, forks, bad = contests+len(want.Contests), forks+want.Forks, bad+len(want.Unusable)
		newer += len(want.NeedsNewer)
		for _, p := range want.Places {
			twice += count(p.Readings, func(r Reading) bool { return strings.HasPrefix(r.Struck, "said twice") })
		}
		for trial := range uint64(2) {
			if got := delivered(h.all, seed, trial); !bytes.Equal(got, want.Bytes()) {
				t.Fatalf("seed %d, delivery %d:\n got %s\nwant %s", seed, trial, got, want.Bytes())
			}
		}
	}
	// A property over histories in which nothing happens proves nothing.
	if contests < 1000 || forks < 100 || bad < 100 || len(kinds) < 15 || newer < 100 || twice < 100 {
		t.Errorf("the histories are too tame: %d contests, %d forks, %d not usable, %d newer, %d said twice, kinds %v", contests, forks, bad, newer, twice, kinds)
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
