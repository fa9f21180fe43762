package sql

import (
	"context"
	"fmt"
	"time"

	"witnessmark/server/store"
)

// maxVersion is the longest name of a version that is kept, in bytes.
const maxVersion = 64

// noteState keeps how a phone stands. It is written in the transaction of the exchange that told it.
func noteState(ctx context.Context, tx txn, id store.DeviceID, s store.PhoneState) error {
	const put = `INSERT INTO phones (device, seen, app, core, unsent, photos, offset_ms) VALUES (?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (device) DO UPDATE SET seen = excluded.seen, app = excluded.app, core = excluded.core,
		unsent = excluded.unsent, photos = excluded.photos, offset_ms = excluded.offset_ms`
	_, err := tx.ExecContext(ctx, tx.Rebind(put), id, ms(s.Seen), short(s.App), short(s.Core), s.Unsent, s.Photos, s.Offset.Milliseconds())
	return err
}

func short(version string) string {
	version = plain(version)
	if len(version) > maxVersion {
		version = version[:maxVersion]
	}
	return version
}

// NoteState keeps how a phone stands that hands nothing in.
func (d *DB) NoteState(ctx context.Context, id store.DeviceID, s store.PhoneState) error {
	return d.in(ctx, "note a phone's state", func(tx txn) error { return noteState(ctx, tx, id, s) })
}

// PhoneStates lists what a workspace's phones last said of themselves.
func (d *DB) PhoneStates(ctx context.Context, ws store.WorkspaceID) (map[store.DeviceID]store.PhoneState, error) {
	var rows []struct {
		Device store.DeviceID `db:"device"`
		Seen   int64          `db:"seen"`
		App    string         `db:"app"`
		Core   string         `db:"core"`
		Unsent int64          `db:"unsent"`
		Photos int64          `db:"photos"`
		Offset int64          `db:"offset_ms"`
	}
	const query = `SELECT p.device, p.seen, p.app, p.core, p.unsent, p.photos, p.offset_ms
		FROM phones p JOIN devices d ON d.id = p.device WHERE d.workspace = ?`
	if err := d.read.SelectContext(ctx, &rows, d.read.Rebind(query), ws); err != nil {
		return nil, fmt.Errorf("read how phones stand: %w", err)
	}
	states := make(map[store.DeviceID]store.PhoneState, len(rows))
	for _, r := range rows {
		states[r.Device] = store.PhoneState{
			Seen: timeOf(r.Seen), App: r.App, Core: r.Core, Unsent: r.Unsent, Photos: r.Photos,
			Offset: time.Duration(r.Offset) * time.Millisecond,
		}
	}
	return states, nil
}

// SetRole changes what a living phone may do.
func (d *DB) SetRole(ctx context.Context, ws store.WorkspaceID, id store.DeviceID, role store.Role, line store.Line) error {
	const query = "UPDATE devices SET role = ? WHERE workspace = ? AND id = ? AND revoked = 0"
	return d.one(ctx, "set a phone's role", line, query, role, ws, id)
}

// RenewSecret makes a living phone's secrets count as old, so that it is given a fresh one when it next asks for a token.
func (d *DB) RenewSecret(ctx context.Context, ws store.WorkspaceID, id store.DeviceID, line store.Line) error {
	const query = `UPDATE device_secrets SET created = 0 WHERE device IN
		(SELECT id FROM devices WHERE workspace = ? AND id = ? AND revoked = 0)`
	return d.one(ctx, "renew a phone's secret", line, query, ws, id)
}

// one runs a statement that must find something, with its audit line. Errors: ErrNotFound.
func (d *DB) one(ctx context.Context, doing string, line store.Line, query string, args ...any) error {
	return d.in(ctx, doing, func(tx txn) error {
		done, err := tx.ExecContext(ctx, tx.Rebind(query), args...)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return errorsOr(err, store.ErrNotFound)
		}
		return writeLine(ctx, tx, line)
	})
}

func errorsOr(err, other error) error {
	if err != nil {
		return err
	}
	return other
}
