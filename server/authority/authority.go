// Package authority makes and renews the certificate of a workshop that has no public one. Phones keep the app only over
// HTTPS, and a warning that was clicked away is not enough.
//
// The model: a root that lives ten years and is bound to one name and the addresses given with it, so that a phone which
// trusts it trusts nothing else because of it; under it a certificate of ninety days, renewed here, without a network, when a
// third of its life is left. The phones keep their data under the name, so it is asked once and never changes. The root's key
// is in a folder of its own that no backup of the data holds: a new root means every phone again.
package authority

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"time"
)

const (
	rootLife = 10 * 365 * 24 * time.Hour
	// LeafLife is how long one certificate lives; it is renewed when a third of it is left.
	LeafLife = 90 * 24 * time.Hour
	renewAt  = LeafLife / 3
	// early makes a certificate good for phones whose clock is slow.
	early = 48 * time.Hour

	rootFile = "authority.pem" // the root and its key
)

var (
	// ErrNone: there is no authority in the folder yet.
	ErrNone = errors.New("there is no certificate of this workshop's own yet: make one with witnessmark tls -name NAME")
	// ErrThere: there is one, and a second would shut every phone out.
	ErrThere = errors.New("this workshop has its name and its certificate already; another would have to be installed on every phone again")
	// ErrName: not a name that can last.
	ErrName = errors.New("a name of small letters, digits and dashes with at least one dot is needed, such as heron.home.arpa; an address is none")
)

var nameShape = regexp.MustCompile(`^([a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?\.)+[a-z][a-z0-9-]{0,61}[a-z0-9]$`)

// Authority issues the certificate of one name.
type Authority struct {
	Name      string
	Addresses []netip.Addr

	root *x509.Certificate
	key  *ecdsa.PrivateKey
	now  func() time.Time

	mu   sync.Mutex
	leaf *tls.Certificate // the one in use; only in memory: it is made anew at every start
}

// Make makes a root for a name and addresses in a folder that has none. Errors: ErrThere, ErrName.
func Make(folder, name string, addresses []netip.Addr, now func() time.Time) (*Authority, error) {
	if len(name) > 253 || !nameShape.MatchString(name) {
		return nil, ErrName
	}
	if _, err := os.Stat(filepath.Join(folder, rootFile)); err == nil {
		return nil, ErrThere
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("make authority: %w", err)
	}
	tmpl := rootOf(name, addresses, now())
	der, err := x509.CreateCertificate(rand.Reader, tmpl, tmpl, &key.PublicKey, key)
	if err != nil {
		return nil, fmt.Errorf("make authority: %w", err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, fmt.Errorf("make authority: %w", err)
	}
	text := append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})...)
	if err := write(folder, text); err != nil {
		return nil, fmt.Errorf("make authority: %w", err)
	}
	return read(text, now)
}

// rootOf is bound to the name (RFC 5280, section 4.2.1.10): a certificate for any other name or address under it is refused.
func rootOf(name string, addresses []netip.Addr, now time.Time) *x509.Certificate {
	root := &x509.Certificate{
		SerialNumber: serial(), Subject: pkix.Name{CommonName: "Workshop " + name},
		NotBefore: now.Add(-early), NotAfter: now.Add(rootLife),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true, KeyUsage: x509.KeyUsageCertSign,
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: []string{name},
		PermittedEmailAddresses: []string{name}, // nor can anybody's post be signed with it
	}
	for _, a := range addresses {
		root.PermittedIPRanges = append(root.PermittedIPRanges, &net.IPNet{IP: a.AsSlice(), Mask: net.CIDRMask(a.BitLen(), a.BitLen())})
	}
	if len(addresses) == 0 {
		root.ExcludedIPRanges = []*net.IPNet{{IP: net.IPv4zero.To4(), Mask: net.CIDRMask(0, 32)}, {IP: net.IPv6zero, Mask: net.CIDRMask(0, 128)}}
	}
	return root
}

