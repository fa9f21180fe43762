package draw

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
)

func TestFile(t *testing.T) {
	got := File(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 390 99.5"><path d="M0 0"/></svg>`, "head of 2117 <seventeen>, left, and more words than stand in one line of it")
	if !strings.Contains(got, `viewBox="0 -42 390 141.5"><style>`) || !strings.HasPrefix(got, "<?xml") {
		t.Errorf("File = %.120s", got)
	}
	for d := xml.NewDecoder(strings.NewReader(got)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatalf("%v: %s", err, got)
		}
	}
	if strings.Count(got, "file-caption\"") != 2 || !strings.Contains(got, "2117 &lt;seventeen&gt;, left") {
		t.Errorf("the caption: %s", got[len(got)-400:])
	}
	for _, bad := range []string{"", "no drawing", "<svg", "<p>words</p>"} {
		if got := File(bad, "words"); got != "" {
			t.Errorf("File(%q) = %q", bad, got)
		}
	}
}
