// Package access decides who may come in: pairing codes, device secrets, access tokens, roles and view links.
//
// The model: a lead draws a code; a phone trades it, once, for a secret of 256 random bits that it keeps as a cookie; the
// secret buys access tokens of ten minutes; a token opens the device routes of one workspace. A view link's secret buys a
// cookie that opens the view routes of that one link and nothing else. Only hashes of codes and secrets are kept. What a
// person is entitled to say is in the record, not here.
package access

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"witnessmark/server/store"
)

var (
	// ErrDenied: no, wrong, expired or revoked credentials. It does not say which, so that nothing can be guessed from it.
	ErrDenied = errors.New("not allowed")
	// ErrCode: the pairing code is wrong, used or too old.
	ErrCode = errors.New("this code is not right, or it has been used or has run out: ask the lead for a new one")
	// ErrTries: too many wrong codes from one place.
	ErrTries = errors.New("too many wrong codes: wait ten minutes, then ask the lead for a new one")
	// ErrName: a name is empty or too long.
	ErrName = errors.New("a name of 1 to 80 letters is needed")
	// ErrRole: the role is not one of lead, fitter, viewer.
	ErrRole = errors.New("the role must be lead, fitter or viewer")
	// ErrOwn: a lead may not change the phone in hand, so that a workshop is never without a lead by mistake.
	ErrOwn = errors.New("this is the phone in your hand: another lead's phone must change it")
)

const (
	// codeLetters has no vowels, so a code is never a word, and no Y. 20^8 codes are about 34 bits (T49).
	codeLetters = "BCDFGHJKLMNPQRSTVWXZ"
	codeLength  = 8
	// CodeLife is how long a pairing code is good, and how long a wrong try counts.
	CodeLife = 10 * time.Minute
	// maxTries is how many wrong codes one address may send in CodeLife.
	maxTries = 5
	// maxWrong ends every living code after that many wrong tries from anywhere: many addresses together get 50 guesses at
	// 34 bits. It is not maxTries, or one stranger could keep a whole server from pairing.
	maxWrong = 50

	secretBytes = 32
	// secretLife is the age at which a device secret is exchanged for a fresh one.
	secretLife = 30 * 24 * time.Hour
	// LinkLife is how long a view link lives unless it is revoked.
	LinkLife = 30 * 24 * time.Hour
	maxName  = 80
)

// Actions of audit lines.
const (
	ActionCode     = "draw code"
	ActionPair     = "pair"
	ActionRevoke   = "revoke phone"
	ActionRole     = "change role"
	ActionRenew    = "renew a phone's key"
	ActionShare    = "make view link"
	ActionUnshare  = "revoke view link"
	ActionFork     = "fork"
	ActionClone    = "second phone with one log"
	ActionRefuse   = "entries refused"
	ActionCarry    = "another phone's entries"
	ActionNewEpoch = "new epoch"
	ActionExport   = "export job"
	ActionImport   = "import job"
	ActionBackup   = "backup"
	ActionRestore  = "restore from backup"
	ActionHandIn   = "hand in from a file"
)

// Access answers for one server.
type Access struct {
	store  store.Store
	server store.Server
	now    func() time.Time
	keys   keys
}

// New returns the gatekeeper of a store. now is the only clock it uses.
func New(st store.Store, server store.Server, now func() time.Time) *Access {
	return &Access{store: st, server: server, now: now, keys: newKeys(server)}
}

// NewID draws an id of 128 random bits as 32 lower hex digits.
func NewID() string { return hex.EncodeToString(random(16)) }

// random draws n bytes. crypto/rand never fails on the systems Go supports (its Read documents that it would end the
// program instead).
func random(n int) []byte {
	b := make([]byte, n)
	if _, err := rand.Read(b); err != nil {
		panic("bug: no random bytes: " + err.Error())
	}
	return b
}

func newSecret() string { return base64.RawURLEncoding.EncodeToString(random(secretBytes)) }

// hash is what is kept of a code or secret. A plain SHA-256 does for secrets of 128 bits and more; a code of 34 bits lives
// ten minutes.
func hash(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

// drawCode picks each letter without bias: bytes of 240 and more are thrown away.
func drawCode() string {
	var code []byte
	for len(code) < codeLength {
		b := random(1)[0]
		if b < 240 {
			code = append(code, codeLetters[int(b)%len(codeLetters)])
		}
	}
	return string(code)
}

// tidyCode reads a code as people type it: small letters, spaces and dashes are fine.
func tidyCode(code string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' {
			return -1
		}
		return r
	}, strings.ToUpper(strings.TrimSpace(code)))
}

func checkName(name string) (string, error) {
	name = strings.TrimSpace(name)
	if name == "" || utf8.RuneCountInString(name) > maxName || !utf8.ValidString(name) {
		return "", ErrName
	}
	return name, nil
}

