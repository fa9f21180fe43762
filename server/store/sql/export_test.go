package sql

import (
	"context"
	"fmt"
)

// Pragma reads a setting of the writing handle.
func (d *DB) Pragma(ctx context.Context, name string) (string, error) {
	return d.Setting(ctx, "PRAGMA "+name)
}

// Setting asks the writing handle for one value.
func (d *DB) Setting(ctx context.Context, query string) (string, error) {
	var value string
	return value, d.in(ctx, "test", func(tx txn) error { return tx.GetContext(ctx, &value, query) })
}

// Loosely runs fn as results are saved, with a reader of settings inside the transaction.
func (d *DB) Loosely(ctx context.Context, fn func(setting func(query string) string) error) error {
	return d.inDerived(ctx, "test", func(tx txn) error {
		return fn(func(query string) string {
			var value string
			if err := tx.GetContext(ctx, &value, query); err != nil {
				return err.Error()
			}
			return value
		})
	})
}

// Writing runs fn in one transaction with what executes a statement in it. A panic comes back as an error.
func (d *DB) Writing(ctx context.Context, fn func(exec func(statement string) error) error) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("panic: %v", fault)
		}
	}()
	return d.in(ctx, "test", func(tx txn) error {
		return fn(func(statement string) error {
			_, err := tx.ExecContext(ctx, statement)
			return err
		})
	})
}

// PretendNewer marks the data as the next version's.
func (d *DB) PretendNewer(ctx context.Context) error {
	return d.Exec(ctx, "INSERT INTO migrations (n, at) SELECT MAX(n) + 1, 0 FROM migrations")
}

// Exec runs any statement.
func (d *DB) Exec(ctx context.Context, statement string) error {
	return d.in(ctx, "test", func(tx txn) error {
		_, err := tx.ExecContext(ctx, statement)
		return err
	})
}
