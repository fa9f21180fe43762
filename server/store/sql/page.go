package sql

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// pageRows is how many rows are looked at in one query while filling a page.
const pageRows = 500

// Held reads what is held of a job.
func (d *DB) Held(ctx context.Context, ws store.WorkspaceID, job entry.JobID) (store.Held, error) {
	held := store.Held{Job: store.Job{ID: job}}
	err := d.look(ctx, "read heads", func(tx txn) (err error) {
		if held.Jobs, err = countJobs(ctx, tx, ws); err != nil {
			return err
		}
		row, err := findJob(ctx, tx, ws, job)
		if err != nil {
			return err
		}
		held.Job = row.job(job)
		held.Heads, held.Tips, err = readHeads(ctx, tx, row.N)
		return err
	})
	if errors.Is(err, store.ErrNotFound) {
		err = nil
	}
	return held, err
}

// look runs fn in a reading transaction, so that it sees one state.
func (d *DB) look(ctx context.Context, doing string, fn func(tx txn) error) error {
	tx, err := d.read.begin(d.read.span(ctx), d.lookOptions())
	if err != nil {
		return d.said(doing, err)
	}
	defer func() {
		_ = tx.Rollback() // it wrote nothing, so there is nothing to lose
		tx.ended(ctx)
	}()
	return d.said(doing, fn(tx))
}

func findJob(ctx context.Context, db reader, ws store.WorkspaceID, job entry.JobID) (jobRow, error) {
	var row jobRow
	const query = "SELECT " + jobColumns + " FROM jobs WHERE workspace = ? AND job = ?"
	return row, missing(db.GetContext(ctx, &row, db.Rebind(query), ws, job))
}

func countJobs(ctx context.Context, db reader, ws store.WorkspaceID) (n int, err error) {
	return n, db.GetContext(ctx, &n, db.Rebind("SELECT COUNT(*) FROM jobs WHERE workspace = ?"), ws)
}

type pageRow struct {
	Pos     int64       `db:"pos"`
	Log     entry.LogID `db:"log"`
	Seq     int64       `db:"seq"`
	Running []byte      `db:"running"`
	Raw     []byte      `db:"raw"`
}

// Page reads on from a cursor.
func (d *DB) Page(ctx context.Context, q store.PageQuery) (store.Page, error) {
	var page store.Page
	err := d.look(ctx, "read page", func(tx txn) error {
		row, err := findJob(ctx, tx, q.Workspace, q.Job)
		page.Cursor.Epoch = row.Epoch
		if errors.Is(err, store.ErrNotFound) {
			err = tx.GetContext(ctx, &page.Cursor.Epoch, "SELECT value FROM settings WHERE name = 'epoch'")
			page.Unknown = q.After != nil && !isStart(*q.After, page.Cursor.Epoch)
			return err
		}
		if err != nil {
			return err
		}
		return fill(ctx, tx, row, q, &page)
	})
	return page, err
}

func isStart(c store.Cursor, epoch string) bool {
	return c.Epoch == epoch && c.Pos == 0 && c.Digest == store.Digest{}
}

func fill(ctx context.Context, tx txn, job jobRow, q store.PageQuery, page *store.Page) error {
	if q.After != nil {
		ok, err := recognise(ctx, tx, job, *q.After, page.Cursor.Epoch)
		if err != nil {
			return err
		}
		if !ok {
			page.Unknown, page.More = true, job.Pos > 0
			return nil
		}
		page.Cursor = *q.After
	}
	holds, err := unforked(ctx, tx, job.N, q.Holds)
	if err != nil {
		return err
	}
	return read(ctx, tx, job, q, holds, page)
}

// recognise says whether the running digest at the cursor's position is the one in the timeline.
func recognise(ctx context.Context, tx txn, job jobRow, c store.Cursor, epoch string) (bool, error) {
	if c.Pos == 0 {
		return isStart(c, epoch), nil
	}
	if c.Epoch != epoch || c.Pos < 0 || c.Pos > job.Pos {
		return false, nil
	}
	var running []byte
	const query = "SELECT running FROM entries WHERE job = ? AND pos = ?"
	if err := tx.GetContext(ctx, &running, tx.Rebind(query), job.N, c.Pos); err != nil {
		return false, err
	}
	return digestOf(running) == c.Digest, nil
}

