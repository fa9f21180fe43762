package sql

import (
	"context"
	stdsql "database/sql"
	"database/sql/driver"
	"errors"
	"fmt"

	"github.com/jmoiron/sqlx"
)

// line is SQLite's one writing connection with its statements parsed. It passes from one transaction to the next: SQLite has
// one writer anyway, and waiting in Go is fairer than waiting in busy_timeout.
//
// It begins and ends a transaction by statement. database/sql would start a goroutine to watch each transaction's context, and
// the driver one for each statement's; to wake a processor for them takes longer than all the statements of one entry.
type line struct {
	db   *sqlx.DB
	turn chan struct{} // holds one token while nobody writes
	// Under the turn:
	conn *sqlx.Conn // nil: the next transaction opens one
	kept map[string]*sqlx.Stmt
}

func newLine(db *sqlx.DB) *line {
	l := &line{db: db, turn: make(chan struct{}, 1)}
	l.turn <- struct{}{}
	return l
}

// in waits for its turn as long as ctx lasts. What has begun is then gone through with.
func (l *line) in(ctx context.Context, durable bool, fn func(tx txn) error) error {
	return l.hold(ctx, func() error {
		ctx := context.WithoutCancel(ctx)
		if durable {
			return l.transact(ctx, fn)
		}
		// In WAL mode NORMAL leaves a commit to the next sync, whosesoever it is:
		// https://www.sqlite.org/pragma.html#pragma_synchronous. It cannot be set within a transaction.
		if _, err := l.conn.ExecContext(ctx, "PRAGMA synchronous = NORMAL"); err != nil {
			return broken{err}
		}
		err := l.transact(ctx, fn)
		if _, bad := l.conn.ExecContext(ctx, "PRAGMA synchronous = FULL"); bad != nil {
			return broken{bad}
		}
		return err
	})
}

// broken is an error after which the connection is not to be used again.
type broken struct{ error }

func (b broken) Unwrap() error { return b.error }

// hold runs fn while nobody else has the connection.
func (l *line) hold(ctx context.Context, fn func() error) error {
	select {
	case <-l.turn:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { l.turn <- struct{}{} }()
	if err := ctx.Err(); err != nil { // its turn came when it had gone already
		return err
	}
	if err := l.open(ctx); err != nil {
		return err
	}
	whole := false
	defer func() {
		if !whole { // a panic too
			l.drop()
		}
	}()
	err := fn()
	whole = !errors.As(err, &broken{})
	return err
}

func (l *line) open(ctx context.Context) error {
	if l.conn != nil {
		return nil
	}
	conn, err := l.db.Connx(ctx)
	if err == nil {
		l.conn, l.kept = conn, map[string]*sqlx.Stmt{}
	}
	return err
}

// drop closes the connection, which undoes what it has begun.
func (l *line) drop() {
	if l.conn == nil {
		return
	}
	for _, st := range l.kept {
		_ = st.Close() // else SQLite keeps the connection, and its lock, until they are closed
	}
	// database/sql keeps what is given back unless it calls itself bad.
	_ = l.conn.Raw(func(any) error { return driver.ErrBadConn })
	_ = l.conn.Close()
	l.conn, l.kept = nil, nil
}

func (l *line) transact(ctx context.Context, fn func(tx txn) error) error {
	if _, err := l.conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return broken{fmt.Errorf("begin: %w", err)}
	}
	err := fn(l)
	if err == nil {
		if _, err = l.conn.ExecContext(ctx, "COMMIT"); err == nil {
			return nil
		}
		err = fmt.Errorf("commit: %w", err)
	}
	if _, bad := l.conn.ExecContext(ctx, "ROLLBACK"); bad != nil {
		return broken{err} // SQLite may have rolled back by itself; the next connection knows where it stands
	}
	return err
}

func (l *line) Close() error {
	<-l.turn
	defer func() { l.turn <- struct{}{} }()
	l.drop()
	return l.db.Close()
}

// Rebind: SQLite takes the question marks as they are.
func (l *line) Rebind(query string) string { return query }

// stmt returns the parsed statement, parsing it now if need be, or nil for one that is not kept.
func (l *line) stmt(ctx context.Context, query string) (*sqlx.Stmt, error) {
	if st := l.kept[query]; st != nil || !keeps(query) || len(l.kept) >= mostKept {
		return st, nil
	}
	st, err := l.conn.PreparexContext(ctx, query)
	if err == nil {
		l.kept[query] = st
	}
	return st, err
}

// GetContext reads one row.
func (l *line) GetContext(ctx context.Context, dest any, query string, args ...any) error {
	ctx = context.WithoutCancel(ctx)
	st, err := l.stmt(ctx, query)
	if err != nil {
		return err
	}
	if st == nil {
		return l.conn.GetContext(ctx, dest, query, args...)
	}
	return st.GetContext(ctx, dest, args...)
}

// SelectContext reads rows.
func (l *line) SelectContext(ctx context.Context, dest any, query string, args ...any) error {
	ctx = context.WithoutCancel(ctx)
	st, err := l.stmt(ctx, query)
	if err != nil {
		return err
	}
	if st == nil {
		return l.conn.SelectContext(ctx, dest, query, args...)
	}
	return st.SelectContext(ctx, dest, args...)
}

// ExecContext writes.
func (l *line) ExecContext(ctx context.Context, query string, args ...any) (stdsql.Result, error) {
	ctx = context.WithoutCancel(ctx)
	st, err := l.stmt(ctx, query)
	if err != nil {
		return nil, err
	}
	if st == nil {
		return l.conn.ExecContext(ctx, query, args...)
	}
	return st.ExecContext(ctx, args...)
}
