// Package live tells open sockets that there is more to read; it carries no data. A push that is lost, doubled or late
// changes nothing, because the phone reads by its cursor.
//
// One goroutine reads a socket and one writes it. A push only moves two numbers forward and wakes the writer, so a client
// that never reads holds up nobody and costs no memory. Silence is death: the server pings, and a socket from which
// nothing came for a ping and a grace is dropped. Every ping comes with a repeated message, because a browser's page
// cannot see ping frames.
package live

import (
	"context"
	"io"
	"log/slog"
	"sync"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

const (
	// PingEvery and Grace are T30.
	PingEvery = 25 * time.Second
	Grace     = 10 * time.Second
	// writeWithin is how long one small frame may take before the client counts as gone.
	writeWithin = 10 * time.Second
	// MaxMessage is the longest message a client may send, in bytes: a token and a little.
	MaxMessage = 4 << 10
)

// Config says what a hub runs on. The zero value of each field is useful.
type Config struct {
	Now   func() time.Time
	After func(time.Duration) <-chan time.Time // the timer of pings and of a token's end
	Ping  time.Duration
	Grace time.Duration
	Log   *slog.Logger
}

// Subscription is what a socket may hear about.
type Subscription struct {
	Workspace store.WorkspaceID
	Job       entry.JobID
	Device    store.DeviceID // "" for a view
	Link      store.LinkID   // "" for a device
	Ends      time.Time      // the socket ends with its token or cookie
	// Heads reads how far entries and results have come; results is -1 when there are none.
	Heads func(ctx context.Context) (entries, results int64, err error)
	// Message handles a message of the client's and returns the socket's new end. nil: a message ends the socket.
	Message func(ctx context.Context, msg []byte) (time.Time, error)
}

// Hub owns the set of sockets.
type Hub struct {
	cfg Config

	mu      sync.Mutex
	sockets map[*socket]struct{}
	closed  bool
	changed chan struct{} // closed and renewed when a socket comes or goes
}

// NewHub returns a hub without sockets.
func NewHub(cfg Config) *Hub {
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.After == nil {
		cfg.After = time.After
	}
	if cfg.Ping == 0 {
		cfg.Ping = PingEvery
	}
	if cfg.Grace == 0 {
		cfg.Grace = Grace
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.NewTextHandler(io.Discard, nil))
	}
	return &Hub{cfg: cfg, sockets: map[*socket]struct{}{}, changed: make(chan struct{})}
}

// Note wakes the sockets that a note is about. It never blocks.
func (h *Hub) Note(n store.Note) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for s := range h.sockets {
		s.hear(n)
	}
}

// Count is the number of open sockets.
func (h *Hub) Count() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.sockets)
}

// Until returns when the number of sockets is n.
func (h *Hub) Until(ctx context.Context, n int) error {
	for {
		h.mu.Lock()
		have, changed := len(h.sockets), h.changed
		h.mu.Unlock()
		if have == n {
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// Close ends every socket and refuses new ones.
func (h *Hub) Close() {
	h.mu.Lock()
	h.closed = true
	for s := range h.sockets {
		s.end("the server is closing")
	}
	h.mu.Unlock()
}

func (h *Hub) add(s *socket) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return false
	}
	h.sockets[s] = struct{}{}
	h.moved()
	return true
}

func (h *Hub) remove(s *socket) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.sockets, s)
	h.moved()
}

func (h *Hub) moved() {
	close(h.changed)
	h.changed = make(chan struct{})
}
