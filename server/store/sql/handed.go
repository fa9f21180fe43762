package sql

import (
	"context"
	"fmt"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// HandedIn lists the logs that a device was the last to write, the ones it wrote last at the end.
func (d *DB) HandedIn(ctx context.Context, ws store.WorkspaceID, device store.DeviceID) ([]store.HandedLog, error) {
	var rows []struct {
		Job   entry.JobID `db:"job"`
		Log   entry.LogID `db:"log"`
		Seq   int64       `db:"seq"`
		ID    []byte      `db:"id"`
		Moved int64       `db:"moved"`
	}
	const query = `SELECT j.job, l.log, h.seq, h.id, l.moved FROM leases l JOIN jobs j ON j.n = l.job
		JOIN heads h ON h.job = l.job AND h.log = l.log
		WHERE j.workspace = ? AND l.device = ? AND h.seq > 0 ORDER BY l.moved, j.job, l.log`
	if err := d.read.SelectContext(ctx, &rows, d.read.Rebind(query), ws, device); err != nil {
		return nil, fmt.Errorf("read what a device handed in: %w", err)
	}
	logs := make([]store.HandedLog, 0, len(rows))
	for _, r := range rows {
		logs = append(logs, store.HandedLog{
			Job: r.Job, Head: store.Head{Log: r.Log, Seq: r.Seq, ID: entry.ID(digestOf(r.ID).String())}, At: timeOf(r.Moved),
		})
	}
	return logs, nil
}
