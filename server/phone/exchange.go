package phone

import (
	"bufio"
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"time"

	"github.com/klauspost/compress/gzip"

	"witnessmark/sync/entry"
)

// mediaType is the exchange's, both ways. A reply with another one is not the office's (T17).
const mediaType = "application/vnd.witnessmark.exchange+ndjson"

// zipFrom is the size in bytes from which a request is compressed.
const zipFrom = 1 << 10

type cursor struct {
	Epoch  string `json:"epoch"`
	Pos    int64  `json:"pos"`
	Digest string `json:"digest"`
}

type lease struct {
	Current string `json:"current"`
	Next    string `json:"next"`
}

type requestHead struct {
	V      int                   `json:"v"`
	Lease  lease                 `json:"lease"`
	Log    entry.LogID           `json:"log"`
	Cursor *cursor               `json:"cursor,omitempty"`
	Holds  map[entry.LogID]int64 `json:"holds"`
	Count  int                   `json:"count"`
	Digest string                `json:"digest"`
	Limit  int                   `json:"limit,omitempty"`
	Time   string                `json:"time"`
}

type serverHead struct {
	Seq    int64    `json:"seq"`
	ID     entry.ID `json:"id"`
	Forked bool     `json:"forked"`
}

type replyHead struct {
	V         int                        `json:"v"`
	Server    string                     `json:"server"`
	Workspace string                     `json:"workspace"`
	Job       entry.JobID                `json:"job"`
	Status    string                     `json:"status"`
	Stored    int                        `json:"stored"`
	Held      int                        `json:"held"`
	Heads     map[entry.LogID]serverHead `json:"heads"`
	Cursor    cursor                     `json:"cursor"`
	More      bool                       `json:"more"`
	Count     int64                      `json:"count"`
	Digest    string                     `json:"digest"`
	Results   *Mark                      `json:"results"`
	Bad       []struct {
		Line int    `json:"line"`
		Why  string `json:"why"`
	} `json:"bad"`
}

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
	head, err := json.Marshal(requestHead{
		V: 1, Lease: lease{p.current, p.next}, Log: p.log, Cursor: p.cursor, Holds: p.holds(), Count: p.set.Len(),
		Digest: hex.EncodeToString(sum[:]), Limit: p.cfg.Limit, Time: p.cfg.Now().Format(time.RFC3339),
	})
	if err != nil {
		return nil, err
	}
	body := append(head, '\n')
	for _, e := range batch {
		body = append(append(body, e.Raw...), '\n')
	}
	return body, nil
}

// holds says how far the phone has its own log without a hole. It names no other log: those it gets by its cursor.
func (p *Phone) holds() map[entry.LogID]int64 {
	if p.whole == 0 {
		return map[entry.LogID]int64{}
	}
	return map[entry.LogID]int64{p.log: p.whole}
}

func (p *Phone) send(ctx context.Context, body []byte) (replyHead, [][]byte, error) {
	header := map[string]string{"Content-Type": mediaType}
	if len(body) >= zipFrom {
		zipped, err := zip(body)
		if err != nil {
			return replyHead{}, nil, err
		}
		body, header["Content-Encoding"] = zipped, "gzip"
	}
	res, err := p.do(ctx, http.MethodPost, "/api/v1/jobs/"+string(p.cfg.Job)+"/exchange", body, header)
	if err != nil {
		return replyHead{}, nil, err
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusOK {
		return replyHead{}, nil, refusal(res)
	}
	if typ, _, err := mime.ParseMediaType(res.Header.Get("Content-Type")); err != nil || typ != mediaType {
		return replyHead{}, nil, ErrNotOffice
	}
	return p.read(res.Body)
}

func zip(body []byte) ([]byte, error) {
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestSpeed)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(body); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// read takes a reply in whole before anything of it counts: half a page is no page.
func (p *Phone) read(body io.Reader) (head replyHead, page [][]byte, err error) {
	lines := bufio.NewReaderSize(body, 64<<10)
	first, err := lines.ReadBytes('\n')
	if err != nil || json.Unmarshal(first, &head) != nil {
		return head, nil, ErrNotOffice
	}
	if head.V != 1 || head.Server != p.server || head.Workspace != p.workspace || head.Job != p.cfg.Job {
		return head, nil, ErrNotOffice
	}
	for {
		line, err := lines.ReadBytes('\n')
		if errors.Is(err, io.EOF) && len(line) == 0 {
			return head, page, nil
		}
		if err != nil {
			return head, nil, fmt.Errorf("the reply is cut off: %w", err)
		}
		page = append(page, bytes.TrimSuffix(line, []byte("\n")))
	}
}

// settle takes over what a reply says.
func (p *Phone) settle(head replyHead, batch []entry.Entry, page [][]byte) (done bool, err error) {
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
func (p *Phone) startAgain(head replyHead) {
	p.cursor, p.waiting = nil, nil
	for _, it := range p.set.Resolve().Ordered {
		if h := head.Heads[it.Log]; h.Forked || it.Seq > h.Seq {
			p.waiting = append(p.waiting, it.Entry)
		}
	}
}

// agrees compares both sides when all is handed in and fetched (T22). A difference is met once by offering everything and
// reading again; then it is an error.
func (p *Phone) agrees(head replyHead) (done bool, err error) {
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
	p.startAgain(replyHead{})
	return false, nil
}
