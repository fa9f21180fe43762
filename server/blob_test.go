package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math/rand/v2"
	"net"
	"strconv"
	"strings"
	"testing"

	"witnessmark/server/store"
)

func shaOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// noisyPNG is a picture of more than one chunk: noise does not compress.
func noisyPNG(t *testing.T, edge int) []byte {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 2))
	img := image.NewRGBA(image.Rect(0, 0, edge, edge))
	for y := range edge {
		for x := range edge {
			img.SetRGBA(x, y, color.RGBA{uint8(rng.Uint32()), uint8(rng.Uint32()), uint8(rng.Uint32()), 255})
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func (p *phone) offset(sha string) int {
	p.o.t.Helper()
	r := p.raw("HEAD", "/api/v1/blobs/"+sha, nil)
	r.want(200)
	n, err := strconv.Atoi(r.header.Get("Upload-Offset"))
	if err != nil {
		p.o.t.Fatal(err)
	}
	return n
}

func (p *phone) chunk(sha string, offset, size int, data []byte) reply {
	p.o.t.Helper()
	return p.raw("PATCH", "/api/v1/blobs/"+sha, data, "Upload-Offset", strconv.Itoa(offset), "Upload-Length", strconv.Itoa(size))
}

// upload sends what is lacking in chunks of 1 MiB.
func (p *phone) upload(data []byte) string {
	p.o.t.Helper()
	sha := shaOf(data)
	for at := p.offset(sha); at < len(data); at = p.offset(sha) {
		p.chunk(sha, at, len(data), data[at:min(at+1<<20, len(data))]).want(204)
	}
	return sha
}

func TestBlob(t *testing.T) {
	o := newOffice(t)
	p, other, lead := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleLead)
	data := noisyPNG(t, 700)
	sha := shaOf(data)
	if len(data) < 1<<20 {
		t.Fatalf("the picture has %d bytes: too small for two chunks", len(data))
	}
	p.chunk(sha, 0, len(data), data[:1<<20]).want(204)
	other.send("GET", "/api/v1/blobs/"+sha, nil).wantError(404, "not_found") // not whole, not visible
	r := p.chunk(sha, 5, len(data), data[5:100]).wantError(409, "conflict")
	if r.header.Get("Upload-Offset") != strconv.Itoa(1<<20) {
		t.Errorf("Upload-Offset = %q", r.header.Get("Upload-Offset"))
	}
	p.chunk(sha, 1<<20, len(data), make([]byte, 1<<20+1)).wantError(413, "too_large")
	p.upload(data)
	p.chunk(sha, 0, len(data), data[:10]).want(204) // finishing twice is fine

	view := other.send("GET", "/api/v1/blobs/"+sha+"?as=view", nil).want(200)
	if typ := view.header.Get("Content-Type"); typ != "image/jpeg" {
		t.Errorf("derivative is %s", typ)
	}
	for name, want := range map[string]string{"Content-Security-Policy": "default-src 'none'; sandbox", "X-Content-Type-Options": "nosniff"} {
		if got := view.header.Get(name); got != want {
			t.Errorf("%s = %q, want %q", name, got, want)
		}
	}
	if _, err := jpeg.Decode(bytes.NewReader(view.body)); err != nil {
		t.Errorf("derivative: %v", err)
	}
	if etag := view.header.Get("ETag"); etag != `"`+shaOf(view.body)+`"` {
		t.Errorf("ETag %s is not the derivative's own hash", etag)
	}
	for _, who := range []*phone{p, lead} {
		if got := who.send("GET", "/api/v1/blobs/"+sha+"?as=original", nil).want(200); !bytes.Equal(got.body, data) {
			t.Error("the original came back changed")
		}
	}
	other.send("GET", "/api/v1/blobs/"+sha+"?as=original", nil).wantError(404, "not_found")
	p.send("GET", "/api/v1/blobs/"+sha+"?as=raw", nil).wantError(400, "invalid")
}

// TestBlobCuts is T34: the line is cut a hundred times, at seeded places in the middle of a piece; each time the upload goes
// on where the server is, and nothing that had come is sent again.
func TestBlobCuts(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	data := noisyPNG(t, 700)
	sha := shaOf(data)
	const seed, cuts = 7, 100
	rng := rand.New(rand.NewPCG(seed, seed))
	for range cuts {
		at := p.offset(sha)
		n := 1 + rng.IntN((len(data)-at)/20)
		p.cutChunk(sha, at, len(data), data[at:min(at+1<<20, len(data))], n)
		if got := p.offset(sha); got != at+n {
			t.Fatalf("seed %d: %d bytes came before the cut at %d, and the server has %d", seed, n, at, got)
		}
	}
	p.upload(data)
	got := p.send("GET", "/api/v1/blobs/"+sha+"?as=original", nil).want(200)
	if shaOf(got.body) != sha {
		t.Errorf("seed %d: other bytes came back", seed)
	}
}

// cutChunk sends the first n bytes of a piece and then no more; it returns when the server has noticed.
func (p *phone) cutChunk(sha string, offset, size int, data []byte, n int) {
	p.o.t.Helper()
	host := strings.TrimPrefix(p.o.url, "http://")
	conn, err := net.Dial("tcp", host)
	if err != nil {
		p.o.t.Fatal(err)
	}
	defer conn.Close()
	fmt.Fprintf(conn, "PATCH /api/v1/blobs/%s HTTP/1.1\r\nHost: %s\r\nAuthorization: Bearer %s\r\nUpload-Offset: %d\r\nUpload-Length: %d\r\nContent-Length: %d\r\n\r\n",
		sha, host, p.token, offset, size, len(data))
	if _, err := conn.Write(data[:n]); err != nil {
		p.o.t.Fatal(err)
	}
	if err := conn.(*net.TCPConn).CloseWrite(); err != nil {
		p.o.t.Fatal(err)
	}
	if said, err := io.ReadAll(conn); err != nil || strings.HasPrefix(string(said), "HTTP/1.1 2") {
		p.o.t.Fatalf("to half a piece the server says %.80q, %v", said, err)
	}
}

// TestBlobWithoutLength: a client that does not say how long it is, is whole when the hash agrees.
func TestBlobWithoutLength(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	data := noisyPNG(t, 20)
	sha := shaOf(data)
	p.raw("PATCH", "/api/v1/blobs/"+sha, data[:100], "Upload-Offset", "0").want(204)
	if r := p.raw("PATCH", "/api/v1/blobs/"+sha, data[100:], "Upload-Offset", "100").want(204); r.header.Get("Upload-Complete") != "?1" {
		t.Error("not complete")
	}
}

// TestBlobRefused is T35: each with a reason, and the reason again when it is asked for.
func TestBlobRefused(t *testing.T) {
	o := newOffice(t)
	p, viewer := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleViewer)
	for name, data := range map[string][]byte{"text": []byte("hello"), "svg": []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script/></svg>`)} {
		t.Run(name, func(t *testing.T) {
			sha := shaOf(data)
			p.chunk(sha, 0, len(data), data).wantError(422, "invalid")
			p.raw("HEAD", "/api/v1/blobs/"+sha, nil).want(422)
			p.send("GET", "/api/v1/blobs/"+sha, nil).wantError(404, "not_found")
		})
	}
	data := noisyPNG(t, 20)
	wrong := shaOf([]byte("something else"))
	p.chunk(wrong, 0, len(data), data).wantError(409, "conflict")
	if got := p.offset(wrong); got != 0 {
		t.Errorf("after a wrong hash the offset is %d, want 0", got)
	}
	p.chunk(shaOf(data), 0, 33<<20, data).wantError(413, "too_large")
	for _, name := range []string{"..%2f..%2fetc%2fpasswd", "a%00b", "ABCDEF"} {
		p.raw("PATCH", "/api/v1/blobs/"+name, data, "Upload-Offset", "0").wantError(400, "invalid")
	}
	p.raw("PATCH", "/api/v1/blobs/"+shaOf(data), data).wantError(400, "invalid")
	viewer.chunk(shaOf(data), 0, len(data), data).wantError(403, "unauthorized")
	if h := p.exchange(p.write("readings never wait for photos")); h.Stored != 1 {
		t.Errorf("stored %d", h.Stored)
	}
}

// TestBlobWorkspaces: bytes are per workspace.
func TestBlobWorkspaces(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	sha := p.upload(noisyPNG(t, 30))
	other, err := openAccess(t.Context(), Config{Data: o.data, Workspace: "other", Now: o.clock})
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	code, err := other.Pair(t.Context(), store.RoleLead)
	if err != nil {
		t.Fatal(err)
	}
	s := o.stranger()
	s.send("POST", "/api/v1/pair", map[string]string{"code": code, "name": "stranger"}).want(200)
	s.buyToken()
	for _, as := range []string{"view", "original"} {
		s.send("GET", fmt.Sprintf("/api/v1/blobs/%s?as=%s", sha, as), nil).wantError(404, "not_found")
	}
	if got := s.offset(sha); got != 0 {
		t.Errorf("a stranger sees offset %d", got)
	}
}
