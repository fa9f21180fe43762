package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"syscall"

	"witnessmark/server/sim"
	"witnessmark/server/store"
	"witnessmark/server/store/sql"
)

// simWants is what the verb sim was asked for.
type simWants struct {
	sim.Options
	store, db string
	trace     bool
}

// runSim is the verb sim: seeded histories of phones, network and server, each with its promises checked at the end.
func runSim(args []string, out, errOut io.Writer) int {
	w := simWants{Options: sim.Options{At: runtime.NumCPU()}}
	fs := flag.NewFlagSet("sim", flag.ContinueOnError)
	fs.SetOutput(errOut)
	fs.Uint64Var(&w.Seed, "seed", 1, "seed of the first history; the next has the next")
	fs.IntVar(&w.Seeds, "seeds", 20, "histories")
	fs.IntVar(&w.Steps, "steps", 500, "steps of each")
	fs.StringVar(&w.store, "store", "sqlite", "sqlite or postgres")
	fs.StringVar(&w.db, "db", "", "postgres:// URL of a server on which databases may be made")
	fs.BoolVar(&w.trace, "trace", false, "say every step")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	got, err := w.run(ctx, errOut)
	if err != nil {
		fmt.Fprintf(errOut, "witnessmark: %v\n", err)
		return 1
	}
	fmt.Fprintln(out, got)
	for _, report := range got.Reports {
		fmt.Fprintf(errOut, "witnessmark: %s\n", report)
	}
	if !got.Good() {
		return 1
	}
	return 0
}

func (w simWants) run(ctx context.Context, errOut io.Writer) (got sim.Outcome, err error) {
	if w.trace {
		w.Trace, w.At = errOut, 1
	}
	w.Again = fmt.Sprintf("witnessmark sim -seed %%d -seeds 1 -steps %d -store %s", w.Steps, w.store)
	switch w.store {
	case "sqlite":
		dir, err := os.MkdirTemp("", "witnessmark-sim-")
		if err != nil {
			return got, err
		}
		defer os.RemoveAll(dir) // what is left is in the system's own folder for such things
		w.Grounds = sim.SQLite(dir, func(ctx context.Context, file string) (store.Store, error) { return sql.OpenSQLite(ctx, file) })
		return sim.Run(ctx, w.Options)
	case "postgres":
		w.Again += " -db URL"
		w.Grounds = sim.Postgres(w.db, func(ctx context.Context, url string) (store.Store, error) { return sql.OpenPostgres(ctx, url) })
		return sim.Run(ctx, w.Options)
	}
	return got, errors.New("the store must be sqlite or postgres")
}
