package main

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"witnessmark/server/access"
	"witnessmark/server/archive"
	"witnessmark/server/office"
	"witnessmark/server/photos"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// runExport is the verb export: a whole job as one open file.
func runExport(args []string, out, errOut io.Writer) int {
	cfg := Config{}
	fs := flag.NewFlagSet("export", flag.ContinueOnError)
	fs.SetOutput(errOut)
	shared(fs, &cfg)
	job := fs.String("job", "", "the job; not needed when there is only one")
	file := fs.String("out", "", "file to write, a .zip")
	noNames := fs.Bool("no-names", false, "leave people's names out of the tables; the entries keep them, or they would break")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	if *file == "" {
		fmt.Fprintln(errOut, "export: say where to write it, with -out FILE")
		return 2
	}
	return withAccess(cfg, errOut, func(ctx context.Context, app *App) error {
		m, err := app.export(ctx, entry.JobID(*job), *file, *noNames)
		if err != nil {
			return err
		}
		return saysExport(out, errOut, m, *file)
	})
}

func saysExport(out, errOut io.Writer, m archive.Manifest, file string) error {
	for _, l := range m.Missing {
		fmt.Fprintf(errOut, "careful: photo %s is not in it: %s\n", l.SHA, l.Why)
	}
	held := 0
	for _, f := range m.Files {
		if strings.HasPrefix(f.Name, "photos/") {
			held++
		}
	}
	_, err := fmt.Fprintf(out, "%s: %s and %s of %q, job %s\n", file, counted(int64(m.Entries.Count), "entry", "entries"),
		counted(int64(held), "photo", "photos"), m.Title, m.Job)
	return err
}

// export writes a job into a file that appears only when it is whole.
func (a *App) export(ctx context.Context, job entry.JobID, file string, noNames bool) (archive.Manifest, error) {
	job, err := a.onlyJob(ctx, job)
	if err != nil {
		return archive.Manifest{}, err
	}
	entries, err := allEntries(ctx, a.store, a.workspace.ID, job)
	if err != nil {
		return archive.Manifest{}, err
	}
	src := archive.Source{Job: job, Entries: entries, NoNames: noNames, Photo: a.original(ctx)}
	var m archive.Manifest
	err = writeWhole(file, func(w io.Writer) error {
		var err error
		m, err = archive.Write(w, src)
		return err
	})
	if err != nil {
		return m, err
	}
	return m, a.audit(ctx, access.ActionExport, string(job), counted(int64(m.Entries.Count), "entry", "entries"))
}

// counted is a number with its noun.
func counted(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// audit writes a line for what was done at the server.
func (a *App) audit(ctx context.Context, action, subject, detail string) error {
	return a.store.Audit(ctx, store.Line{At: a.cfg.Now(), Workspace: a.workspace.ID, Action: action, Subject: subject, Detail: detail})
}

// onlyJob is the job that was named, or the only one there is.
func (a *App) onlyJob(ctx context.Context, job entry.JobID) (entry.JobID, error) {
	jobs, err := a.store.Jobs(ctx, a.workspace.ID)
	if err != nil {
		return "", err
	}
	if job == "" && len(jobs) == 1 {
		return jobs[0].ID, nil
	}
	var names strings.Builder
	for _, j := range jobs {
		if j.ID == job {
			return job, nil
		}
		fmt.Fprintf(&names, "\n  %s  %s", j.ID, j.Title)
	}
	switch {
	case len(jobs) == 0:
		return "", errors.New("there is no job here yet")
	case job == "":
		return "", fmt.Errorf("say which job with -job; there are:%s", &names)
	}
	return "", fmt.Errorf("there is no job %q here; there are:%s", job, &names)
}

// allEntries reads a job's timeline to its end.
func allEntries(ctx context.Context, st store.Timeline, ws store.WorkspaceID, job entry.JobID) ([][]byte, error) {
	var all [][]byte
	var after *store.Cursor
	for {
		page, err := st.Page(ctx, store.PageQuery{Workspace: ws, Job: job, After: after, Limit: exportPage, Bytes: exportBytes})
		if err != nil {
			return nil, err
		}
		if page.Unknown {
			return nil, errors.New("the server was restored while the job was read: start again")
		}
		all = append(all, page.Entries...)
		if !page.More {
			return all, nil
		}
		after = &page.Cursor
	}
}

// One page read from the store.
const (
	exportPage  = 5000
	exportBytes = 8 << 20
)

// original reads photos as they were taken; the archive is one of the three that may have them.
func (a *App) original(ctx context.Context) func(sha string) ([]byte, string, error) {
	lead := store.Device{Workspace: a.workspace.ID, Role: store.RoleLead}
	keeper := a.photos()
	return func(sha string) ([]byte, string, error) {
		f, err := keeper.Original(ctx, lead, sha)
		if err != nil {
			return nil, "", err
		}
		data, err := io.ReadAll(f)
		return data, f.Type, errors.Join(err, f.Close())
	}
}

// photos is the photo folder beside the database.
func (a *App) photos() *photos.Photos {
	return photos.New(a.store, photos.NewFolder(filepath.Join(a.cfg.Data, "photos")), a.cfg.Now)
}

// partSuffix marks a file that is not whole yet.
const partSuffix = ".part"

// writeWhole writes a file that only its owner reads, and gives it its name when all of it is on the disk.
func writeWhole(file string, write func(w io.Writer) error) error {
	part := file + partSuffix
	f, err := os.OpenFile(part, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("write %s: %w", file, err)
	}
	w := bufio.NewWriter(f)
	err = write(w)
	if err = errors.Join(err, w.Flush(), f.Sync(), f.Close()); err == nil {
		err = os.Rename(part, file)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("write %s: %w", file, err), os.Remove(part))
	}
	return nil
}

