package sql

import (
	"context"
	stdsql "database/sql"
	"errors"
	"fmt"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// SaveResults keeps results unless there are some of a later position.
func (d *DB) SaveResults(ctx context.Context, r store.Results) (saved bool, err error) {
	err = d.inDerived(ctx, "save results", func(tx txn) error {
		if r.Body == nil {
			saved, err = moveResults(ctx, tx, r)
			return err
		}
		row, err := findJob(ctx, tx, r.Workspace, r.Job)
		if err != nil {
			return err
		}
		saved, err = putResults(ctx, tx, row.N, r)
		return err
	})
	return saved && err == nil, err
}

// moveResults moves on how far they reach.
func moveResults(ctx context.Context, tx txn, r store.Results) (moved bool, err error) {
	const move = `UPDATE results SET pos = ?, made = ? WHERE job = (SELECT n FROM jobs WHERE workspace = ? AND job = ?)
		AND core = ? AND digest = ? AND pos < ?`
	return changed(tx.ExecContext(ctx, tx.Rebind(move), r.Pos, ms(r.At), r.Workspace, r.Job, r.Core, r.Digest, r.Pos))
}

func putResults(ctx context.Context, tx txn, job int64, r store.Results) (put bool, err error) {
	const save = `INSERT INTO results (job, core, pos, digest, made) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (job, core) DO UPDATE SET pos = excluded.pos, digest = excluded.digest, made = excluded.made
		WHERE excluded.pos > results.pos`
	put, err = changed(tx.ExecContext(ctx, tx.Rebind(save), job, r.Core, r.Pos, r.Digest, ms(r.At)))
	if err != nil || !put {
		return put, err
	}
	const body = "INSERT INTO result_bodies (job, core, body) VALUES (?, ?, ?) ON CONFLICT (job, core) DO UPDATE SET body = excluded.body"
	if _, err := tx.ExecContext(ctx, tx.Rebind(body), job, r.Core, r.Body); err != nil {
		return false, err
	}
	_, err = tx.ExecContext(ctx, tx.Rebind("UPDATE jobs SET title = ? WHERE n = ? AND title <> ?"), r.Title, job, r.Title)
	return true, err
}

// changed says whether a statement changed any row.
func changed(done stdsql.Result, err error) (bool, error) {
	if err != nil {
		return false, err
	}
	n, err := done.RowsAffected()
	return n > 0, err
}

// Results returns the newest results of a core.
func (d *DB) Results(ctx context.Context, ws store.WorkspaceID, job entry.JobID, core string) (store.Results, error) {
	var row struct {
		store.Mark
		Body  []byte `db:"body"`
		Made  int64  `db:"made"`
		Title string `db:"title"`
	}
	const query = `SELECT r.pos, r.digest, r.made, b.body, j.title FROM jobs j JOIN results r ON r.job = j.n
		JOIN result_bodies b ON b.job = r.job AND b.core = r.core WHERE j.workspace = ? AND j.job = ? AND r.core = ?`
	if err := missing(d.read.GetContext(ctx, &row, d.read.Rebind(query), ws, job, core)); err != nil {
		return store.Results{}, fmt.Errorf("read results: %w", err)
	}
	return store.Results{
		Workspace: ws, Job: job, Core: core, Pos: row.Pos, Digest: row.Digest, Title: row.Title, Body: row.Body, At: timeOf(row.Made),
	}, nil
}

// ResultsMark says how far they reach.
func (d *DB) ResultsMark(ctx context.Context, ws store.WorkspaceID, job entry.JobID, core string) (store.Mark, error) {
	var mark store.Mark
	const query = "SELECT r.pos, r.digest FROM jobs j JOIN results r ON r.job = j.n WHERE j.workspace = ? AND j.job = ? AND r.core = ?"
	if err := missing(d.read.GetContext(ctx, &mark, d.read.Rebind(query), ws, job, core)); err != nil {
		return mark, fmt.Errorf("read mark of results: %w", err)
	}
	return mark, nil
}

// readMark is ResultsMark of a job whose row is at hand.
func readMark(ctx context.Context, db reader, job int64, core string) (mark store.Mark, err error) {
	const query = "SELECT pos, digest FROM results WHERE job = ? AND core = ?"
	return mark, missing(db.GetContext(ctx, &mark, db.Rebind(query), job, core))
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
	return d.in(ctx, "write blob", func(tx txn) error {
		const put = `INSERT INTO blobs (workspace, sha, size, type, device, view_sha, view_size, state, refused, created)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (workspace, sha) DO UPDATE SET size = excluded.size, type = excluded.type, view_sha = excluded.view_sha,
			view_size = excluded.view_size, state = excluded.state, refused = excluded.refused WHERE blobs.state <> 'whole'`
		_, err := tx.ExecContext(ctx, tx.Rebind(put), b.Workspace, b.SHA, b.Size, b.Type, b.Device, b.ViewSHA, b.ViewSize,
			b.State, b.Refused, ms(b.Created))
		return err
	})
}
