package api

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/klauspost/compress/gzip"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// mediaType is the exchange's, both ways. A reply with another one was not ours (T17).
const mediaType = "application/vnd.witnessmark.exchange+ndjson"

const (
	wireVersion = 1
	// maxHead is the longest first line: it names every log that the phone holds, 45 bytes each.
	maxHead = 256 << 10
	// maxRequest bounds the body as sent, compressed or not.
	maxRequest = maxHead + entry.MaxBatchBytes + entry.MaxBatchEntries
	// A page goes out with at most this; a phone may ask for less.
	maxPage      = 5000
	defaultPage  = 500
	maxPageBytes = 4 << 20
	// maxLease is the longest lease number, in letters.
	maxLease = 128
)

const (
	statusOK         = "ok"
	statusStartAgain = "start again"
	statusNewLog     = "new log"
)

type wireCursor struct {
	Epoch  string `json:"epoch"`
	Pos    int64  `json:"pos"`
	Digest string `json:"digest"`
}

// requestHead is the first line of a request.
type requestHead struct {
	V     int `json:"v"`
	Lease *struct {
		Current string `json:"current"`
		Next    string `json:"next"`
	} `json:"lease"`
	Log    entry.LogID           `json:"log"`
	Cursor *wireCursor           `json:"cursor"`
	Holds  map[entry.LogID]int64 `json:"holds"`
	Count  int64                 `json:"count"`
	Digest string                `json:"digest"`
	Limit  int                   `json:"limit"`
	Lines  *int                  `json:"lines"` // how many lines follow; nil = not said
	Time   string                `json:"time"`  // the phone's clock now, RFC 3339; "" = not said
	Phone  *struct {
		App    string `json:"app"`
		Core   string `json:"core"`
		Unsent int64  `json:"unsent"` // entries that stay only on the phone when this request is through
		Photos int64  `json:"photos"`
	} `json:"phone"` // nil = not said
}

// badLine is a line that could not be stored. Line 1 is the head, so the first entry is line 2.
type badLine struct {
	Line int    `json:"line"`
	Why  string `json:"why"`
}

// exchangeIn is a request as read.
type exchangeIn struct {
	requestHead
	entries []entry.Entry
	bad     []badLine
}

func (in exchangeIn) lease() store.Lease {
	if in.Lease == nil {
		return store.Lease{}
	}
	return store.Lease{Current: in.Lease.Current, Next: in.Lease.Next}
}

// after is the cursor; one that cannot be read is one that the store will not recognise.
func (in exchangeIn) after() *store.Cursor {
	if in.Cursor == nil {
		return nil
	}
	c := store.Cursor{Epoch: in.Cursor.Epoch, Pos: in.Cursor.Pos}
	d, err := store.ParseDigest(in.Cursor.Digest)
	if err != nil {
		c.Epoch = ""
	}
	c.Digest = d
	return &c
}

func (in exchangeIn) limit() int {
	if in.Limit <= 0 {
		return defaultPage
	}
	return min(in.Limit, maxPage)
}

// offset is the phone's clock minus ours; 0 when it did not say.
func (in exchangeIn) offset(now time.Time) time.Duration {
	t, err := time.Parse(time.RFC3339, in.Time)
	if err != nil {
		return 0
	}
	return t.Sub(now)
}

// state is how the phone stands; nil when it did not say.
func (in exchangeIn) state(now time.Time) *store.PhoneState {
	p := in.Phone
	if p == nil {
		return nil
	}
	return &store.PhoneState{
		Seen: now, App: p.App, Core: p.Core, Unsent: max(0, p.Unsent), Photos: max(0, p.Photos), Offset: in.offset(now),
	}
}

