package sql

import (
	"bytes"
	"context"
	"encoding/hex"
	"errors"
	"slices"

	stdsql "database/sql"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

type headRow struct {
	Log    entry.LogID `db:"log"`
	Seq    int64       `db:"seq"`
	ID     []byte      `db:"id"`
	Forked int64       `db:"forked"`
}

type placeRow struct {
	Seq  int64  `db:"seq"`
	ID   []byte `db:"id"`
	Prev []byte `db:"prev"`
}

// moveHeads brings the heads of the logs of fresh, already stored, up to date and returns the entries of fresh that stand
// beside another at the same log and number. straight is the head when fresh goes straight on, or nil.
func moveHeads(ctx context.Context, tx txn, job int64, straight *headRow, fresh []newEntry) ([]store.Tip, error) {
	if straight != nil {
		return nil, saveHead(ctx, tx, job, *straight)
	}
	byLog := map[entry.LogID][]newEntry{}
	for _, e := range fresh {
		byLog[e.Log] = append(byLog[e.Log], e)
	}
	logs := make([]entry.LogID, 0, len(byLog))
	for log := range byLog {
		logs = append(logs, log)
	}
	slices.Sort(logs)
	var forks []store.Tip
	for _, log := range logs {
		more, err := moveHead(ctx, tx, job, log, byLog[log])
		if err != nil {
			return nil, err
		}
		forks = append(forks, more...)
	}
	return forks, nil
}

func moveHead(ctx context.Context, tx txn, job int64, log entry.LogID, fresh []newEntry) ([]store.Tip, error) {
	head := headRow{Log: log, ID: []byte{}}
	err := tx.GetContext(ctx, &head, tx.Rebind("SELECT log, seq, id, forked FROM heads WHERE job = ? AND log = ?"), job, log)
	if err != nil && !errors.Is(err, stdsql.ErrNoRows) {
		return nil, err
	}
	if head.ID == nil {
		// A log whose first entry has not arrived has an empty head, which the
		// driver hands back as nil.
		head.ID = []byte{}
	}
	low := fresh[0].Seq
	for _, e := range fresh {
		low = min(low, e.Seq)
	}
	var places []placeRow
	const query = "SELECT seq, id, prev FROM entries WHERE job = ? AND log = ? AND seq >= ? ORDER BY seq, id"
	if err := tx.SelectContext(ctx, &places, tx.Rebind(query), job, log, min(low, head.Seq+1)); err != nil {
		return nil, err
	}
	ids := map[int64]int{}
	for _, p := range places {
		if ids[p.Seq]++; p.Seq == head.Seq+1 {
			if !bytes.Equal(p.Prev, head.ID) {
				head.Forked = 1 // it follows an entry that is not here: another branch's
			}
			head.Seq, head.ID = p.Seq, p.ID
		}
	}
	forks := forksIn(log, fresh, ids)
	if len(forks) > 0 {
		head.Forked = 1
	}
	return forks, saveHead(ctx, tx, job, head)
}

func saveHead(ctx context.Context, tx txn, job int64, head headRow) error {
	const save = `INSERT INTO heads (job, log, seq, id, forked) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (job, log) DO UPDATE SET seq = excluded.seq, id = excluded.id, forked = excluded.forked`
	_, err := tx.ExecContext(ctx, tx.Rebind(save), job, head.Log, head.Seq, head.ID, head.Forked)
	return err
}

// straightOn returns the head of a log as it is after a batch that is simply its next entries, with nothing held at their
// numbers or beyond; nil for any other batch. None of such a batch is held, since an id stands for one number of one log.
func straightOn(ctx context.Context, tx txn, job int64, batch []newEntry) (*headRow, error) {
	if len(batch) == 0 {
		return nil, nil
	}
	var row struct {
		headRow
		Beyond bool `db:"beyond"`
	}
	const query = `SELECT log, seq, id, forked, EXISTS (SELECT 1 FROM entries e WHERE e.job = heads.job AND e.log = heads.log AND e.seq > heads.seq) AS beyond
		FROM heads WHERE job = ? AND log = ?`
	// Where a log has no head nothing of it is held.
	if err := tx.GetContext(ctx, &row, tx.Rebind(query), job, batch[0].Log); err != nil && !errors.Is(err, stdsql.ErrNoRows) {
		return nil, err
	}
	head := headRow{Log: batch[0].Log, Seq: row.Seq, ID: row.ID, Forked: row.Forked}
	for _, e := range batch {
		if row.Beyond || e.Log != head.Log || e.Seq != head.Seq+1 || !bytes.Equal(e.prev, head.ID) {
			return nil, nil
		}
		head.Seq, head.ID = e.Seq, e.id[:]
	}
	return &head, nil
}

func forksIn(log entry.LogID, fresh []newEntry, ids map[int64]int) []store.Tip {
	var forks []store.Tip
	for _, e := range fresh {
		if ids[e.Seq] > 1 {
			forks = append(forks, store.Tip{Log: log, Seq: e.Seq, ID: e.ID})
		}
	}
	return forks
}

// reader is a transaction or a pool.
type reader interface {
	SelectContext(ctx context.Context, dest any, query string, args ...any) error
	GetContext(ctx context.Context, dest any, query string, args ...any) error
	Rebind(query string) string
}

// readHeads returns the heads by log, and for forked logs the entries that nothing held follows.
func readHeads(ctx context.Context, db reader, job int64) ([]store.Head, []store.Tip, error) {
	var rows []headRow
	const query = "SELECT log, seq, id, forked FROM heads WHERE job = ? ORDER BY log"
	if err := db.SelectContext(ctx, &rows, db.Rebind(query), job); err != nil {
		return nil, nil, err
	}
	heads := make([]store.Head, 0, len(rows))
	var tips []store.Tip
	for _, r := range rows {
		heads = append(heads, store.Head{Log: r.Log, Seq: r.Seq, ID: entry.ID(hex.EncodeToString(r.ID)), Forked: r.Forked == 1})
		if r.Forked == 0 {
			continue
		}
		more, err := readTips(ctx, db, job, r.Log)
		if err != nil {
			return nil, nil, err
		}
		tips = append(tips, more...)
	}
	return heads, tips, nil
}

func readTips(ctx context.Context, db reader, job int64, log entry.LogID) ([]store.Tip, error) {
	var rows []placeRow
	const query = `SELECT e.seq, e.id FROM entries e WHERE e.job = ? AND e.log = ? AND NOT EXISTS
		(SELECT 1 FROM entries f WHERE f.job = e.job AND f.log = e.log AND f.seq = e.seq + 1 AND f.prev = e.id) ORDER BY e.seq, e.id`
	if err := db.SelectContext(ctx, &rows, db.Rebind(query), job, log); err != nil {
		return nil, err
	}
	tips := make([]store.Tip, 0, len(rows))
	for _, r := range rows {
		tips = append(tips, store.Tip{Log: log, Seq: r.Seq, ID: entry.ID(hex.EncodeToString(r.ID))})
	}
	return tips, nil
}
