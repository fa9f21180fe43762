package authority

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"errors"
	"net"
	"net/http/httptest"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

const name = "heron.home.arpa"

var (
	began   = time.Date(2031, 4, 12, 9, 0, 0, 0, time.UTC)
	address = netip.MustParseAddr("192.168.1.20")
)

// clocked is an authority in a fresh folder, on a clock of the test's own.
func clocked(t *testing.T, addresses ...netip.Addr) (a *Authority, folder string, now *time.Time) {
	t.Helper()
	at := began
	folder = filepath.Join(t.TempDir(), "tls")
	a, err := Make(folder, name, addresses, func() time.Time { return at })
	if err != nil {
		t.Fatal(err)
	}
	return a, folder, &at
}

func (a *Authority) verify(leaf *x509.Certificate, host string, at time.Time) error {
	roots := x509.NewCertPool()
	roots.AddCert(a.root)
	_, err := leaf.Verify(x509.VerifyOptions{Roots: roots, DNSName: host, CurrentTime: at, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}})
	return err
}

// TestChain is T45: the certificate is good for the name and the address, and for nothing else.
func TestChain(t *testing.T) {
	a, folder, _ := clocked(t, address)
	c, err := a.Certificate(nil)
	if err != nil {
		t.Fatal(err)
	}
	for host, good := range map[string]bool{
		name: true, address.String(): true, "example.net": false, "x." + name: false, "home.arpa": false, "192.168.1.21": false,
	} {
		if err := a.verify(c.Leaf, host, began); (err == nil) != good {
			t.Errorf("%s: %v", host, err)
		}
	}
	key, ok := c.Leaf.PublicKey.(*ecdsa.PublicKey)
	if life := c.Leaf.NotAfter.Sub(c.Leaf.NotBefore); !ok || key.Curve != elliptic.P256() || life > LeafLife || c.Leaf.IsCA {
		t.Errorf("leaf: %T, lives %v, is an authority: %v", c.Leaf.PublicKey, life, c.Leaf.IsCA)
	}
	for file, mode := range map[string]os.FileMode{folder: 0o700, filepath.Join(folder, rootFile): 0o600} {
		if info, err := os.Stat(file); err != nil || info.Mode().Perm() != mode {
			t.Errorf("%s: %v, %v, want %v", file, info.Mode(), err, mode)
		}
	}
}

// TestBound is T45's other half: even whoever holds the key cannot pass for another name or address with it.
func TestBound(t *testing.T) {
	for _, addresses := range [][]netip.Addr{nil, {address}} {
		a, _, _ := clocked(t, addresses...)
		if !a.root.PermittedDNSDomainsCritical { // RFC 5280, section 4.2.1.10: a phone that cannot read it must refuse the root
			t.Errorf("%d addresses: a phone may pass over what the root is bound to", len(addresses))
		}
		for host, leaf := range map[string]x509.Certificate{
			"example.net": {DNSNames: []string{"example.net"}},
			"192.168.1.1": {IPAddresses: []net.IP{net.ParseIP("192.168.1.1")}},
			"fd00::1":     {IPAddresses: []net.IP{net.ParseIP("fd00::1")}},
			"evil" + name: {DNSNames: []string{"evil" + name}},
		} {
			if err := a.verify(a.sign(t, leaf), host, began); err == nil {
				t.Errorf("%d addresses: the authority is believed for %s", len(addresses), host)
			}
		}
		if err := a.verify(a.sign(t, x509.Certificate{DNSNames: []string{name}}), name, began); err != nil {
			t.Errorf("its own name: %v: the cases above show nothing", err)
		}
	}
}

