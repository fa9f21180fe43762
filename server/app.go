package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/api"
	"witnessmark/server/live"
	"witnessmark/server/office"
	"witnessmark/server/photos"
	"witnessmark/server/store"
	"witnessmark/server/store/sql"
	"witnessmark/server/web"
	"witnessmark/sync/entry"
)

// databaseFile is the built-in database in the data folder.
const databaseFile = "witnessmark.db"

// Config says what a server is opened on. The zero values of DB, Origins, Workspace, Log and Now are useful.
type Config struct {
	Data       string   // folder for the database and the photos; made if missing, mode 0700
	DB         string   // "" = SQLite in Data; else a postgres:// URL
	Origins    []string // exact origins browsers may come from; none = the host that the request names
	TrustProxy bool     // believe X-Forwarded-For and X-Forwarded-Proto of the proxy in front
	Workspace  string   // "" = "workshop"
	Log        *slog.Logger
	Now        func() time.Time
	// CertificateEnds says when the certificate in use ends, the zero time for none; nil: something else speaks HTTPS.
	CertificateEnds func() time.Time
}

// App is a server without its listener. Everything main does goes through it, so that tests can do it on port 0.
type App struct {
	cfg       Config
	store     store.Store
	server    store.Server
	workspace store.Workspace
	access    *access.Access
	office    *office.Office
	hub       *live.Hub
	handler   http.Handler
}

// openApp opens the store in cfg.Data (or cfg.DB), runs its migrations, starts the office and returns the server.
// The caller closes it. Two processes may be open on one store.
func openApp(ctx context.Context, cfg Config) (*App, error) {
	app, err := openAccess(ctx, cfg)
	if err != nil {
		return nil, err
	}
	if err := app.start(ctx); err != nil {
		return nil, closing(app.store, err)
	}
	return app, nil
}

// openAccess opens only what drawing codes and links needs, also beside a running server: no office, no sockets.
func openAccess(ctx context.Context, cfg Config) (*App, error) {
	cfg = cfg.filled()
	if err := os.MkdirAll(cfg.Data, 0o700); err != nil {
		return nil, fmt.Errorf("open data folder: %w", err)
	}
	st, err := openStore(ctx, cfg)
	if err != nil {
		return nil, err
	}
	app := &App{cfg: cfg, store: st}
	if app.server, err = st.Server(ctx); err != nil {
		return nil, closing(st, err)
	}
	if app.workspace, err = st.Workspace(ctx, cfg.Workspace, store.WorkspaceID(access.NewID()), cfg.Now()); err != nil {
		return nil, closing(st, err)
	}
	app.access = access.New(st, app.server, cfg.Now)
	return app, nil
}

func (c Config) filled() Config {
	if c.Log == nil {
		c.Log = slog.New(slog.NewTextHandler(io.Discard, nil))
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Workspace == "" {
		c.Workspace = "workshop"
	}
	if c.Data == "" {
		c.Data = "data"
	}
	return c
}

// database is the file of the built-in database.
func (c Config) database() string { return filepath.Join(c.filled().Data, databaseFile) }

// there says whether a workshop is there already. Only serve, demo and restore begin one: in a folder named wrongly any other
// verb would make an empty workshop beside the real one, and a code drawn there pairs no phone.
func (c Config) there() error {
	if _, err := os.Stat(c.database()); c.DB == "" && errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("there is no workshop in %s: name the folder that the server uses with -data (that of make demo is data-demo); if the server never ran, start it first",
			c.filled().Data)
	}
	return nil
}

func openStore(ctx context.Context, cfg Config) (store.Store, error) {
	if cfg.DB != "" {
		return sql.OpenPostgres(ctx, cfg.DB)
	}
	return sql.OpenSQLite(ctx, cfg.database())
}

// start wires what answers requests.
func (a *App) start(ctx context.Context) error {
	cfg := a.cfg
	a.hub = live.NewHub(live.Config{Now: cfg.Now, Log: cfg.Log})
	a.office = office.New(office.Config{Store: a.store, Now: cfg.Now, Log: cfg.Log, Quiet: 20 * time.Millisecond})
	a.handler = api.New(api.Config{
		Store: a.store, Server: a.server, Access: a.access, Hub: a.hub, Office: a.office,
		Photos: photos.New(a.store, photos.NewFolder(filepath.Join(cfg.Data, "photos")), cfg.Now),
		Book:   volunteersPage{}, App: web.Files(),
		Origins: cfg.Origins, TrustProxy: cfg.TrustProxy, Now: cfg.Now, Log: cfg.Log,
		CertificateEnds: cfg.CertificateEnds,
	})
	if err := a.store.Listen(ctx, a.hub.Note); err != nil {
		return fmt.Errorf("listen for notes: %w", err)
	}
	a.office.Start()
	return nil
}

// closing closes a store after err, which may be nil.
func closing(st store.Store, err error) error { return errors.Join(err, st.Close()) }

// Handler answers every request of the server.
func (a *App) Handler() http.Handler { return a.handler }

// Store is the open store.
func (a *App) Store() store.Store { return a.store }

// Workspace is the workspace that Pair and Link work in.
func (a *App) Workspace() store.WorkspaceID { return a.workspace.ID }

// Pair draws a pairing code for a role: eight letters, good once, for ten minutes.
func (a *App) Pair(ctx context.Context, role store.Role) (string, error) {
	return a.access.DrawCode(ctx, a.workspace.ID, role, "")
}

// Link makes a view link for a job of the workspace and returns its path with the secret: /v/<id>#<secret>. People says
// whether names of people are shown. Errors: store.ErrNotFound if nobody has handed in anything for the job.
func (a *App) Link(ctx context.Context, job entry.JobID, name string, people bool) (string, error) {
	l, secret, err := a.access.DrawLink(ctx, access.NewLink{
		Workspace: a.workspace.ID, Job: job, Name: name, People: people,
	})
	if err != nil {
		return "", err
	}
	return "/v/" + string(l.ID) + "#" + secret, nil
}

// Settle returns when the office has worked through everything handed in before the call.
func (a *App) Settle(ctx context.Context) error { return a.office.Settle(ctx) }

// Close ends the sockets and the office and closes the store.
func (a *App) Close() error {
	if a.hub != nil { // openAccess has neither
		a.hub.Close()
		a.office.Stop()
	}
	return a.store.Close()
}
