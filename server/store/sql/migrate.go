package sql

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"
	"time"

	"witnessmark/schema"
	"witnessmark/server/store"
)

// migrationLock is an arbitrary number that every process takes before it migrates, so that two do not at once.
const migrationLock = 7_219_004_411

// prepare migrates and writes the settings of a new store.
func (d *DB) prepare(ctx context.Context, folder string) error {
	if err := d.migrate(ctx, folder); err != nil {
		return err
	}
	return d.in(ctx, "prepare store", func(tx txn) error {
		for _, name := range []string{"server", "epoch", "key"} {
			if err := settle(ctx, tx, name); err != nil {
				return err
			}
		}
		return nil
	})
}

// settle writes a random setting unless it has been written.
func settle(ctx context.Context, tx txn, name string) error {
	value, err := randomHex(16)
	if name == "key" {
		value, err = randomHex(32)
	}
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, tx.Rebind("INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO NOTHING"), name, value)
	return err
}

func randomHex(n int) (string, error) {
	b := make([]byte, n)
	if _, err := rand.Read(b); err != nil {
		return "", fmt.Errorf("draw random bytes: %w", err)
	}
	return hex.EncodeToString(b), nil
}

// migrate runs, in one transaction, the migrations that the database has not had.
func (d *DB) migrate(ctx context.Context, folder string) error {
	steps, err := migrations(folder)
	if err != nil {
		return err
	}
	return d.in(ctx, "migrate", func(tx txn) error {
		had, err := lockMigrations(ctx, tx, folder)
		if err != nil {
			return err
		}
		if had > len(steps) {
			return fmt.Errorf("the data is from a newer version (step %d, this one knows %d): run the newer program", had, len(steps))
		}
		for n := had; n < len(steps); n++ {
			if _, err := tx.ExecContext(ctx, steps[n]); err != nil {
				return fmt.Errorf("step %d: %w", n+1, err)
			}
			if _, err := tx.ExecContext(ctx, tx.Rebind("INSERT INTO migrations (n, at) VALUES (?, ?)"), n+1, ms(time.Now())); err != nil {
				return err
			}
		}
		return nil
	})
}

func lockMigrations(ctx context.Context, tx txn, folder string) (had int, err error) {
	if folder == "postgres" {
		if _, err := tx.ExecContext(ctx, "SELECT pg_advisory_xact_lock($1)", int64(migrationLock)); err != nil {
			return 0, err
		}
	}
	if _, err := tx.ExecContext(ctx, "CREATE TABLE IF NOT EXISTS migrations (n BIGINT PRIMARY KEY, at BIGINT NOT NULL)"); err != nil {
		return 0, err
	}
	err = tx.GetContext(ctx, &had, "SELECT COALESCE(MAX(n), 0) FROM migrations")
	return had, err
}

// migrations returns the steps in order. Their numbers must be 1, 2, 3 … without a gap.
func migrations(folder string) ([]string, error) {
	dir := path.Join("migrations", folder)
	files, err := fs.ReadDir(schema.Migrations, dir)
	if err != nil {
		return nil, fmt.Errorf("read migrations: %w", err)
	}
	var steps []string
	for i, f := range files {
		number, _, _ := strings.Cut(f.Name(), "_")
		if n, err := strconv.Atoi(number); err != nil || n != i+1 {
			return nil, fmt.Errorf("bug: migration %s/%s is not number %d", folder, f.Name(), i+1)
		}
		text, err := fs.ReadFile(schema.Migrations, path.Join(dir, f.Name()))
		if err != nil {
			return nil, fmt.Errorf("read migration: %w", err)
		}
		steps = append(steps, string(text))
	}
	return steps, nil
}

// Server returns what the processes share.
func (d *DB) Server(ctx context.Context) (store.Server, error) {
	rows := []struct {
		Name  string `db:"name"`
		Value string `db:"value"`
	}{}
	if err := d.read.SelectContext(ctx, &rows, "SELECT name, value FROM settings"); err != nil {
		return store.Server{}, fmt.Errorf("read settings: %w", err)
	}
	var s store.Server
	for _, r := range rows {
		switch r.Name {
		case "server":
			s.ID = r.Value
		case "epoch":
			s.Epoch = r.Value
		case "key":
			key, err := hex.DecodeString(r.Value)
			if err != nil {
				return store.Server{}, fmt.Errorf("read settings: key: %w", err)
			}
			s.Key = key
		}
	}
	return s, nil
}

// NewEpoch makes every cursor unknown.
func (d *DB) NewEpoch(ctx context.Context, line store.Line) error {
	return d.in(ctx, "new epoch", func(tx txn) error {
		value, err := randomHex(16)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, tx.Rebind("UPDATE settings SET value = ? WHERE name = 'epoch'"), value); err != nil {
			return err
		}
		return writeLine(ctx, tx, line)
	})
}

// Workspace finds or makes a workspace by name.
func (d *DB) Workspace(ctx context.Context, name string, id store.WorkspaceID, at time.Time) (store.Workspace, error) {
	ws := store.Workspace{Name: name}
	err := d.in(ctx, "workspace", func(tx txn) error {
		const add = "INSERT INTO workspaces (id, name, created) VALUES (?, ?, ?) ON CONFLICT (name) DO NOTHING"
		if _, err := tx.ExecContext(ctx, tx.Rebind(add), id, name, ms(at)); err != nil {
			return err
		}
		return tx.GetContext(ctx, &ws.ID, tx.Rebind("SELECT id FROM workspaces WHERE name = ?"), name)
	})
	return ws, err
}
