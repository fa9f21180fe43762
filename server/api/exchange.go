package api

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/office"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// exchange takes in what the phone has and brings what it lacks, in one request. Everything well-formed is stored first, in
// one transaction; what cannot be read as a link is reported by its line and disturbs nothing else. When the reply begins,
// what was stored is on disk.
func (s *server) exchange(w http.ResponseWriter, r *http.Request, c who) error {
	job, err := jobID(r)
	if err != nil {
		return err
	}
	in, err := readExchange(r, job)
	if err != nil {
		return err
	}
	held, err := s.handIn(r.Context(), job, c.device, in)
	if err != nil {
		return err
	}
	page, ok := held.Rest(in.after(), in.Holds)
	if !ok {
		page, err = s.Store.Page(r.Context(), store.PageQuery{
			Workspace: c.device.Workspace, Job: job, After: in.after(), Holds: in.Holds, Limit: in.limit(), Bytes: maxPageBytes,
		})
	}
	if err != nil {
		return err
	}
	return writeExchange(w, r, s.replyHead(c.device, job, in, held, page), page.Entries)
}

// handIn stores a batch and tells the office and the sockets. A viewer only looks.
func (s *server) handIn(ctx context.Context, job entry.JobID, dev store.Device, in exchangeIn) (store.Held, error) {
	if !dev.Role.Writes() {
		if len(in.entries) > 0 || len(in.bad) > 0 {
			return store.Held{}, errRole
		}
		if state := in.state(s.Now()); state != nil {
			if err := s.Store.NoteState(ctx, dev.ID, *state); err != nil {
				return store.Held{}, err
			}
		}
		held, err := s.Store.Held(ctx, dev.Workspace, job)
		if err != nil {
			return held, err
		}
		held.Mark, err = s.mark(ctx, dev.Workspace, job)
		return held, err
	}
	held, err := s.append(ctx, job, dev, in)
	if err != nil {
		return store.Held{}, err
	}
	s.afterwards(ctx, job, dev, in, held)
	return held, nil
}

// append stores a batch. While the disk takes it the office works on it already.
func (s *server) append(ctx context.Context, job entry.JobID, dev store.Device, in exchangeIn) (store.Held, error) {
	now := s.Now()
	var ahead *office.Ahead
	stands := false
	defer func() { ahead.Ended(stands) }() // after a panic too
	held, err := s.Store.Append(ctx, store.Handin{
		Workspace: dev.Workspace, Job: job, Device: dev.ID, Log: in.Log, Lease: in.lease(), Entries: in.entries,
		At: now, Offset: in.offset(now), State: in.state(now), Core: office.CoreVersion,
		Written: func(added store.Added) { ahead = s.Office.Ahead(dev.Workspace, job, added, in.entries) },
	})
	stands = err == nil
	return held, err
}

// afterwards is what follows a commit. Nothing here may undo the acknowledgement, so faults are only logged.
func (s *server) afterwards(ctx context.Context, job entry.JobID, dev store.Device, in exchangeIn, held store.Held) {
	ctx = context.WithoutCancel(ctx)
	s.metrics.entries(held.Stored, held.Known, len(in.bad))
	if held.Stored > 0 {
		if err := s.Store.Publish(ctx, store.Note{Workspace: dev.Workspace, Job: job, Pos: held.Job.Pos}); err != nil {
			s.Log.Error("tell the sockets", "job", job, "err", err)
		}
		s.Office.Handed(dev.Workspace, job, held.Added, in.entries)
	} else if held.Known > 0 && (held.Mark == nil || held.Mark.Pos < held.Job.Pos) {
		s.Office.Nudge(dev.Workspace, job) // a commit in doubt: the entries stood, and nobody was told
	}
	line := func(action, subject, detail string) {
		err := s.Store.Audit(ctx, store.Line{
			At: s.Now(), Workspace: dev.Workspace, Device: dev.ID, Action: action, Subject: subject, Detail: detail,
		})
		if err != nil {
			s.Log.Error("write audit line", "action", action, "err", err)
		}
	}
	for _, t := range held.Forked {
		line(access.ActionFork, string(t.Log), "at "+strconv.FormatInt(t.Seq, 10))
	}
	for _, c := range held.Carried { // by right after a restore (T21); otherwise somebody wrote in another's log
		line(access.ActionCarry, string(c.Writer), fmt.Sprintf("%d, log %.8s", c.Count, c.Log))
	}
	if held.Clone {
		line(access.ActionClone, string(in.Log), "")
	}
	if len(in.bad) > 0 {
		line(access.ActionRefuse, string(job), fmt.Sprintf("%d lines, the first: %s", len(in.bad), in.bad[0].Why))
	}
}

// forked says whether two phones have written at one place of a log: whichever asks goes on in a new one.
func forked(heads []store.Head, log entry.LogID) bool {
	return slices.ContainsFunc(heads, func(h store.Head) bool { return h.Log == log && h.Forked })
}

func (s *server) mark(ctx context.Context, ws store.WorkspaceID, job entry.JobID) (*store.Mark, error) {
	m, err := s.Store.ResultsMark(ctx, ws, job, office.CoreVersion)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	return &m, err
}

func (s *server) replyHead(dev store.Device, job entry.JobID, in exchangeIn, held store.Held, page store.Page) replyHead {
	head := replyHead{
		V: wireVersion, Server: s.Server.ID, Workspace: dev.Workspace, Job: job, Status: statusOK,
		Stored: held.Stored, Held: held.Known, Bad: in.bad, Heads: map[entry.LogID]wireHead{},
		Cursor: wireCursor{Epoch: page.Cursor.Epoch, Pos: page.Cursor.Pos, Digest: page.Cursor.Digest.String()},
		More:   page.More, Jobs: held.Jobs, Count: held.Job.Pos, Digest: held.Job.Sum.String(), Time: s.Now().UTC().Format(time.RFC3339),
	}
	// 'start again' comes first: a clone is found at the next exchange too, but a phone that has lost its place must not
	// write on before it has read again.
	if held.Clone || forked(held.Heads, in.Log) {
		head.Status = statusNewLog
	}
	if page.Unknown {
		head.Status = statusStartAgain
	}
	if held.Mark != nil {
		head.Results = &resultsMark{Pos: held.Mark.Pos, Digest: held.Mark.Digest, Core: office.CoreVersion}
	}
	for _, h := range held.Heads {
		head.Heads[h.Log] = wireHead{Seq: h.Seq, ID: h.ID, Forked: h.Forked}
	}
	for _, t := range held.Tips {
		h := head.Heads[t.Log]
		h.Tips = append(h.Tips, wireTip{Seq: t.Seq, ID: t.ID})
		head.Heads[t.Log] = h
	}
	return head
}

// jobID reads the job from the path. Errors: store.ErrNotFound for what can be nobody's.
func jobID(r *http.Request) (entry.JobID, error) {
	id := r.PathValue("job")
	if !isHex(id, 32) {
		return "", store.ErrNotFound
	}
	return entry.JobID(id), nil
}

// isHex says whether s is n lower hex digits.
func isHex(s string, n int) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(s) == n && hex.EncodeToString(b) == s
}
