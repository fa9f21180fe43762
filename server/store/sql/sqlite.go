package sql

import (
	"context"
	stdsql "database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"

	"github.com/jmoiron/sqlx"
	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"

	"witnessmark/server/store"
)

// readers is how many connections read beside the one that writes. WAL lets them go on while it does.
const readers = 4

type sqliteFlavour struct{}

// OpenSQLite opens or creates the database file and brings it up to date. Another process may have it open too: a writer
// waits up to ten seconds for the other's transaction. The file is readable by its owner only.
func OpenSQLite(ctx context.Context, file string) (*DB, error) {
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return nil, fmt.Errorf("open sqlite: %w", err)
	}
	if err := private(file); err != nil {
		return nil, fmt.Errorf("open sqlite: %w", err)
	}
	write, err := sqlx.Open("sqlite", sqliteDSN(file, ""))
	if err != nil {
		return nil, fmt.Errorf("open sqlite: %w", err)
	}
	read, err := sqlx.Open("sqlite", sqliteDSN(file, "&_pragma=query_only(1)"))
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open sqlite: %w", err), write.Close())
	}
	read.SetMaxOpenConns(readers)
	read.SetMaxIdleConns(readers) // a new one has every statement to parse
	f := sqliteFlavour{}
	d := &DB{write: newLine(write), read: newPool(read, f), flavour: f}
	if err := d.prepare(ctx, "sqlite"); err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

// private creates the file before SQLite does, because SQLite would let the group and others read it. SQLite gives its
// -wal and -shm files the same mode.
func private(file string) error {
	f, err := os.OpenFile(file, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

func sqliteDSN(file, extra string) string {
	return "file:" + (&url.URL{Path: file}).EscapedPath() + "?_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)" +
		"&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)" + extra
}

// lock: BEGIN IMMEDIATE already holds the whole database.
func (sqliteFlavour) lock() string { return "" }

// span: for every statement whose context can end the driver starts a goroutine to watch it, which costs more than a
// statement on one row. What runs here ends soon by itself.
func (sqliteFlavour) span(ctx context.Context) context.Context { return context.WithoutCancel(ctx) }

// lookOptions: a SQLite transaction sees one state anyway.
func (sqliteFlavour) lookOptions() *stdsql.TxOptions { return nil }

// translate: a disk without room is SQLITE_FULL; a quota or a limit on the size of files is a write that failed.
func (sqliteFlavour) translate(err error) error {
	var e *sqlite.Error
	if errors.As(err, &e) && (e.Code()&0xff == lib.SQLITE_FULL || e.Code() == lib.SQLITE_IOERR_WRITE) {
		return fmt.Errorf("%w: %w", store.ErrFull, err)
	}
	return err
}

// publish: one process serves a SQLite file; a command line beside it only draws codes and links.
func (sqliteFlavour) publish(_ context.Context, db *DB, n store.Note) error {
	db.deliver(n)
	return nil
}

func (sqliteFlavour) subscribe(context.Context, *DB) error { return nil }
