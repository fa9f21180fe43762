// Package handin takes in what a phone saved as a file because it could not hand it in: no network, or no longer paired.
//
// The model: the first line says whose file it is and what must follow; the rest are entries, one a line, exactly as the
// phone would have sent them (schema/handin.md). The check sum in the head and the chain in the entries prove that the file
// is whole and that its entries belong together. They do not prove who wrote it: anybody who can write such a file can write
// such sums. So the file has no rights of its own. A lead, or whoever looks after the server, takes it in and is named for
// it; what the head says of the phone is written down as a claim.
package handin

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// MediaType is that of the file when it is sent to the office.
const MediaType = "application/vnd.witnessmark.handin+ndjson"

// Mark and Version stand in the head of every file.
const (
	Mark    = "hand-in"
	Version = 1
)

// Limits on what is read.
const (
	MaxFile    = 64 << 20 // bytes
	MaxHead    = 4 << 10  // bytes of the first line
	MaxEntries = 100_000
)

// ErrForeign: the file is of another workshop, so it is not taken in unless somebody says that it shall be.
var ErrForeign = errors.New("this file is of another workshop: take it in at its own office")

// Broken is why a file cannot be taken in, in words for the person who holds it.
type Broken struct{ Why string }

func (b Broken) Error() string {
	return "this file cannot be taken in: " + b.Why + "; nothing was changed, and the phone still has it all"
}

// Head is the first line. Device, Name and Workspace are what the phone says of itself; "" when it was never paired.
type Head struct {
	Witnessmark string            `json:"witnessmark"`
	V           int               `json:"v"`
	Workspace   store.WorkspaceID `json:"workspace"`
	Device      store.DeviceID    `json:"device"`
	Name        string            `json:"name"`
	Job         entry.JobID       `json:"job"`
	Log         entry.LogID       `json:"log"`
	Count       int               `json:"count"`
	SHA         string            `json:"sha256"` // of everything after the first line
}

// Bad is a line that is no entry. Line 1 is the head.
type Bad struct {
	Line int    `json:"line"`
	Why  string `json:"why"`
}

// File is a file that is whole.
type File struct {
	Head
	Entries []entry.Entry
	Bad     []Bad
}

// Read reads a file and checks that it is whole. As in an exchange, a line that is no entry disturbs nothing else (T14).
// Errors: Broken; those of r.
func Read(r io.Reader) (File, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxFile+1))
	if err != nil {
		return File{}, err
	}
	if len(data) > MaxFile {
		return File{}, Broken{"it is larger than any that a phone writes"}
	}
	first, rest, _ := bytes.Cut(data, []byte("\n"))
	var f File
	if len(first) > MaxHead || json.Unmarshal(first, &f.Head) != nil || f.Witnessmark != Mark {
		return File{}, Broken{"it is not one that a phone saved with 'Save what is unsent as a file'"}
	}
	if err := f.check(rest); err != nil {
		return File{}, err
	}
	f.lines(rest)
	return f, nil
}

func (f *File) check(rest []byte) error {
	sum := sha256.Sum256(rest)
	switch {
	case f.V > Version:
		return Broken{"it was written by a newer version of the app: take it in with a newer server"}
	case f.V < 1 || !isID(string(f.Job)):
		return Broken{"its first line is damaged"}
	case f.Count < 0 || f.Count > MaxEntries || bytes.Count(rest, []byte("\n")) > MaxEntries:
		return Broken{"it holds more entries than any that a phone writes"}
	case hex.EncodeToString(sum[:]) != f.SHA:
		return Broken{"it is not whole, or was changed since the phone wrote it: copy it from the phone again"}
	case bytes.Count(rest, []byte("\n")) != f.Count || len(rest) > 0 && rest[len(rest)-1] != '\n':
		return Broken{"it does not hold as many entries as its first line says"}
	}
	return nil
}

func isID(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == 16 && hex.EncodeToString(b) == s
}

func (f *File) lines(rest []byte) {
	for n := 2; len(rest) > 0; n++ {
		var line []byte
		line, rest, _ = bytes.Cut(rest, []byte("\n"))
		e, err := entry.Read(line)
		if err == nil && e.Job != f.Job {
			err = errors.New("it is an entry of another job")
		}
		if err != nil {
			f.Bad = append(f.Bad, Bad{Line: n, Why: err.Error()})
			continue
		}
		f.Entries = append(f.Entries, e)
	}
}

// Take says where a file goes and who answers for it.
type Take struct {
	Workspace store.WorkspaceID
	By        store.DeviceID // the lead's; "" = at the server
	Foreign   bool           // take a file of another workshop too
	At        time.Time
	Store     store.Store
}

// Taken is what came of it.
type Taken struct {
	Held  store.Held
	Phone store.Device // the one that the head names; the zero Device if this workshop has none of that id
}

// Into stores the entries, each once however often the file comes, and writes the audit line. The entries count as carried
// by whoever took the file in: nothing in the file proves more. Errors: ErrForeign; store.ErrFull; those of the store.
func (f File) Into(ctx context.Context, t Take) (Taken, error) {
	if f.Workspace != "" && f.Workspace != t.Workspace && !t.Foreign {
		return Taken{}, ErrForeign
	}
	var out Taken
	var err error
	if out.Phone, err = t.Store.Device(ctx, t.Workspace, f.Device); err != nil && !errors.Is(err, store.ErrNotFound) {
		return out, fmt.Errorf("take file in: %w", err)
	}
	out.Held, err = t.Store.Append(ctx, store.Handin{
		Workspace: t.Workspace, Job: f.Job, Device: t.By, Entries: f.Entries, At: t.At,
	})
	if err != nil {
		return out, fmt.Errorf("take file in: %w", err)
	}
	line := store.Line{
		At: t.At, Workspace: t.Workspace, Device: t.By, Action: access.ActionHandIn, Subject: string(f.Log),
		Detail: f.words(out),
	}
	return out, t.Store.Audit(ctx, line)
}

// words says what was taken and from which phone, revoked or not (T52).
func (f File) words(got Taken) string {
	from := fmt.Sprintf("says it is of a phone that is not paired here, %q", f.Name)
	switch {
	case got.Phone.ID != "" && !got.Phone.Revoked.IsZero():
		from = fmt.Sprintf("says it is of %q, revoked %s", got.Phone.Name, got.Phone.Revoked.UTC().Format(time.RFC3339))
	case got.Phone.ID != "":
		from = fmt.Sprintf("says it is of %q", got.Phone.Name)
	}
	return fmt.Sprintf("%d new, %d held before, %d not readable; %s", got.Held.Stored, got.Held.Known, len(f.Bad), from)
}
