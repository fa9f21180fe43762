// Package entry says what an entry is: its envelope, its kinds, its canonical
// bytes and its id. An entry is made once and never changed; what follows from
// a set of entries is the matter of package reconcile.
package entry

import (
	"errors"

	"witnessmark/sync/jcs"
)

// ID names an entry: the SHA-256 of its bytes as sent, 64 lower-case hex digits.
type ID string

// LogID names a device log, JobID a job: 32 lower-case hex digits, drawn at random.
type (
	LogID string
	JobID string
)

// Limits on everything that comes from outside. MaxEntry is never lowered:
// what was well-formed once must stay so.
const (
	MaxEntry        = 64 << 10 // bytes of one entry
	MaxBatchEntries = 500      // entries of one exchange
	MaxBatchBytes   = 1 << 20  // bytes of one exchange
	MaxText         = 4000     // bytes of one text, at capture
	MaxKey          = 64       // bytes of a name within a job, at capture
	MaxRefs         = 200      // ids in one list, at capture
)

// Version is the version of the envelope that Compose writes.
const Version = 1

// Errors of Read: such a line is no entry at all and is not stored.
var (
	ErrTooLarge  = errors.New("longer than 64 KiB: send the photo or the long text apart")
	ErrMalformed = errors.New("this line cannot be read as an entry")
)

// Entry is one thing that somebody wrote down.
type Entry struct {
	ID    ID
	V     int64
	Job   JobID
	Log   LogID
	Seq   int64  // position in its log, from 1
	Prev  ID     // the entry before it in its log; "" for the first
	At    string // what the device's clock said, RFC 3339; orders displays only
	By    string // who wrote it: the key of a person
	Kind  string
	Over  []ID // the entries that this one takes the place of
	After []ID // the moves that this move ends
	Body  jcs.Value
	Raw   []byte // the bytes as sent
	Bad   string // why it is not usable, as far as it shows by itself; "" when it is
}

// Known reports whether this version knows the entry's kind.
func (e Entry) Known() bool {
	_, ok := kinds[e.Kind]
	return ok
}

// Register returns the name of the single-valued register that e sets, or ""
// for a kind of which many stand side by side.
func Register(e Entry) string { return RegisterOf(e.Kind, e.Body) }

// RegisterOf is Register for a kind and a body, as a restore brings them back.
func RegisterOf(kind string, body jcs.Value) string {
	if k, ok := kinds[kind]; ok && k.register != nil {
		return k.register(body)
	}
	return ""
}

// SameSaying reports whether two bodies of one kind say the same, whatever
// reason they give.
func SameSaying(a, b jcs.Value) bool {
	return jcs.Equal(a, b) || jcs.Equal(a.Without("why"), b.Without("why"))
}