// write keeps the root readable by its owner alone, and never over another.
func write(folder string, text []byte) error {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(filepath.Join(folder, rootFile), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return ErrThere
	}
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return errors.Join(err, f.Sync(), f.Close())
}

// Open reads the authority of a folder. Errors: ErrNone.
func Open(folder string, now func() time.Time) (*Authority, error) {
	text, err := os.ReadFile(filepath.Join(folder, rootFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNone
	}
	if err != nil {
		return nil, fmt.Errorf("open authority: %w", err)
	}
	return read(text, now)
}

// TakeIn puts what Text gave into a folder that has none. Errors: ErrThere.
func TakeIn(folder string, text []byte, now func() time.Time) (*Authority, error) {
	a, err := read(text, now)
	if err != nil {
		return nil, err
	}
	return a, write(folder, text)
}

// Text is the authority with its key, to be kept apart from every copy of the data.
func (a *Authority) Text() ([]byte, error) {
	secret, err := x509.MarshalPKCS8PrivateKey(a.key)
	if err != nil {
		return nil, fmt.Errorf("write authority: %w", err)
	}
	return append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.root.Raw}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})...), nil
}

func read(text []byte, now func() time.Time) (*Authority, error) {
	pair, err := tls.X509KeyPair(text, text)
	if err != nil {
		return nil, fmt.Errorf("read authority: %w", err)
	}
	key, ok := pair.PrivateKey.(*ecdsa.PrivateKey)
	if !ok || !pair.Leaf.IsCA || len(pair.Leaf.PermittedDNSDomains) != 1 {
		return nil, errors.New("read authority: this is not one that witnessmark tls has made")
	}
	a := &Authority{Name: pair.Leaf.PermittedDNSDomains[0], root: pair.Leaf, key: key, now: now}
	for _, n := range pair.Leaf.PermittedIPRanges {
		if addr, ok := netip.AddrFromSlice(n.IP); ok {
			a.Addresses = append(a.Addresses, addr.Unmap())
		}
	}
	return a, nil
}

// Certificate is what the server shows; it is renewed here, so nothing has to be started again and open sockets live on.
func (a *Authority) Certificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.leaf != nil && a.now().Before(a.leaf.Leaf.NotAfter.Add(-renewAt)) {
		return a.leaf, nil
	}
	leaf, err := a.issue()
	if err != nil {
		return nil, err
	}
	a.leaf = leaf
	return leaf, nil
}

// issue makes a certificate of LeafLife, or of what is left of the root.
func (a *Authority) issue() (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("renew certificate: %w", err)
	}
	now := a.now()
	tmpl := &x509.Certificate{
		SerialNumber: serial(), Subject: pkix.Name{CommonName: a.Name}, DNSNames: []string{a.Name},
		NotBefore: now.Add(-early), NotAfter: now.Add(LeafLife - early), BasicConstraintsValid: true,
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	if tmpl.NotAfter.After(a.root.NotAfter) {
		tmpl.NotAfter = a.root.NotAfter
	}
	for _, addr := range a.Addresses {
		tmpl.IPAddresses = append(tmpl.IPAddresses, addr.AsSlice())
	}
	der, err := x509.CreateCertificate(rand.Reader, tmpl, a.root, &key.PublicKey, a.key)
	if err != nil {
		return nil, fmt.Errorf("renew certificate: %w", err)
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, fmt.Errorf("renew certificate: %w", err)
	}
	return &tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key, Leaf: leaf}, nil
}

// Until is when the root ends: from then on every phone needs a new one.
func (a *Authority) Until() time.Time { return a.root.NotAfter }

// Root is the root's certificate as phones install it (DER), without its key.
func (a *Authority) Root() []byte { return a.root.Raw }

// Fingerprint is the SHA-256 sum of the root in groups of two, as phones show it.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.root.Raw)
	groups := make([]string, len(sum))
	for i, b := range sum {
		groups[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(groups, " ")
}

// serial draws 127 random bits: never negative, never one that was given before.
func serial() *big.Int {
	n, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127))
	if err != nil {
		panic("bug: no random bytes: " + err.Error())
	}
	return n
}
