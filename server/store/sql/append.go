package sql

import (
	"context"
	stdsql "database/sql"
	"errors"
	"fmt"
	"maps"
	"math/bits"
	"slices"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// One INSERT carries one of these numbers of entries, so that there are few statements and each is parsed once.
var insertRows = []int{100, 20, 5, 1}

// lookedUp is how many ids one query looks for.
const lookedUp = 512

// jobRow is a job's row, locked while it is held in a writing transaction.
type jobRow struct {
	N       int64  `db:"n"`
	Title   string `db:"title"`
	Pos     int64  `db:"pos"`
	Running []byte `db:"running"`
	Sum     []byte `db:"sum"`
	Created int64  `db:"created"`
	Epoch   string `db:"epoch"` // the store's
	Jobs    int    `db:"jobs"`  // of the workspace; only where heldColumns are read
}

// jobColumns are those of a jobRow.
const jobColumns = "n, title, pos, running, sum, created, (SELECT value FROM settings WHERE name = 'epoch') AS epoch"

// heldColumns are jobColumns with what an exchange asks besides.
const heldColumns = jobColumns + ", (SELECT COUNT(*) FROM jobs own WHERE own.workspace = jobs.workspace) AS jobs"

func (r jobRow) job(id entry.JobID) store.Job {
	return store.Job{
		ID: id, Title: r.Title, Pos: r.Pos, Running: digestOf(r.Running), Sum: digestOf(r.Sum), Created: timeOf(r.Created),
	}
}

// at is the cursor of the job's last entry.
func (r jobRow) at() store.Cursor {
	return store.Cursor{Epoch: r.Epoch, Pos: r.Pos, Digest: digestOf(r.Running)}
}

// newEntry is one entry on its way into the table.
type newEntry struct {
	entry.Entry
	id   store.Digest
	prev []byte // empty for the first of a log
}

// Append stores what is new of a batch in one transaction.
func (d *DB) Append(ctx context.Context, in store.Handin) (store.Held, error) {
	batch, err := readBatch(in.Entries)
	if err != nil {
		return store.Held{}, fmt.Errorf("append entries: %w", err)
	}
	var held store.Held
	err = d.in(ctx, "append entries", func(tx txn) error {
		if in.State != nil {
			if err := noteState(ctx, tx, in.Device, *in.State); err != nil {
				return err
			}
		}
		row, err := d.lockJob(ctx, tx, in, len(batch) > 0)
		if errors.Is(err, store.ErrNotFound) {
			held.Job.ID = in.Job
			held.Jobs, err = countJobs(ctx, tx, in.Workspace)
			return err
		}
		if err != nil {
			return err
		}
		return appendTo(ctx, tx, row, in, batch, &held)
	})
	return held, err
}

func readBatch(entries []entry.Entry) ([]newEntry, error) {
	batch := make([]newEntry, 0, len(entries))
	seen := make(map[store.Digest]bool, len(entries))
	for _, e := range entries {
		id, err := store.IDBytes(e.ID)
		if err != nil {
			return nil, fmt.Errorf("bug: entry id %q: %w", e.ID, err)
		}
		if seen[id] {
			continue
		}
		seen[id] = true
		batch = append(batch, newEntry{Entry: e, id: id, prev: prevBytes(e.Prev)})
	}
	return batch, nil
}

// prevBytes is empty for an absent prev. One that is no digest cannot point at any entry, and is kept only in the raw bytes.
func prevBytes(prev entry.ID) []byte {
	d, err := store.ParseDigest(string(prev))
	if err != nil {
		return []byte{}
	}
	return d[:]
}

func appendTo(ctx context.Context, tx txn, row jobRow, in store.Handin, batch []newEntry, held *store.Held) error {
	clone, err := moveLease(ctx, tx, row.N, in)
	if err != nil {
		return err
	}
	head, fresh, err := sort(ctx, tx, row.N, batch)
	if err != nil {
		return err
	}
	if len(fresh) > 0 {
		before := row.at()
		if row, held.Carried, err = insert(ctx, tx, row, in, fresh); err != nil {
			return err
		}
		held.Added = store.Added{From: before, To: row.at(), Newest: newest(fresh)}
		if in.Written != nil {
			in.Written(held.Added)
		}
		if held.Forked, err = moveHeads(ctx, tx, row.N, head, fresh); err != nil {
			return err
		}
	}
	held.Job, held.Jobs, held.Clone = row.job(in.Job), row.Jobs, clone
	held.Stored, held.Known = len(fresh), len(in.Entries)-len(fresh)
	if held.Heads, held.Tips, err = readHeads(ctx, tx, row.N); err != nil || in.Core == "" {
		return err
	}
	mark, err := readMark(ctx, tx, row.N, in.Core)
	if errors.Is(err, store.ErrNotFound) {
		return nil
	}
	held.Mark = &mark
	return err
}

func newest(fresh []newEntry) map[entry.LogID]int64 {
	out := map[entry.LogID]int64{}
	for _, e := range fresh {
		out[e.Log] = max(out[e.Log], e.Seq)
	}
	return out
}

// sort says what of a batch is new. What a phone that hands in nearly always sends goes straight on from what is held of its
// log: then head is that log's, moved to the last of the batch, and no id was looked for.
func sort(ctx context.Context, tx txn, job int64, batch []newEntry) (head *headRow, fresh []newEntry, err error) {
	if head, err = straightOn(ctx, tx, job, batch); err != nil || head != nil {
		return head, batch, err
	}
	fresh, err = onlyNew(ctx, tx, job, batch)
	return nil, fresh, err
}

// lockJob returns the job's row, held until the commit: positions are handed out under it. It creates the job only when
// create is set; else a missing one is ErrNotFound.
func (d *DB) lockJob(ctx context.Context, tx txn, in store.Handin, create bool) (jobRow, error) {
	var row jobRow
	query := tx.Rebind("SELECT " + heldColumns + " FROM jobs WHERE workspace = ? AND job = ?" + d.lock())
	err := tx.GetContext(ctx, &row, query, in.Workspace, in.Job)
	if !errors.Is(err, stdsql.ErrNoRows) || !create {
		return row, missing(err)
	}
	var zero store.Digest
	const add = "INSERT INTO jobs (workspace, job, running, sum, created) VALUES (?, ?, ?, ?, ?) ON CONFLICT (workspace, job) DO NOTHING"
	if _, err := tx.ExecContext(ctx, tx.Rebind(add), in.Workspace, in.Job, zero[:], zero[:], ms(in.At)); err != nil {
		return row, err
	}
	return row, missing(tx.GetContext(ctx, &row, query, in.Workspace, in.Job))
}

// onlyNew drops what the timeline holds already.
func onlyNew(ctx context.Context, tx txn, job int64, batch []newEntry) ([]newEntry, error) {
	held := map[store.Digest]bool{}
	for part := range slices.Chunk(batch, lookedUp) {
		args := []any{job}
		for i := range part {
			args = append(args, part[i].id[:])
		}
		// The last is looked for more than once, so that there are ten statements and not five hundred.
		for len(args)-1 < evenly(len(part)) {
			args = append(args, args[len(part)])
		}
		var ids [][]byte
		query := "SELECT id FROM entries WHERE job = ? AND id IN " + marks(1, len(args)-1)
		if err := tx.SelectContext(ctx, &ids, tx.Rebind(query), args...); err != nil {
			return nil, err
		}
		for _, id := range ids {
			held[digestOf(id)] = true
		}
	}
	var fresh []newEntry
	for _, e := range batch {
		if !held[e.id] {
			fresh = append(fresh, e)
		}
	}
	return fresh, nil
}

// evenly is the next power of two.
func evenly(n int) int { return 1 << bits.Len(uint(n-1)) }

// insert gives each entry the next position and moves the job's counter and digests with them.
func insert(ctx context.Context, tx txn, row jobRow, in store.Handin, fresh []newEntry) (jobRow, []store.Carried, error) {
	carried, err := carriedLogs(ctx, tx, row.N, in, fresh)
	if err != nil {
		return row, nil, err
	}
	for len(fresh) > 0 {
		n := insertRows[slices.IndexFunc(insertRows, func(n int) bool { return n <= len(fresh) })]
		if row, err = insertPart(ctx, tx, row, in, fresh[:n], carried); err != nil {
			return row, nil, err
		}
		fresh = fresh[n:]
	}
	const move = "UPDATE jobs SET pos = ?, running = ?, sum = ? WHERE n = ?"
	_, err = tx.ExecContext(ctx, tx.Rebind(move), row.Pos, row.Running, row.Sum, row.N)
	return row, carried, err
}

func insertPart(ctx context.Context, tx txn, row jobRow, in store.Handin, part []newEntry, carried []store.Carried) (jobRow, error) {
	running, sum := digestOf(row.Running), digestOf(row.Sum)
	args := make([]any, 0, 12*len(part))
	for _, e := range part {
		row.Pos++
		running, sum = running.Next(e.id), sum.Plus(e.id)
		at := running
		args = append(args, row.N, row.Pos, e.id[:], e.Log, e.Seq, e.prev, e.Raw, at[:], in.Device,
			bit(slices.ContainsFunc(carried, func(c store.Carried) bool { return c.Log == e.Log })), in.Offset.Milliseconds(), ms(in.At))
	}
	row.Running, row.Sum = running[:], sum[:]
	query := "INSERT INTO entries (job, pos, id, log, seq, prev, raw, running, device, carried, offset_ms, received) VALUES " +
		marks(len(part), 12)
	_, err := tx.ExecContext(ctx, tx.Rebind(query), args...)
	return row, err
}

// carriedLogs says which of the logs are not the device's own: neither the one it says that it writes, unless another device
// does, nor one that it has held a lease on.
func carriedLogs(ctx context.Context, tx txn, job int64, in store.Handin, fresh []newEntry) ([]store.Carried, error) {
	leased := in.Lease != (store.Lease{}) // then it is known to be another's by its lease
	if leased && !slices.ContainsFunc(fresh, func(e newEntry) bool { return e.Log != in.Log }) {
		return nil, nil
	}
	var leases []struct {
		Log    entry.LogID    `db:"log"`
		Device store.DeviceID `db:"device"`
	}
	if err := tx.SelectContext(ctx, &leases, tx.Rebind("SELECT log, device FROM leases WHERE job = ?"), job); err != nil {
		return nil, err
	}
	writer := map[entry.LogID]store.DeviceID{in.Log: in.Device}
	for _, l := range leases {
		writer[l.Log] = l.Device
	}
	if leased {
		writer[in.Log] = in.Device
	}
	counts := map[entry.LogID]int{}
	for _, e := range fresh {
		if writer[e.Log] != in.Device {
			counts[e.Log]++
		}
	}
	var out []store.Carried
	for _, log := range slices.Sorted(maps.Keys(counts)) {
		out = append(out, store.Carried{Log: log, Count: counts[log], Writer: writer[log]})
	}
	return out, nil
}

// moveLease compares the phone's lease with the one held for its log. The next one moves it on; the same pair is a retry
// whose reply was lost; anything else is a second phone with the same log, and leaves the lease as it is.
func moveLease(ctx context.Context, tx txn, job int64, in store.Handin) (clone bool, err error) {
	if in.Lease == (store.Lease{}) || in.Log == "" {
		return false, nil
	}
	const move = "UPDATE leases SET current = ?, next = ?, device = ?, moved = ? WHERE job = ? AND log = ? AND next = ?"
	moved, err := tx.ExecContext(ctx, tx.Rebind(move), in.Lease.Current, in.Lease.Next, in.Device, ms(in.At), job, in.Log, in.Lease.Current)
	if err != nil {
		return false, err
	}
	if n, err := moved.RowsAffected(); err != nil || n == 1 {
		return false, err
	}
	held := struct {
		Current string `db:"current"`
		Next    string `db:"next"`
	}{}
	const read = "SELECT current, next FROM leases WHERE job = ? AND log = ?"
	err = tx.GetContext(ctx, &held, tx.Rebind(read), job, in.Log)
	if errors.Is(err, stdsql.ErrNoRows) {
		const add = "INSERT INTO leases (job, log, current, next, device, moved) VALUES (?, ?, ?, ?, ?, ?)"
		_, err = tx.ExecContext(ctx, tx.Rebind(add), job, in.Log, in.Lease.Current, in.Lease.Next, in.Device, ms(in.At))
		return false, err
	}
	return err == nil && (held.Current != in.Lease.Current || held.Next != in.Lease.Next), err
}
