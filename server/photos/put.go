package photos

import (
	"bytes"
	"context"
)

// Put takes a whole photo in at once, through the same checks as an upload in chunks; fresh is false if it was here already.
// It sets Offset and Body of u itself. Errors: those of Take.
func (p *Photos) Put(ctx context.Context, u Upload, data []byte) (fresh bool, err error) {
	u.Size = int64(len(data))
	if u.Size == 0 {
		return false, ErrSize
	}
	at, err := p.Offset(ctx, u.Workspace, u.SHA)
	for err == nil && !at.Whole {
		fresh = true
		u.Offset = at.Offset
		from := min(at.Offset, u.Size) // what lies here may be longer: Take knows what to do then
		u.Body = bytes.NewReader(data[from:min(from+MaxChunk, u.Size)])
		at, err = p.Take(ctx, u)
	}
	return fresh, err
}
