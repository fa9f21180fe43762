package sql

import (
	"context"
	stdsql "database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"witnessmark/server/store"
)

// AddCode keeps a pairing code and forgets the long dead ones.
func (d *DB) AddCode(ctx context.Context, c store.Code, line store.Line) error {
	return d.in(ctx, "add code", func(tx txn) error {
		const tidy = "DELETE FROM codes WHERE expires < ?"
		if _, err := tx.ExecContext(ctx, tx.Rebind(tidy), ms(c.Created.Add(-24*time.Hour))); err != nil {
			return err
		}
		const add = "INSERT INTO codes (hash, workspace, role, created, expires) VALUES (?, ?, ?, ?, ?)"
		if _, err := tx.ExecContext(ctx, tx.Rebind(add), c.Hash, c.Workspace, c.Role, ms(c.Created), ms(c.Expires)); err != nil {
			return err
		}
		return writeLine(ctx, tx, line)
	})
}

type codeRow struct {
	Workspace store.WorkspaceID `db:"workspace"`
	Role      store.Role        `db:"role"`
	Expires   int64             `db:"expires"`
	Used      int64             `db:"used"`
	Wrong     int64             `db:"wrong"`
}

// refusal is an outcome whose writes (the counted try, the audit line) must be committed although the caller gets an error.
type refusal struct{ error }

// RedeemCode trades a code for a device, once.
func (d *DB) RedeemCode(ctx context.Context, r store.Redeem, line store.Line) (store.Device, error) {
	var dev store.Device
	var refused error
	err := d.in(ctx, "redeem code", func(tx txn) error {
		var err error
		dev, err = d.redeem(ctx, tx, r, line)
		var ref refusal
		if errors.As(err, &ref) {
			refused = ref.error
			return nil
		}
		return err
	})
	if err == nil {
		err = refused
	}
	return dev, err
}

func (d *DB) redeem(ctx context.Context, tx txn, r store.Redeem, line store.Line) (store.Device, error) {
	refuse := func(why error) (store.Device, error) {
		line.Action, line.Detail = line.Action+" refused", why.Error()
		if err := writeLine(ctx, tx, line); err != nil {
			return store.Device{}, err
		}
		return store.Device{}, refusal{why}
	}
	// One redeeming at a time, or tries sent together would all be counted as the fifth.
	var server string
	if err := tx.GetContext(ctx, &server, "SELECT value FROM settings WHERE name = 'server'"+d.lock()); err != nil {
		return store.Device{}, err
	}
	tries, err := wrongTries(ctx, tx, r)
	if err != nil {
		return store.Device{}, err
	}
	if tries >= r.MaxTries {
		return refuse(store.ErrTries)
	}
	var code codeRow
	query := "SELECT workspace, role, expires, used, wrong FROM codes WHERE hash = ?" + d.lock()
	err = tx.GetContext(ctx, &code, tx.Rebind(query), r.CodeHash)
	switch {
	case errors.Is(err, stdsql.ErrNoRows):
		if err := countWrong(ctx, tx, r); err != nil {
			return store.Device{}, err
		}
		return refuse(store.ErrNotFound)
	case err != nil:
		return store.Device{}, err
	}
	line.Workspace = code.Workspace
	switch {
	case code.Wrong >= int64(r.MaxWrong):
		return refuse(store.ErrTries)
	case code.Used != 0:
		return refuse(store.ErrUsed)
	case ms(r.At) >= code.Expires:
		return refuse(store.ErrExpired)
	}
	return pairDevice(ctx, tx, r, code, line)
}

// wrongTries counts an address's wrong tries in the window and forgets what is older.
func wrongTries(ctx context.Context, tx txn, r store.Redeem) (int, error) {
	since := ms(r.At.Add(-r.Window))
	if _, err := tx.ExecContext(ctx, tx.Rebind("DELETE FROM wrong_tries WHERE at < ?"), since); err != nil {
		return 0, err
	}
	var n int
	err := tx.GetContext(ctx, &n, tx.Rebind("SELECT COUNT(*) FROM wrong_tries WHERE address = ?"), r.Address)
	return n, err
}

