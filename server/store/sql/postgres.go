package sql

import (
	"context"
	stdsql "database/sql"
	"database/sql/driver"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"time"

	"github.com/jmoiron/sqlx"
	"github.com/lib/pq"

	"witnessmark/server/store"
)

const (
	channel = "witnessmark"
	// noRoom is PostgreSQL's SQLSTATE disk_full (appendix A of its manual).
	noRoom = "53100"
	// The same page's admin_shutdown, crash_shutdown and cannot_connect_now.
	ending, crashed, notYet = "57P01", "57P02", "57P03"
	// A listener that lost its connection tries again between these.
	listenAgainSoonest = 100 * time.Millisecond
	listenAgainLatest  = 10 * time.Second
	// connections is what one server process takes of the database's.
	connections = 16
)

type postgresFlavour struct{ dsn string }

// OpenPostgres connects to a postgres:// URL and brings the database up to date. Any number of processes may do so at the
// same time.
func OpenPostgres(ctx context.Context, dsn string) (*DB, error) {
	db, err := sqlx.Open("postgres", dsn)
	if err != nil {
		// The driver's text may quote the URL, password included.
		return nil, errors.New("open postgres: the database URL cannot be read")
	}
	db.SetMaxOpenConns(connections)
	db.SetMaxIdleConns(connections)
	f := postgresFlavour{dsn: dsn}
	both := newPool(db, f)
	d := &DB{write: postgresWriter{both}, read: both, flavour: f}
	if err := d.prepare(ctx, "postgres"); err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

func (postgresFlavour) lock() string { return " FOR UPDATE" }

// span: the database may be far away, or not answer.
func (postgresFlavour) span(ctx context.Context) context.Context { return ctx }

func (postgresFlavour) lookOptions() *stdsql.TxOptions {
	return &stdsql.TxOptions{Isolation: stdsql.LevelRepeatableRead, ReadOnly: true}
}

// postgresWriter writes through any connection of the pool that reads, and leaves the closing to it.
type postgresWriter struct{ pool *pool }

func (w postgresWriter) in(ctx context.Context, durable bool, fn func(tx txn) error) error {
	tx, err := w.pool.begin(ctx, nil)
	if err != nil {
		return err
	}
	if err := within(ctx, tx, durable, fn); err != nil {
		// The first error says what went wrong; a failed rollback of a broken connection adds nothing.
		_ = tx.Rollback()
		return err
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("commit: %w", err)
	}
	tx.ended(ctx)
	return nil
}

func within(ctx context.Context, tx txn, durable bool, fn func(tx txn) error) error {
	if !durable { // see "Asynchronous Commit" in its manual
		if _, err := tx.ExecContext(ctx, "SET LOCAL synchronous_commit TO off"); err != nil {
			return err
		}
	}
	return fn(tx)
}

func (postgresWriter) Close() error { return nil }

func (postgresFlavour) translate(err error) error {
	var e *pq.Error
	if errors.As(err, &e) && e.Code == noRoom {
		return fmt.Errorf("%w: %w", store.ErrFull, err)
	}
	if away(err) {
		return fmt.Errorf("%w: %w", store.ErrAway, err)
	}
	return err
}

// away says whether an error means that the database is not there, or went away: without room for its log PostgreSQL ends
// itself and starts anew.
func away(err error) bool {
	var e *pq.Error
	if errors.As(err, &e) {
		return e.Code == crashed || e.Code == ending || e.Code == notYet
	}
	var line *net.OpError
	return errors.As(err, &line) || errors.Is(err, driver.ErrBadConn) || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
}

func (postgresFlavour) publish(ctx context.Context, db *DB, n store.Note) error {
	text, err := json.Marshal(n)
	if err != nil {
		return err
	}
	_, err = db.read.ExecContext(ctx, "SELECT pg_notify($1, $2)", channel, string(text))
	return err
}

// subscribe listens on a connection of its own. After every reconnection notes may have been missed, so it says Lost.
func (f postgresFlavour) subscribe(ctx context.Context, db *DB) error {
	listener := pq.NewListener(f.dsn, listenAgainSoonest, listenAgainLatest, nil)
	if err := listener.Listen(channel); err != nil {
		return errors.Join(fmt.Errorf("listen: %w", err), listener.Close())
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for n := range listener.Notify {
			db.deliver(readNote(n))
		}
	}()
	db.mu.Lock()
	db.stop = append(db.stop, func() error {
		err := listener.Close()
		<-done
		return err
	})
	db.mu.Unlock()
	return nil
}

// readNote reads a notification; nil (the driver's word for "connected again") and text of another version mean that
// something may have been missed.
func readNote(n *pq.Notification) store.Note {
	if n == nil {
		return store.Note{Lost: true}
	}
	var note store.Note
	if err := json.Unmarshal([]byte(n.Extra), &note); err != nil {
		return store.Note{Lost: true}
	}
	return note
}
