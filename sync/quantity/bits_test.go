package quantity

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"flag"
	"math"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write testdata/vectors/elementary.sha256 and schema/units.md anew")

// TestVectorBits is T26 to the last bit: the elementary functions give the same digest of 240,000 values on amd64, arm64 and
// WebAssembly. The other vectors show rounded figures, in which a fused product in the last place would not be seen.
func TestVectorBits(t *testing.T) {
	const file = "../../testdata/vectors/elementary.sha256"
	sum := sha256.New()
	for i := -20_000; i <= 20_000; i++ {
		x := float64(i) / 185.3
		p := math.Abs(x) + 1e-3
		for _, y := range []float64{Exp(x), Ln(p), Pow(p, 1.35), Sin(x), Cos(x), Atan(x)} {
			sum.Write(binary.BigEndian.AppendUint64(nil, math.Float64bits(y)))
		}
	}
	got := hex.EncodeToString(sum.Sum(nil))
	if *update {
		if err := os.WriteFile(file, []byte(got+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != strings.TrimSpace(string(want)) {
		t.Errorf("the bits are %s, want %s", got, want)
	}
}
