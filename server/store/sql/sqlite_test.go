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
		{"the server stops meanwhile", ctx, func() error { cancel(); return nil }, false},
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
