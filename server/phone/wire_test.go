package phone

import (
	"errors"
	"io"
	"net/http"
	"strings"
	"testing"
)

// TestReadReplyCut: a reply that was cut counts for nothing, wherever the cut falls (T17).
func TestReadReplyCut(t *testing.T) {
	whole := `{"v":1,"server":"s","workspace":"w","job":"j","lines":2}` + "\n{\"a\":1}\n{\"b\":2}\n"
	read := func(text string) ([][]byte, error) {
		res := &http.Response{
			StatusCode: http.StatusOK, Header: http.Header{"Content-Type": {MediaType}}, Body: io.NopCloser(strings.NewReader(text)),
		}
		_, page, err := ReadReply(res, Expect{Server: "s", Workspace: "w", Job: "j"})
		return page, err
	}
	if page, err := read(whole); err != nil || len(page) != 2 {
		t.Errorf("the whole: %d lines, %v", len(page), err)
	}
	for at := range whole {
		if _, err := read(whole[:at]); !errors.Is(err, ErrNotOffice) && !errors.Is(err, io.ErrUnexpectedEOF) {
			t.Errorf("cut at %d: %v", at, err)
		}
	}
}
