package store

import (
	"context"
	"time"

	"witnessmark/sync/entry"
)

// Line is one audit line. Each method below that takes one writes it in its own transaction, so an action and its line
// stand or fall together.
type Line struct {
	At        time.Time
	Workspace WorkspaceID // "" when nobody is known yet
	Device    DeviceID    // who did it; "" = at the server or nobody known
	Action    string      // "pair", "revoke", "share", …: package access
	Subject   string      // id of what it was done to
	Detail    string      // never a secret; control characters are replaced
}

// Device is a paired phone.
type Device struct {
	ID        DeviceID
	Workspace WorkspaceID
	Name      string
	Role      Role
	Paired    time.Time
	Revoked   time.Time // zero: not
}

// PhoneState is what a phone last said of itself.
type PhoneState struct {
	Seen      time.Time     // server time of that exchange
	App, Core string        // versions of the app and of the calculations; "" = not said
	Unsent    int64         // entries of the job that only the phone has after that exchange
	Photos    int64         // photos and voice notes that only the phone has
	Offset    time.Duration // phone's clock minus server's; 0 when not said
}

// Code is a pairing code; only its hash is kept.
type Code struct {
	Hash      string
	Workspace WorkspaceID
	Role      Role
	Created   time.Time
	Expires   time.Time
}

// Redeem trades a code for a device.
type Redeem struct {
	CodeHash   string
	Address    string // where the try comes from; wrong tries are counted by it
	Device     DeviceID
	Name       string
	SecretHash string
	At         time.Time
	Window     time.Duration // how long a wrong try counts
	MaxTries   int           // wrong tries of one address in Window
	MaxWrong   int           // wrong tries from anywhere that end every living code
}

// Secret is a device secret as kept.
type Secret struct {
	Device  Device
	Created time.Time
}

// Link is a view link; only the hash of its secret is kept.
type Link struct {
	ID        LinkID
	Workspace WorkspaceID
	Job       entry.JobID
	Name      string
	Hash      string
	People    bool // show names of people
	Created   time.Time
	Expires   time.Time
	Revoked   time.Time // zero: not
}

// Alive says whether the link may be used at that time.
func (l Link) Alive(now time.Time) bool { return l.Revoked.IsZero() && now.Before(l.Expires) }

// Access keeps who may come in.
type Access interface {
	AddCode(ctx context.Context, c Code, line Line) error
	// RedeemCode uses a code up and creates its device, once: of two at the same time one gets ErrUsed.
	// Errors: ErrTries, ErrNotFound (counted as a wrong try), ErrExpired, ErrUsed.
	RedeemCode(ctx context.Context, r Redeem, line Line) (Device, error)
	// Devices lists a workspace's devices, oldest first, revoked ones too.
	Devices(ctx context.Context, ws WorkspaceID) ([]Device, error)
	// Device returns one, revoked or not. Errors: ErrNotFound.
	Device(ctx context.Context, ws WorkspaceID, id DeviceID) (Device, error)
	// BySecret returns the device whose secret has that hash, and drops the secrets that are older than it: the new
	// one has arrived. Errors: ErrNotFound, ErrRevoked.
	BySecret(ctx context.Context, hash string, at time.Time) (Secret, error)
	// AddSecret gives a device a further secret; the old one stays good until the new one is used.
	AddSecret(ctx context.Context, ws WorkspaceID, id DeviceID, hash string, at time.Time) error
	// Revoke ends a device. Errors: ErrNotFound. Revoking twice is fine and writes no second line.
	Revoke(ctx context.Context, ws WorkspaceID, id DeviceID, line Line) error
	// SetRole changes what a device may do. Errors: ErrNotFound, also for a revoked one.
	SetRole(ctx context.Context, ws WorkspaceID, id DeviceID, role Role, line Line) error
	// RenewSecret makes a device's secrets count as old: they stay good until the fresh one, given when it next asks, is
	// first used. Errors: ErrNotFound, also for a revoked one.
	RenewSecret(ctx context.Context, ws WorkspaceID, id DeviceID, line Line) error
	// NoteState keeps how a phone stands; Append does it for one that hands in.
	NoteState(ctx context.Context, id DeviceID, s PhoneState) error
	// PhoneStates is what the workspace's phones last said of themselves; one that never did is not in it.
	PhoneStates(ctx context.Context, ws WorkspaceID) (map[DeviceID]PhoneState, error)

	AddLink(ctx context.Context, l Link, line Line) error
	// Link returns one by its public id. Errors: ErrNotFound.
	Link(ctx context.Context, id LinkID) (Link, error)
	// Links lists a job's links, oldest first.
	Links(ctx context.Context, ws WorkspaceID, job entry.JobID) ([]Link, error)
	// RevokeLink ends a link. Errors: ErrNotFound.
	RevokeLink(ctx context.Context, ws WorkspaceID, job entry.JobID, id LinkID, line Line) error

	// Audit appends a line; AuditLines returns the newest n, newest first.
	Audit(ctx context.Context, line Line) error
	AuditLines(ctx context.Context, ws WorkspaceID, n int) ([]Line, error)
}

// BlobState says how far a photo or voice note has come.
type BlobState string

const (
	BlobArriving BlobState = "arriving"
	BlobWhole    BlobState = "whole"
	BlobRefused  BlobState = "refused"
)

// Blob is what is known about bytes; the bytes are in the photo store.
type Blob struct {
	Workspace WorkspaceID
	SHA       string // of the original: 64 lower hex digits
	Size      int64  // whole size in bytes
	Type      string // media type found in the content; "" until whole
	Device    DeviceID
	ViewSHA   string // of the derivative; "" if there is none
	ViewSize  int64
	State     BlobState
	Refused   string // why, for the person who took it
	Created   time.Time
}

// Blobs keeps facts about bytes.
type Blobs interface {
	// Blob returns one. Errors: ErrNotFound.
	Blob(ctx context.Context, ws WorkspaceID, sha string) (Blob, error)
	// PutBlob writes b. A whole blob is never overwritten; writing it again is fine.
	PutBlob(ctx context.Context, b Blob) error
}
