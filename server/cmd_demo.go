package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"net"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"

	"witnessmark/server/demo"
	"witnessmark/server/store"
	files "witnessmark/testdata/demo"
)

// demoWants is what the verb was asked for.
type demoWants struct {
	load  string // folder to fill; "" = none
	check bool
	seed  uint64
	addr  string
	cfg   Config
}

// runDemo is the verb demo: serve the invented workshop, fill a folder with it, or check the exchange with it.
func runDemo(args []string, out, errOut io.Writer) int {
	var w demoWants
	fs := flag.NewFlagSet("demo", flag.ContinueOnError)
	fs.SetOutput(errOut)
	fs.StringVar(&w.cfg.Data, "data", "data-demo", "folder to serve the demo from; filled if it is empty")
	fs.StringVar(&w.addr, "addr", "127.0.0.1:8080", "address to listen on")
	fs.StringVar(&w.load, "load", "", "only fill this empty folder")
	fs.BoolVar(&w.check, "check", false, "only send the demo from three phones over a bad network and compare")
	fs.Uint64Var(&w.seed, "seed", 1, "seed of the check")
	verbose := fs.Bool("v", false, "log every request")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	if fs.NArg() > 0 {
		fmt.Fprintf(errOut, "demo: %q is nothing that it takes; witnessmark demo -h has its flags\n", fs.Arg(0))
		return 2
	}
	w.cfg.Log = logger(errOut, *verbose)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := w.do(ctx, out); err != nil {
		fmt.Fprintf(errOut, "witnessmark: %v\n", err)
		return 1
	}
	return 0
}

func (w demoWants) do(ctx context.Context, out io.Writer) error {
	story, err := demo.Load(files.Files)
	if err != nil {
		return fmt.Errorf("read the demo: %w", err)
	}
	switch {
	case w.check:
		return w.checkDemo(ctx, story, out)
	case w.load != "":
		return w.loadDemo(ctx, story, out)
	}
	return w.serveDemo(ctx, story, out)
}

// running is an app that answers on a listener.
type running struct {
	*App
	url   string
	stop  context.CancelFunc
	ended chan error
}

func startApp(ctx context.Context, cfg Config, addr string) (*running, error) {
	app, err := openApp(ctx, cfg)
	if err != nil {
		return nil, err
	}
	l, err := listen(cfg.filled(), listenOn{addr: addr})
	if err != nil {
		return nil, errors.Join(err, app.Close())
	}
	ctx, stop := context.WithCancel(ctx)
	r := &running{App: app, url: urlOf(l.Addr()), stop: stop, ended: make(chan error, 1)}
	go func() { r.ended <- serveApp(ctx, app, l) }()
	return r, nil
}

// urlOf is how a browser on this machine reaches a listener.
func urlOf(a net.Addr) string {
	host, port, err := net.SplitHostPort(a.String())
	if err != nil {
		return "http://" + a.String()
	}
	if ip := net.ParseIP(host); ip == nil || ip.IsUnspecified() {
		host = "127.0.0.1"
	}
	return "http://" + net.JoinHostPort(host, port)
}

// finish lets what is in hand end and closes the app.
func (r *running) finish() error {
	r.stop()
	return errors.Join(<-r.ended, r.Close())
}

func (r *running) pair(ctx context.Context, role string) (string, error) {
	return r.Pair(ctx, store.Role(role))
}

// fill sends the story through the exchange and waits for its results.
func (r *running) fill(ctx context.Context, story *demo.Story) error {
	if err := demo.Send(ctx, r.url, r.pair, story); err != nil {
		return fmt.Errorf("send the demo: %w", err)
	}
	return r.Settle(ctx)
}

// loadDemo fills an empty folder.
func (w demoWants) loadDemo(ctx context.Context, story *demo.Story, out io.Writer) (err error) {
	there, err := os.ReadDir(w.load)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("look into the folder: %w", err)
	}
	if len(there) > 0 {
		return fmt.Errorf("%s is not empty: the demo goes only into an empty folder, so that it never mixes with real readings", w.load)
	}
	cfg := w.cfg
	cfg.Data = w.load
	r, err := startApp(ctx, cfg, "127.0.0.1:0")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.finish()) }()
	if err := r.fill(ctx, story); err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%d entries of %d devices in %s\n", story.Len(), len(story.Logs), w.load)
	return err
}

