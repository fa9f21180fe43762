package photos

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"

	"witnessmark/server/store"
)

const (
	// printEdge is the longest edge of a picture in a printed book: 280 dots an inch on half the width of a page.
	printEdge = 1000
	// printQuality is JPEG's: about 150 kB for a photo of that size.
	printQuality = 75
)

// Print returns the derivative of a picture at the size of a printed page, as JPEG; nil when it has not arrived, or is no
// picture. The same picture gives the same bytes.
func (p *Photos) Print(ctx context.Context, ws store.WorkspaceID, sha string) ([]byte, error) {
	f, err := p.Picture(ctx, ws, sha)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }() // only read
	p.decoding.Lock()
	defer p.decoding.Unlock()
	src, _, err := image.Decode(f)
	if err != nil {
		return nil, fmt.Errorf("read derivative: %w", err)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, shrink(src, printEdge), &jpeg.Options{Quality: printQuality}); err != nil {
		return nil, fmt.Errorf("encode for print: %w", err)
	}
	return out.Bytes(), nil
}
