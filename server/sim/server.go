package sim

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"math"
	"net/http"
	"slices"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/api"
	"witnessmark/server/live"
	"witnessmark/server/office"
	"witnessmark/server/photos"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// server is the real one on a real store: its handlers are called without a socket between.
type server struct {
	h         *history
	ground    Ground
	store     *shaky // nil: not running
	handler   http.Handler
	access    *access.Access
	rooms     *office.Office
	workspace store.WorkspaceID

	twin       []entry.ID // what the timeline must hold, in its order: a naive copy of it
	index      map[entry.ID]bool
	generation int        // of twin: it goes up when the timeline is put back
	kept       []entry.ID // twin when the backup was made
	backedUp   bool
}

// What is kept of a server's data, by name.
const backup, leftByKill, unsynced = "backup", "left by a kill", "unsynced"

func newServer(h *history, ground Ground) *server {
	return &server{h: h, ground: ground, index: map[entry.ID]bool{}}
}

// start opens the store and wires what answers, as the program does. The office's own work is not started: it would run
// beside, and the seed could not decide when. The simulation asks for it instead (look).
func (o *server) start() error {
	st, err := o.ground.Open(o.h.ctx)
	if err != nil {
		return err
	}
	o.store = &shaky{Store: st, office: o}
	shared, err := st.Server(o.h.ctx)
	if err != nil {
		return err
	}
	ws, err := st.Workspace(o.h.ctx, "workshop", store.WorkspaceID(o.h.draw()), o.clock())
	if err != nil {
		return err
	}
	o.workspace = ws.ID
	quiet := slog.New(slog.NewTextHandler(io.Discard, nil))
	o.access = access.New(st, shared, o.clock)
	o.rooms = office.New(office.Config{Store: o.store, Now: o.clock, Log: quiet})
	o.handler = api.New(api.Config{
		Store: o.store, Server: shared, Access: o.access, Hub: live.NewHub(live.Config{}), Office: o.rooms,
		Photos: photos.New(st, photos.NewFolder(""), o.clock), Now: o.clock, Log: quiet,
	})
	return nil
}

func (o *server) clock() time.Time { return o.h.now }

func (o *server) stop() error {
	if o.store == nil {
		return nil
	}
	st := o.store.Store
	o.store = nil
	return st.Close()
}

func (o *server) has(id entry.ID) bool { return o.index[id] }

// took moves the twin on with what a batch brought.
func (o *server) took(batch []entry.Entry) {
	for _, e := range batch {
		if !o.index[e.ID] {
			o.index[e.ID], o.twin = true, append(o.twin, e.ID)
		}
	}
}

func (o *server) backUp() error {
	o.kept, o.backedUp = slices.Clone(o.twin), true
	if !o.ground.CopiesShut() {
		return o.ground.Copy(o.h.ctx, backup)
	}
	if err := o.stop(); err != nil {
		return err
	}
	if err := o.ground.Copy(o.h.ctx, backup); err != nil {
		return err
	}
	return o.start()
}

// restore puts the backup in place. A new epoch is what is done after it, unless somebody forgets.
func (o *server) restore(fresh bool) error {
	if err := o.stop(); err != nil {
		return err
	}
	if err := o.ground.PutBack(o.h.ctx, backup); err != nil {
		return err
	}
	o.twin, o.index = slices.Clone(o.kept), map[entry.ID]bool{}
	for _, id := range o.twin {
		o.index[id] = true
	}
	o.generation++
	for _, p := range o.h.phones {
		p.watched.met = 0
		p.disk.overtaken = p.disk.overtaken || !fresh
		if p.old != nil {
			p.old.overtaken = p.old.overtaken || !fresh
		}
	}
	if err := o.start(); err != nil || !fresh {
		return err
	}
	return o.store.NewEpoch(o.h.ctx, store.Line{At: o.clock(), Workspace: o.workspace, Action: access.ActionNewEpoch})
}