// runImport is the verb import: an archive back into a server.
func runImport(args []string, out, errOut io.Writer) int {
	cfg := Config{}
	fs := flag.NewFlagSet("import", flag.ContinueOnError)
	fs.SetOutput(errOut)
	shared(fs, &cfg)
	if err := fs.Parse(args); err != nil {
		return 2
	}
	if fs.NArg() != 1 {
		fmt.Fprintln(errOut, "import: name one archive")
		return 2
	}
	return finished(errOut, importFile(context.Background(), cfg, fs.Arg(0), out, errOut))
}

// finished is a verb's exit code; an error is said once, here.
func finished(errOut io.Writer, err error) int {
	if err == nil {
		return 0
	}
	fmt.Fprintf(errOut, "witnessmark: %v\n", err)
	return 1
}

// importFile checks the archive before it so much as opens the data folder.
func importFile(ctx context.Context, cfg Config, file string, out, errOut io.Writer) error {
	return withFile(file, func(f *os.File, size int64) error {
		arch, err := archive.Open(f, size)
		if err != nil {
			return err
		}
		if err := cfg.there(); err != nil {
			return err
		}
		app, err := openApp(ctx, cfg)
		if err != nil {
			return err
		}
		return errors.Join(app.takeIn(ctx, arch, out, errOut), app.Close())
	})
}

func (a *App) takeIn(ctx context.Context, arch *archive.Archive, out, errOut io.Writer) error {
	job := arch.Manifest.Job
	taken, err := arch.Into(ctx, archive.Take{Workspace: a.workspace.ID, At: a.cfg.Now(), Store: a.store, Photos: a.photos()})
	if err != nil {
		return err
	}
	detail := fmt.Sprintf("%s, %d held before, %s", counted(int64(taken.Held.Stored), "new entry", "new entries"), taken.Held.Known,
		counted(int64(taken.Photos), "new photo", "new photos"))
	if err := a.audit(ctx, access.ActionImport, string(job), detail); err != nil {
		return err
	}
	if err := a.tell(ctx, job, taken.Held); err != nil {
		return err
	}
	for _, l := range taken.Refused {
		fmt.Fprintf(errOut, "careful: photo %s was not kept: %s\n", l.SHA, l.Why)
	}
	fmt.Fprintf(out, "job %s: %s\n", job, detail)
	return a.compareWith(ctx, arch.Manifest, taken, out)
}

// tell passes new entries on to the office and to the other servers, and waits for the results.
func (a *App) tell(ctx context.Context, job entry.JobID, held store.Held) error {
	if held.Stored == 0 {
		return nil
	}
	if err := a.store.Publish(ctx, store.Note{Workspace: a.workspace.ID, Job: job, Pos: held.Job.Pos}); err != nil {
		return err
	}
	a.office.Nudge(a.workspace.ID, job)
	return a.Settle(ctx)
}

// compareWith says how the job stands beside what the archive says of itself.
func (a *App) compareWith(ctx context.Context, m archive.Manifest, taken archive.Taken, out io.Writer) error {
	if err := a.sayOthers(ctx, m.Job, out); err != nil {
		return err
	}
	if taken.Held.Job.Sum.String() != m.Entries.Sum {
		_, err := fmt.Fprintf(out, "the job was here already with %s; with those of the archive it now has %d, each once\n",
			counted(taken.Before, "entry", "entries"), taken.Held.Job.Pos)
		return err
	}
	rec, err := a.office.Look(ctx, a.workspace.ID, m.Job)
	if err != nil {
		return err
	}
	says := "the same entries, record and results as in the archive"
	switch {
	case office.CoreVersion != m.Results.Core:
		says = "the same entries as in the archive; its results were worked out by rules " + m.Results.Core + ", here by rules " + office.CoreVersion
	case rec.Digest != m.Results.Digest || rec.State.Digest() != m.Record.Digest:
		says = "the same entries as in the archive, but this version reads them otherwise than the one that wrote it: tell whoever looks after the tool"
	}
	_, err = fmt.Fprintln(out, says)
	return err
}

// sayOthers tells the operator when another group on this server has a job of the same id: theirs is left alone.
func (a *App) sayOthers(ctx context.Context, job entry.JobID, out io.Writer) error {
	all, err := a.store.AllJobs(ctx)
	if err != nil {
		return err
	}
	for _, j := range all {
		if j.ID == job && j.Workspace != a.workspace.ID {
			_, err := fmt.Fprintf(out, "another group on this server has a job of this id; it was left as it is. This one is in %q (-workspace)\n", a.cfg.Workspace)
			return err
		}
	}
	return nil
}
