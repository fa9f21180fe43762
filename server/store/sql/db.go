// Package sql keeps the store in SQLite (one binary, one folder) or PostgreSQL (several servers on one database). Both
// run the same statements; what differs is in sqlite.go and postgres.go.
//
// Promises: a call that returns nil has its writes on disk (SQLite: WAL with synchronous FULL; PostgreSQL: its default). Only
// what can be worked out again from the entries may be lost in a power cut, and never without what was written after it.
// Positions of a job are handed out under a lock that is held until the commit (SQLite: the one writing transaction;
// PostgreSQL: the job's row), so a reader who has seen position n has seen everything before it.
package sql

import (
	"context"
	stdsql "database/sql"
	"errors"
	"fmt"
	"net"
	"strings"
	"sync"
	"time"

	"witnessmark/server/store"
)

// DB is a store.Store over a database.
type DB struct {
	write writer
	read  *pool
	flavour

	mu     sync.Mutex
	closed bool
	listen []func(store.Note)
	stop   []func() error
}

var _ store.Store = (*DB)(nil)

// flavour is what the two databases do differently.
type flavour interface {
	// lock is the suffix of a SELECT that holds its row until the end of the transaction.
	lock() string
	// lookOptions are those of a reading transaction that sees one state throughout.
	lookOptions() *stdsql.TxOptions
	// span is how long a statement that reads may be waited for.
	span(ctx context.Context) context.Context
	// translate turns the driver's errors into the store's.
	translate(err error) error
	// publish passes a note to other processes, or says that there are none.
	publish(ctx context.Context, db *DB, n store.Note) error
	subscribe(ctx context.Context, db *DB) error
}

// txn is one transaction.
type txn interface {
	reader
	ExecContext(ctx context.Context, query string, args ...any) (stdsql.Result, error)
}

// writer is what writes to the database.
type writer interface {
	// in runs fn in one transaction. Nothing is written when fn or the commit returns an error. When it was not asked to be
	// durable, a power cut may undo it, though never without what was written after it.
	in(ctx context.Context, durable bool, fn func(tx txn) error) error
	Close() error
}

// in runs fn in one writing transaction. Nothing is written when fn or the commit returns an error.
func (d *DB) in(ctx context.Context, doing string, fn func(tx txn) error) error {
	return d.said(doing, d.write.in(ctx, true, fn))
}

// inDerived is in for what can be worked out again from the rest.
func (d *DB) inDerived(ctx context.Context, doing string, fn func(tx txn) error) error {
	return d.said(doing, d.write.in(ctx, false, fn))
}

// said says what an error came of.
func (d *DB) said(doing string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", doing, d.translate(err))
}

// Ping says whether the database answers.
func (d *DB) Ping(ctx context.Context) error {
	if err := d.read.PingContext(ctx); err != nil {
		return fmt.Errorf("ping database: %w", err)
	}
	return nil
}

// Close ends listening and closes the database. A second call does nothing.
func (d *DB) Close() error {
	d.mu.Lock()
	if d.closed {
		d.mu.Unlock()
		return nil
	}
	d.closed = true
	stop := d.stop
	d.mu.Unlock()
	var errs []error
	for _, f := range stop {
		errs = append(errs, f())
	}
	for _, err := range append(errs, d.read.Close(), d.write.Close()) {
		// A connection that the other side has ended cannot be told that it ends: that is no failure to close it.
		var cut *net.OpError
		if err != nil && !errors.As(err, &cut) {
			return err
		}
	}
	return nil
}

// deliver hands a note to the listeners of this process.
func (d *DB) deliver(n store.Note) {
	d.mu.Lock()
	fns := d.listen
	d.mu.Unlock()
	for _, fn := range fns {
		fn(n)
	}
}

// Listen calls fn for every note of every process until Close.
func (d *DB) Listen(ctx context.Context, fn func(store.Note)) error {
	d.mu.Lock()
	first := len(d.listen) == 0
	d.listen = append(d.listen[:len(d.listen):len(d.listen)], fn)
	d.mu.Unlock()
	if !first {
		return nil
	}
	return d.subscribe(ctx, d)
}

// Publish sends n to every listener on this store.
func (d *DB) Publish(ctx context.Context, n store.Note) error {
	if err := d.publish(ctx, d, n); err != nil {
		return fmt.Errorf("publish note: %w", d.translate(err))
	}
	return nil
}

func missing(err error) error {
	if errors.Is(err, stdsql.ErrNoRows) {
		return store.ErrNotFound
	}
	return err
}

// ms is a time as stored: milliseconds since 1970 UTC; the zero time is 0.
func ms(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

func timeOf(ms int64) time.Time {
	if ms == 0 {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}

func bit(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

// digestOf copies 32 bytes out of a row; a row of another length is a fault in the database, shown as the zero digest's
// mismatch rather than a panic.
func digestOf(b []byte) store.Digest {
	var d store.Digest
	copy(d[:], b)
	return d
}

// marks returns n groups of width question marks: (?,?),(?,?) for 2 of 2.
func marks(n, width int) string {
	group := "(" + strings.TrimSuffix(strings.Repeat("?,", width), ",") + ")"
	return strings.TrimSuffix(strings.Repeat(group+",", n), ",")
}
