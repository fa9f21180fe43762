package sql

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"

	"github.com/jmoiron/sqlx"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// ErrElsewhere: the database is a server of its own and is copied with its own tools.
var ErrElsewhere = errors.New("this database is copied with its own tools")

// CopyTo writes the whole database, as one moment saw it, into a file that must not exist. Others may go on writing: SQLite
// copies what was committed when it began (VACUUM INTO). The bytes of a database file that is in use are never copied; half
// of a transaction may stand in them. The file is readable by its owner only. Errors: ErrElsewhere; store.ErrFull.
func (d *DB) CopyTo(ctx context.Context, file string) error {
	write, ok := d.write.(*line)
	if !ok {
		return ErrElsewhere
	}
	if err := private(file); err != nil {
		return fmt.Errorf("copy database: %w", err)
	}
	// It goes over the writing connection, because the reading ones promise to write nothing. It takes no write lock.
	err := write.hold(ctx, func() error {
		_, err := write.conn.ExecContext(ctx, "VACUUM INTO ?", file)
		return err
	})
	if err != nil {
		return errors.Join(d.said("copy database", err), os.Remove(file))
	}
	return nil
}

// Counted is a job as its rows add up, whatever its own row says.
type Counted struct {
	Workspace store.WorkspaceID
	Job       entry.JobID
	Title     string
	Entries   int64
	Sum       store.Digest
	Running   store.Digest
}

// Kept is a blob that is whole: the bytes of the original, and of the derivative if there is one, must be in the folder.
type Kept struct {
	Workspace store.WorkspaceID `db:"workspace"`
	SHA       string            `db:"sha"`
	ViewSHA   string            `db:"view_sha"`
}

// Inspect opens a database file that nobody uses, without changing it, has SQLite check it, and adds up every job from its
// rows. The error says what does not fit.
func Inspect(ctx context.Context, file string) (jobs []Counted, kept []Kept, err error) {
	if _, err := os.Stat(file); err != nil {
		return nil, nil, fmt.Errorf("inspect database: %w", err)
	}
	db, err := sqlx.Open("sqlite", "file:"+(&url.URL{Path: file}).EscapedPath()+"?mode=ro&immutable=1")
	if err != nil {
		return nil, nil, fmt.Errorf("inspect database: %w", err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := sound(ctx, db); err != nil {
		return nil, nil, fmt.Errorf("inspect database: %w", err)
	}
	if err := db.SelectContext(ctx, &kept, "SELECT workspace, sha, view_sha FROM blobs WHERE state = 'whole' ORDER BY workspace, sha"); err != nil {
		return nil, nil, fmt.Errorf("inspect database: %w", err)
	}
	jobs, err = countAll(ctx, db)
	return jobs, kept, err
}

func sound(ctx context.Context, db *sqlx.DB) error {
	var says []string
	if err := db.SelectContext(ctx, &says, "PRAGMA integrity_check"); err != nil {
		return err
	}
	if len(says) != 1 || says[0] != "ok" {
		return fmt.Errorf("it is damaged: %s", says[0])
	}
	rows, err := db.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	stray := rows.Next()
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return err
	}
	if stray {
		return errors.New("it is damaged: a row names another that is not there")
	}
	return nil
}

// countAll adds up every job and compares it with its own row.
func countAll(ctx context.Context, db *sqlx.DB) ([]Counted, error) {
	var rows []struct {
		Workspace store.WorkspaceID `db:"workspace"`
		Job       entry.JobID       `db:"job"`
		jobRow
	}
	const query = "SELECT workspace, job, n, title, pos, running, sum, created FROM jobs ORDER BY n"
	if err := db.SelectContext(ctx, &rows, query); err != nil {
		return nil, err
	}
	out := make([]Counted, 0, len(rows))
	for _, r := range rows {
		c, err := count(ctx, db, r.N)
		if err != nil {
			return nil, err
		}
		if c.Entries != r.Pos || c.Sum != digestOf(r.Sum) || c.Running != digestOf(r.Running) {
			return nil, fmt.Errorf("job %s is damaged: its entries are not the ones that it counts", r.Job)
		}
		c.Workspace, c.Job, c.Title = r.Workspace, r.Job, r.Title
		out = append(out, c)
	}
	return out, nil
}

// count reads a job's entries and works out their ids again from their bytes.
func count(ctx context.Context, db *sqlx.DB, job int64) (c Counted, err error) {
	rows, err := db.QueryContext(ctx, "SELECT id, raw FROM entries WHERE job = ? ORDER BY pos", job)
	if err != nil {
		return c, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var id, raw []byte
		if err := rows.Scan(&id, &raw); err != nil {
			return c, err
		}
		at, err := store.IDBytes(entry.Sum(raw))
		if err != nil || at != digestOf(id) {
			return c, fmt.Errorf("an entry is damaged: its bytes are not the ones that its id names")
		}
		c.Entries++
		c.Sum, c.Running = c.Sum.Plus(at), c.Running.Next(at)
	}
	return c, rows.Err()
}