// kill ends the server between two instructions: what is on the disk at that moment is what it finds again. Everything
// that it acknowledged must be there.
func (o *server) kill() error {
	if err := o.crash(); err != nil {
		return err
	}
	if err := o.start(); err != nil {
		return err
	}
	ids, _, err := o.timeline()
	if err != nil {
		return err
	}
	o.compare(ids)
	return nil
}

// crash stops the server and leaves on the disk what was on it. Where the database is another process, a killed server leaves
// nothing in it that a stopped one does not.
func (o *server) crash() error {
	left := leftByKill
	switch {
	case o.h.without(commitFirst) && len(o.twin) > 0:
		left = unsynced
	case o.ground.CopiesShut():
		return o.stop()
	default:
		if err := o.ground.Copy(o.h.ctx, left); err != nil {
			return err
		}
	}
	if err := o.stop(); err != nil {
		return err
	}
	return o.ground.PutBack(o.h.ctx, left)
}

// compare holds the store against its twin.
func (o *server) compare(ids []entry.ID) {
	here := map[entry.ID]int{}
	double := 0
	for _, id := range ids {
		if here[id]++; here[id] > 1 {
			double++
		}
	}
	lost := 0
	for _, id := range o.twin {
		if here[id] == 0 {
			lost++
		}
	}
	o.h.broken(Lost, lost, "%d entries that the office had acknowledged are not in its store", lost)
	o.h.broken(Doubled, double, "%d entries are in the office's store twice", double)
	if !slices.Equal(ids, o.twin) {
		o.h.broken(Diverged, 1, "the office's store is in another order than it was written in: %d entries, %d expected", len(ids), len(o.twin))
	}
}

// timeline reads everything that the store holds of the job.
func (o *server) timeline() (ids []entry.ID, raws [][]byte, err error) {
	page, err := o.store.Page(o.h.ctx, store.PageQuery{
		Workspace: o.workspace, Job: o.h.job, Limit: math.MaxInt, Bytes: math.MaxInt,
	})
	for _, raw := range page.Entries {
		ids = append(ids, entry.Sum(raw))
	}
	return ids, page.Entries, err
}

// results is the digest of what the office works out from where it stood before.
func (o *server) results() (string, error) {
	rec, err := o.rooms.Look(o.h.ctx, o.workspace, o.h.job)
	if err != nil {
		return "", fmt.Errorf("the office works out the job: %w", err)
	}
	return rec.Digest, nil
}

// pair draws a code and trades it, as the lead and the phone do. The phone keeps everything that it has.
func (o *server) pair(p *phone) error {
	code, err := o.access.DrawCode(o.h.ctx, o.workspace, store.RoleFitter, "")
	if err != nil {
		return err
	}
	var got struct{ Device, Workspace, Server string }
	res, err := o.ask("/api/v1/pair", map[string]string{"code": code, "name": p.name}, nil, &got)
	if err != nil {
		return err
	}
	if res.StatusCode != http.StatusOK || len(res.Cookies()) != 1 {
		return fmt.Errorf("the office answers %s", res.Status)
	}
	p.who = identity{device: got.Device, workspace: got.Workspace, server: got.Server, cookie: res.Cookies()[0]}
	return nil
}

// buyToken gets the phone in. One that the office no longer knows, because it was put back to before, is paired again.
func (o *server) buyToken(p *phone) error {
	var got struct{ Token string }
	for range 2 {
		res, err := o.ask("/api/v1/token", map[string]string{}, p.who.cookie, &got)
		if err != nil {
			return err
		}
		if res.StatusCode == http.StatusOK {
			p.token = got.Token
			return nil
		}
		o.h.note("%s is paired again: %d", p.name, res.StatusCode)
		if err := o.pair(p); err != nil {
			return err
		}
	}
	return fmt.Errorf("%s cannot get in", p.name)
}

