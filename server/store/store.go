// Package store says what the server keeps and what its keeper promises; store/sql keeps it in SQLite or PostgreSQL.
//
// The model: a workspace has jobs; a job has one timeline of entries, each at a position 1, 2, 3 … without gaps, given in
// the order of commits. The store orders and keeps; what an entry means is the core's business. Nothing written to a
// timeline is ever changed or removed. A call that returns without error has its writes on disk, SaveResults excepted.
//
// Ids that belong to another workspace look exactly like missing ones: ErrNotFound.
package store

import (
	"context"
	"errors"
	"time"

	"witnessmark/sync/entry"
)

var (
	// ErrNotFound: there is no such thing in this workspace.
	ErrNotFound = errors.New("not found")
	// ErrUsed: the code or secret was good once and is spent.
	ErrUsed = errors.New("already used")
	// ErrExpired: its time is over.
	ErrExpired = errors.New("expired")
	// ErrRevoked: somebody took it back.
	ErrRevoked = errors.New("revoked")
	// ErrTries: too many wrong tries.
	ErrTries = errors.New("too many wrong tries")
	// ErrFull: the disk has no room; nothing was written.
	ErrFull = errors.New("no room left on the server's disk")
	// ErrAway: the database cannot be reached, or went away before it had answered.
	ErrAway = errors.New("the database cannot be reached")
)

type (
	// WorkspaceID names one group's data: 32 lower hex digits.
	WorkspaceID string
	// DeviceID names a paired phone: 32 lower hex digits.
	DeviceID string
	// LinkID is the public part of a view link: 22 letters of the URL alphabet.
	LinkID string
	// Role says what a device may do: RoleLead, RoleFitter or RoleViewer.
	Role string
)

const (
	RoleLead   Role = "lead"   // everything
	RoleFitter Role = "fitter" // reads and hands in
	RoleViewer Role = "viewer" // reads
)

// Valid says whether r is one of the three roles.
func (r Role) Valid() bool { return r == RoleLead || r == RoleFitter || r == RoleViewer }

// Writes says whether a device with role r may hand in entries.
func (r Role) Writes() bool { return r == RoleLead || r == RoleFitter }

// Server is what all processes on one store share.
type Server struct {
	ID    string // 32 lower hex digits, for ever
	Epoch string // 32 lower hex digits, new after a restore
	Key   []byte // 32 bytes: signs access tokens; never leaves the server
}

// Workspace is one group.
type Workspace struct {
	ID   WorkspaceID
	Name string
}

// Digest is a SHA-256 sum, or a sum of ids modulo 2^256 (big-endian).
type Digest [32]byte

// Job is the state of one timeline. The zero value is an empty timeline that nobody has written to.
type Job struct {
	ID      entry.JobID
	Title   string // as the office last read it from the entries; "" = not known yet
	Pos     int64  // last position = number of entries
	Running Digest // running digest up to Pos
	Sum     Digest // order-independent digest of all ids
	Created time.Time
}

// Head is how far the store holds a log without gaps.
type Head struct {
	Log    entry.LogID
	Seq    int64
	ID     entry.ID // one entry at Seq
	Forked bool     // two ids at one sequence number somewhere in the log, or one that follows another than the one before it
}

// Tip is an entry of a forked log that no other held entry of the log follows.
type Tip struct {
	Log entry.LogID
	Seq int64
	ID  entry.ID
}

// HandedLog is a log that a device was the last to write, and when it last exchanged with it.
type HandedLog struct {
	Job  entry.JobID
	Head Head
	At   time.Time
}

// Lease is a phone's proof that it is the one that wrote last: the number it uses and the one it will use next.
type Lease struct{ Current, Next string }

// Handin is one batch of well-formed entries from one device.
type Handin struct {
	Workspace WorkspaceID
	Job       entry.JobID
	Device    DeviceID
	Log       entry.LogID // the device's own log; entries of others, and of one that another device writes, are marked carried
	Lease     Lease       // zero: none sent
	Entries   []entry.Entry
	At        time.Time     // server time
	Offset    time.Duration // phone's clock minus server's; 0 when not said
	State     *PhoneState   // how the phone stands; nil = not said
	Core      string        // core whose results are asked about; "" = none
	// Written is told of new entries, once at most, when they are written and not yet committed: they stand when Append returns
	// no error, and may when it does. It runs within the transaction: it must neither wait nor use the store. nil is not told.
	Written func(Added)
}

// Carried is how many new entries of another's log a device handed in. Writer is the device that writes the log, "" when none is
// known to.
type Carried struct {
	Log    entry.LogID
	Count  int
	Writer DeviceID
}

// Held is what the store holds of a job after a hand-in.
type Held struct {
	Job     Job
	Stored  int       // entries that are new
	Known   int       // entries of the batch that were held before
	Clone   bool      // the lease is neither the next one nor a repeat: another phone has gone on with this log
	Forked  []Tip     // entries of this batch that made a fork
	Carried []Carried // new entries of logs that are not this device's, sorted by log
	Heads   []Head    // sorted by log
	Tips    []Tip     // of forked logs, sorted by log, seq, id
	Added   Added
	Jobs    int   // of the workspace
	Mark    *Mark // of the results of the core asked about; nil = there are none
}

// Mark says how far results reach and which they are.
type Mark struct {
	Pos    int64  `db:"pos"`
	Digest string `db:"digest"`
}

