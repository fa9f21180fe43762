// Package photos takes in photos and voice notes, named by the SHA-256 of their bytes, and hands out what others may see.
//
// The model: bytes arrive in chunks, from the offset that the server names, until the whole hash agrees; nothing is visible
// before. What arrives is hostile: its type is read from its content, from a short list, and its size in pixels from its
// header, before anything is decoded. The original keeps its bytes (and any position data) and goes back only to the phone
// that took it and to the lead; everybody else gets a derivative: decoded, turned upright, encoded again, without metadata.
// Voice notes cannot be encoded again here; they go to paired phones only, never to a view link.
package photos

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"witnessmark/server/store"
)

const (
	// MaxSize is the largest photo or voice note, in bytes.
	MaxSize = 32 << 20
	// MaxChunk is the largest piece of an upload, in bytes (T34).
	MaxChunk = 1 << 20
	// MaxPixels is the largest picture that is decoded (T35).
	MaxPixels = 50_000_000
)

var (
	// ErrName: the name is not a SHA-256 in 64 lower hex digits.
	ErrName = errors.New("a photo is named by its SHA-256, 64 hex digits")
	// ErrSize: the size is missing, zero or above MaxSize.
	ErrSize = errors.New("a photo or voice note has between 1 byte and 32 MiB")
	// ErrChunk: more than MaxChunk at once, or more than the size that was named.
	ErrChunk = errors.New("at most 1 MiB at once, and no more than the size that was named")
	// ErrOffset: the chunk does not start where the server is. Ask for the offset and go on from there.
	ErrOffset = errors.New("the upload goes on at another place: ask where")
	// ErrHash: all bytes are here and are not the ones that the name says. They are thrown away; send again from 0.
	ErrHash = errors.New("the bytes are not the ones that were named: send them again")
)

// Refusal is why bytes were not kept, in words for the person who took the picture.
type Refusal struct{ Why string }

func (r Refusal) Error() string { return r.Why }

// Photos takes in and hands out.
type Photos struct {
	store  store.Blobs
	folder *Folder
	now    func() time.Time
	locks  keyed
	// one picture is decoded at a time: 50 megapixels are 200 MB
	decoding sync.Mutex
}

// New returns the keeper of a folder's bytes.
func New(st store.Blobs, folder *Folder, now func() time.Time) *Photos {
	return &Photos{store: st, folder: folder, now: now, locks: keyed{held: map[string]*lock{}}}
}

// Upload is one chunk.
type Upload struct {
	Workspace store.WorkspaceID
	Device    store.DeviceID
	SHA       string
	Offset    int64 // where the chunk begins
	Size      int64 // of the whole; 0 = not said, then it is whole when the hash agrees
	Body      io.Reader
}

// Progress is how far an upload has come.
type Progress struct {
	Offset int64
	Whole  bool
}

// Offset says where an upload goes on. A whole one ends at its size; one that nobody began starts at 0.
// Errors: ErrName, Refusal.
func (p *Photos) Offset(ctx context.Context, ws store.WorkspaceID, sha string) (Progress, error) {
	if err := checkName(sha); err != nil {
		return Progress{}, err
	}
	defer p.locks.lock(string(ws) + sha)()
	return p.progress(ctx, ws, sha)
}

func (p *Photos) progress(ctx context.Context, ws store.WorkspaceID, sha string) (Progress, error) {
	b, err := p.store.Blob(ctx, ws, sha)
	switch {
	case err == nil && b.State == store.BlobWhole:
		return Progress{Offset: b.Size, Whole: true}, nil
	case err == nil && b.State == store.BlobRefused:
		return Progress{}, Refusal{b.Refused}
	case err != nil && !errors.Is(err, store.ErrNotFound):
		return Progress{}, err
	}
	n, err := p.folder.arrived(ws, sha)
	return Progress{Offset: n}, err
}

// Take adds a chunk and, with the last one, checks and keeps the whole. Sending a whole one again is fine.
// Errors: ErrName, ErrSize, ErrChunk, ErrOffset, ErrHash, Refusal, store.ErrFull.
func (p *Photos) Take(ctx context.Context, u Upload) (Progress, error) {
	if err := checkName(u.SHA); err != nil {
		return Progress{}, err
	}
	if u.Size < 0 || u.Size > MaxSize {
		return Progress{}, ErrSize
	}
	defer p.locks.lock(string(u.Workspace) + u.SHA)()
	at, err := p.progress(ctx, u.Workspace, u.SHA)
	if err != nil || at.Whole {
		return at, err
	}
	if u.Size > 0 && at.Offset > u.Size {
		// What lies here cannot be what is named: somebody began it with other bytes.
		return Progress{}, errors.Join(ErrHash, p.folder.drop(u.Workspace, u.SHA))
	}
	if u.Offset != at.Offset {
		return at, ErrOffset
	}
	most := int64(MaxChunk)
	if u.Size > 0 {
		most = min(most, u.Size-u.Offset)
	}
	if at.Offset, err = p.folder.add(u.Workspace, u.SHA, at.Offset, io.LimitReader(u.Body, most+1), most); err != nil {
		return at, err
	}
	return p.finish(ctx, u, at)
}