// readExchange reads the head and every entry line. Errors: failure for a request that is not an exchange or is too large.
func readExchange(r *http.Request, job entry.JobID) (exchangeIn, error) {
	if typ, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || typ != mediaType {
		return exchangeIn{}, failure{status: http.StatusUnsupportedMediaType, code: codeInvalid, says: "the body must be " + mediaType}
	}
	body, err := unzipped(r)
	if err != nil {
		return exchangeIn{}, err
	}
	lines := readers.Get().(*bufio.Reader)
	defer func() {
		lines.Reset(nil)
		readers.Put(lines)
	}()
	lines.Reset(&bounded{r: body, left: maxRequest})
	head, _, err := readLine(lines, maxHead)
	if err != nil && !errors.Is(err, io.EOF) {
		return exchangeIn{}, unreadable(err)
	}
	var in exchangeIn
	if err := json.Unmarshal(head, &in.requestHead); err != nil {
		return exchangeIn{}, invalid("the first line is not the head of an exchange")
	}
	if err := in.checkHead(); err != nil {
		return exchangeIn{}, err
	}
	return in, in.readEntries(lines, job)
}

// readers are kept: one takes more memory than all else of a small request.
var readers = sync.Pool{New: func() any { return bufio.NewReaderSize(nil, 32<<10) }}

func unzipped(r *http.Request) (io.Reader, error) {
	switch r.Header.Get("Content-Encoding") {
	case "", "identity":
		return r.Body, nil
	case "gzip":
		z, err := gzip.NewReader(r.Body)
		if err != nil {
			return nil, unreadable(err)
		}
		return z, nil
	}
	return nil, failure{status: http.StatusUnsupportedMediaType, code: codeInvalid, says: "the body may be gzip or plain"}
}

var errBatch = tooLarge("a batch has at most 500 entries and 1 MiB: send the rest with the next one")

// bounded ends with errBatch, not with io.EOF, when more comes than may: what a small gzip body unfolds to is bounded too.
type bounded struct {
	r    io.Reader
	left int64
}

func (b *bounded) Read(p []byte) (int, error) {
	if b.left < 0 {
		return 0, errBatch
	}
	n, err := b.r.Read(p[:min(int64(len(p)), b.left+1)])
	b.left -= int64(n)
	return n, err
}

// unreadable keeps the errors that fail knows and calls the rest a broken body.
func unreadable(err error) error {
	var big *http.MaxBytesError
	if errors.As(err, &big) || errors.Is(err, errBatch) {
		return errBatch
	}
	return errCut
}

// errCut: a cut that falls on the end of a line looks whole, and one within a line like an entry that cannot be read. Both
// sides say how many lines follow the head, so that neither is taken for what it is not.
var errCut = invalid("the body is cut off or damaged: send it again")

func (in exchangeIn) checkHead() error {
	switch {
	case in.V != wireVersion:
		return invalid("this server speaks version 1 of the exchange: bring the app up to date")
	case in.Log != "" && !isHex(string(in.Log), 32):
		return invalid("the log's name is not 32 hex digits")
	case in.Lease != nil && (in.Log == "" || !leaseOK(in.Lease.Current) || !leaseOK(in.Lease.Next)):
		return invalid("the lease is not readable")
	}
	return nil
}

func leaseOK(s string) bool { return s != "" && len(s) <= maxLease && isHex(s, len(s)) }

// readEntries sorts the lines into entries and bad lines. Line 1 was the head.
func (in *exchangeIn) readEntries(lines *bufio.Reader, job entry.JobID) error {
	size, count := 0, 0
	for n := 2; ; n++ {
		raw, long, err := readLine(lines, entry.MaxEntry)
		end := errors.Is(err, io.EOF)
		if err != nil && !end {
			return unreadable(err)
		}
		if len(raw) > 0 || long {
			count++
			size += len(raw)
			if count > entry.MaxBatchEntries || size > entry.MaxBatchBytes {
				return errBatch
			}
			in.take(n, raw, long, job)
		}
		if end && in.Lines != nil && (*in.Lines != count || len(raw) > 0 || long) {
			return errCut // the last line has an end too
		}
		if end {
			return nil
		}
	}
}

func (in *exchangeIn) take(n int, raw []byte, long bool, job entry.JobID) {
	refuse := func(why string) { in.bad = append(in.bad, badLine{Line: n, Why: why}) }
	if long {
		refuse("the entry is larger than " + strconv.Itoa(entry.MaxEntry) + " bytes")
		return
	}
	e, err := entry.Read(raw)
	switch {
	case err != nil:
		refuse(err.Error())
	case e.Job != job:
		refuse("the entry belongs to another job")
	default:
		in.entries = append(in.entries, e)
	}
}

