package access

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"github.com/golang-jwt/jwt/v5"

	"witnessmark/server/store"
)

const (
	// TokenLife is how long an access token is good.
	TokenLife = 10 * time.Minute
	// ViewLife is how long a view cookie is good; the page trades the link's secret again after it.
	ViewLife = 12 * time.Hour

	audienceDevice = "witnessmark/device"
	audienceView   = "witnessmark/view"
	typeDevice     = "wm-device+jwt"
	typeView       = "wm-view+jwt"
	// maxToken is far above what we issue (about 400 bytes); longer ones are not even looked at.
	maxToken = 2048
)

// keys are derived from the server's one secret, a key per kind of token, so that one kind can never stand for another
// even if a check were forgotten.
type keys struct {
	device, view []byte
	kid          string
}

func newKeys(server store.Server) keys {
	derive := func(purpose string) []byte {
		mac := hmac.New(sha256.New, server.Key)
		mac.Write([]byte(purpose))
		return mac.Sum(nil)
	}
	return keys{device: derive(audienceDevice), view: derive(audienceView), kid: hex.EncodeToString(derive("kid")[:8])}
}

type claims struct {
	Workspace store.WorkspaceID `json:"ws,omitempty"`
	jwt.RegisteredClaims
}

// kind is one kind of token.
type kind struct {
	audience, typ string
	key           []byte
	life          time.Duration
}

func (a *Access) deviceKind() kind {
	return kind{audience: audienceDevice, typ: typeDevice, key: a.keys.device, life: TokenLife}
}

func (a *Access) viewKind() kind {
	return kind{audience: audienceView, typ: typeView, key: a.keys.view, life: ViewLife}
}

func (a *Access) issue(k kind, subject string, ws store.WorkspaceID) (string, error) {
	now := a.now()
	t := jwt.NewWithClaims(jwt.SigningMethodHS256, claims{Workspace: ws, RegisteredClaims: jwt.RegisteredClaims{
		Issuer: a.server.ID, Audience: jwt.ClaimStrings{k.audience}, Subject: subject,
		IssuedAt: jwt.NewNumericDate(now), NotBefore: jwt.NewNumericDate(now), ExpiresAt: jwt.NewNumericDate(now.Add(k.life)),
	}})
	t.Header["typ"], t.Header["kid"] = k.typ, a.keys.kid
	text, err := t.SignedString(k.key)
	if err != nil {
		return "", fmt.Errorf("sign token: %w", err)
	}
	return text, nil
}

// check reads a token of one kind: HS256 only, our issuer, its audience, its typ, our kid, not early, not expired.
// Errors: ErrDenied.
func (a *Access) check(k kind, token string) (claims, error) {
	var c claims
	if token == "" || len(token) > maxToken {
		return c, ErrDenied
	}
	parser := jwt.NewParser(jwt.WithValidMethods([]string{jwt.SigningMethodHS256.Alg()}), jwt.WithIssuer(a.server.ID),
		jwt.WithAudience(k.audience), jwt.WithExpirationRequired(), jwt.WithIssuedAt(), jwt.WithTimeFunc(a.now))
	_, err := parser.ParseWithClaims(token, &c, func(t *jwt.Token) (any, error) {
		if t.Header["kid"] != a.keys.kid || t.Header["typ"] != k.typ {
			return nil, ErrDenied
		}
		return k.key, nil
	})
	if err != nil || c.Subject == "" || len(c.Audience) != 1 {
		return claims{}, ErrDenied
	}
	return c, nil
}

// Token issues an access token for a device; it is good for TokenLife.
func (a *Access) Token(dev store.Device) (string, error) {
	return a.issue(a.deviceKind(), string(dev.ID), dev.Workspace)
}

// Device returns the device of an access token and when the token ends. The role is the device's, read now: a token never
// says what it may do. Errors: ErrDenied, also when the phone was revoked after the token was issued.
func (a *Access) Device(ctx context.Context, token string) (store.Device, time.Time, error) {
	c, err := a.check(a.deviceKind(), token)
	if err != nil {
		return store.Device{}, time.Time{}, err
	}
	dev, err := a.store.Device(ctx, c.Workspace, store.DeviceID(c.Subject))
	if errors.Is(err, store.ErrNotFound) {
		return store.Device{}, time.Time{}, ErrDenied
	}
	if err != nil {
		return store.Device{}, time.Time{}, fmt.Errorf("check token: %w", err)
	}
	if !dev.Revoked.IsZero() {
		return store.Device{}, time.Time{}, ErrDenied
	}
	return dev, c.ExpiresAt.Time, nil
}
