package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"witnessmark/server/numbers"
	"witnessmark/server/office"
	"witnessmark/server/photos"
	"witnessmark/server/recordbook"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// takeOut is what book and numbers have in common: a job of a data folder, read beside a running server or without one.
type takeOut struct {
	cfg     Config
	out     string
	job     string
	asm     string
	until   string // "" is now
	noNames bool
}

func (t *takeOut) flags(fs *flag.FlagSet, what string) {
	shared(fs, &t.cfg)
	fs.StringVar(&t.out, "out", "", what)
	fs.StringVar(&t.job, "job", "", "the job, by its id; needed when there are several")
	fs.BoolVar(&t.noNames, "no-names", false, "leave names of people out: each stands as person 1, 2 …")
}

// runBook writes the record book.
func runBook(args []string, out, errOut io.Writer) int {
	var t takeOut
	fs := flag.NewFlagSet("book", flag.ContinueOnError)
	fs.SetOutput(errOut)
	t.flags(fs, "the HTML file to write")
	fs.StringVar(&t.asm, "asm", "", "only what concerns the engine of this serial")
	fs.StringVar(&t.until, "until", "", "as it stood on the evening of this day, as in 2031-04-12, by the phones' clocks")
	pdf := fs.String("pdf", "", "also print it to this PDF file, with an installed Chromium")
	paper := fs.String("paper", "A4", "paper of the PDF: A4 or letter")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	size := strings.ToLower(*paper)
	_, notDay := time.Parse(time.DateOnly, t.until)
	if t.out == "" && *pdf == "" || size != "a4" && size != "letter" || t.until != "" && notDay != nil || fs.NArg() > 0 {
		fmt.Fprintln(errOut, "book: say where it goes with -out FILE, -pdf FILE or both; -paper is A4 or letter; -until is a day, as in 2031-04-12")
		return 2
	}
	return t.run(errOut, func(ctx context.Context, app *App, rec *office.Record) error {
		src := app.bookOf(ctx, rec, !t.noNames)
		src.Asm, src.Until = t.asm, t.until
		if t.out != "" {
			if err := writeWhole(t.out, func(w io.Writer) error { return recordbook.Write(w, src) }); err != nil {
				return err
			}
			fmt.Fprintln(out, t.out)
		}
		if *pdf == "" {
			return nil
		}
		src.Paper = size
		body, err := recordbook.PDF(ctx, src)
		if err != nil {
			return err
		}
		if err := writeWhole(*pdf, func(w io.Writer) error { _, err := w.Write(body); return err }); err != nil {
			return err
		}
		_, err = fmt.Fprintln(out, *pdf)
		return err
	})
}

// runNumbers writes the tables and drawings.
func runNumbers(args []string, out, errOut io.Writer) int {
	var t takeOut
	fs := flag.NewFlagSet("numbers", flag.ContinueOnError)
	fs.SetOutput(errOut)
	t.flags(fs, "the folder to write into; made if missing")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	if t.out == "" || fs.NArg() > 0 {
		fmt.Fprintln(errOut, "numbers: say where they go with -out FOLDER")
		return 2
	}
	return t.run(errOut, func(_ context.Context, _ *App, rec *office.Record) error {
		if err := os.MkdirAll(t.out, 0o777); err != nil {
			return fmt.Errorf("make the folder: %w", err)
		}
		for _, name := range numbers.Files(rec.State, rec.Results) {
			body, err := numbers.Write(name, rec.State, rec.Results, !t.noNames)
			if err != nil {
				return fmt.Errorf("write %s: %w", name, err)
			}
			path := filepath.Join(t.out, name)
			if err := writeWhole(path, func(w io.Writer) error { _, err := w.Write(body); return err }); err != nil {
				return err
			}
			fmt.Fprintln(out, path)
		}
		return nil
	})
}

// runCalendar writes what is due again as a calendar file.
func runCalendar(args []string, out, errOut io.Writer) int {
	var t takeOut
	fs := flag.NewFlagSet("calendar", flag.ContinueOnError)
	fs.SetOutput(errOut)
	t.flags(fs, "the calendar file to write (.ics)")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	if t.out == "" || fs.NArg() > 0 {
		fmt.Fprintln(errOut, "calendar: say where it goes with -out FILE")
		return 2
	}
	return t.run(errOut, func(ctx context.Context, app *App, rec *office.Record) error {
		job, err := app.theJob(ctx, t.job)
		if err != nil {
			return err
		}
		body := numbers.Due(job, rec.State, rec.Results, !t.noNames)
		if err := writeWhole(t.out, func(w io.Writer) error { _, err := w.Write(body); return err }); err != nil {
			return err
		}
		_, err = fmt.Fprintln(out, t.out)
		return err
	})
}

// run opens the folder, works the job out and does what is wanted with it.
func (t *takeOut) run(errOut io.Writer, do func(context.Context, *App, *office.Record) error) int {
	return withAccess(t.cfg, errOut, func(ctx context.Context, app *App) error {
		job, err := app.theJob(ctx, t.job)
		if err != nil {
			return err
		}
		off := office.New(office.Config{Store: app.store, Now: time.Now, Log: slog.New(slog.DiscardHandler)})
		look := off.Look
		if t.until != "" {
			look = func(ctx context.Context, ws store.WorkspaceID, job entry.JobID) (*office.Record, error) {
				return off.Stood(ctx, ws, job, t.until)
			}
		}
		rec, err := look(ctx, app.Workspace(), job)
		if err != nil {
			return err
		}
		return do(ctx, app, rec)
	})
}

// theJob is the job of that id, or the only one.
func (a *App) theJob(ctx context.Context, id string) (entry.JobID, error) {
	jobs, err := a.store.Jobs(ctx, a.Workspace())
	if err != nil {
		return "", fmt.Errorf("list jobs: %w", err)
	}
	var lines []string
	for _, j := range jobs {
		if string(j.ID) == id || id == "" && len(jobs) == 1 {
			return j.ID, nil
		}
		lines = append(lines, "\n  "+string(j.ID)+" "+j.Title)
	}
	if len(jobs) == 0 {
		return "", errors.New("there is no job yet: nobody has handed in anything")
	}
	return "", errors.New("say which job with -job:" + strings.Join(lines, ""))
}

// bookOf is what the record book of a job is made of.
func (a *App) bookOf(ctx context.Context, rec *office.Record, names bool) recordbook.Source {
	pictures := photos.New(a.store, photos.NewFolder(filepath.Join(a.cfg.Data, "photos")), a.cfg.Now)
	return recordbook.Source{State: rec.State, Results: rec.Results, Names: names,
		Picture: func(sha string) ([]byte, error) { return pictures.Print(ctx, a.Workspace(), sha) }}
}
