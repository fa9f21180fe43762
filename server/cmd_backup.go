package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"

	"witnessmark/server/access"
	"witnessmark/server/backup"
	"witnessmark/server/store"
	"witnessmark/server/store/sql"
)

// backupWants is what the verbs backup and restore were asked for.
type backupWants struct {
	cfg    Config
	file   string
	out    io.Writer
	errOut io.Writer
}

// runBackup is the verb backup: everything in one file, while the server runs.
func runBackup(args []string, out, errOut io.Writer) int {
	w := backupWants{out: out, errOut: errOut}
	fs := flag.NewFlagSet("backup", flag.ContinueOnError)
	fs.SetOutput(errOut)
	shared(fs, &w.cfg)
	fs.StringVar(&w.file, "out", "", "file to write, a .zip; keep it on another machine")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	if w.file == "" {
		fmt.Fprintln(errOut, "backup: say where to write it, with -out FILE")
		return 2
	}
	return finished(errOut, w.backup(context.Background()))
}

const ownTools = `this workshop's database is a PostgreSQL server, which is copied with its own tools:
  before this  pg_dump --format=custom --file=witnessmark.dump URL
This file holds the photos; keep both together. pg_dump comes first, so that every photo that the dump names is here.
`

func (w backupWants) backup(ctx context.Context) (err error) {
	if err := w.cfg.there(); err != nil {
		return err
	}
	app, err := openAccess(ctx, w.cfg)
	if err != nil {
		return err
	}
	defer func() { err = closing(app.store, err) }()
	src := backup.Source{Data: app.cfg.Data, At: app.cfg.Now()}
	var kept []sql.Kept
	if app.cfg.DB == "" {
		src.Database = w.file + ".db.part"
		defer func() { err = errors.Join(err, os.Remove(src.Database)) }()
		if src.Jobs, kept, err = copyDatabase(ctx, app, src.Database); err != nil {
			return err
		}
	} else if _, err := io.WriteString(w.out, ownTools); err != nil {
		return err
	}
	list, err := w.pack(src, kept)
	if err != nil {
		return err
	}
	detail := contents(list)
	if err := app.audit(ctx, access.ActionBackup, list.Made, detail); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w.out, "%s: %s, read back and compared\n", w.file, detail)
	return err
}

// copyDatabase takes the cut, opens it and adds it up.
func copyDatabase(ctx context.Context, app *App, file string) ([]backup.Job, []sql.Kept, error) {
	db, ok := app.store.(*sql.DB)
	if !ok {
		return nil, nil, sql.ErrElsewhere
	}
	if err := os.Remove(file); err != nil && !errors.Is(err, os.ErrNotExist) { // of a backup that was broken off
		return nil, nil, err
	}
	if err := db.CopyTo(ctx, file); err != nil {
		return nil, nil, err
	}
	jobs, kept, err := sql.Inspect(ctx, file)
	return listed(jobs), kept, err
}

func listed(jobs []sql.Counted) []backup.Job {
	out := make([]backup.Job, len(jobs))
	for i, j := range jobs {
		out[i] = backup.Job{
			Workspace: j.Workspace, Job: j.Job, Title: j.Title, Entries: j.Entries, Sum: j.Sum.String(), Running: j.Running.String(),
		}
	}
	return out
}

// pack writes the file and reads it back before it gets its name.
func (w backupWants) pack(src backup.Source, kept []sql.Kept) (backup.List, error) {
	var list backup.List
	var spoiled []string
	err := writeWhole(w.file, func(f io.Writer) (err error) {
		if list, spoiled, err = backup.Write(f, src); err != nil {
			return err
		}
		return checkBackup(w.file + partSuffix)
	})
	if err != nil {
		return list, err
	}
	for _, name := range spoiled {
		fmt.Fprintf(w.errOut, "careful: %s is not what it was: the server's disk may be failing\n", name)
	}
	for _, name := range lacking(kept, list) {
		fmt.Fprintf(w.errOut, "careful: %s is in the database and not on the disk\n", name)
	}
	return list, nil
}

