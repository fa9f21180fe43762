package api

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	story "witnessmark/testdata/demo"
)

// asked is a request with these bytes for its body.
func asked(body []byte, typ, coding string) *http.Request {
	r := httptest.NewRequest(http.MethodPost, "/", bytes.NewReader(body))
	r.Header.Set("Content-Type", typ)
	r.Header.Set("Content-Encoding", coding)
	return r
}

// FuzzExchange: whatever bytes come, plain or packed, none makes the reader
// panic; each line is an entry of this job, told as bad, or the whole is
// refused in words; nothing over the bounds gets in.
func FuzzExchange(f *testing.F) {
	lines := story.Lines()
	first, err := entry.Read(lines[0])
	if err != nil {
		f.Fatal(err)
	}
	const head = `{"v":1,"log":"","after":null,"limit":10}`
	whole := head + "\n" + string(lines[0]) + "\n" + string(lines[1]) + "\n"
	f.Add([]byte(whole), false)
	f.Add([]byte(head), false)
	f.Add([]byte(head+"\n{\"v\":1}\n\n\xff\n"), false)
	f.Add([]byte(`{"v":1,"lines":3}`+"\n"+string(lines[0])+"\n"), false)
	f.Add([]byte(`{"v":1,"log":"0123456789abcdef0123456789abcdef","lease":{"current":"","next":"00"}}`), false)
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, _ = io.WriteString(z, whole)
	_ = z.Close()
	f.Add(packed.Bytes(), true)
	f.Add(packed.Bytes()[:packed.Len()-9], true)
	f.Fuzz(func(t *testing.T, body []byte, gzipped bool) {
		coding := ""
		if gzipped {
			coding = "gzip"
		}
		in, err := readExchange(asked(body, mediaType, coding), first.Job)
		if err != nil {
			var told failure
			if !errors.As(err, &told) || told.says == "" || told.status < 400 || told.status >= 500 {
				t.Fatalf("refused without words: %#v", err)
			}
			return
		}
		if len(in.entries) > entry.MaxBatchEntries || len(in.entries)+len(in.bad) > entry.MaxBatchEntries {
			t.Fatalf("%d entries and %d bad lines got in", len(in.entries), len(in.bad))
		}
		for _, e := range in.entries {
			if e.Job != first.Job || len(e.Raw) > entry.MaxEntry || !bytes.Contains(body, e.Raw) && !gzipped {
				t.Fatalf("an entry that was not sent: %s", e.Raw)
			}
		}
	})
}

// FuzzPair: whatever a phone sends to be paired, the code and the name are
// read, or it is told what is wrong.
func FuzzPair(f *testing.F) {
	for _, s := range []string{`{"code":"AAAA-BBBB","name":"P2"}`, `{}`, `[]`, `{"code":1}`, `{"code":"` + strings.Repeat("A", 9000) + `"}`, "\x00", `{"name":"\ud800"}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		var in struct{ Code, Name string }
		err := readJSON(asked(body, "application/json", ""), &in)
		var told failure
		if err != nil && (!errors.As(err, &told) || told.says == "") {
			t.Fatalf("refused without words: %#v", err)
		}
	})
}
