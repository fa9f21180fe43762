package result

import (
	"math/rand/v2"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"

	story "witnessmark/testdata/demo"
	"witnessmark/testdata/seeds"
)

// TestWorkEqualsNothing: while the demo's logs come in, a few lines of one
// phone, then of another, the results kept up to date are those worked out
// from nothing, and those handed out before stay as they were.
func TestWorkEqualsNothing(t *testing.T) {
	extended := 0
	for seed := range seeds.Of(2) {
		r := rand.New(rand.NewPCG(seed, 7))
		w, was := NewWork(), ""
		for i, e := range dealt(t, r) {
			w.Set.AddEntry(e)
			if i%7 != 0 && r.IntN(4) > 0 {
				continue
			}
			before, res := w.state, w.res
			state, all := w.Now()
			if before != nil && state.Entries > before.Entries && len(before.Engines) > 0 && &state.Engines[0] == &before.Engines[0] {
				extended++
			}
			want := All(record.Build(w.Set.Resolve()))
			is := Digest(plain(all))
			if len(all) != len(want) || is != Digest(want) || w.Digest() != is {
				t.Fatalf("seed %d: after %d entries the results kept up to date are not those from nothing", seed, i+1)
			}
			if res != nil && Digest(plain(res.All)) != was {
				t.Fatalf("seed %d: results handed out before have changed", seed)
			}
			was = is
		}
	}
	if extended < 50 {
		t.Errorf("too tame: only %d times extended", extended)
	}
}

// plain forgets the digests, so that they are worked out again.
func plain(rs []Res) []Res {
	out := append([]Res(nil), rs...)
	for i := range out {
		out[i].sum = ""
	}
	return out
}

// dealt deals the demo's logs out at random, each in its order.
func dealt(t *testing.T, r *rand.Rand) []entry.Entry {
	set := reconcile.New()
	byLog := map[entry.LogID][]entry.Entry{}
	var logs []entry.LogID
	for _, line := range story.Lines() {
		e, err := entry.Read(line)
		if err != nil {
			t.Fatal(err)
		}
		if set.AddEntry(e); len(byLog[e.Log]) == 0 {
			logs = append(logs, e.Log)
		}
		byLog[e.Log] = append(byLog[e.Log], e)
	}
	var out []entry.Entry
	for len(out) < set.Len() {
		l := logs[r.IntN(len(logs))]
		k := min(len(byLog[l]), 1+r.IntN(8))
		out, byLog[l] = append(out, byLog[l][:k]...), byLog[l][k:]
	}
	return out
}
