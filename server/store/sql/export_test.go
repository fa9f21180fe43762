package sql

import "context"

// Pragma reads a setting of the writing handle.
func (d *DB) Pragma(ctx context.Context, name string) (string, error) {
	var value string
	err := d.write.GetContext(ctx, &value, "PRAGMA "+name)
	return value, err
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