// unforked drops the forked logs: holding them up to a number does not say which branch.
func unforked(ctx context.Context, tx txn, job int64, holds map[entry.LogID]int64) (map[entry.LogID]int64, error) {
	if len(holds) == 0 {
		return nil, nil
	}
	var forked []entry.LogID
	if err := tx.SelectContext(ctx, &forked, tx.Rebind("SELECT log FROM heads WHERE job = ? AND forked = 1"), job); err != nil {
		return nil, err
	}
	rest := make(map[entry.LogID]int64, len(holds))
	for log, seq := range holds {
		rest[log] = seq
	}
	for _, log := range forked {
		delete(rest, log)
	}
	return rest, nil
}

// skipLogs is how many of the logs that a phone holds are left out by the database itself: a phone mostly holds its own.
const skipLogs = 4

func read(ctx context.Context, tx txn, job jobRow, q store.PageQuery, holds map[entry.LogID]int64, page *store.Page) error {
	skip, args := notHeld(holds)
	query := tx.Rebind("SELECT pos, log, seq, running, raw FROM entries WHERE job = ? AND pos > ?" + skip + " ORDER BY pos LIMIT ?")
	for size := 0; ; {
		var rows []pageRow
		all := append([]any{job.N, page.Cursor.Pos}, args...)
		if err := tx.SelectContext(ctx, &rows, query, append(all, pageRows)...); err != nil {
			return err
		}
		for _, r := range rows {
			if held, ok := holds[r.Log]; !ok || r.Seq > held {
				if full(page, size+len(r.Raw), q) {
					page.More = true
					return nil
				}
				page.Entries, size = append(page.Entries, r.Raw), size+len(r.Raw)
			}
			page.Cursor.Pos, page.Cursor.Digest = r.Pos, digestOf(r.Running)
		}
		if len(rows) < pageRows {
			// What is left, if anything, is what the phone holds.
			page.Cursor.Pos, page.Cursor.Digest = job.Pos, digestOf(job.Running)
			return nil
		}
	}
}

// notHeld is the condition that leaves out what a phone holds, for the first few of its logs.
func notHeld(holds map[entry.LogID]int64) (string, []any) {
	logs := slices.Sorted(maps.Keys(holds))
	var where strings.Builder
	var args []any
	for _, log := range logs[:min(len(logs), skipLogs)] {
		where.WriteString(" AND NOT (log = ? AND seq <= ?)")
		args = append(args, log, holds[log])
	}
	return where.String(), args
}

// full says whether one more entry, which makes size bytes, is too much. The first always goes.
func full(page *store.Page, size int, q store.PageQuery) bool {
	n := len(page.Entries)
	return n > 0 && (n >= q.Limit || size > q.Bytes)
}

// Jobs lists a workspace's jobs, oldest first.
func (d *DB) Jobs(ctx context.Context, ws store.WorkspaceID) ([]store.Job, error) {
	all, err := d.jobs(ctx, " WHERE workspace = ?", ws)
	jobs := make([]store.Job, 0, len(all))
	for _, j := range all {
		jobs = append(jobs, j.Job)
	}
	return jobs, err
}

// AllJobs lists every job, oldest first.
func (d *DB) AllJobs(ctx context.Context) ([]store.JobOf, error) { return d.jobs(ctx, "") }

func (d *DB) jobs(ctx context.Context, where string, args ...any) ([]store.JobOf, error) {
	var rows []struct {
		Workspace store.WorkspaceID `db:"workspace"`
		Job       entry.JobID       `db:"job"`
		jobRow
	}
	query := "SELECT workspace, job, " + jobColumns + " FROM jobs" + where + " ORDER BY n"
	if err := d.read.SelectContext(ctx, &rows, d.read.Rebind(query), args...); err != nil {
		return nil, fmt.Errorf("list jobs: %w", err)
	}
	jobs := make([]store.JobOf, 0, len(rows))
	for _, r := range rows {
		jobs = append(jobs, store.JobOf{Workspace: r.Workspace, Job: r.job(r.Job)})
	}
	return jobs, nil
}

// Job returns one job.
func (d *DB) Job(ctx context.Context, ws store.WorkspaceID, job entry.JobID) (store.Job, error) {
	row, err := findJob(ctx, d.read, ws, job)
	if err != nil {
		return store.Job{}, fmt.Errorf("read job: %w", err)
	}
	return row.job(job), nil
}
