package sql_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/server/store/sql"
	"witnessmark/server/store/storetest"
)

func openSQLite(t *testing.T, file string) *sql.DB {
	t.Helper()
	db, err := sql.OpenSQLite(t.Context(), file)
	if err != nil {
		t.Fatalf("OpenSQLite: %v", err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	})
	return db
}

func TestSQLite(t *testing.T) {
	storetest.Run(t, func(t *testing.T) store.Store { return openSQLite(t, filepath.Join(t.TempDir(), "x.db")) })
}

// TestSQLite/SecondProcess: a code drawn by the command line beside a running server is seen by it, and the file is private.
func TestSQLiteSecondProcess(t *testing.T) {
	file := filepath.Join(t.TempDir(), "x.db")
	one, two := openSQLite(t, file), openSQLite(t, file)
	at := time.Date(2031, 4, 12, 12, 0, 0, 0, time.UTC)
	ws, err := one.Workspace(t.Context(), "w", "id1", at)
	if err != nil {
		t.Fatal(err)
	}
	again, err := two.Workspace(t.Context(), "w", "id2", at)
	if err != nil || again.ID != ws.ID {
		t.Fatalf("Workspace = %v, %v, want %v", again.ID, err, ws.ID)
	}
	info, err := os.Stat(file)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode = %v, %v, want 0600", info.Mode(), err)
	}
}

// TestSQLiteSettings is T58: what the promise "on disk" rests on.
func TestSQLiteSettings(t *testing.T) {
	db := openSQLite(t, filepath.Join(t.TempDir(), "x.db"))
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "10000"} {
		got, err := db.Pragma(t.Context(), pragma)
		if err != nil || got != want {
			t.Errorf("%s = %q, %v, want %q", pragma, got, err, want)
		}
	}
}

// TestStrictAgain: saving results does not wait for the disk, and however it ends, whatever is written next does.
func TestStrictAgain(t *testing.T) {
	db := openSQLite(t, filepath.Join(t.TempDir(), "x.db"))
	ctx, cancel := context.WithCancel(t.Context())
	for _, tt := range []struct {
		name string
		ctx  context.Context
		end  func() error
		good bool
	}{
		{"it is saved", t.Context(), func() error { return nil }, true},
		{"it fails", t.Context(), func() error { return errors.New("no") }, false},
		{"the server stops meanwhile: what has begun is gone through with", ctx, func() error { cancel(); return nil }, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := db.Loosely(tt.ctx, func(setting func(string) string) error {
				if got := setting("PRAGMA synchronous"); got != "1" {
					t.Errorf("synchronous meanwhile = %q, want 1", got)
				}
				return tt.end()
			})
			if (err == nil) != tt.good {
				t.Errorf("error = %v, want one: %v", err, !tt.good)
			}
			if got, err := db.Pragma(t.Context(), "synchronous"); err != nil || got != "2" {
				t.Errorf("synchronous afterwards = %q, %v, want 2", got, err)
			}
		})
	}
}

// TestTurn: writers come one after the other, and whatever becomes of one, nothing of it stands and the next can write.
func TestTurn(t *testing.T) {
	db := openSQLite(t, filepath.Join(t.TempDir(), "x.db"))
	ctx := t.Context()
	write := func(ctx context.Context, name string) error {
		return db.Exec(ctx, "INSERT INTO settings (name, value) VALUES ('"+name+"', '')")
	}
	for _, tt := range []struct {
		name string
		end  func(exec func(string) error) error
	}{
		{"it fails", func(func(string) error) error { return errors.New("no") }},
		{"a statement fails", func(exec func(string) error) error { return exec("INSERT INTO nowhere VALUES (1)") }},
		{"SQLite itself has undone it", func(exec func(string) error) error {
			return exec("INSERT OR ROLLBACK INTO settings (name, value) VALUES ('server', '')")
		}},
		{"SQLite itself has undone it and nobody minds", func(exec func(string) error) error {
			_ = exec("INSERT OR ROLLBACK INTO settings (name, value) VALUES ('server', '')")
			return nil
		}},
		{"it panics", func(func(string) error) error { panic("a fault") }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if err := db.Writing(ctx, func(exec func(string) error) error {
				if err := exec("INSERT INTO settings (name, value) VALUES ('half', '')"); err != nil {
					t.Fatal(err)
				}
				return tt.end(exec)
			}); err == nil {
				t.Error("no error")
			}
			if err := write(ctx, tt.name); err != nil {
				t.Errorf("the next writer: %v", err)
			}
			if got, err := db.Setting(ctx, "SELECT COUNT(*) FROM settings WHERE name = 'half'"); err != nil || got != "0" {
				t.Errorf("rows of it = %q, %v, want none", got, err)
			}
			for pragma, want := range map[string]string{"synchronous": "2", "foreign_keys": "1"} {
				if got, err := db.Pragma(ctx, pragma); err != nil || got != want {
					t.Errorf("%s afterwards = %q, %v, want %q", pragma, got, err, want)
				}
			}
		})
	}
	t.Run("who has gone away already writes nothing", func(t *testing.T) {
		gone, cancel := context.WithCancel(ctx)
		cancel()
		for range 50 {
			if err := write(gone, "gone"); !errors.Is(err, context.Canceled) {
				t.Fatalf("got %v, want that it was cancelled", err)
			}
		}
	})
	t.Run("who waits may go away", func(t *testing.T) {
		away, cancel := context.WithCancel(ctx)
		if err := db.Writing(ctx, func(func(string) error) error {
			cancel()
			if err := write(away, "late"); !errors.Is(err, context.Canceled) {
				t.Errorf("who waited got %v, want that it was cancelled", err)
			}
			return nil
		}); err != nil {
			t.Fatal(err)
		}
		if err := write(ctx, "late"); err != nil {
			t.Errorf("the next writer: %v", err)
		}
	})
}

// TestNewerData: an older program says so and touches nothing (T44).
func TestNewerData(t *testing.T) {
	file := filepath.Join(t.TempDir(), "x.db")
	db := openSQLite(t, file)
	if err := db.PretendNewer(t.Context()); err != nil {
		t.Fatal(err)
	}
	_, err := sql.OpenSQLite(context.Background(), file)
	if err == nil || !strings.Contains(err.Error(), "newer version") {
		t.Errorf("OpenSQLite of newer data = %v, want a word about a newer version", err)
	}
}

// TestAuditAppendOnly: no statement changes or removes a line (T57).
func TestAuditAppendOnly(t *testing.T) {
	checkAppendOnly(t, openSQLite(t, filepath.Join(t.TempDir(), "x.db")))
}

func checkAppendOnly(t *testing.T, db *sql.DB) {
	t.Helper()
	if err := db.Audit(t.Context(), store.Line{Workspace: "w", Action: "pair"}); err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{"UPDATE audit SET action = 'x'", "DELETE FROM audit"} {
		if err := db.Exec(t.Context(), statement); err == nil || !strings.Contains(err.Error(), "append-only") {
			t.Errorf("%s = %v, want it refused as append-only", statement, err)
		}
	}
}
