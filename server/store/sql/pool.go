package sql

import (
	"context"
	stdsql "database/sql"
	"fmt"
	"strings"
	"sync"

	"github.com/jmoiron/sqlx"
)

// Parsing a statement costs more than running it on one row, so each is
// parsed once for a connection.
const mostKept = 300 // statements

// pool is a database whose statements are kept parsed.
type pool struct {
	*sqlx.DB
	flavour
	mu   sync.Mutex
	kept map[string]*sqlx.Stmt
}

func newPool(db *sqlx.DB, f flavour) *pool {
	return &pool{DB: db, flavour: f, kept: map[string]*sqlx.Stmt{}}
}

// stmt returns the parsed statement, or nil for one that is not kept.
func (p *pool) stmt(query string) *sqlx.Stmt {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.kept[query]
}

// keep parses a statement for the next time. It takes a connection, so the
// caller must hold none, nor the lock. A fault is left to the next use.
func (p *pool) keep(ctx context.Context, query string) *sqlx.Stmt {
	if !keeps(query) {
		return nil
	}
	st, err := p.DB.PreparexContext(ctx, query)
	if err != nil {
		return nil
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if old := p.kept[query]; old != nil || len(p.kept) >= mostKept {
		_ = st.Close() // somebody was faster, or there is no room
		return old
	}
	p.kept[query] = st
	return st
}

// ready returns the parsed statement, parsing it now if need be, or nil.
func (p *pool) ready(ctx context.Context, query string) *sqlx.Stmt {
	if st := p.stmt(query); st != nil {
		return st
	}
	return p.keep(ctx, query)
}

// keeps: statements that change tables, of migrations, run once.
func keeps(query string) bool {
	verb, _, _ := strings.Cut(query, " ")
	return verb == "SELECT" || verb == "INSERT" || verb == "UPDATE" || verb == "DELETE"
}

// GetContext reads one row, outside of a transaction.
func (p *pool) GetContext(ctx context.Context, dest any, query string, args ...any) error {
	ctx = p.span(ctx)
	if st := p.ready(ctx, query); st != nil {
		return p.translate(st.GetContext(ctx, dest, args...))
	}
	return p.translate(p.DB.GetContext(ctx, dest, query, args...))
}

// SelectContext reads rows, outside of a transaction.
func (p *pool) SelectContext(ctx context.Context, dest any, query string, args ...any) error {
	ctx = p.span(ctx)
	if st := p.ready(ctx, query); st != nil {
		return p.translate(st.SelectContext(ctx, dest, args...))
	}
	return p.translate(p.DB.SelectContext(ctx, dest, query, args...))
}

// pooled is a transaction of a pool. It holds a connection, perhaps the last one,
// so what it meets for the first time is parsed when it has ended.
type pooled struct {
	*sqlx.Tx
	pool *pool
	met  []string
}

func (p *pool) begin(ctx context.Context, opts *stdsql.TxOptions) (*pooled, error) {
	tx, err := p.DB.BeginTxx(ctx, opts)
	if err != nil {
		return nil, fmt.Errorf("begin: %w", err)
	}
	return &pooled{Tx: tx, pool: p}, nil
}

// ended keeps what the transaction met.
func (t *pooled) ended(ctx context.Context) {
	for _, query := range t.met {
		t.pool.keep(ctx, query)
	}
}

func (t *pooled) stmt(ctx context.Context, query string) *sqlx.Stmt {
	st := t.pool.stmt(query)
	if st == nil {
		t.met = append(t.met, query)
		return nil
	}
	return t.Tx.StmtxContext(ctx, st)
}

// GetContext reads one row.
func (t *pooled) GetContext(ctx context.Context, dest any, query string, args ...any) error {
	if st := t.stmt(ctx, query); st != nil {
		return st.GetContext(ctx, dest, args...)
	}
	return t.Tx.GetContext(ctx, dest, query, args...)
}

// SelectContext reads rows.
func (t *pooled) SelectContext(ctx context.Context, dest any, query string, args ...any) error {
	if st := t.stmt(ctx, query); st != nil {
		return st.SelectContext(ctx, dest, args...)
	}
	return t.Tx.SelectContext(ctx, dest, query, args...)
}

// ExecContext writes.
func (t *pooled) ExecContext(ctx context.Context, query string, args ...any) (stdsql.Result, error) {
	if st := t.stmt(ctx, query); st != nil {
		return st.ExecContext(ctx, args...)
	}
	return t.Tx.ExecContext(ctx, query, args...)
}
