// Package order sorts lists of any kind through one sort of positions. The
// standard library's generic sort is compiled anew for every type that it
// sorts, which made a twelfth of the phone's core.
package order

import "slices"

// By puts the list in order; what compares equal keeps its order.
func By[T any](list []T, compare func(a, b T) int) {
	at := positions(len(list), func(i, j int) int { return compare(list[i], list[j]) })
	out := make([]T, len(list))
	for i, k := range at {
		out[i] = list[k]
	}
	copy(list, out)
}

func positions(n int, compare func(i, j int) int) []int {
	at := make([]int, n)
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, compare)
	return at
}
