// Package phone is a phone of the workshop without a screen: it pairs, keeps its own copy of a job, hands in what it has and
// fetches what it lacks, over real HTTP, by schema/openapi.yaml. The demo, its check and the measurements use it.
//
// It promises what a real phone must: an entry stays in the queue until the office has acknowledged it; a lost reply, a
// repeated request or a server that has forgotten everything loses nothing and doubles nothing. It keeps all in memory.
package phone

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"time"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

var (
	// ErrNotOffice: something answered, but not the office that this phone is paired with. Nothing was handed over.
	ErrNotOffice = errors.New("that network answered, but not the office: nothing was handed over, all is still on this phone")
	// ErrDiffers: everything was handed in and fetched, and both sides still hold different entries.
	ErrDiffers = errors.New("this phone and the office hold different entries")
	// ErrNotPaired: Pair comes first.
	ErrNotPaired = errors.New("this phone is not paired: ask the lead for a code")
)

// maxReply bounds what is read of a reply that is no exchange.
const maxReply = 1 << 20

// Refused is what the office said instead of doing what was asked.
type Refused struct {
	Status     int
	Code, Says string
}

func (r Refused) Error() string {
	return fmt.Sprintf("the office says (%d, %s): %s", r.Status, r.Code, r.Says)
}

// Config says which phone it is. URL and Job are needed.
type Config struct {
	URL       string            // of the server, without a slash at the end
	Job       entry.JobID       // the job that it works on
	Name      string            // what the lead sees in the list of phones; "" = "phone"
	Of        string            // whose own phone it is: the key of a person; "" = the workshop's
	Log       entry.LogID       // "" = drawn at random
	Transport http.RoundTripper // nil = http.DefaultTransport; a test puts its faults here
	Now       func() time.Time  // nil = time.Now
	Core      string            // the calculations that it says it has, for the list of phones; "" = does not say how it stands
	Limit     int               // entries that a page brings; 0 = the server's choice
}

// Phone is one phone. It is used by one goroutine at a time.
type Phone struct {
	cfg    Config
	client *http.Client

	device, workspace, server, role string
	token                           string

	set     *reconcile.Set
	waiting []entry.Entry // not acknowledged yet, in the order in which they came
	refused []Bad

	log       entry.LogID
	seq       int64 // of the newest entry of the own log that is here
	prev      entry.ID
	whole     int64 // how far the own log is here without a hole
	continues entry.ID

	current, next string // the lease; next is "" until a request is on its way
	cursor        *Cursor
	restarted     bool
	results       Mark
	count         int64
}

// Bad is an entry that the office could not read as one.
type Bad struct {
	Entry entry.Entry
	Why   string
}

// Mark is what the office last said about its results. The zero Mark: nothing yet.
type Mark struct {
	Pos    int64  `json:"pos"`
	Digest string `json:"digest"`
	Core   string `json:"core"`
}