// DrawCode draws a pairing code for a role: eight letters, good once, for ten minutes. by is the device that asked, "" at
// the server. Errors: ErrRole.
func (a *Access) DrawCode(ctx context.Context, ws store.WorkspaceID, role store.Role, by store.DeviceID) (string, error) {
	if !role.Valid() {
		return "", ErrRole
	}
	now, code := a.now(), drawCode()
	err := a.store.AddCode(ctx,
		store.Code{Hash: hash(code), Workspace: ws, Role: role, Created: now, Expires: now.Add(CodeLife)},
		store.Line{At: now, Workspace: ws, Device: by, Action: ActionCode, Detail: string(role)})
	if err != nil {
		return "", fmt.Errorf("draw pairing code: %w", err)
	}
	return code, nil
}

// Redeem trades a code for a device and its secret, once. address is where the try comes from.
// Errors: ErrCode, ErrTries, ErrName.
func (a *Access) Redeem(ctx context.Context, code, name, address string) (store.Device, string, error) {
	name, err := checkName(name)
	if err != nil {
		return store.Device{}, "", err
	}
	now, secret, id := a.now(), newSecret(), store.DeviceID(NewID())
	dev, err := a.store.RedeemCode(ctx, store.Redeem{
		CodeHash: hash(tidyCode(code)), Address: address, Device: id, Name: name, SecretHash: hash(secret),
		At: now, Window: CodeLife, MaxTries: maxTries, MaxWrong: maxWrong,
	}, store.Line{At: now, Device: id, Action: ActionPair, Subject: string(id), Detail: name})
	switch {
	case errors.Is(err, store.ErrTries):
		return store.Device{}, "", ErrTries
	case errors.Is(err, store.ErrNotFound), errors.Is(err, store.ErrUsed), errors.Is(err, store.ErrExpired):
		return store.Device{}, "", ErrCode
	case err != nil:
		return store.Device{}, "", fmt.Errorf("redeem pairing code: %w", err)
	}
	return dev, secret, nil
}

// Enter returns the device of a secret. When the secret is old it returns a fresh one too; the old one stays good until
// the fresh one is first used, because replies get lost. Errors: ErrDenied.
func (a *Access) Enter(ctx context.Context, secret string) (dev store.Device, fresh string, err error) {
	found, err := a.store.BySecret(ctx, hash(secret), a.now())
	if errors.Is(err, store.ErrNotFound) || errors.Is(err, store.ErrRevoked) {
		return store.Device{}, "", ErrDenied
	}
	if err != nil {
		return store.Device{}, "", fmt.Errorf("enter: %w", err)
	}
	if a.now().Sub(found.Created) < secretLife {
		return found.Device, "", nil
	}
	fresh = newSecret()
	if err := a.store.AddSecret(ctx, found.Device.Workspace, found.Device.ID, hash(fresh), a.now()); err != nil {
		return store.Device{}, "", fmt.Errorf("enter: %w", err)
	}
	return found.Device, fresh, nil
}

// Revoke ends a device of by's workspace: its next call is refused and its sockets close. Errors: store.ErrNotFound.
func (a *Access) Revoke(ctx context.Context, by store.Device, id store.DeviceID) error {
	err := a.store.Revoke(ctx, by.Workspace, id, store.Line{
		At: a.now(), Workspace: by.Workspace, Device: by.ID, Action: ActionRevoke, Subject: string(id),
	})
	if err != nil {
		return fmt.Errorf("revoke phone: %w", err)
	}
	return a.store.Publish(ctx, store.Note{Workspace: by.Workspace, Revoked: id})
}

// SetRole changes what a phone of by's workspace may do, from its next request on. Errors: ErrRole, ErrOwn, store.ErrNotFound.
func (a *Access) SetRole(ctx context.Context, by store.Device, id store.DeviceID, role store.Role) error {
	if !role.Valid() {
		return ErrRole
	}
	if id == by.ID {
		return ErrOwn
	}
	err := a.store.SetRole(ctx, by.Workspace, id, role, store.Line{
		At: a.now(), Workspace: by.Workspace, Device: by.ID, Action: ActionRole, Subject: string(id), Detail: string(role),
	})
	if err != nil {
		return fmt.Errorf("change role: %w", err)
	}
	return nil
}

// Renew has a phone of by's workspace given a fresh secret when it next asks for a token; the old one ends when the fresh
// one is first used. Errors: store.ErrNotFound.
func (a *Access) Renew(ctx context.Context, by store.Device, id store.DeviceID) error {
	err := a.store.RenewSecret(ctx, by.Workspace, id, store.Line{
		At: a.now(), Workspace: by.Workspace, Device: by.ID, Action: ActionRenew, Subject: string(id),
	})
	if err != nil {
		return fmt.Errorf("renew a phone's key: %w", err)
	}
	return nil
}
