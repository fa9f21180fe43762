package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"

	"witnessmark/server/access"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// runPair draws a pairing code.
func runPair(args []string, out, errOut io.Writer) int {
	cfg := Config{}
	fs := flag.NewFlagSet("pair", flag.ContinueOnError)
	fs.SetOutput(errOut)
	shared(fs, &cfg)
	role := fs.String("role", "fitter", "lead, fitter or viewer")
	asJSON := fs.Bool("json", false, "print JSON for a program")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	return withAccess(cfg, errOut, func(ctx context.Context, app *App) error {
		code, err := app.Pair(ctx, store.Role(*role))
		if err != nil {
			return err
		}
		if *asJSON {
			return json.NewEncoder(out).Encode(map[string]any{
				"code": code, "role": *role, "expires_in": int(access.CodeLife.Seconds()),
			})
		}
		_, err = fmt.Fprintf(out, "%s %s\ngood once, for ten minutes\n", code[:4], code[4:])
		return err
	})
}

// runLink makes a view link.
func runLink(args []string, out, errOut io.Writer) int {
	cfg := Config{}
	fs := flag.NewFlagSet("link", flag.ContinueOnError)
	fs.SetOutput(errOut)
	shared(fs, &cfg)
	job := fs.String("job", "", "the job that the link shows")
	name := fs.String("name", "volunteers", "whom the link is for")
	people := fs.Bool("people", false, "show names of people")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	return withAccess(cfg, errOut, func(ctx context.Context, app *App) error {
		path, err := app.Link(ctx, entry.JobID(*job), *name, *people)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintln(out, path)
		return err
	})
}

// withAccess works on a workshop that is there, beside its server or without it, and says an error once.
func withAccess(cfg Config, errOut io.Writer, do func(context.Context, *App) error) int {
	if err := cfg.there(); err != nil {
		return finished(errOut, err)
	}
	ctx := context.Background()
	app, err := openAccess(ctx, cfg)
	if err == nil {
		err = closing(app.store, do(ctx, app))
	}
	return finished(errOut, err)
}