// lacking are the photos that the database has and the backup has not.
func lacking(kept []sql.Kept, list backup.List) []string {
	there := map[string]bool{}
	for _, f := range list.Files {
		there[f.Name] = true
	}
	var out []string
	for _, k := range kept {
		for _, name := range []string{backup.Photo(k.Workspace, k.SHA, false), backup.Photo(k.Workspace, k.SHA, true)} {
			if !there[name] && (k.ViewSHA != "" || name == backup.Photo(k.Workspace, k.SHA, false)) {
				out = append(out, name)
			}
		}
	}
	return out
}

// contents is what a backup holds, in words.
func contents(list backup.List) string {
	var entries int64
	for _, j := range list.Jobs {
		entries += j.Entries
	}
	files := len(list.Files)
	if list.Database == backup.Inside {
		return fmt.Sprintf("%s, %s, %s", counted(int64(len(list.Jobs)), "job", "jobs"), counted(entries, "entry", "entries"),
			counted(int64(files-1), "photo file", "photo files"))
	}
	return counted(int64(files), "photo file", "photo files") + ", no database"
}

// checkBackup compares a whole file with its list.
func checkBackup(file string) error {
	return withFile(file, func(f *os.File, size int64) error {
		_, err := backup.Open(f, size)
		return err
	})
}

func withFile(file string, do func(f *os.File, size int64) error) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err == nil {
		err = do(f, info.Size())
	}
	return errors.Join(err, f.Close())
}

// runRestore is the verb restore: a backup into an empty folder.
func runRestore(args []string, out, errOut io.Writer) int {
	w := backupWants{out: out, errOut: errOut}
	fs := flag.NewFlagSet("restore", flag.ContinueOnError)
	fs.SetOutput(errOut)
	shared(fs, &w.cfg)
	if err := fs.Parse(args); err != nil {
		return 2
	}
	if fs.NArg() != 1 {
		fmt.Fprintln(errOut, "restore: name one backup")
		return 2
	}
	w.file = fs.Arg(0)
	return finished(errOut, w.restore(context.Background()))
}

const afterRestore = `every phone now offers what this copy lacks, by itself, at its next exchange
look through the phones under Job: one that was revoked after the backup was made is paired again, revoke it once more;
one that was paired after it must be paired again and keeps what is on it
`

func (w backupWants) restore(ctx context.Context) error {
	w.cfg = w.cfg.filled()
	var list backup.List
	err := withFile(w.file, func(f *os.File, size int64) error {
		b, err := backup.Open(f, size)
		if err != nil {
			return err
		}
		list = b.List
		if (list.Database == backup.Inside) != (w.cfg.DB == "") {
			return errors.New("the backup and -db do not belong together: a backup with the database inside is restored without -db, one without it beside its PostgreSQL")
		}
		return b.Unpack(w.cfg.Data)
	})
	if err != nil {
		return err
	}
	if err := w.settle(ctx, list); err != nil {
		return errors.Join(err, backup.Clear(w.cfg.Data))
	}
	_, err = fmt.Fprintf(w.out, "%s holds %s, as of %s\n%s", w.cfg.Data, contents(list), list.Made, afterRestore)
	return err
}

// settle compares the unpacked database with the list and begins a new epoch, so that no phone takes the office to know
// what it had after the cut (T21).
func (w backupWants) settle(ctx context.Context, list backup.List) error {
	if list.Database == backup.Inside {
		jobs, _, err := sql.Inspect(ctx, w.cfg.database())
		if err != nil {
			return err
		}
		if !slices.Equal(listed(jobs), list.Jobs) {
			return backup.Broken{Why: "its database does not hold what its list says"}
		}
	}
	app, err := openAccess(ctx, w.cfg)
	if err != nil {
		return err
	}
	return closing(app.store, app.store.NewEpoch(ctx, store.Line{
		At: app.cfg.Now(), Workspace: app.workspace.ID, Action: access.ActionRestore, Subject: list.Made, Detail: contents(list),
	}))
}
