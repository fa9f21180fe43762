package result

import (
	"os"
	"strings"
	"testing"
)

const digests = "../../testdata/vectors/demo.digest"

// TestVectorDemo: from the demo's device logs to record and results, the same
// bits natively, as WebAssembly and as arm64 (I5). The file holds the digests
// of the record and of the results; when either changes on purpose, write it
// anew: UPDATE=1 go test ./sync/result -run Vector.
func TestVectorDemo(t *testing.T) {
	st := demo(t)
	got := st.Digest() + " " + Digest(All(st)) + " core " + CoreVersion + "\n"
	if os.Getenv("UPDATE") != "" {
		if err := os.WriteFile(digests, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(digests)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("got  %swant %s", strings.TrimSpace(got)+"\n", want)
	}
}