// New makes an unpaired phone with an empty copy.
func New(cfg Config) *Phone {
	if cfg.Name == "" {
		cfg.Name = "phone"
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.Log == "" {
		cfg.Log = entry.LogID(draw())
	}
	jar, _ := cookiejar.New(nil) // never fails without options
	return &Phone{
		cfg: cfg, client: &http.Client{Transport: cfg.Transport, Jar: jar}, set: reconcile.New(), log: cfg.Log, current: draw(),
	}
}

// draw returns 128 random bits as hex.
func draw() string {
	var b [16]byte
	if _, err := rand.Read(b[:]); err != nil {
		panic("bug: no randomness: " + err.Error())
	}
	return hex.EncodeToString(b[:])
}

// Pair trades a code for the phone's secret, which stays in its cookie jar, and buys the first token.
func (p *Phone) Pair(ctx context.Context, code string) error {
	var got struct{ Device, Workspace, Server, Role string }
	if err := p.post(ctx, "/api/v1/pair", map[string]string{"code": code, "name": p.cfg.Name}, &got); err != nil {
		return fmt.Errorf("pair: %w", err)
	}
	p.device, p.workspace, p.server, p.role = got.Device, got.Workspace, got.Server, got.Role
	return p.buyToken(ctx)
}

func (p *Phone) buyToken(ctx context.Context) error {
	var got struct{ Token string }
	if err := p.post(ctx, "/api/v1/token", map[string]string{}, &got); err != nil {
		return fmt.Errorf("buy token: %w", err)
	}
	p.token = got.Token
	return nil
}

// post sends JSON and reads JSON. Errors: Refused; ErrNotOffice if the reply is neither.
func (p *Phone) post(ctx context.Context, path string, in, out any) error {
	body, err := json.Marshal(in)
	if err != nil {
		return err
	}
	res, err := p.do(ctx, http.MethodPost, path, body, map[string]string{"Content-Type": "application/json"})
	if err != nil {
		return err
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusOK {
		return refusal(res)
	}
	if err := json.NewDecoder(io.LimitReader(res.Body, maxReply)).Decode(out); err != nil {
		return fmt.Errorf("%w (%v)", ErrNotOffice, err)
	}
	return nil
}

func (p *Phone) do(ctx context.Context, method, path string, body []byte, header map[string]string) (*http.Response, error) {
	req, err := http.NewRequestWithContext(ctx, method, p.cfg.URL+path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	for name, value := range header {
		req.Header.Set(name, value)
	}
	if p.token != "" {
		req.Header.Set("Authorization", "Bearer "+p.token)
	}
	return p.client.Do(req)
}

// refusal reads the office's words. A reply of another kind is not the office's.
func refusal(res *http.Response) error {
	var got struct{ Error struct{ Code, Says string } }
	err := json.NewDecoder(io.LimitReader(res.Body, maxReply)).Decode(&got)
	if err != nil || got.Error.Code == "" {
		return fmt.Errorf("%w (status %d)", ErrNotOffice, res.StatusCode)
	}
	return Refused{Status: res.StatusCode, Code: got.Error.Code, Says: got.Error.Says}
}

// Set is the phone's own copy. The caller reads it only.
func (p *Phone) Set() *reconcile.Set { return p.set }

// Waiting is how many entries the office has not acknowledged.
func (p *Phone) Waiting() int { return len(p.waiting) }

// Refused lists the entries that the office could not read.
func (p *Phone) Refused() []Bad { return p.refused }

// Results is what the office last said about its results.
func (p *Phone) Results() Mark { return p.results }

// Count is how many entries the office said it holds.
func (p *Phone) Count() int64 { return p.count }

// Device is the id that the server gave this phone; "" before Pair.
func (p *Phone) Device() string { return p.device }

// Log is the log that the phone writes.
func (p *Phone) Log() entry.LogID { return p.log }

// Carry takes an entry in that was written elsewhere, to hand it in. What the phone holds already is not queued again. An
// entry of the phone's own log moves its end. Errors: those of entry.Read.
func (p *Phone) Carry(raw []byte) error {
	e, err := entry.Read(raw)
	if err != nil {
		return err
	}
	if !p.take(e) {
		return nil
	}
	p.waiting = append(p.waiting, e)
	return nil
}

// take puts an entry into the copy and reports whether it was new.
func (p *Phone) take(e entry.Entry) bool {
	if !p.set.AddEntry(e) {
		return false
	}
	if e.Log == p.log && e.Seq > p.seq {
		p.seq, p.prev = e.Seq, e.ID
	}
	if e.Log == p.log && e.Seq == p.whole+1 {
		p.whole++
	}
	return true
}

// Write makes the next entry of the phone's own log and queues it. The draft says kind, body, by, over and after; a first
// entry that opens the log is written before it if the log is empty. At is now unless the draft says it.
func (p *Phone) Write(draft entry.Entry) (entry.Entry, error) {
	if p.seq == 0 && draft.Kind != "log" {
		if err := p.openLog(); err != nil {
			return entry.Entry{}, fmt.Errorf("open log: %w", err)
		}
	}
	draft.Job, draft.Log, draft.Seq, draft.Prev = p.cfg.Job, p.log, p.seq+1, p.prev
	if draft.At == "" {
		draft.At = p.cfg.Now().Format(time.RFC3339)
	}
	e, err := entry.Compose(draft)
	if err != nil {
		return entry.Entry{}, err
	}
	return e, p.Carry(e.Raw)
}

func (p *Phone) openLog() error {
	device := "own"
	if p.cfg.Of == "" {
		device = "workshop"
	}
	_, err := p.Write(entry.Entry{Kind: "log", By: p.cfg.Of, Body: jcs.Obj(
		jcs.M("device", jcs.Str(device)), jcs.M("name", jcs.Str(p.cfg.Name)), jcs.M("of", jcs.Opt(p.cfg.Of)),
		jcs.M("continues", jcs.Opt(string(p.continues))),
	)})
	return err
}

// newLog writes on in a log of its own: the office has seen another phone with the old one.
func (p *Phone) newLog() {
	p.continues = p.prev
	p.log, p.seq, p.whole, p.prev, p.current, p.next = entry.LogID(draw()), 0, 0, "", draw(), ""
}

// Repeat queues up to n entries again that were handed in before, as a phone does whose memory of it was lost.
func (p *Phone) Repeat(n int) {
	for _, h := range p.set.Heads() {
		if e, ok := p.set.Get(h.ID); ok && n > 0 {
			p.waiting, n = append(p.waiting, e), n-1
		}
	}
}