// finish keeps the bytes if they are whole.
func (p *Photos) finish(ctx context.Context, u Upload, at Progress) (Progress, error) {
	if at.Offset > MaxSize {
		return Progress{}, errors.Join(ErrSize, p.folder.drop(u.Workspace, u.SHA))
	}
	if u.Size > 0 && at.Offset < u.Size {
		return at, nil
	}
	sum, err := p.folder.sum(u.Workspace, u.SHA)
	if err != nil {
		return at, err
	}
	if sum != u.SHA {
		if u.Size == 0 {
			return at, nil
		}
		return Progress{}, errors.Join(ErrHash, p.folder.drop(u.Workspace, u.SHA))
	}
	if err := p.keep(ctx, u, at.Offset); err != nil {
		return Progress{}, err
	}
	return Progress{Offset: at.Offset, Whole: true}, nil
}

// keep checks the content, makes the derivative and only then makes the bytes visible.
func (p *Photos) keep(ctx context.Context, u Upload, size int64) error {
	b := store.Blob{Workspace: u.Workspace, SHA: u.SHA, Size: size, Device: u.Device, Created: p.now()}
	data, err := p.folder.readArrived(u.Workspace, u.SHA)
	if err != nil {
		return err
	}
	view, typ, err := p.examine(data)
	var refusal Refusal
	if errors.As(err, &refusal) {
		b.State, b.Refused = store.BlobRefused, refusal.Why
		return errors.Join(refusal, p.store.PutBlob(ctx, b), p.folder.drop(u.Workspace, u.SHA))
	}
	if err != nil {
		return err
	}
	b.Type, b.State = typ, store.BlobWhole
	if view != nil {
		b.ViewSize = int64(len(view))
		if b.ViewSHA, err = p.folder.putView(u.Workspace, u.SHA, view); err != nil {
			return err
		}
	}
	if err := p.folder.settle(u.Workspace, u.SHA); err != nil {
		return err
	}
	return p.store.PutBlob(ctx, b)
}

// examine returns the derivative (nil for a voice note) and the type found in the content. Errors: Refusal.
func (p *Photos) examine(data []byte) (view []byte, typ string, err error) {
	typ, err = sniff(data)
	if err != nil {
		return nil, "", err
	}
	if IsSound(typ) {
		return nil, typ, checkSound(data, typ)
	}
	if err := checkPicture(data, typ); err != nil {
		return nil, "", err
	}
	p.decoding.Lock()
	defer p.decoding.Unlock()
	view, err = derive(data)
	return view, typ, err
}

// File is what is handed out.
type File struct {
	io.ReadSeekCloser
	Type string
	SHA  string // of these bytes
	Size int64
}

// View opens what any paired phone may see: a picture's derivative, or a voice note. Errors: store.ErrNotFound.
func (p *Photos) View(ctx context.Context, ws store.WorkspaceID, sha string) (File, error) {
	b, err := p.whole(ctx, ws, sha)
	if err != nil {
		return File{}, err
	}
	if b.ViewSHA == "" {
		return p.open(p.folder.original(ws, sha), b.Type, b.SHA, b.Size)
	}
	return p.open(p.folder.view(ws, sha), viewType, b.ViewSHA, b.ViewSize)
}

// Picture opens the derivative of a picture, for view links. Errors: store.ErrNotFound, also for a voice note.
func (p *Photos) Picture(ctx context.Context, ws store.WorkspaceID, sha string) (File, error) {
	b, err := p.whole(ctx, ws, sha)
	if err != nil {
		return File{}, err
	}
	if b.ViewSHA == "" {
		return File{}, store.ErrNotFound
	}
	return p.open(p.folder.view(ws, sha), viewType, b.ViewSHA, b.ViewSize)
}

// Original opens the bytes as they came, for the phone that sent them and for a lead.
// Errors: store.ErrNotFound, for everybody else too.
func (p *Photos) Original(ctx context.Context, dev store.Device, sha string) (File, error) {
	b, err := p.whole(ctx, dev.Workspace, sha)
	if err != nil {
		return File{}, err
	}
	if dev.Role != store.RoleLead && dev.ID != b.Device {
		return File{}, store.ErrNotFound
	}
	return p.open(p.folder.original(dev.Workspace, sha), b.Type, b.SHA, b.Size)
}

func (p *Photos) whole(ctx context.Context, ws store.WorkspaceID, sha string) (store.Blob, error) {
	if checkName(sha) != nil {
		return store.Blob{}, store.ErrNotFound
	}
	b, err := p.store.Blob(ctx, ws, sha)
	if err == nil && b.State != store.BlobWhole {
		err = store.ErrNotFound
	}
	return b, err
}

func (p *Photos) open(path, typ, sha string, size int64) (File, error) {
	f, err := p.folder.open(path)
	if err != nil {
		return File{}, fmt.Errorf("open photo: %w", err)
	}
	return File{ReadSeekCloser: f, Type: typ, SHA: sha, Size: size}, nil
}

func checkName(sha string) error {
	if b, err := hex.DecodeString(sha); err != nil || len(b) != 32 || hex.EncodeToString(b) != sha {
		return ErrName
	}
	return nil
}