// sign signs what an honest authority would not.
func (a *Authority) sign(t *testing.T, leaf x509.Certificate) *x509.Certificate {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	leaf.SerialNumber, leaf.NotBefore, leaf.NotAfter = serial(), began.Add(-time.Hour), began.Add(time.Hour)
	leaf.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
	der, err := x509.CreateCertificate(rand.Reader, &leaf, a.root, &key.PublicKey, a.key)
	if err != nil {
		t.Fatal(err)
	}
	out, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestRenewed: a certificate is shown until a third of its life is left, then the next; the last ones end with the root.
func TestRenewed(t *testing.T) {
	a, _, now := clocked(t, address)
	last := ""
	const step = 5 // days
	for day := 0; now.Before(a.Until()); day += step {
		c, err := a.Certificate(nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := a.verify(c.Leaf, name, *now); err != nil {
			t.Fatalf("day %d: %v", day, err)
		}
		left := c.Leaf.NotAfter.Sub(*now)
		if a.Until().Sub(*now) > LeafLife && left < renewAt-step*24*time.Hour {
			t.Fatalf("day %d: only %v left", day, left)
		}
		if serial := c.Leaf.SerialNumber.String(); serial != last && day > 0 && day < 58 {
			t.Fatalf("day %d: renewed too early", day)
		} else {
			last = serial
		}
		*now = now.Add(step * 24 * time.Hour)
	}
	*now = now.Add(24 * time.Hour)
	if c, err := a.Certificate(nil); err != nil || a.verify(c.Leaf, name, *now) == nil {
		t.Errorf("after the root's end a certificate is still believed: %v", err)
	}
}

// TestOnce is T48: the name is asked once; the authority can be carried to another machine, and is never written over.
func TestOnce(t *testing.T) {
	a, folder, now := clocked(t, address)
	clock := func() time.Time { return *now }
	if _, err := Make(folder, "other.home.arpa", nil, clock); !errors.Is(err, ErrThere) {
		t.Errorf("a second name: %v, want ErrThere", err)
	}
	text, err := a.Text()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := TakeIn(folder, text, clock); !errors.Is(err, ErrThere) {
		t.Errorf("taken in over itself: %v, want ErrThere", err)
	}
	if _, err := TakeIn(filepath.Join(t.TempDir(), "elsewhere"), []byte("hello"), clock); err == nil {
		t.Error("hello was taken for an authority")
	}
	elsewhere := filepath.Join(t.TempDir(), "elsewhere")
	if _, err := Open(elsewhere, clock); !errors.Is(err, ErrNone) {
		t.Errorf("none there: %v, want ErrNone", err)
	}
	if _, err := TakeIn(elsewhere, text, clock); err != nil {
		t.Fatal(err)
	}
	b, err := Open(elsewhere, clock)
	if err != nil || !bytes.Equal(b.Root(), a.Root()) || b.Name != name || len(b.Addresses) != 1 || b.Addresses[0] != address {
		t.Errorf("taken in: %+v, %v", b, err)
	}
	c, err := b.Certificate(nil)
	if err != nil || a.verify(c.Leaf, name, began) != nil {
		t.Errorf("its certificate is not believed by phones that have the old root: %v", err)
	}
}

func TestName(t *testing.T) {
	for _, bad := range []string{
		"", "heron", "192.168.1.20", "::1", "Heron.home.arpa", "heron.home.arpa.", "-x.home.arpa", "a..b", "https://heron.home.arpa", "heron.home.arpa:443",
		"*.home.arpa", strings.Repeat("a.", 127) + "arpa", "héron.home.arpa",
	} {
		if _, err := Make(filepath.Join(t.TempDir(), "x"), bad, nil, time.Now); !errors.Is(err, ErrName) {
			t.Errorf("%q: %v, want ErrName", bad, err)
		}
	}
}

// TestHelp is T47: the page, the root, and nothing else.
func TestHelp(t *testing.T) {
	a, _, _ := clocked(t, address)
	for port, origin := range map[string]string{"443": "https://" + name, "8443": "https://" + name + ":8443"} {
		h, err := Help(a, port)
		if err != nil {
			t.Fatal(err)
		}
		get := func(method, path string) *httptest.ResponseRecorder {
			w := httptest.NewRecorder()
			h.ServeHTTP(w, httptest.NewRequest(method, path, nil))
			return w
		}
		page := get("GET", "/")
		for _, want := range []string{origin + "/", a.Fingerprint(), "/workshop.crt", "Certificate Trust Settings", "CA certificate"} {
			if !strings.Contains(page.Body.String(), want) {
				t.Errorf("port %s: the page lacks %q", port, want)
			}
		}
		if csp := page.Header().Get("Content-Security-Policy"); !strings.Contains(csp, "connect-src http://"+name+":* "+origin+";") {
			t.Errorf("policy %q", csp)
		}
		root := get("GET", "/workshop.crt")
		got, err := x509.ParseCertificate(root.Body.Bytes())
		if err != nil || !got.Equal(a.root) || root.Header().Get("Content-Type") != "application/x-x509-ca-cert" {
			t.Errorf("the certificate: %v, %s", err, root.Header().Get("Content-Type"))
		}
		for _, path := range []string{"/index.html", "/api/v1/pair", "/v/x", "/healthz", "/metrics", "/sw.js", "/workshop.crt/", "/page/help.html", "/../authority.pem"} {
			if w := get("GET", path); w.Code != 404 {
				t.Errorf("GET %s = %d, want 404", path, w.Code)
			}
		}
		if w := get("POST", "/"); w.Code != 404 {
			t.Errorf("POST / = %d, want 404", w.Code)
		}
	}
}
