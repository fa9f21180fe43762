package main

import (
	"context"
	"crypto/tls"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"
	"time"
)

// The server's patience. Reading a body has the longest: a phone at the edge of the signal sends 1 MiB slowly.
const (
	headerWithin   = 10 * time.Second
	readWithin     = 2 * time.Minute
	writeWithin    = 5 * time.Minute
	idleWithin     = 2 * time.Minute
	shutdownWithin = 10 * time.Second
	maxHeaderBytes = 32 << 10
)

// list is a flag that may be given more than once.
type list []string

func (l *list) String() string     { return strings.Join(*l, " ") }
func (l *list) Set(s string) error { *l = append(*l, s); return nil }

// shared are the flags of every verb that opens a store.
func shared(fs *flag.FlagSet, cfg *Config) {
	fs.StringVar(&cfg.Data, "data", "data", "folder for the database and the photos")
	fs.StringVar(&cfg.DB, "db", "", "postgres:// URL instead of the built-in database")
	fs.StringVar(&cfg.Workspace, "workspace", "workshop", "the group whose data it is")
}

func runServe(args []string, out, errOut io.Writer) int {
	cfg := Config{}
	fs := flag.NewFlagSet("serve", flag.ContinueOnError)
	fs.SetOutput(errOut)
	shared(fs, &cfg)
	addr := fs.String("addr", "127.0.0.1:8080", "address to listen on")
	cert := fs.String("cert", "", "certificate file (PEM); read again when it changes")
	key := fs.String("key", "", "key file of the certificate")
	own := fs.Bool("tls", false, "HTTPS with the workshop's own certificate, which witnessmark tls has made")
	help := fs.String("help-addr", "", "with -tls: where a plain page gives phones the certificate and the steps, such as 0.0.0.0:80")
	verbose := fs.Bool("v", false, "log every request")
	var origins list
	fs.Var(&origins, "origin", "exact origin that browsers come from, https://name; may be repeated")
	fs.BoolVar(&cfg.TrustProxy, "proxy", false, "believe X-Forwarded-For and -Proto of the proxy in front")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	collectSeldom()
	cfg.Origins, cfg.Log = origins, logger(errOut, *verbose)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := serve(ctx, cfg, listenOn{addr: *addr, cert: *cert, key: *key, own: *own, help: *help}, out); err != nil {
		fmt.Fprintf(errOut, "witnessmark: %v\n", err)
		return 1
	}
	return 0
}

// collectSeldom lets garbage grow to three times what is in use before it is collected: a small office has the memory, and a
// phone that hands in a whole day was held up for a seventh of the time. GOGC, where it is set, counts instead.
func collectSeldom() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(300)
	}
}

func logger(w io.Writer, verbose bool) *slog.Logger {
	level := slog.LevelInfo
	if verbose {
		level = slog.LevelDebug
	}
	return slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{Level: level}))
}

// listenOn says where a server listens. cert and key are files, own is the workshop's own authority; with neither it speaks
// plain HTTP. help is the address of the page for phones, "" for none.
type listenOn struct {
	addr, cert, key string
	own             bool
	help            string
}

// serve runs a server until ctx ends, then lets the requests in hand finish.
func serve(ctx context.Context, cfg Config, on listenOn, out io.Writer) error {
	cfg = cfg.filled()
	l, err := listen(cfg, on)
	if err != nil {
		return err
	}
	if l.authority != nil && len(cfg.Origins) == 0 {
		cfg.Origins = []string{originOf(l.authority.Name, portOf(l.Listener))} // a name, never an address
	}
	cfg.CertificateEnds = l.ends
	app, err := openApp(ctx, cfg)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	fmt.Fprintf(out, "listening on %s\n", l.Addr())
	l.warnDaily(ctx, cfg)
	if l.help != nil {
		fmt.Fprintf(out, "help for phones on %s\n", l.help.Addr())
		stop := helpPhones(l)
		defer stop()
	}
	return errors.Join(serveApp(ctx, app, l), app.Close())
}

// serveApp answers on l until ctx ends. It closes l, not the app.
func serveApp(ctx context.Context, app *App, l net.Listener) error {
	server := &http.Server{
		Handler: app.Handler(), ReadHeaderTimeout: headerWithin, ReadTimeout: readWithin, WriteTimeout: writeWithin,
		IdleTimeout: idleWithin, MaxHeaderBytes: maxHeaderBytes, ErrorLog: slog.NewLogLogger(app.cfg.Log.Handler(), slog.LevelDebug),
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownWithin)
	defer cancel()
	if err := server.Shutdown(last); err != nil {
		return fmt.Errorf("shut down: %w", err)
	}
	return nil
}

// runHealth asks a running server, for a container's health check.
func runHealth(args []string, out, errOut io.Writer) int {
	fs := flag.NewFlagSet("health", flag.ContinueOnError)
	fs.SetOutput(errOut)
	addr := fs.String("addr", "127.0.0.1:8080", "address of the server")
	https := fs.Bool("tls", false, "the server speaks HTTPS; whose certificate it is, is not asked")
	if err := fs.Parse(args); err != nil {
		return 2
	}
	client, scheme := http.Client{Timeout: 3 * time.Second}, "http"
	if *https {
		scheme = "https"
		client.Transport = &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}} // it sends nothing and reads a status
	}
	reply, err := client.Get(scheme + "://" + *addr + "/healthz")
	if err != nil {
		fmt.Fprintf(errOut, "witnessmark: %v\n", err)
		return 1
	}
	if err := reply.Body.Close(); err != nil || reply.StatusCode != http.StatusOK {
		fmt.Fprintf(errOut, "witnessmark: the server answers %s\n", reply.Status)
		return 1
	}
	fmt.Fprintln(out, "well")
	return 0
}