// ask posts JSON over a network without faults.
func (o *server) ask(path string, in any, cookie *http.Cookie, out any) (*http.Response, error) {
	body, err := json.Marshal(in)
	if err != nil {
		return nil, err
	}
	req, err := http.NewRequestWithContext(o.h.ctx, http.MethodPost, "http://office.test"+path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	if cookie != nil {
		req.AddCookie(cookie)
	}
	res, text := o.serve(req)
	return res, json.Unmarshal(text, out)
}

// serve calls the handlers. A nil response: the server cut the connection.
func (o *server) serve(req *http.Request) (*http.Response, []byte) {
	w := &written{header: http.Header{}}
	if aborted := w.by(o.handler, req); aborted {
		return nil, nil
	}
	return w.response(), w.body.Bytes()
}

// written takes down what a handler answers.
type written struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (w *written) Header() http.Header { return w.header }

func (w *written) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
}

func (w *written) Write(b []byte) (int, error) {
	w.WriteHeader(http.StatusOK)
	return w.body.Write(b)
}

// by lets a handler write. It reports whether the handler broke off, as the real server would cut the connection.
func (w *written) by(handler http.Handler, req *http.Request) (aborted bool) {
	defer func() {
		if fault := recover(); fault == http.ErrAbortHandler {
			aborted = true
		} else if fault != nil {
			panic(fault)
		}
	}()
	req.RemoteAddr = "192.0.2.1:1" // a documentation address (RFC 5737)
	handler.ServeHTTP(w, req)
	return false
}

func (w *written) response() *http.Response {
	return &http.Response{StatusCode: w.status, Status: http.StatusText(w.status), Header: w.header}
}

// blow is what strikes the server in its next append.
type blow int

const (
	noBlow      blow = iota
	beforeWrite      // the request is broken off before anything is written
	halfWay          // the transaction fails when part of it is written
	diskFull         // there is no room
	afterCommit      // the request is broken off when all is on the disk: no reply comes
)

// shaky is the real store, struck now and then.
type shaky struct {
	store.Store
	office *server
	next   blow
	cancel context.CancelFunc // of the request that is being served
}

// Append is the store's. What it took goes into the twin.
func (s *shaky) Append(ctx context.Context, in store.Handin) (store.Held, error) {
	blow := s.next
	s.next = noBlow
	switch blow {
	case beforeWrite:
		s.cancel()
	case diskFull:
		return store.Held{}, fmt.Errorf("append entries: %w", store.ErrFull)
	case halfWay:
		in.Entries = append(slices.Clip(in.Entries), unwritable(in))
	}
	if s.office.h.without(commitFirst) {
		if err := s.office.ground.Copy(ctx, unsynced); err != nil {
			return store.Held{}, err
		}
	}
	held, err := s.Store.Append(ctx, in)
	if err != nil {
		return held, err
	}
	if blow == beforeWrite || blow == halfWay {
		panic("bug: a write that was struck went through")
	}
	s.office.took(in.Entries)
	if blow == afterCommit {
		s.cancel()
	}
	return held, nil
}

// unwritable is a row that no database takes, because it has no bytes: it comes after the lease has moved and the batch is
// written.
func unwritable(in store.Handin) entry.Entry {
	return entry.Entry{ID: entry.Sum([]byte("unwritable")), Job: in.Job, Log: in.Log, Seq: 1}
}

// Page is the store's. Without the protection it recognises any cursor whose place there is.
func (s *shaky) Page(ctx context.Context, q store.PageQuery) (store.Page, error) {
	if s.office.h.without(cursorDigest) && q.After != nil && q.After.Pos > 0 {
		there, err := s.Store.Page(ctx, store.PageQuery{Workspace: q.Workspace, Job: q.Job, Limit: int(q.After.Pos), Bytes: math.MaxInt})
		if err != nil {
			return there, err
		}
		if there.Cursor.Pos == q.After.Pos {
			q.After = &there.Cursor
		}
	}
	return s.Store.Page(ctx, q)
}
