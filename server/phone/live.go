package phone

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"

	"github.com/gorilla/websocket"
)

// News is what the office says on the socket: how far it has come. It carries no data.
type News struct {
	More    int64 `json:"more"`    // position of the newest entry; 0 when it is about results
	Results int64 `json:"results"` // position of the newest results; 0 when it is about entries
}

// Follow opens the socket and returns its news until ctx ends, the office ends it or the connection breaks; then the channel
// is closed. The first news is how things stand. A reader that is slow gets the newest only as far as the office coalesces.
// It goes past Config.Transport. Errors: ErrNotPaired, and those of the connection.
func (p *Phone) Follow(ctx context.Context) (<-chan News, error) {
	if p.token == "" {
		return nil, ErrNotPaired
	}
	url := "ws" + strings.TrimPrefix(p.cfg.URL, "http") + "/api/v1/jobs/" + string(p.cfg.Job) + "/live"
	header := http.Header{"Origin": {p.cfg.URL}}
	conn, res, err := websocket.DefaultDialer.DialContext(ctx, url, header)
	if err != nil {
		return nil, fmt.Errorf("open socket: %w", err)
	}
	_ = res.Body.Close() // empty after an upgrade
	if err := conn.WriteJSON(map[string]string{"token": p.token}); err != nil {
		_ = conn.Close()
		return nil, fmt.Errorf("open socket: %w", err)
	}
	news := make(chan News, 16)
	stop := context.AfterFunc(ctx, func() { _ = conn.Close() })
	go func() {
		defer close(news)
		defer stop()
		defer conn.Close()
		for {
			_, text, err := conn.ReadMessage()
			if err != nil {
				return // the end of the socket is the end of the news
			}
			var n News
			if json.Unmarshal(text, &n) != nil {
				return
			}
			select {
			case news <- n:
			case <-ctx.Done():
				return
			}
		}
	}()
	return news, nil
}
