package sql

import (
	"context"
	"errors"
	"fmt"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// SaveResults keeps results unless there are some of a later position.
func (d *DB) SaveResults(ctx context.Context, r store.Results) (saved bool, err error) {
	err = d.in(ctx, "save results", func(tx *txn) error {
		row, err := findJob(ctx, tx, r.Workspace, r.Job)
		if err != nil {
			return err
		}
		if r.Body == nil {
			const move = "UPDATE results SET pos = ?, made = ? WHERE job = ? AND core = ? AND digest = ? AND pos < ?"
			done, err := tx.ExecContext(ctx, tx.Rebind(move), r.Pos, ms(r.At), row.N, r.Core, r.Digest, r.Pos)
			if err != nil {
				return err
			}
			n, err := done.RowsAffected()
			saved = n > 0
			return err
		}
		const save = `INSERT INTO results (job, core, pos, digest, body, made) VALUES (?, ?, ?, ?, ?, ?)
			ON CONFLICT (job, core) DO UPDATE SET pos = excluded.pos, digest = excluded.digest, body = excluded.body,
			made = excluded.made WHERE excluded.pos > results.pos`
		done, err := tx.ExecContext(ctx, tx.Rebind(save), row.N, r.Core, r.Pos, r.Digest, r.Body, ms(r.At))
		if err != nil {
			return err
		}
		n, err := done.RowsAffected()
		if saved = n > 0; err != nil || !saved {
			return err
		}
		_, err = tx.ExecContext(ctx, tx.Rebind("UPDATE jobs SET title = ? WHERE n = ?"), r.Title, row.N)
		return err
	})
	return saved && err == nil, err
}

// Results returns the newest results of a core.
func (d *DB) Results(ctx context.Context, ws store.WorkspaceID, job entry.JobID, core string) (store.Results, error) {
	return d.results(ctx, "r.pos, r.digest, r.body, r.made", ws, job, core)
}

// ResultsMark returns them without their body.
func (d *DB) ResultsMark(ctx context.Context, ws store.WorkspaceID, job entry.JobID, core string) (store.Results, error) {
	// Not one column that stands behind the body: to reach it the database would read the body through.
	return d.results(ctx, "r.pos, r.digest", ws, job, core)
}

func (d *DB) results(ctx context.Context, columns string, ws store.WorkspaceID, job entry.JobID, core string) (store.Results, error) {
	var row struct {
		Pos    int64  `db:"pos"`
		Digest string `db:"digest"`
		Body   []byte `db:"body"`
		Made   int64  `db:"made"`
		Title  string `db:"title"`
	}
	query := "SELECT " + columns + `, j.title FROM results r JOIN jobs j ON j.n = r.job
		WHERE j.workspace = ? AND j.job = ? AND r.core = ?`
	if err := missing(d.read.GetContext(ctx, &row, d.read.Rebind(query), ws, job, core)); err != nil {
		return store.Results{}, fmt.Errorf("read results: %w", err)
	}
	return store.Results{
		Workspace: ws, Job: job, Core: core, Pos: row.Pos, Digest: row.Digest, Title: row.Title, Body: row.Body, At: timeOf(row.Made),
	}, nil
}

// Blob returns what is known about bytes.
func (d *DB) Blob(ctx context.Context, ws store.WorkspaceID, sha string) (store.Blob, error) {
	var row struct {
		Size     int64           `db:"size"`
		Type     string          `db:"type"`
		Device   store.DeviceID  `db:"device"`
		ViewSHA  string          `db:"view_sha"`
		ViewSize int64           `db:"view_size"`
		State    store.BlobState `db:"state"`
		Refused  string          `db:"refused"`
		Created  int64           `db:"created"`
	}
	const query = `SELECT size, type, device, view_sha, view_size, state, refused, created FROM blobs
		WHERE workspace = ? AND sha = ?`
	if err := missing(d.read.GetContext(ctx, &row, d.read.Rebind(query), ws, sha)); err != nil {
		return store.Blob{}, fmt.Errorf("read blob: %w", err)
	}
	return store.Blob{
		Workspace: ws, SHA: sha, Size: row.Size, Type: row.Type, Device: row.Device, ViewSHA: row.ViewSHA,
		ViewSize: row.ViewSize, State: row.State, Refused: row.Refused, Created: timeOf(row.Created),
	}, nil
}

// PutBlob writes what is known about bytes; a whole blob stays as it is.
func (d *DB) PutBlob(ctx context.Context, b store.Blob) error {
	if b.SHA == "" {
		return errors.New("bug: blob without a hash")
	}
	return d.in(ctx, "write blob", func(tx *txn) error {
		const put = `INSERT INTO blobs (workspace, sha, size, type, device, view_sha, view_size, state, refused, created)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (workspace, sha) DO UPDATE SET size = excluded.size, type = excluded.type, view_sha = excluded.view_sha,
			view_size = excluded.view_size, state = excluded.state, refused = excluded.refused WHERE blobs.state <> 'whole'`
		_, err := tx.ExecContext(ctx, tx.Rebind(put), b.Workspace, b.SHA, b.Size, b.Type, b.Device, b.ViewSHA, b.ViewSize,
			b.State, b.Refused, ms(b.Created))
		return err
	})
}
