package access

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/golang-jwt/jwt/v5"

	"witnessmark/server/store"
	"witnessmark/server/store/sql"
)

// gate is a gatekeeper over a fresh store with a clock of its own.
type gate struct {
	*Access
	t   *testing.T
	now time.Time
	ws  store.WorkspaceID
}

func newGate(t *testing.T) *gate {
	t.Helper()
	db, err := sql.OpenSQLite(t.Context(), filepath.Join(t.TempDir(), "x.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	g := &gate{t: t, now: time.Date(2031, 4, 12, 9, 0, 0, 0, time.UTC)}
	server, err := db.Server(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	ws, err := db.Workspace(t.Context(), "w", store.WorkspaceID(NewID()), g.now)
	if err != nil {
		t.Fatal(err)
	}
	g.ws = ws.ID
	g.Access = New(db, server, func() time.Time { return g.now })
	return g
}

func (g *gate) pair() store.Device {
	g.t.Helper()
	code, err := g.DrawCode(g.t.Context(), g.ws, store.RoleFitter, "")
	if err != nil {
		g.t.Fatal(err)
	}
	dev, _, err := g.Redeem(g.t.Context(), code, "Idris", "here")
	if err != nil {
		g.t.Fatal(err)
	}
	return dev
}

// forged builds a token that is right but for what change does.
func (g *gate) forged(dev store.Device, change func(t *jwt.Token, c *claims), method jwt.SigningMethod, key any) string {
	g.t.Helper()
	c := &claims{Workspace: dev.Workspace, RegisteredClaims: jwt.RegisteredClaims{
		Issuer: g.server.ID, Audience: jwt.ClaimStrings{audienceDevice}, Subject: string(dev.ID),
		IssuedAt: jwt.NewNumericDate(g.now), NotBefore: jwt.NewNumericDate(g.now), ExpiresAt: jwt.NewNumericDate(g.now.Add(TokenLife)),
	}}
	token := jwt.NewWithClaims(method, c)
	token.Header["typ"], token.Header["kid"] = typeDevice, g.keys.kid
	if change != nil {
		change(token, c)
	}
	text, err := token.SignedString(key)
	if err != nil {
		g.t.Fatal(err)
	}
	return text
}

// TestForgedTokens is T50.
func TestForgedTokens(t *testing.T) {
	g := newGate(t)
	dev := g.pair()
	hs := jwt.SigningMethodHS256
	good := g.forged(dev, nil, hs, g.keys.device)
	if got, _, err := g.Device(t.Context(), good); err != nil || got.ID != dev.ID {
		t.Fatalf("a token that is right = %v, %v", got, err)
	}
	alter := func(change func(t *jwt.Token, c *claims)) string { return g.forged(dev, change, hs, g.keys.device) }
	view, err := g.issue(g.viewKind(), string(dev.ID), dev.Workspace)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, _ := strings.Cut(good, ".")
	cases := map[string]string{
		"alg none":       g.forged(dev, nil, jwt.SigningMethodNone, jwt.UnsafeAllowNoneSignatureType),
		"alg HS512":      g.forged(dev, nil, jwt.SigningMethodHS512, g.keys.device),
		"other key":      g.forged(dev, nil, hs, []byte("guess")),
		"view's key":     g.forged(dev, nil, hs, g.keys.view),
		"server's key":   g.forged(dev, nil, hs, g.server.Key),
		"view token":     view,
		"wrong issuer":   alter(func(_ *jwt.Token, c *claims) { c.Issuer = "another" }),
		"no issuer":      alter(func(_ *jwt.Token, c *claims) { c.Issuer = "" }),
		"wrong audience": alter(func(_ *jwt.Token, c *claims) { c.Audience = jwt.ClaimStrings{audienceView} }),
		"two audiences":  alter(func(_ *jwt.Token, c *claims) { c.Audience = jwt.ClaimStrings{audienceView, audienceDevice} }),
		"no audience":    alter(func(_ *jwt.Token, c *claims) { c.Audience = nil }),
		"wrong typ":      alter(func(t *jwt.Token, _ *claims) { t.Header["typ"] = "JWT" }),
		"no typ":         alter(func(t *jwt.Token, _ *claims) { delete(t.Header, "typ") }),
		"unknown kid":    alter(func(t *jwt.Token, _ *claims) { t.Header["kid"] = "other" }),
		"kid of a list":  alter(func(t *jwt.Token, _ *claims) { t.Header["kid"] = []string{g.keys.kid} }),
		"no expiry":      alter(func(_ *jwt.Token, c *claims) { c.ExpiresAt = nil }),
		"expired":        alter(func(_ *jwt.Token, c *claims) { c.ExpiresAt = jwt.NewNumericDate(g.now) }),
		"early":          alter(func(_ *jwt.Token, c *claims) { c.NotBefore = jwt.NewNumericDate(g.now.Add(time.Minute)) }),
		"from later":     alter(func(_ *jwt.Token, c *claims) { c.IssuedAt = jwt.NewNumericDate(g.now.Add(time.Minute)) }),
		"no device":      alter(func(_ *jwt.Token, c *claims) { c.Subject = "" }),
		"unknown device": alter(func(_ *jwt.Token, c *claims) { c.Subject = NewID() }),
		"foreign group":  alter(func(_ *jwt.Token, c *claims) { c.Workspace = "other" }),
		"million dots":   strings.Repeat(".", 1_000_000),
		"dotted header":  head + strings.Repeat(".", 500) + rest,
		"empty":          "",
		"cut":            good[:len(good)-4],
	}
	for name, token := range cases {
		if _, _, err := g.Device(t.Context(), token); !errors.Is(err, ErrDenied) {
			t.Errorf("%s = %v, want ErrDenied", name, err)
		}
	}
}

// TestTokenLibrary: before 5.2.2 a header of many dots made the library take memory without end (T50; its own advisory).
func TestTokenLibrary(t *testing.T) {
	mod, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	_, version, ok := strings.Cut(string(mod), "github.com/golang-jwt/jwt/v5 v")
	var major, minor, patch int
	if n, err := fmt.Sscanf(version, "%d.%d.%d", &major, &minor, &patch); !ok || n != 3 || err != nil {
		t.Fatalf("no version in %.20q: %v", version, err)
	}
	if major < 5 || (major == 5 && (minor < 2 || (minor == 2 && patch < 2))) {
		t.Errorf("jwt %d.%d.%d, want at least 5.2.2", major, minor, patch)
	}
}

func TestTokenOfRevokedDevice(t *testing.T) {
	g := newGate(t)
	dev := g.pair()
	token, err := g.Token(dev)
	if err != nil {
		t.Fatal(err)
	}
	if err := g.Revoke(t.Context(), dev, dev.ID); err != nil {
		t.Fatal(err)
	}
	if _, _, err := g.Device(t.Context(), token); !errors.Is(err, ErrDenied) {
		t.Errorf("Device = %v, want ErrDenied", err)
	}
	if err := g.Revoke(t.Context(), dev, "nobody"); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("Revoke(nobody) = %v, want ErrNotFound", err)
	}
}

// TestCodes: eight letters of the twenty, each drawn; typed with dashes and small letters it is the same.
func TestCodes(t *testing.T) {
	seen := map[rune]bool{}
	for range 500 {
		code := drawCode()
		if len(code) != 8 {
			t.Fatalf("code %q", code)
		}
		for _, r := range code {
			if !strings.ContainsRune(codeLetters, r) {
				t.Fatalf("code %q has %q", code, r)
			}
			seen[r] = true
		}
	}
	if len(codeLetters) != 20 || len(seen) != 20 || strings.ContainsAny(codeLetters, "AEIOUY") {
		t.Errorf("letters %s, drawn %d", codeLetters, len(seen))
	}
	if got := tidyCode(" bcdf-ghjk "); got != "BCDFGHJK" {
		t.Errorf("tidyCode = %q", got)
	}
}

func TestNames(t *testing.T) {
	for _, bad := range []string{"", "   ", strings.Repeat("x", 81), "\xff"} {
		if _, err := checkName(bad); !errors.Is(err, ErrName) {
			t.Errorf("checkName(%q) = %v, want ErrName", bad, err)
		}
	}
	if got, err := checkName("  Øyvind's phone "); err != nil || got != "Øyvind's phone" {
		t.Errorf("checkName = %q, %v", got, err)
	}
}

// TestHashes: secrets are drawn anew, 256 bits each, and only a hash of them is kept (T50, T54).
func TestHashes(t *testing.T) {
	if a, b := newSecret(), newSecret(); a == b || len(a) != 43 {
		t.Errorf("secrets %q and %q: want 256 bits, drawn anew", a, b)
	}
	if hash("x") == "x" || len(hash("x")) != 64 {
		t.Error("hash")
	}
}