// countWrong counts a wrong try against its address and against every living code: nobody knows which one was meant.
func countWrong(ctx context.Context, tx txn, r store.Redeem) error {
	const add = "INSERT INTO wrong_tries (address, at) VALUES (?, ?)"
	if _, err := tx.ExecContext(ctx, tx.Rebind(add), r.Address, ms(r.At)); err != nil {
		return err
	}
	const count = "UPDATE codes SET wrong = wrong + 1 WHERE used = 0 AND expires > ?"
	_, err := tx.ExecContext(ctx, tx.Rebind(count), ms(r.At))
	return err
}

func pairDevice(ctx context.Context, tx txn, r store.Redeem, code codeRow, line store.Line) (store.Device, error) {
	dev := store.Device{ID: r.Device, Workspace: code.Workspace, Name: r.Name, Role: code.Role, Paired: timeOf(ms(r.At))}
	const add = "INSERT INTO devices (id, workspace, name, role, paired) VALUES (?, ?, ?, ?, ?)"
	if _, err := tx.ExecContext(ctx, tx.Rebind(add), dev.ID, dev.Workspace, dev.Name, dev.Role, ms(r.At)); err != nil {
		return dev, err
	}
	if err := addSecret(ctx, tx, dev.ID, r.SecretHash, r.At); err != nil {
		return dev, err
	}
	if _, err := tx.ExecContext(ctx, tx.Rebind("UPDATE codes SET used = ? WHERE hash = ?"), ms(r.At), r.CodeHash); err != nil {
		return dev, err
	}
	return dev, writeLine(ctx, tx, line)
}

func addSecret(ctx context.Context, tx txn, id store.DeviceID, hash string, at time.Time) error {
	const add = "INSERT INTO device_secrets (hash, device, created) VALUES (?, ?, ?)"
	_, err := tx.ExecContext(ctx, tx.Rebind(add), hash, id, ms(at))
	return err
}

type deviceRow struct {
	ID        store.DeviceID    `db:"id"`
	Workspace store.WorkspaceID `db:"workspace"`
	Name      string            `db:"name"`
	Role      store.Role        `db:"role"`
	Paired    int64             `db:"paired"`
	Revoked   int64             `db:"revoked"`
}

func (r deviceRow) device() store.Device {
	return store.Device{
		ID: r.ID, Workspace: r.Workspace, Name: r.Name, Role: r.Role, Paired: timeOf(r.Paired), Revoked: timeOf(r.Revoked),
	}
}

// Devices lists a workspace's devices.
func (d *DB) Devices(ctx context.Context, ws store.WorkspaceID) ([]store.Device, error) {
	var rows []deviceRow
	const query = "SELECT id, workspace, name, role, paired, revoked FROM devices WHERE workspace = ? ORDER BY paired, id"
	if err := d.read.SelectContext(ctx, &rows, d.read.Rebind(query), ws); err != nil {
		return nil, fmt.Errorf("list devices: %w", err)
	}
	devices := make([]store.Device, 0, len(rows))
	for _, r := range rows {
		devices = append(devices, r.device())
	}
	return devices, nil
}

// Device returns one device.
func (d *DB) Device(ctx context.Context, ws store.WorkspaceID, id store.DeviceID) (store.Device, error) {
	var row deviceRow
	const query = "SELECT id, workspace, name, role, paired, revoked FROM devices WHERE workspace = ? AND id = ?"
	if err := missing(d.read.GetContext(ctx, &row, d.read.Rebind(query), ws, id)); err != nil {
		return store.Device{}, fmt.Errorf("read device: %w", err)
	}
	return row.device(), nil
}

// BySecret finds the device of a secret.
func (d *DB) BySecret(ctx context.Context, hash string, at time.Time) (store.Secret, error) {
	var row struct {
		deviceRow
		Created int64 `db:"created"`
		Used    int64 `db:"used"`
	}
	const query = `SELECT d.id, d.workspace, d.name, d.role, d.paired, d.revoked, s.created, s.used
		FROM device_secrets s JOIN devices d ON d.id = s.device WHERE s.hash = ?`
	if err := missing(d.read.GetContext(ctx, &row, d.read.Rebind(query), hash)); err != nil {
		return store.Secret{}, fmt.Errorf("find device: %w", err)
	}
	found := store.Secret{Device: row.device(), Created: timeOf(row.Created)}
	if row.Revoked != 0 {
		return found, fmt.Errorf("find device: %w", store.ErrRevoked)
	}
	if row.Used != 0 {
		return found, nil
	}
	return found, d.firstUse(ctx, hash, row.ID, row.Created, at)
}

