package sql

import "context"

// Pragma reads a setting of the writing handle.
func (d *DB) Pragma(ctx context.Context, name string) (string, error) {
	return d.Setting(ctx, "PRAGMA "+name)
}

// Setting asks the writing handle for one value.
func (d *DB) Setting(ctx context.Context, query string) (string, error) {
	var value string
	err := d.write.GetContext(ctx, &value, query)
	return value, err
}

// Loosely runs fn as results are saved, with a reader of settings inside the transaction.
func (d *DB) Loosely(ctx context.Context, fn func(setting func(query string) string) error) error {
	return d.inDerived(ctx, "test", func(tx *txn) error {
		return fn(func(query string) string {
			var value string
			if err := tx.GetContext(ctx, &value, query); err != nil {
				return err.Error()
			}
			return value
		})
	})
}

// PretendNewer marks the data as the next version's.
func (d *DB) PretendNewer(ctx context.Context) error {
	return d.Exec(ctx, "INSERT INTO migrations (n, at) SELECT MAX(n) + 1, 0 FROM migrations")
}

// Exec runs any statement.
func (d *DB) Exec(ctx context.Context, statement string) error {
	_, err := d.write.ExecContext(ctx, statement)
	return err
}
