package main

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

func beeps(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("photos/testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// says makes an entry of any kind.
func (p *phone) says(kind, body string) []byte {
	p.o.t.Helper()
	p.seq++
	prev := ""
	if p.prev != "" {
		prev = fmt.Sprintf(`"prev":"%s",`, p.prev)
	}
	raw := fmt.Appendf(nil, `{"at":"2031-04-12T10:22:31+01:00","body":%s,"by":"idris","job":"%s","kind":%q,"log":"%s",%s"seq":%d,"v":1}`,
		body, p.job, kind, p.log, prev, p.seq)
	e, err := entry.Read(raw)
	if err != nil || e.Bad != "" {
		p.o.t.Fatalf("entry: %v %s", err, e.Bad)
	}
	p.prev = e.ID
	return raw
}

// TestVoiceNote is T35 and T36 for sound: both formats go in, paired phones hear the very bytes, in their own type and
// no other, and nobody hears them through a view link, whatever an entry calls them.
func TestVoiceNote(t *testing.T) {
	o := newOffice(t)
	p, other, lead := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleLead)
	for name, typ := range map[string]string{"beeps.webm": "audio/webm", "beeps.m4a": "audio/mp4"} {
		data := beeps(t, name)
		sha := p.upload(data)
		r := other.send("GET", "/api/v1/blobs/"+sha+"?as=view", nil).want(200)
		for header, want := range map[string]string{
			"Content-Type": typ, "X-Content-Type-Options": "nosniff", "Content-Security-Policy": "default-src 'none'; sandbox",
			"Content-Disposition": `inline; filename="` + sha[:16] + `"`, "ETag": `"` + sha + `"`,
		} {
			if got := r.header.Get(header); got != want {
				t.Errorf("%s: %s is %q, want %q", name, header, got, want)
			}
		}
		if !bytes.Equal(r.body, data) {
			t.Errorf("%s came back changed", name)
		}
		other.send("GET", "/api/v1/blobs/"+sha+"?as=original", nil).wantError(404, "not_found")
	}
	sha := shaOf(beeps(t, "beeps.webm"))
	p.exchange(
		p.says("voice", `{"seconds":2,"sha":"`+sha+`","size":9,"type":"audio/webm"}`),
		p.says("photo", `{"sha":"`+sha+`","size":9,"type":"image/jpeg"}`))
	g := o.openLink(lead, true)
	g.send("GET", "/v/"+g.linkID+"/photo/"+sha, nil).wantError(404, "not_found")
	heard := shaOf(beeps(t, "beeps.m4a"))
	p.exchange(p.says("voice", `{"seconds":2,"sha":"`+heard+`","size":9,"type":"audio/mp4"}`))
	g.send("GET", "/v/"+g.linkID+"/photo/"+heard, nil).wantError(404, "not_found")
	if body := string(g.send("GET", "/v/"+g.linkID+"/data", nil).want(200).body); strings.Contains(body, heard) {
		t.Error("the page for people outside names the voice note")
	}
}

// TestVoiceRefused: the office says why, and says it again when the phone asks where to go on.
func TestVoiceRefused(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	webm := beeps(t, "beeps.webm")
	for name, data := range map[string][]byte{
		"cut": webm[:60], "wrong type": []byte("ID3\x04\x00\x00"), "web page inside": append(bytes.Clone(webm), "<script>alert(1)</script>"...),
	} {
		sha := shaOf(data)
		p.chunk(sha, 0, len(data), data).wantError(422, "invalid")
		p.raw("HEAD", "/api/v1/blobs/"+sha, nil).want(422)
		p.send("GET", "/api/v1/blobs/"+sha, nil).wantError(404, "not_found")
		if t.Failed() {
			t.Fatal(name)
		}
	}
}