// readLine returns the next line without its end. A line longer than most is read over and only called long. The last line
// comes with io.EOF.
func readLine(r *bufio.Reader, most int) (line []byte, long bool, err error) {
	for {
		part, err := r.ReadSlice('\n')
		if !long {
			line = append(line, part...)
		}
		if len(bytes.TrimSuffix(line, []byte("\n"))) > most {
			line, long = nil, true
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		return bytes.TrimSuffix(line, []byte("\n")), long, err
	}
}

type wireTip struct {
	Seq int64    `json:"seq"`
	ID  entry.ID `json:"id"`
}

// wireHead is how far the server holds a log. Tips is only there for a forked log: the entries that nothing follows.
type wireHead struct {
	Seq    int64     `json:"seq"`
	ID     entry.ID  `json:"id"`
	Forked bool      `json:"forked,omitempty"`
	Tips   []wireTip `json:"tips,omitempty"`
}

type resultsMark struct {
	Pos    int64  `json:"pos"`
	Digest string `json:"digest"`
	Core   string `json:"core"`
}

// replyHead is the first line of a reply.
type replyHead struct {
	V         int                      `json:"v"`
	Server    string                   `json:"server"`
	Workspace store.WorkspaceID        `json:"workspace"`
	Job       entry.JobID              `json:"job"`
	Status    string                   `json:"status"`
	Stored    int                      `json:"stored"`
	Held      int                      `json:"held"`
	Bad       []badLine                `json:"bad"`
	Heads     map[entry.LogID]wireHead `json:"heads"`
	Cursor    wireCursor               `json:"cursor"`
	Lines     int                      `json:"lines"`
	More      bool                     `json:"more"`
	Count     int64                    `json:"count"`
	Digest    string                   `json:"digest"`
	Results   *resultsMark             `json:"results,omitempty"`
	Jobs      int                      `json:"jobs"` // of the workspace: another number than a phone has listed is a reason to list them
	Time      string                   `json:"time"`
}

// zipFrom is the size in bytes from which a reply is worth compressing.
const zipFrom = 1 << 10

// zippers are kept: making one takes longer than a small reply.
var zippers = sync.Pool{New: func() any {
	z, err := gzip.NewWriterLevel(io.Discard, gzip.BestSpeed)
	if err != nil {
		panic("bug: " + err.Error())
	}
	return z
}}

// writeExchange sends the head and then the raw entries as they are in the store.
func writeExchange(w http.ResponseWriter, r *http.Request, head replyHead, entries [][]byte) error {
	if head.Bad == nil {
		head.Bad = []badLine{}
	}
	head.Lines = len(entries)
	first, err := json.Marshal(head)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", mediaType)
	w.Header().Set("Vary", "Accept-Encoding")
	size := len(first)
	for _, e := range entries {
		size += len(e) + 1
	}
	out := io.Writer(w)
	if size >= zipFrom && acceptsGzip(r) {
		w.Header().Set("Content-Encoding", "gzip")
		z := zippers.Get().(*gzip.Writer)
		z.Reset(w)
		defer func() {
			_ = z.Close() // a client that went away cannot be told
			zippers.Put(z)
		}()
		out = z
	}
	buffered := bufio.NewWriterSize(out, min(size+1, 64<<10))
	for _, line := range append([][]byte{first}, entries...) {
		// bufio keeps the first error and Flush returns it.
		_, _ = buffered.Write(line)
		_ = buffered.WriteByte('\n')
	}
	return buffered.Flush()
}

func acceptsGzip(r *http.Request) bool {
	for _, part := range strings.Split(r.Header.Get("Accept-Encoding"), ",") {
		name, q, _ := strings.Cut(strings.TrimSpace(part), ";")
		if name == "gzip" && strings.ReplaceAll(q, " ", "") != "q=0" {
			return true
		}
	}
	return false
}
