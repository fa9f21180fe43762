package sql

import (
	"context"
	"fmt"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

type linkRow struct {
	ID        store.LinkID      `db:"id"`
	Workspace store.WorkspaceID `db:"workspace"`
	Job       entry.JobID       `db:"job"`
	Name      string            `db:"name"`
	Hash      string            `db:"hash"`
	People    int64             `db:"people"`
	Created   int64             `db:"created"`
	Expires   int64             `db:"expires"`
	Revoked   int64             `db:"revoked"`
}

func (r linkRow) link() store.Link {
	return store.Link{
		ID: r.ID, Workspace: r.Workspace, Job: r.Job, Name: r.Name, Hash: r.Hash, People: r.People == 1,
		Created: timeOf(r.Created), Expires: timeOf(r.Expires), Revoked: timeOf(r.Revoked),
	}
}

const linkColumns = "id, workspace, job, name, hash, people, created, expires, revoked"

// AddLink keeps a view link of a job that exists.
func (d *DB) AddLink(ctx context.Context, l store.Link, line store.Line) error {
	return d.in(ctx, "add link", func(tx txn) error {
		if _, err := findJob(ctx, tx, l.Workspace, l.Job); err != nil {
			return err
		}
		const add = "INSERT INTO links (" + linkColumns + ") VALUES (?, ?, ?, ?, ?, ?, ?, ?, 0)"
		_, err := tx.ExecContext(ctx, tx.Rebind(add), l.ID, l.Workspace, l.Job, l.Name, l.Hash, bit(l.People), ms(l.Created), ms(l.Expires))
		if err != nil {
			return err
		}
		return writeLine(ctx, tx, line)
	})
}

// Link returns one by its public id.
func (d *DB) Link(ctx context.Context, id store.LinkID) (store.Link, error) {
	var row linkRow
	const query = "SELECT " + linkColumns + " FROM links WHERE id = ?"
	if err := missing(d.read.GetContext(ctx, &row, d.read.Rebind(query), id)); err != nil {
		return store.Link{}, fmt.Errorf("read link: %w", err)
	}
	return row.link(), nil
}

// Links lists a job's links, oldest first.
func (d *DB) Links(ctx context.Context, ws store.WorkspaceID, job entry.JobID) ([]store.Link, error) {
	var rows []linkRow
	const query = "SELECT " + linkColumns + " FROM links WHERE workspace = ? AND job = ? ORDER BY created, id"
	if err := d.read.SelectContext(ctx, &rows, d.read.Rebind(query), ws, job); err != nil {
		return nil, fmt.Errorf("list links: %w", err)
	}
	links := make([]store.Link, 0, len(rows))
	for _, r := range rows {
		links = append(links, r.link())
	}
	return links, nil
}

// RevokeLink ends a link.
func (d *DB) RevokeLink(ctx context.Context, ws store.WorkspaceID, job entry.JobID, id store.LinkID, line store.Line) error {
	return d.in(ctx, "revoke link", func(tx txn) error {
		return end(ctx, tx, line, "links", "workspace = ? AND job = ? AND id = ?", ws, job, id)
	})
}
