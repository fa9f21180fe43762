// Package seeds says how many seeds a property test tries where it runs. All of them are tried natively; as WebAssembly, where
// each takes several times as long, a tenth is: that both come to the same bits is what the shared vectors prove.
package seeds

import "runtime"

// All says that every seed is tried here, so that a test may ask whether its histories were wild enough.
const All = runtime.GOARCH != "wasm"

// Of is how many of n seeds are tried here, one at least.
func Of(n uint64) uint64 {
	if All {
		return n
	}
	return max(1, n/10)
}
