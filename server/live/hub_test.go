package live

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"witnessmark/server/store"
)

// stage is a hub behind a real listener; every socket subscribes to job "j" of workspace "w".
type stage struct {
	*Hub
	t     *testing.T
	url   string
	head  atomic.Int64
	beats chan time.Time // fires the sockets' ping timers
}

func newStage(t *testing.T, cfg Config) *stage {
	t.Helper()
	s := &stage{t: t, beats: make(chan time.Time)}
	if cfg.After == nil {
		cfg.After = func(d time.Duration) <-chan time.Time {
			if d == PingEvery {
				return s.beats
			}
			return nil // a token that outlives the test
		}
	}
	s.Hub = NewHub(cfg)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		up := websocket.Upgrader{}
		conn, err := up.Upgrade(w, r, nil)
		if err != nil {
			t.Errorf("Upgrade: %v", err)
			return
		}
		if r.URL.RawQuery == narrow {
			_ = conn.UnderlyingConn().(*net.TCPConn).SetWriteBuffer(small)
		}
		s.Serve(context.Background(), conn, Subscription{
			Workspace: "w", Job: "j", Device: "d", Ends: time.Now().Add(time.Hour),
			Heads: func(context.Context) (int64, int64, error) { return s.head.Load(), -1, nil },
		})
	}))
	t.Cleanup(func() { s.Close(); server.Close() })
	s.url = "ws" + strings.TrimPrefix(server.URL, "http")
	return s
}

// narrow asks for a line of which the system holds no more than small for either side, in bytes: or it would read for a client
// that does not. Such a line is slow for one who reads, too.
const (
	narrow = "narrow"
	small  = 4 << 10
)

func (s *stage) dial() *websocket.Conn { return s.dialled(websocket.DefaultDialer, s.url) }

func (s *stage) dialNarrow() *websocket.Conn {
	return s.dialled(&websocket.Dialer{NetDialContext: func(ctx context.Context, network, addr string) (net.Conn, error) {
		conn, err := (&net.Dialer{}).DialContext(ctx, network, addr)
		if err == nil {
			err = conn.(*net.TCPConn).SetReadBuffer(small)
		}
		return conn, err
	}}, s.url+"?"+narrow)
}

func (s *stage) dialled(dialer *websocket.Dialer, url string) *websocket.Conn {
	s.t.Helper()
	conn, _, err := dialer.DialContext(s.t.Context(), url, nil)
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = conn.Close() })
	return conn
}

func next(t *testing.T, conn *websocket.Conn) string {
	t.Helper()
	_, msg, err := conn.ReadMessage()
	if err != nil {
		t.Fatal(err)
	}
	return string(msg)
}

func TestPushes(t *testing.T) {
	s := newStage(t, Config{})
	s.head.Store(3)
	conn := s.dial()
	want := func(expect string) {
		t.Helper()
		if got := next(t, conn); got != expect {
			t.Errorf("push = %s, want %s", got, expect)
		}
	}
	want(`{"more":3}`)
	s.Note(store.Note{Workspace: "w", Job: "j", Pos: 4, Results: true})
	want(`{"results":4}`)
	s.Note(store.Note{Workspace: "w", Job: "j", Pos: 2}) // late: it changes nothing
	s.beats <- time.Now()
	want(`{"more":3}`)
	s.Note(store.Note{Workspace: "w", Job: "other", Pos: 9})
	s.Note(store.Note{Workspace: "other", Job: "j", Pos: 9})
	s.Note(store.Note{Workspace: "other", Revoked: "d"})
	s.Note(store.Note{Workspace: "w", Job: "j", Pos: 5})
	want(`{"more":5}`)
	s.head.Store(8)
	s.Note(store.Note{Lost: true})
	want(`{"more":8}`)
	s.beats <- time.Now()
	want(`{"more":8}`)
}

// TestStalled is T32: one client that never reads harms nobody, and pushes to it are merged, not kept.
func TestStalled(t *testing.T) {
	s := newStage(t, Config{})
	stalled := s.dialNarrow()
	conns := make([]*websocket.Conn, 49)
	for i := range conns {
		conns[i] = s.dial()
	}
	if err := s.Until(t.Context(), 50); err != nil {
		t.Fatal(err)
	}
	const last = 20_000
	for pos := int64(1); pos <= last; pos++ {
		s.Note(store.Note{Workspace: "w", Job: "j", Pos: pos})
	}
	for _, conn := range conns {
		for next(t, conn) != fmt.Sprintf(`{"more":%d}`, last) {
		}
	}
	said, msg := 0, ""
	for msg != fmt.Sprintf(`{"more":%d}`, last) {
		msg = next(t, stalled)
		said++
	}
	if said > last/4 {
		t.Errorf("%d pushes were kept for the one that did not read", said)
	}
	_ = stalled.Close()
	for _, conn := range conns {
		_ = conn.Close()
	}
	if err := s.Until(t.Context(), 0); err != nil {
		t.Error(err)
	}
}

// TestSilence is T30: a client that says nothing, not even pong, is dropped after a ping and a grace.
func TestSilence(t *testing.T) {
	s := newStage(t, Config{Ping: time.Millisecond, Grace: 50 * time.Millisecond, After: time.After})
	conn := s.dial()
	conn.SetPingHandler(func(string) error { return nil })
	go func() {
		for {
			if _, _, err := conn.ReadMessage(); err != nil {
				return
			}
		}
	}()
	if err := s.Until(t.Context(), 0); err != nil {
		t.Error(err)
	}
}

// TestAnswering: pongs alone keep a socket open, far past the grace.
func TestAnswering(t *testing.T) {
	s := newStage(t, Config{Ping: 5 * time.Millisecond, Grace: 2 * time.Second, After: time.After})
	conn := s.dial()
	for range 200 {
		next(t, conn)
	}
	if s.Count() != 1 {
		t.Errorf("%d sockets, want 1", s.Count())
	}
}

func TestClosedHub(t *testing.T) {
	s := newStage(t, Config{})
	s.Close()
	conn := s.dial()
	if _, _, err := conn.ReadMessage(); err == nil {
		t.Error("a closed hub took a socket")
	}
}
