package phone

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"time"

	"witnessmark/sync/entry"
)

// Exchange hands in everything that waits and fetches everything that the phone lacks. After an error it may be called again
// at any time: what was not acknowledged is still queued. Errors: ErrNotPaired, ErrNotOffice, ErrDiffers, Refused, and those
// of the transport.
func (p *Phone) Exchange(ctx context.Context) error {
	for {
		done, err := p.ExchangeOnce(ctx)
		if err != nil || done {
			return err
		}
	}
}

// ExchangeOnce sends one request; done says that nothing waits and nothing is left to fetch.
func (p *Phone) ExchangeOnce(ctx context.Context) (done bool, err error) {
	if p.token == "" {
		return false, ErrNotPaired
	}
	batch := p.batch()
	body, err := p.request(batch)
	if err != nil {
		return false, err
	}
	head, page, err := p.send(ctx, body)
	if refused := (Refused{}); errors.As(err, &refused) && refused.Status == http.StatusUnauthorized {
		if err := p.buyToken(ctx); err != nil {
			return false, err
		}
		head, page, err = p.send(ctx, body)
	}
	if err != nil {
		return false, fmt.Errorf("exchange: %w", err)
	}
	return p.settle(head, batch, page)
}

// batch is what goes with the next request: the first of what waits, within the limits of one exchange.
func (p *Phone) batch() []entry.Entry {
	size := 0
	for i, e := range p.waiting {
		if size += len(e.Raw); i == entry.MaxBatchEntries || size > entry.MaxBatchBytes {
			return p.waiting[:i]
		}
	}
	return p.waiting
}

// request draws the next lease before anything is sent; a request that failed goes again with the same pair.
func (p *Phone) request(batch []entry.Entry) ([]byte, error) {
	if p.next == "" {
		p.next = draw()
	}
	sum := p.set.Digest()
	var stands *Standing
	if p.cfg.Core != "" {
		stands = &Standing{Core: p.cfg.Core, Unsent: len(p.waiting) - len(batch)}
	}
	return Body(RequestHead{
		V: 1, Lease: &Lease{p.current, p.next}, Log: p.log, Cursor: p.cursor, Holds: p.holds(len(batch)), Count: p.set.Len(),
		Digest: hex.EncodeToString(sum[:]), Limit: p.cfg.Limit, Time: p.cfg.Now().Format(time.RFC3339),
		Phone: stands,
	}, batch)
}

// holds says how far the office need not send the phone's own log back: it is here without a hole, and sent. What waits
// beyond may stand in another branch there. It names no other log: those the phone gets by its cursor.
func (p *Phone) holds(sent int) map[entry.LogID]int64 {
	upTo := p.whole
	for _, e := range p.waiting[sent:] {
		if e.Log == p.log {
			upTo = min(upTo, e.Seq-1)
		}
	}
	if upTo == 0 {
		return map[entry.LogID]int64{}
	}
	return map[entry.LogID]int64{p.log: upTo}
}

func (p *Phone) send(ctx context.Context, body []byte) (ReplyHead, [][]byte, error) {
	body, header, err := Pack(body)
	if err != nil {
		return ReplyHead{}, nil, err
	}
	res, err := p.do(ctx, http.MethodPost, "/api/v1/jobs/"+string(p.cfg.Job)+"/exchange", body, header)
	if err != nil {
		return ReplyHead{}, nil, err
	}
	defer res.Body.Close()
	return ReadReply(res, Expect{Server: p.server, Workspace: p.workspace, Job: p.cfg.Job})
}

// settle takes over what a reply says.
func (p *Phone) settle(head ReplyHead, batch []entry.Entry, page [][]byte) (done bool, err error) {
	if head.Stored+head.Held+len(head.Bad) != len(batch) {
		return false, fmt.Errorf("%w: %d sent, %d acknowledged", ErrNotOffice, len(batch), head.Stored+head.Held)
	}
	for _, b := range head.Bad {
		if i := b.Line - 2; i >= 0 && i < len(batch) { // line 1 was the head
			p.refused = append(p.refused, Bad{Entry: batch[i], Why: b.Why})
		}
	}
	p.waiting = p.waiting[len(batch):]
	p.current, p.next, p.count = p.next, "", head.Count
	if head.Results != nil {
		p.results = *head.Results
	}
	if head.Status == "new log" {
		p.newLog()
	}
	if head.Status == "start again" {
		p.startAgain(head)
		return false, nil
	}
	for _, raw := range page {
		e, err := entry.Read(raw)
		if err != nil {
			return false, fmt.Errorf("%w: %v", ErrNotOffice, err)
		}
		p.take(e)
	}
	p.cursor = &head.Cursor
	return p.agrees(head)
}

// startAgain reads from the beginning and first offers every entry that the server may lack, of any log (T21).
func (p *Phone) startAgain(head ReplyHead) {
	beginning := Beginning(head.Cursor.Epoch)
	p.cursor, p.waiting = &beginning, nil
	there := p.behind(head.Heads)
	for _, it := range p.set.Resolve().Ordered {
		if !there[it.ID] {
			p.waiting = append(p.waiting, it.Entry)
		}
	}
}

// behind is what the office has for certain: the chain behind each head. The rest of a log may be another branch than the
// one that is there.
func (p *Phone) behind(heads map[entry.LogID]LogHead) map[entry.ID]bool {
	there := map[entry.ID]bool{}
	for _, head := range heads {
		e, ok := p.set.Get(head.ID)
		for ok && !head.Forked {
			there[e.ID] = true
			e, ok = p.set.Get(e.Prev)
		}
	}
	return there
}

// agrees compares both sides when all is handed in and fetched (T22). A difference is met once by offering everything and
// reading again; then it is an error.
func (p *Phone) agrees(head ReplyHead) (done bool, err error) {
	if len(p.waiting) > 0 || head.More || head.Cursor.Pos != head.Count {
		return false, nil
	}
	sum := p.set.Digest()
	if int64(p.set.Len()-len(p.refused)) == head.Count && (len(p.refused) > 0 || hex.EncodeToString(sum[:]) == head.Digest) {
		p.restarted = false
		return true, nil
	}
	if p.restarted {
		return false, fmt.Errorf("%w: %d here, %d there", ErrDiffers, p.set.Len(), head.Count)
	}
	p.restarted = true
	p.startAgain(ReplyHead{Cursor: head.Cursor})
	return false, nil
}