// firstUse drops the secrets that a newer one replaces: its first use proves that the phone has it.
func (d *DB) firstUse(ctx context.Context, hash string, id store.DeviceID, created int64, at time.Time) error {
	return d.in(ctx, "use secret", func(tx txn) error {
		if _, err := tx.ExecContext(ctx, tx.Rebind("UPDATE device_secrets SET used = ? WHERE hash = ?"), ms(at), hash); err != nil {
			return err
		}
		const drop = "DELETE FROM device_secrets WHERE device = ? AND created < ?"
		_, err := tx.ExecContext(ctx, tx.Rebind(drop), id, created)
		return err
	})
}

// AddSecret gives a device a further secret.
func (d *DB) AddSecret(ctx context.Context, ws store.WorkspaceID, id store.DeviceID, hash string, at time.Time) error {
	return d.in(ctx, "add secret", func(tx txn) error {
		var n int
		const query = "SELECT COUNT(*) FROM devices WHERE workspace = ? AND id = ? AND revoked = 0"
		if err := tx.GetContext(ctx, &n, tx.Rebind(query), ws, id); err != nil {
			return err
		}
		if n == 0 {
			return store.ErrNotFound
		}
		return addSecret(ctx, tx, id, hash, at)
	})
}

// Revoke ends a device.
func (d *DB) Revoke(ctx context.Context, ws store.WorkspaceID, id store.DeviceID, line store.Line) error {
	return d.in(ctx, "revoke device", func(tx txn) error {
		return end(ctx, tx, line, "devices", "workspace = ? AND id = ?", ws, id)
	})
}

// end sets revoked once and writes one line for it. Table and condition are this package's own words.
func end(ctx context.Context, tx txn, line store.Line, table, where string, args ...any) error {
	var revoked int64
	if err := tx.GetContext(ctx, &revoked, tx.Rebind("SELECT revoked FROM "+table+" WHERE "+where), args...); err != nil {
		return missing(err)
	}
	done, err := tx.ExecContext(ctx, tx.Rebind("UPDATE "+table+" SET revoked = ? WHERE revoked = 0 AND "+where),
		append([]any{ms(line.At)}, args...)...)
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return err
	}
	return writeLine(ctx, tx, line)
}

// writeLine appends an audit line. Control characters become spaces, so that one action is one line wherever it is printed.
func writeLine(ctx context.Context, tx txn, l store.Line) error {
	const add = "INSERT INTO audit (at, workspace, device, action, subject, detail) VALUES (?, ?, ?, ?, ?, ?)"
	_, err := tx.ExecContext(ctx, tx.Rebind(add), ms(l.At), l.Workspace, l.Device, plain(l.Action), plain(l.Subject), plain(l.Detail))
	return err
}

// maxLine is the longest text in an audit line, in bytes.
const maxLine = 500

func plain(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0x2028 || r == 0x2029 || (r >= 0x80 && r < 0xa0) {
			return ' '
		}
		return r
	}, s)
	if len(s) > maxLine {
		s = strings.ToValidUTF8(s[:maxLine], "")
	}
	return s
}

// Audit appends a line.
func (d *DB) Audit(ctx context.Context, line store.Line) error {
	return d.in(ctx, "write audit line", func(tx txn) error { return writeLine(ctx, tx, line) })
}

// AuditLines returns the newest lines of a workspace, newest first.
func (d *DB) AuditLines(ctx context.Context, ws store.WorkspaceID, n int) ([]store.Line, error) {
	var rows []struct {
		At      int64          `db:"at"`
		Device  store.DeviceID `db:"device"`
		Action  string         `db:"action"`
		Subject string         `db:"subject"`
		Detail  string         `db:"detail"`
	}
	const query = "SELECT at, device, action, subject, detail FROM audit WHERE workspace = ? ORDER BY n DESC LIMIT ?"
	if err := d.read.SelectContext(ctx, &rows, d.read.Rebind(query), ws, n); err != nil {
		return nil, fmt.Errorf("read audit lines: %w", err)
	}
	lines := make([]store.Line, 0, len(rows))
	for _, r := range rows {
		lines = append(lines, store.Line{
			At: timeOf(r.At), Workspace: ws, Device: r.Device, Action: r.Action, Subject: r.Subject, Detail: r.Detail,
		})
	}
	return lines, nil
}
