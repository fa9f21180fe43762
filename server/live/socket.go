package live

import (
	"context"
	"strconv"
	"sync"
	"time"

	"github.com/gorilla/websocket"

	"witnessmark/server/store"
)

// socket is one client.
type socket struct {
	hub  *Hub
	conn *websocket.Conn
	sub  Subscription
	wake chan struct{} // holds one token: something changed
	done chan struct{} // closed when the socket is to end

	mu      sync.Mutex
	entries int64 // newest positions heard of; -1: none
	results int64
	reread  bool // notes may have been missed
	again   bool // say the position once more: the answer to a message
	ends    time.Time
	why     string // "" = not ending
}

// Serve runs a socket until it ends and closes conn. The caller has authorised the client.
func (h *Hub) Serve(ctx context.Context, conn *websocket.Conn, sub Subscription) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s := &socket{
		hub: h, conn: conn, sub: sub, wake: make(chan struct{}, 1), done: make(chan struct{}),
		entries: -1, results: -1, reread: true, ends: sub.Ends,
	}
	if !h.add(s) {
		_ = conn.Close() // the server is closing; the client will come back
		return
	}
	defer h.remove(s)
	s.rouse()
	reading := make(chan struct{})
	go func() {
		defer close(reading)
		s.read(ctx)
	}()
	s.write(ctx)
	// Abandoned, not closed politely: a client that has gone silent would not answer.
	if err := conn.Close(); err != nil {
		h.cfg.Log.Debug("close socket", "err", err)
	}
	<-reading
}

// hear takes a note in. The hub's lock is held.
func (s *socket) hear(n store.Note) {
	switch {
	case n.Lost:
		s.mu.Lock()
		s.reread = true
		s.mu.Unlock()
		s.rouse()
	case n.Revoked != "":
		if n.Workspace == s.sub.Workspace && n.Revoked == s.sub.Device {
			s.end("revoked")
		}
	case n.Link != "":
		if n.Link == s.sub.Link {
			s.end("revoked")
		}
	case n.Workspace == s.sub.Workspace && n.Job == s.sub.Job:
		s.move(n)
		s.rouse()
	}
}

// move merges a push into what waits to be said: only the newest position counts.
func (s *socket) move(n store.Note) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n.Results {
		s.results = max(s.results, n.Pos)
		return
	}
	s.entries = max(s.entries, n.Pos)
}

func (s *socket) rouse() {
	select {
	case s.wake <- struct{}{}:
	default: // it is awake already and will see what changed
	}
}

// end makes the writer say why and stop. Only the first call counts.
func (s *socket) end(why string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.why == "" {
		s.why = why
		close(s.done)
	}
}

// read takes in whatever the client sends: any frame is a sign of life.
func (s *socket) read(ctx context.Context) {
	s.conn.SetReadLimit(MaxMessage)
	s.alive()
	s.conn.SetPongHandler(func(string) error { s.alive(); return nil })
	for {
		_, msg, err := s.conn.ReadMessage()
		if err != nil {
			s.end("gone")
			return
		}
		s.alive()
		if s.sub.Message == nil {
			s.end("this socket only listens")
			return
		}
		ends, err := s.sub.Message(ctx, msg)
		if err != nil {
			s.end("unauthorized")
			return
		}
		s.mu.Lock()
		s.ends, s.again = ends, true
		s.mu.Unlock()
		s.rouse()
	}
}

func (s *socket) alive() {
	// A deadline that cannot be set belongs to a closed connection; the next read says so.
	_ = s.conn.SetReadDeadline(time.Now().Add(s.hub.cfg.Ping + s.hub.cfg.Grace))
}

// write says what is new until the socket ends.
func (s *socket) write(ctx context.Context) {
	ping := s.hub.cfg.After(s.hub.cfg.Ping)
	var saidEntries, saidResults int64 = -1, -1
	for {
		s.mu.Lock()
		left := s.ends.Sub(s.hub.cfg.Now())
		s.mu.Unlock()
		if left <= 0 {
			s.end("expired")
			s.bye()
			return
		}
		beat := false
		select {
		case <-s.done:
			s.bye()
			return
		case <-s.hub.cfg.After(left):
			continue
		case <-ping:
			ping, beat = s.hub.cfg.After(s.hub.cfg.Ping), true
		case <-s.wake:
		}
		entries, results := s.news(ctx)
		if !s.say("more", entries, &saidEntries, beat || s.asked()) || !s.say("results", results, &saidResults, false) || (beat && !s.ping()) {
			s.end("gone")
			return
		}
	}
}

// news is the newest positions, read from the store when notes may have been missed.
func (s *socket) news(ctx context.Context) (entries, results int64) {
	s.mu.Lock()
	reread := s.reread
	s.reread = false
	s.mu.Unlock()
	if reread {
		e, r, err := s.sub.Heads(ctx)
		if err != nil {
			s.hub.cfg.Log.Error("read heads for a socket", "err", err)
			s.mu.Lock()
			s.reread = true // the next wake or ping tries again
			s.mu.Unlock()
		}
		if err == nil {
			s.move(store.Note{Pos: e})
			s.move(store.Note{Pos: r, Results: true})
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.entries, s.results
}

// asked says once whether the client sent a message that is to be answered.
func (s *socket) asked() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	again := s.again
	s.again = false
	return again
}

// say sends {"what":pos} if it is news, or again on a beat. It reports whether the client still takes it.
func (s *socket) say(what string, pos int64, said *int64, again bool) bool {
	if pos < 0 || (pos == *said && !again) {
		return true
	}
	*said = pos
	if s.conn.SetWriteDeadline(time.Now().Add(writeWithin)) != nil {
		return false
	}
	return s.conn.WriteMessage(websocket.TextMessage, []byte(`{"`+what+`":`+strconv.FormatInt(pos, 10)+`}`)) == nil
}

func (s *socket) ping() bool {
	return s.conn.WriteControl(websocket.PingMessage, nil, time.Now().Add(writeWithin)) == nil
}

// bye tells the client why, if it still listens.
func (s *socket) bye() {
	s.mu.Lock()
	why := s.why
	s.mu.Unlock()
	if why == "gone" {
		return
	}
	_ = s.conn.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(websocket.ClosePolicyViolation, why),
		time.Now().Add(time.Second))
}
