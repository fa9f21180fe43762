package api

import (
	"bufio"
	"context"
	"encoding/json"
	"net"
	"net/http"
	"time"

	"github.com/gorilla/websocket"

	"witnessmark/server/access"
	"witnessmark/server/live"
	"witnessmark/server/office"
	"witnessmark/server/store"
	"witnessmark/sync/entry"

	"errors"
)

// firstMessageWithin is how long a socket may be open before it says who it is.
const firstMessageWithin = 10 * time.Second

// Hijack lets the websocket library take the connection over.
func (w *replyWriter) Hijack() (net.Conn, *bufio.ReadWriter, error) {
	w.status = http.StatusSwitchingProtocols
	return http.NewResponseController(w.ResponseWriter).Hijack()
}

// upgrade turns a request into a socket. A socket needs an Origin from the list: one that sends none is no page of ours.
func (s *server) upgrade(w http.ResponseWriter, r *http.Request) (*websocket.Conn, error) {
	if !s.knownOrigin(r.Header.Get("Origin"), r) {
		return nil, errOrigin
	}
	up := websocket.Upgrader{
		HandshakeTimeout: firstMessageWithin, ReadBufferSize: 1024, WriteBufferSize: 1024,
		CheckOrigin: func(*http.Request) bool { return true }, // checked above, against the exact list
		Error:       func(http.ResponseWriter, *http.Request, int, error) {},
	}
	conn, err := up.Upgrade(w, r, nil)
	if err != nil {
		return nil, invalid("this route is a websocket")
	}
	return conn, nil
}

// liveDevice opens a phone's socket. The first message carries the access token, so it is in no URL and no log; a later
// one with a fresh token keeps the socket open.
func (s *server) liveDevice(w http.ResponseWriter, r *http.Request, _ who) error {
	job, err := jobID(r)
	if err != nil {
		return err
	}
	conn, err := s.upgrade(w, r)
	if err != nil {
		return err
	}
	ctx := context.WithoutCancel(r.Context())
	conn.SetReadLimit(live.MaxMessage)
	// A deadline that cannot be set belongs to a closed connection; the read below says so.
	_ = conn.SetReadDeadline(time.Now().Add(firstMessageWithin))
	_, msg, err := conn.ReadMessage()
	if err != nil {
		_ = conn.Close() // gone before it said anything
		return nil
	}
	dev, ends, err := s.tokenMessage(ctx, msg)
	if err != nil {
		_ = conn.WriteControl(websocket.CloseMessage,
			websocket.FormatCloseMessage(websocket.ClosePolicyViolation, "unauthorized"), time.Now().Add(time.Second))
		_ = conn.Close()
		return nil
	}
	s.Hub.Serve(ctx, conn, live.Subscription{
		Workspace: dev.Workspace, Job: job, Device: dev.ID, Ends: ends, Heads: s.heads(dev.Workspace, job),
		Message: func(ctx context.Context, msg []byte) (time.Time, error) {
			again, ends, err := s.tokenMessage(ctx, msg)
			if err == nil && again.ID != dev.ID {
				err = access.ErrDenied
			}
			return ends, err
		},
	})
	return nil
}

func (s *server) tokenMessage(ctx context.Context, msg []byte) (store.Device, time.Time, error) {
	var in struct{ Token string }
	if err := json.Unmarshal(msg, &in); err != nil {
		return store.Device{}, time.Time{}, access.ErrDenied
	}
	return s.Access.Device(ctx, in.Token)
}

// heads reads how far a job has come, for a socket that may have missed something.
func (s *server) heads(ws store.WorkspaceID, job entry.JobID) func(context.Context) (int64, int64, error) {
	return func(ctx context.Context) (entries, results int64, err error) {
		j, err := s.Store.Job(ctx, ws, job)
		if errors.Is(err, store.ErrNotFound) {
			return -1, -1, nil
		}
		if err != nil {
			return 0, 0, err
		}
		r, err := s.Store.ResultsMark(ctx, ws, job, office.CoreVersion)
		if errors.Is(err, store.ErrNotFound) {
			return j.Pos, -1, nil
		}
		return j.Pos, r.Pos, err
	}
}
