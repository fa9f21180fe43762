package archive

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"witnessmark/server/photos"
	"witnessmark/server/store"
)

// Take says where an archive goes.
type Take struct {
	Workspace store.WorkspaceID
	At        time.Time
	Store     store.Timeline
	Photos    *photos.Photos
}

// Taken is what came of it.
type Taken struct {
	Held    store.Held // of the job, afterwards
	Before  int64      // entries that the job had before
	Photos  int        // that are new
	Refused []Lack     // photos that the photo folder does not keep, with its reason
}

// Into puts the entries in, in one transaction and through the same door as an exchange, then the photos through the photo
// folder's checks. What is there already stays as it is; doing it twice adds nothing.
// Errors: store.ErrFull; those of the store.
func (a *Archive) Into(ctx context.Context, t Take) (Taken, error) {
	before, err := t.Store.Held(ctx, t.Workspace, a.Manifest.Job)
	if err != nil {
		return Taken{}, fmt.Errorf("take archive in: %w", err)
	}
	out := Taken{Before: before.Job.Pos}
	out.Held, err = t.Store.Append(ctx, store.Handin{
		Workspace: t.Workspace, Job: a.Manifest.Job, Entries: a.Entries, At: t.At,
	})
	if err != nil {
		return out, fmt.Errorf("take archive in: %w", err)
	}
	for i, sha := range a.Photos() {
		fresh, err := a.photo(ctx, t, i, sha)
		var refusal photos.Refusal
		switch {
		case errors.As(err, &refusal):
			out.Refused = append(out.Refused, Lack{sha, refusal.Why})
		case err != nil:
			return out, fmt.Errorf("take photo %s in: %w", sha, err)
		case fresh:
			out.Photos++
		}
	}
	return out, nil
}

// photo sends one photo in pieces, from where the folder is.
func (a *Archive) photo(ctx context.Context, t Take, i int, sha string) (fresh bool, err error) {
	r, err := a.photos[i].Open()
	if err != nil {
		return false, err
	}
	data, err := io.ReadAll(io.LimitReader(r, maxPhoto))
	if err = errors.Join(err, r.Close()); err != nil {
		return false, err
	}
	return t.Photos.Put(ctx, photos.Upload{Workspace: t.Workspace, SHA: sha}, data)
}
