package photos

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"

	"witnessmark/server/store"
)

// Folder keeps bytes in files that no web server serves: <folder>/<workspace>/<first two>/<hash>, with .part while they
// arrive and .view for the derivative. Workspace and hash are hex, so a path never leaves the folder.
type Folder struct{ root string }

// NewFolder returns the folder; it is made with the first bytes, mode 0700.
func NewFolder(root string) *Folder { return &Folder{root: root} }

func (f *Folder) original(ws store.WorkspaceID, sha string) string {
	return filepath.Join(f.root, string(ws), sha[:2], sha)
}

func (f *Folder) part(ws store.WorkspaceID, sha string) string { return f.original(ws, sha) + ".part" }
func (f *Folder) view(ws store.WorkspaceID, sha string) string { return f.original(ws, sha) + ".view" }

// arrived is how many bytes of an upload are here.
func (f *Folder) arrived(ws store.WorkspaceID, sha string) (int64, error) {
	info, err := os.Stat(f.part(ws, sha))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, fmt.Errorf("look at upload: %w", err)
	}
	return info.Size(), nil
}

// add appends what r holds at offset and returns the new length. Of more than most bytes nothing stays: ErrChunk. What
// came before a cut stays, and is on disk.
func (f *Folder) add(ws store.WorkspaceID, sha string, offset int64, r io.Reader, most int64) (int64, error) {
	path := f.part(ws, sha)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return offset, full(fmt.Errorf("take upload: %w", err))
	}
	file, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return offset, full(fmt.Errorf("take upload: %w", err))
	}
	n, err := io.Copy(io.NewOffsetWriter(file, offset), r)
	if n > most {
		return offset, errors.Join(ErrChunk, file.Truncate(offset), file.Close())
	}
	if saved := errors.Join(file.Sync(), file.Close()); saved != nil || err != nil {
		return offset + n, full(fmt.Errorf("take upload: %w", errors.Join(err, saved)))
	}
	return offset + n, nil
}

// full names a full disk.
func full(err error) error {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		return fmt.Errorf("%w: %w", store.ErrFull, err)
	}
	return err
}

func (f *Folder) sum(ws store.WorkspaceID, sha string) (string, error) {
	file, err := os.Open(f.part(ws, sha))
	if err != nil {
		return "", fmt.Errorf("hash upload: %w", err)
	}
	h := sha256.New()
	_, err = io.Copy(h, file)
	if err = errors.Join(err, file.Close()); err != nil {
		return "", fmt.Errorf("hash upload: %w", err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func (f *Folder) readArrived(ws store.WorkspaceID, sha string) ([]byte, error) {
	data, err := os.ReadFile(f.part(ws, sha))
	if err != nil {
		return nil, fmt.Errorf("read upload: %w", err)
	}
	return data, nil
}

// putView writes the derivative and returns its hash.
func (f *Folder) putView(ws store.WorkspaceID, sha string, view []byte) (string, error) {
	path := f.view(ws, sha)
	temp := path + ".part"
	file, err := os.OpenFile(temp, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return "", full(fmt.Errorf("write derivative: %w", err))
	}
	_, err = io.Copy(file, bytes.NewReader(view))
	if err = errors.Join(err, file.Sync(), file.Close()); err == nil {
		err = os.Rename(temp, path)
	}
	if err != nil {
		return "", full(fmt.Errorf("write derivative: %w", err))
	}
	sum := sha256.Sum256(view)
	return hex.EncodeToString(sum[:]), nil
}

// settle gives a whole upload its name, on disk. Settling twice is fine.
func (f *Folder) settle(ws store.WorkspaceID, sha string) error {
	path := f.original(ws, sha)
	if err := os.Rename(f.part(ws, sha), path); err != nil {
		return fmt.Errorf("keep photo: %w", err)
	}
	dir, err := os.Open(filepath.Dir(path))
	if err != nil {
		return fmt.Errorf("keep photo: %w", err)
	}
	return errors.Join(dir.Sync(), dir.Close())
}

func (f *Folder) drop(ws store.WorkspaceID, sha string) error {
	err := os.Remove(f.part(ws, sha))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

func (f *Folder) open(path string) (*os.File, error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, store.ErrNotFound
	}
	return file, err
}

// keyed is a lock for each name in use.
type keyed struct {
	mu   sync.Mutex
	held map[string]*lock
}

type lock struct {
	sync.Mutex
	users int
}

// lock waits for a name and returns its release.
func (k *keyed) lock(name string) (release func()) {
	k.mu.Lock()
	l := k.held[name]
	if l == nil {
		l = &lock{}
		k.held[name] = l
	}
	l.users++
	k.mu.Unlock()
	l.Lock()
	return func() {
		l.Unlock()
		k.mu.Lock()
		if l.users--; l.users == 0 {
			delete(k.held, name)
		}
		k.mu.Unlock()
	}
}