// serveDemo fills the folder if it is empty, prints the links and serves until ctx ends.
func (w demoWants) serveDemo(ctx context.Context, story *demo.Story, out io.Writer) (err error) {
	r, err := startApp(ctx, w.cfg, w.addr)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.finish()) }()
	jobs, err := r.Store().Jobs(ctx, r.Workspace())
	if err != nil {
		return err
	}
	if len(jobs) == 0 {
		err = r.fill(ctx, story)
	} else if !slices.ContainsFunc(jobs, func(j store.Job) bool { return j.ID == story.Job }) {
		err = fmt.Errorf("%s holds other jobs: name an empty folder with -data", w.cfg.Data)
	}
	if err != nil {
		return err
	}
	if err := w.printLinks(ctx, r, story, out); err != nil {
		return err
	}
	select {
	case <-ctx.Done():
		return nil
	case err := <-r.ended:
		r.ended <- nil // finish waits for it
		return err
	}
}

func (w demoWants) printLinks(ctx context.Context, r *running, story *demo.Story, out io.Writer) error {
	var codes []string
	for _, role := range []store.Role{store.RoleLead, store.RoleFitter} {
		code, err := r.Pair(ctx, role)
		if err != nil {
			return err
		}
		codes = append(codes, code)
	}
	view, err := r.Link(ctx, story.Job, "Volunteers", false)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, `the invented workshop, %d entries of %d devices, in %s

  the lead       %s%s%s
  a phone        %s%s%s   (or the code %s %s)
  volunteers     %s%s

The first two are good once and for ten minutes; for another: witnessmark pair -data %s -role lead
Ctrl-C ends it.
`, story.Len(), len(story.Logs), w.cfg.Data, r.url, pairPath, codes[0], r.url, pairPath, codes[1], codes[1][:4], codes[1][4:], r.url, view, w.cfg.Data)
	return err
}

// pairPath is where the phone app takes a code from. Behind the hash, no server and no log sees it.
const pairPath = "/#pair="

// errCheck is the end of a check that found something; the line says what.
var errCheck = errors.New("the check failed")

func (w demoWants) checkDemo(ctx context.Context, story *demo.Story, out io.Writer) (err error) {
	data, err := os.MkdirTemp("", "witnessmark-check-")
	if err != nil {
		return fmt.Errorf("make a folder: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(data)) }()
	cfg := w.cfg
	cfg.Data = data
	r, err := startApp(ctx, cfg, "127.0.0.1:0")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.finish()) }()
	found, err := demo.Check(ctx, r.checked(story), story, w.seed)
	if err != nil {
		return fmt.Errorf("check with seed %d: %w", w.seed, err)
	}
	if _, err := fmt.Fprintln(out, found); err != nil {
		return err
	}
	if !found.Good() {
		return fmt.Errorf("%w with seed %d: %s", errCheck, w.seed, strings.Join(found.Digests, " "))
	}
	return nil
}

// checked gives the check a way to the server past the network.
func (r *running) checked(story *demo.Story) demo.Office {
	return demo.Office{
		URL: r.url, Pair: r.pair,
		Held: func(ctx context.Context) (int64, [][]byte, error) {
			job, err := r.Store().Job(ctx, r.Workspace(), story.Job)
			if err != nil {
				return 0, nil, err
			}
			page, err := r.Store().Page(ctx, store.PageQuery{
				Workspace: r.Workspace(), Job: story.Job, Limit: math.MaxInt, Bytes: math.MaxInt,
			})
			return job.Pos, page.Entries, err
		},
		Digest: func(ctx context.Context) (string, error) {
			if err := r.Settle(ctx); err != nil {
				return "", err
			}
			rec, err := r.office.Look(ctx, r.Workspace(), story.Job)
			if err != nil {
				return "", err
			}
			return rec.Digest, nil
		},
	}
}