// Added is the stretch of the timeline that one batch made.
type Added struct {
	From, To Cursor                // before its first entry and at its last
	Newest   map[entry.LogID]int64 // the highest number in each log of it
}

// Rest is the page of one who has just handed in what follows the cursor after and holds all of it, as of that moment: only
// the cursor moves, and nothing need be read. ok is false when it must be read after all.
func (h Held) Rest(after *Cursor, holds map[entry.LogID]int64) (p Page, ok bool) {
	if after == nil || h.Stored == 0 || *after != h.Added.From {
		return Page{}, false
	}
	for _, head := range h.Heads {
		seq, new := h.Added.Newest[head.Log]
		// Holding a forked log up to a number does not say which branch.
		if new && (head.Forked || holds[head.Log] < seq) {
			return Page{}, false
		}
	}
	return Page{Cursor: h.Added.To}, true
}

// Cursor is a place in a timeline: Digest is the running digest up to Pos. The zero position has the zero digest.
type Cursor struct {
	Epoch  string
	Pos    int64
	Digest Digest
}

// PageQuery asks for what comes after a cursor.
type PageQuery struct {
	Workspace WorkspaceID
	Job       entry.JobID
	After     *Cursor               // nil: from the beginning
	Holds     map[entry.LogID]int64 // what the asker holds without gaps; left out of the page, counted in the cursor
	Limit     int                   // entries, at least 1
	Bytes     int                   // raw bytes; one entry is sent even if it is longer
}

// Page is a stretch of a timeline. Entries is in order of position.
type Page struct {
	Unknown bool // the cursor was not recognised: Cursor is the beginning, Entries is empty
	Entries [][]byte
	Cursor  Cursor
	More    bool
}

// Results is what the office worked out: a cache.
type Results struct {
	Workspace WorkspaceID
	Job       entry.JobID
	Core      string // core version
	Pos       int64
	Digest    string
	Title     string // the job's title as the entries say it
	Body      []byte // JSON
	At        time.Time
}

// Note tells the other processes that a job has moved on.
type Note struct {
	Workspace WorkspaceID
	Job       entry.JobID
	Pos       int64
	Results   bool     // Pos is about results, not entries
	Revoked   DeviceID // "" or a device whose sockets must close
	Link      LinkID   // "" or a view link whose sockets must close
	Lost      bool     // some notes may have been missed: look at every head again
}

// Timeline keeps entries.
type Timeline interface {
	// Append stores what is new of a batch, moves the lease and says what is held, in one transaction. An entry that is
	// held already is no error. A fork is stored. A batch without entries never creates a job.
	Append(ctx context.Context, in Handin) (Held, error)
	// Held says the same without writing. A job that nobody wrote to is the zero Job, not an error.
	Held(ctx context.Context, ws WorkspaceID, job entry.JobID) (Held, error)
	// Page reads on from a cursor. A missing job is an empty timeline.
	Page(ctx context.Context, q PageQuery) (Page, error)
	// HandedIn lists the logs that a device was the last to write, the ones it wrote last at the end.
	HandedIn(ctx context.Context, ws WorkspaceID, device DeviceID) ([]HandedLog, error)
	// Jobs lists a workspace's jobs, oldest first.
	Jobs(ctx context.Context, ws WorkspaceID) ([]Job, error)
	// Job returns one. Errors: ErrNotFound.
	Job(ctx context.Context, ws WorkspaceID, job entry.JobID) (Job, error)
	// AllJobs lists every job of every workspace with its workspace, for the office's start.
	AllJobs(ctx context.Context) ([]JobOf, error)
	// SaveResults keeps results if none of the same core are further on; saved says whether it did. With no body, only
	// how far they reach is moved on, and only if the results kept have the same digest. A power cut may put them back to an
	// earlier position: the office works out again what is behind when it starts.
	SaveResults(ctx context.Context, r Results) (saved bool, err error)
	// Results returns the newest of a core. Errors: ErrNotFound.
	Results(ctx context.Context, ws WorkspaceID, job entry.JobID, core string) (Results, error)
	// ResultsMark says how far they reach. Errors: ErrNotFound.
	ResultsMark(ctx context.Context, ws WorkspaceID, job entry.JobID, core string) (Mark, error)
}

// JobOf is a job with the workspace it belongs to.
type JobOf struct {
	Workspace WorkspaceID
	Job
}

// Notes passes notes between server processes on one store.
type Notes interface {
	// Publish sends a note to every listener, this process included. On a store for one process it calls them directly.
	Publish(ctx context.Context, n Note) error
	// Listen calls fn for every note, from one goroutine at a time, until the store is closed. It returns once notes arrive.
	Listen(ctx context.Context, fn func(Note)) error
}

// Store is everything a server keeps.
type Store interface {
	Timeline
	Access
	Blobs
	Notes
	// Server returns what the processes share, made at the first opening.
	Server(ctx context.Context) (Server, error)
	// Workspace returns the workspace with that name and makes it with the given id if there is none.
	Workspace(ctx context.Context, name string, id WorkspaceID, at time.Time) (Workspace, error)
	// NewEpoch makes every cursor unknown, as after a restore.
	NewEpoch(ctx context.Context, line Line) error
	// Ping says whether the database answers.
	Ping(ctx context.Context) error
	Close() error
}
