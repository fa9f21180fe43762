package phone

import (
	"errors"
	"io"
	"math/rand/v2"
	"net/http"
)

// ErrLost is a request or a reply that got lost on the way.
var ErrLost = errors.New("lost on the way")

// BadNetwork loses requests before the server has them and replies after it has acted. It is used by one phone at a time.
type BadNetwork struct {
	Rng             *rand.Rand
	Request, Reply  int // how many of a hundred are lost
	Through         http.RoundTripper
	Lost, LostAfter int // what happened
}

// RoundTrip is http.RoundTripper's.
func (b *BadNetwork) RoundTrip(req *http.Request) (*http.Response, error) {
	if b.Rng.IntN(100) < b.Request {
		b.Lost++
		if req.Body != nil {
			_ = req.Body.Close() // nothing was sent
		}
		return nil, ErrLost
	}
	res, err := b.Through.RoundTrip(req)
	if err != nil || b.Rng.IntN(100) >= b.Reply {
		return res, err
	}
	b.LostAfter++
	// Read to the end, so that the server is known to have acted, and the connection is free again.
	_, err = io.Copy(io.Discard, res.Body)
	if err := errors.Join(err, res.Body.Close()); err != nil {
		return nil, err
	}
	return nil, ErrLost
}
