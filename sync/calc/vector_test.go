package calc

import (
	"flag"
	"os"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
)

var update = flag.Bool("update", false, "write testdata/vectors/calc.ndjson anew")

const vectors = "../../testdata/vectors/calc.ndjson"

// TestVectorCalc runs every line of the vector file and demands the same bytes
// on every machine: it is run natively, as WebAssembly and as arm64 (I5).
func TestVectorCalc(t *testing.T) {
	file, err := os.ReadFile(vectors)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	lines := strings.Split(strings.TrimSpace(string(file)), "\n")
	if len(lines) < 12 {
		t.Fatal("the vectors are gone")
	}
	for _, l := range lines {
		v, err := jcs.Parse([]byte(l))
		if err != nil {
			t.Fatalf("%v: %.80s", err, l)
		}
		in, err := FromJSON(v.Get("in"))
		if err != nil {
			t.Fatal(err)
		}
		name := v.Get("calc").Text()
		r, err := Run(name, in)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got, want := r.JSON().String(), v.Get("out").String(); got != want && !*update {
			t.Errorf("%s\n got %s\nwant %s", v.Get("name").Text(), around(got, want), around(want, got))
		}
		out.WriteString(v.With("out", r.JSON()).String() + "\n")
	}
	if *update {
		if err := os.WriteFile(vectors, []byte(out.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// around cuts out where a differs from b.
func around(a, b string) string {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	return a[max(0, i-60):min(len(a), i+120)]
}
