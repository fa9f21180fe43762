package draw

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
)

func TestFile(t *testing.T) {
	got := File(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"><path d="M0 0"/></svg>`)
	if !strings.Contains(got, `viewBox="0 0 1 1"><style>`) || !strings.HasPrefix(got, "<?xml") {
		t.Errorf("File = %.120s", got)
	}
	for d := xml.NewDecoder(strings.NewReader(got)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatalf("%v: %s", err, got)
		}
	}
	for _, bad := range []string{"", "no drawing", "<svg", "<p>words</p>"} {
		if got := File(bad); got != "" {
			t.Errorf("File(%q) = %q", bad, got)
		}
	}
}
