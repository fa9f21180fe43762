package phone

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"strconv"
)

// chunkSize is how much of a photo goes with one request, in bytes.
const chunkSize = 1 << 20

// SendPhoto hands in a photo's bytes from where the server is, and returns their name. After an error it may be called
// again: it goes on where it stopped.
func (p *Phone) SendPhoto(ctx context.Context, data []byte) (sha string, err error) {
	sum := sha256.Sum256(data)
	sha = hex.EncodeToString(sum[:])
	for {
		at, whole, err := p.photoOffset(ctx, sha)
		if err != nil || whole {
			return sha, err
		}
		if at < 0 || at >= int64(len(data)) {
			return sha, fmt.Errorf("%w: it has %d bytes of a photo of %d", ErrNotOffice, at, len(data))
		}
		if err := p.sendChunk(ctx, sha, at, data); err != nil {
			return sha, fmt.Errorf("send photo: %w", err)
		}
	}
}

func (p *Phone) photoOffset(ctx context.Context, sha string) (at int64, whole bool, err error) {
	res, err := p.do(ctx, http.MethodHead, "/api/v1/blobs/"+sha, nil, nil)
	if err != nil {
		return 0, false, err
	}
	defer res.Body.Close()
	at, err = strconv.ParseInt(res.Header.Get("Upload-Offset"), 10, 64)
	if res.StatusCode != http.StatusOK || err != nil {
		return 0, false, fmt.Errorf("%w (status %d)", ErrNotOffice, res.StatusCode)
	}
	return at, res.Header.Get("Upload-Complete") == "?1", nil
}

func (p *Phone) sendChunk(ctx context.Context, sha string, at int64, data []byte) error {
	res, err := p.do(ctx, http.MethodPatch, "/api/v1/blobs/"+sha, data[at:min(at+chunkSize, int64(len(data)))], map[string]string{
		"Content-Type":  "application/octet-stream",
		"Upload-Offset": strconv.FormatInt(at, 10), "Upload-Length": strconv.Itoa(len(data)),
	})
	if err != nil {
		return err
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusNoContent && res.StatusCode != http.StatusConflict { // conflict: ask again where it is
		return refusal(res)
	}
	return nil
}
