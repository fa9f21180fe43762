package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/json"
	"encoding/pem"
	"io"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"witnessmark/server/store"
)

// says runs a verb and returns what it printed.
func says(t *testing.T, want int, args ...string) (out, errOut string) {
	t.Helper()
	var o, e bytes.Buffer
	if got := run(args, &o, &e); got != want {
		t.Fatalf("witnessmark %v = %d, want %d: %s", args, got, want, &e)
	}
	return o.String(), e.String()
}

// emptyWorkshop is a folder in which a server ran once.
func emptyWorkshop(t *testing.T) string {
	t.Helper()
	data := t.TempDir()
	app, err := openApp(t.Context(), Config{Data: data})
	if err == nil {
		err = app.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// TestNoWorkshopThere: a verb that works on a workshop makes none. It says what to do, and leaves the folder as it is.
func TestNoWorkshopThere(t *testing.T) {
	folder := t.TempDir()
	out := filepath.Join(t.TempDir(), "out")
	file := archiveOf(t, filepath.Join(t.TempDir(), "job.zip"), testJob, nil)
	for name, args := range map[string][]string{
		"pair": {"-role", "lead"}, "link": {"-job", testJob}, "book": {"-out", out}, "numbers": {"-out", out}, "calendar": {"-out", out},
		"export": {"-out", out}, "import": {file}, "backup": {"-out", out}, "hand-in": {file},
	} {
		for _, data := range []string{folder, filepath.Join(folder, "none")} {
			_, e := says(t, 1, append([]string{name, "-data", data}, args...)...)
			for _, want := range []string{"there is no workshop in " + data, "the folder that the server uses", "data-demo", "start it first"} {
				if !strings.Contains(e, want) {
					t.Errorf("%s says %q, not %q", name, e, want)
				}
			}
		}
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("the folder has %v, %v", left, err)
	}
	data := emptyWorkshop(t)
	says(t, 0, "import", "-data", data, file)
	says(t, 0, "pair", "-data", data)
}

func TestVerbs(t *testing.T) {
	data := emptyWorkshop(t)
	var code struct {
		Code, Role string
		ExpiresIn  int `json:"expires_in"`
	}
	out, _ := says(t, 0, "pair", "-data", data, "-role", "lead", "-json")
	if err := json.Unmarshal([]byte(out), &code); err != nil || len(code.Code) != 8 || code.Role != "lead" || code.ExpiresIn != 600 {
		t.Errorf("pair -json = %s (%v)", out, err)
	}
	out, _ = says(t, 0, "pair", "-data", data)
	if !strings.Contains(out, "ten minutes") {
		t.Errorf("pair = %q", out)
	}
	if _, e := says(t, 1, "pair", "-data", data, "-role", "owner"); !strings.Contains(e, "lead, fitter or viewer") {
		t.Errorf("pair -role owner: %q", e)
	}
	if _, e := says(t, 1, "link", "-data", data, "-job", testJob); !strings.Contains(e, "not found") {
		t.Errorf("link of no job: %q", e)
	}
	if _, e := says(t, 2, "fly"); !strings.Contains(e, `"fly"`) || !strings.Contains(e, "serve") {
		t.Errorf("unknown verb: %q", e)
	}
	says(t, 2)
	says(t, 2, "serve", "-nonsense")
	if _, e := says(t, 1, "serve", "-data", data, "-addr", "nowhere.invalid:0"); !strings.Contains(e, "listen") {
		t.Errorf("serve on no address: %q", e)
	}
	says(t, 1, "health", "-addr", "127.0.0.1:1")
}

// TestServe: the whole of the verb on port 0, beside it a code from the command line, and an end without loss.
func TestServe(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	data := t.TempDir()
	r, w := io.Pipe()
	ended := make(chan error, 1)
	go func() { ended <- serve(ctx, Config{Data: data}, listenOn{addr: "127.0.0.1:0"}, w) }()
	line, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	addr := strings.TrimSpace(strings.TrimPrefix(line, "listening on "))
	says(t, 0, "health", "-addr", addr)
	p := pairBeside(t, data, "http://"+addr)
	if h := p.exchange(p.write("one")); h.Stored != 1 {
		t.Errorf("stored %d", h.Stored)
	}
	p.client.CloseIdleConnections()
	stop()
	if err := <-ended; err != nil {
		t.Errorf("serve = %v", err)
	}
}

// pairBeside pairs a phone with a code drawn by the command line beside a running server.
func pairBeside(t *testing.T, data, url string, more ...string) *phone {
	t.Helper()
	out, _ := says(t, 0, append([]string{"pair", "-data", data, "-json"}, more...)...)
	var code struct{ Code string }
	if err := json.Unmarshal([]byte(out), &code); err != nil {
		t.Fatal(err)
	}
	o := &testOffice{t: t, url: url, data: data, log: &safeBuffer{}}
	p := o.stranger()
	r := p.send("POST", "/api/v1/pair", map[string]string{"code": code.Code, "name": "phone"}).want(200)
	p.device = store.DeviceID(r.text("device"))
	p.log = string(p.device)
	p.buyToken()
	return p
}

// TestCertificateFiles is T46: a renewed certificate is taken up, half-written files change nothing.
func TestCertificateFiles(t *testing.T) {
	dir := t.TempDir()
	files := &certFiles{cert: filepath.Join(dir, "cert.pem"), key: filepath.Join(dir, "key.pem")}
	if _, err := files.get(nil); err == nil {
		t.Error("without files = nil, want an error")
	}
	writeCert(t, files, 1)
	first, err := files.get(nil)
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := files.get(nil); again != first {
		t.Error("unchanged files were read again")
	}
	if err := os.WriteFile(files.cert, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	age(t, files.cert, time.Hour)
	if still, err := files.get(nil); err != nil || still != first {
		t.Errorf("half-written: %v", err)
	}
	writeCert(t, files, 2)
	age(t, files.cert, 2*time.Hour)
	if second, err := files.get(nil); err != nil || second == first {
		t.Errorf("renewed: %v, the same %v", err, second == first)
	}
	l, err := listen(Config{}.filled(), listenOn{addr: "127.0.0.1:0", cert: files.cert, key: files.key})
	if err != nil {
		t.Fatal(err)
	}
	_ = l.Close()
	if _, err := listen(Config{}.filled(), listenOn{addr: "127.0.0.1:0", cert: filepath.Join(dir, "none")}); err == nil {
		t.Error("listen without a certificate file = nil, want an error")
	}
}

func age(t *testing.T, file string, by time.Duration) {
	t.Helper()
	at := time.Now().Add(by)
	if err := os.Chtimes(file, at, at); err != nil {
		t.Fatal(err)
	}
}

func writeCert(t *testing.T, files *certFiles, serial int64) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	tmpl := &x509.Certificate{SerialNumber: big.NewInt(serial), Subject: pkix.Name{CommonName: "marks.example.net"}, NotAfter: time.Now().Add(time.Hour)}
	cert, err := x509.CreateCertificate(rand.Reader, tmpl, tmpl, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	for file, block := range map[string]*pem.Block{files.cert: {Type: "CERTIFICATE", Bytes: cert}, files.key: {Type: "PRIVATE KEY", Bytes: der}} {
		if err := os.WriteFile(file, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
