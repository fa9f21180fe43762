package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"

	"witnessmark/server/access"
	"witnessmark/server/handin"
	"witnessmark/server/photos"
)

// handInWants is what the verb was asked for.
type handInWants struct {
	cfg     Config
	foreign bool
	out     io.Writer
	errOut  io.Writer
}

// runHandIn is the verb hand-in: files that phones saved because they could not hand in, and their photos.
func runHandIn(args []string, out, errOut io.Writer) int {
	w := handInWants{out: out, errOut: errOut}
	fs := flag.NewFlagSet("hand-in", flag.ContinueOnError)
	fs.SetOutput(errOut)
	shared(fs, &w.cfg)
	fs.BoolVar(&w.foreign, "foreign", false, "take a file of another workshop too, for when its own office is gone for good")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	if fs.NArg() == 0 {
		fmt.Fprintln(errOut, "hand-in: name the files that the phone saved")
		return 2
	}
	return finished(errOut, w.files(context.Background(), fs.Args()))
}

// files takes each file in; one that is broken does not keep the others out.
func (w handInWants) files(ctx context.Context, names []string) (err error) {
	if err := w.cfg.there(); err != nil {
		return err
	}
	app, err := openApp(ctx, w.cfg)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, app.Close()) }()
	for _, name := range names {
		if one := w.file(ctx, app, name); one != nil {
			err = errors.Join(err, fmt.Errorf("%s: %w", name, one))
		}
	}
	return err
}

// file is entries or a photo, told apart by what it begins with.
func (w handInWants) file(ctx context.Context, app *App, name string) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	data, err := io.ReadAll(io.LimitReader(f, handin.MaxFile+1))
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	if len(data) > 0 && data[0] != '{' && len(data) <= photos.MaxSize {
		return w.photo(ctx, app, name, data)
	}
	return w.entries(ctx, app, name, data)
}

func (w handInWants) entries(ctx context.Context, app *App, name string, data []byte) error {
	f, err := handin.Read(bytes.NewReader(data))
	if err != nil {
		return err
	}
	got, err := f.Into(ctx, handin.Take{Workspace: app.workspace.ID, Foreign: w.foreign, At: app.cfg.Now(), Store: app.store})
	if errors.Is(err, handin.ErrForeign) {
		return fmt.Errorf("%w, or with -foreign if that office is gone for good", err)
	}
	if err != nil {
		return err
	}
	if err := app.tell(ctx, f.Job, got.Held); err != nil {
		return err
	}
	for _, b := range f.Bad {
		fmt.Fprintf(w.errOut, "careful: %s, line %d could not be read: %s\n", name, b.Line, b.Why)
	}
	if !got.Phone.Revoked.IsZero() {
		fmt.Fprintf(w.errOut, "careful: %s says it is of %q, which was revoked; it was taken in because you did it\n", name, got.Phone.Name)
	}
	_, err = fmt.Fprintf(w.out, "%s: %s, %d held before, job %s\n", name, counted(int64(got.Held.Stored), "new entry", "new entries"), got.Held.Known, f.Job)
	return err
}

// photo takes in a photo that a phone saved; what it is comes from its bytes, its name is not believed.
func (w handInWants) photo(ctx context.Context, app *App, name string, data []byte) error {
	sum := sha256.Sum256(data)
	sha := hex.EncodeToString(sum[:])
	fresh, err := app.photos().Put(ctx, photos.Upload{Workspace: app.workspace.ID, SHA: sha}, data)
	if err != nil {
		return err
	}
	if !fresh {
		_, err = fmt.Fprintf(w.out, "%s: a photo that is here already\n", name)
		return err
	}
	if err := app.audit(ctx, access.ActionHandIn, sha, "a photo"); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w.out, "%s: a photo, taken in\n", name)
	return err
}
