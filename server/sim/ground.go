package sim

import (
	"context"
	stdsql "database/sql"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"witnessmark/server/store"
)

// Open opens a store by file or URL: only the program joins this package with package sql.
type Open func(ctx context.Context, where string) (store.Store, error)

// files is a SQLite database in a folder of its own, with the settings that a real one has.
type files struct {
	dir  string
	open Open
}

// SQLite puts each history's database into a folder under dir.
func SQLite(dir string, open Open) func(ctx context.Context, name string) (Ground, error) {
	return func(_ context.Context, name string) (Ground, error) {
		own, err := os.MkdirTemp(dir, "seed-"+name+"-")
		return files{dir: own, open: open}, err
	}
}

func (f files) Open(ctx context.Context) (store.Store, error) { return f.open(ctx, f.now()) }

func (f files) now() string { return filepath.Join(f.dir, "now.db") }

// parts are what a kill leaves: the database and the log of what is not in it yet. The index of the log is made anew.
var parts = []string{"", "-wal"}

func (f files) Copy(_ context.Context, name string) error {
	return copyParts(f.now(), filepath.Join(f.dir, name))
}

func (f files) CopiesShut() bool { return false }

func (f files) PutBack(_ context.Context, name string) error {
	if err := os.Remove(f.now() + "-shm"); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return copyParts(filepath.Join(f.dir, name), f.now())
}

func (f files) Clear(context.Context) error { return os.RemoveAll(f.dir) }

func copyParts(from, to string) error {
	for _, part := range parts {
		err := copyFile(from+part, to+part)
		if errors.Is(err, os.ErrNotExist) {
			err = os.Remove(to + part)
			if errors.Is(err, os.ErrNotExist) {
				continue
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// cluster makes databases on a PostgreSQL server; each history has its own.
type cluster struct {
	url  *url.URL
	name string
	open Open
}

// Postgres makes each history's database with the rights that the URL gives. It must be allowed to create databases.
func Postgres(where string, open Open) func(ctx context.Context, name string) (Ground, error) {
	return func(ctx context.Context, name string) (Ground, error) {
		u, err := url.Parse(where)
		if err != nil {
			return nil, errors.New("the database URL cannot be read")
		}
		c := cluster{url: u, name: "witnessmark_sim_" + name, open: open}
		if err := c.Clear(ctx); err != nil {
			return nil, err
		}
		return c, c.admin(ctx, "CREATE DATABASE "+c.called("now"))
	}
}

func (c cluster) called(part string) string {
	return `"` + c.name + "_" + strings.ReplaceAll(part, " ", "_") + `"`
}

func (c cluster) Open(ctx context.Context) (store.Store, error) {
	u := *c.url
	u.Path = "/" + strings.Trim(c.called("now"), `"`)
	return c.open(ctx, u.String())
}

// CopiesShut: PostgreSQL copies only a database that nobody is connected to.
func (c cluster) CopiesShut() bool { return true }

func (c cluster) Copy(ctx context.Context, name string) error {
	return c.replace(ctx, c.called(name), c.called("now"))
}

func (c cluster) PutBack(ctx context.Context, name string) error {
	return c.replace(ctx, c.called("now"), c.called(name))
}

func (c cluster) replace(ctx context.Context, to, from string) error {
	return c.admin(ctx, "DROP DATABASE IF EXISTS "+to+" WITH (FORCE)", "CREATE DATABASE "+to+" TEMPLATE "+from)
}

func (c cluster) Clear(ctx context.Context) error {
	var drops []string
	for _, part := range []string{"now", backup, leftByKill, unsynced} {
		drops = append(drops, "DROP DATABASE IF EXISTS "+c.called(part)+" WITH (FORCE)")
	}
	return c.admin(ctx, drops...)
}

func (c cluster) admin(ctx context.Context, statements ...string) error {
	db, err := stdsql.Open("postgres", c.url.String())
	if err != nil {
		return errors.New("the database URL cannot be read")
	}
	for _, s := range statements {
		if _, err := db.ExecContext(ctx, s); err != nil {
			return errors.Join(fmt.Errorf("%s: %w", s, err), db.Close())
		}
	}
	return db.Close()
}
