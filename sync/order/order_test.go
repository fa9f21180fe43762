package order

import (
	"cmp"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestBy holds By against the standard library's stable sort.
func TestBy(t *testing.T) {
	type pair struct{ key, tag int }
	rapid.Check(t, func(t *rapid.T) {
		var list []pair
		for i, k := range rapid.SliceOf(rapid.IntRange(0, 5)).Draw(t, "keys") {
			list = append(list, pair{k, i})
		}
		want := slices.Clone(list)
		compare := func(a, b pair) int { return cmp.Compare(a.key, b.key) }
		slices.SortStableFunc(want, compare)
		By(list, compare)
		if !slices.Equal(list, want) {
			t.Fatalf("got %v, want %v", list, want)
		}
	})
}
