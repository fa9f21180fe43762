package phone

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"

	"github.com/klauspost/compress/gzip"

	"witnessmark/sync/entry"
)

// MediaType is the exchange's, both ways. A reply with another one is not the office's (T17).
const MediaType = "application/vnd.witnessmark.exchange+ndjson"

// zipFrom is the size in bytes from which a request is compressed.
const zipFrom = 1 << 10

// Cursor is how far a phone has read a job's timeline.
type Cursor struct {
	Epoch  string `json:"epoch"`
	Pos    int64  `json:"pos"`
	Digest string `json:"digest"`
}

// Beginning is the place before the first entry of an epoch. Who reads anew sends it, and so hears of the next epoch (T21).
func Beginning(epoch string) Cursor {
	return Cursor{Epoch: epoch, Digest: strings.Repeat("0", 64)}
}

// Lease is the number that a phone uses and the one that it will use next.
type Lease struct {
	Current string `json:"current"`
	Next    string `json:"next"`
}

// RequestHead is the first line of a request. Log and Lease are left out by a phone that has written nothing.
type RequestHead struct {
	V      int                   `json:"v"`
	Lease  *Lease                `json:"lease,omitempty"`
	Log    entry.LogID           `json:"log,omitempty"`
	Cursor *Cursor               `json:"cursor,omitempty"`
	Holds  map[entry.LogID]int64 `json:"holds"`
	Count  int                   `json:"count"`
	Digest string                `json:"digest"`
	Limit  int                   `json:"limit,omitempty"`
	Lines  int                   `json:"lines"`
	Time   string                `json:"time"`
	Phone  *Standing             `json:"phone,omitempty"`
}

// Standing is how a phone stands, for the list of phones.
type Standing struct {
	App    string `json:"app"`
	Core   string `json:"core"`
	Unsent int    `json:"unsent"`
	Photos int    `json:"photos"`
}

// LogHead is how far the office holds a log.
type LogHead struct {
	Seq    int64    `json:"seq"`
	ID     entry.ID `json:"id"`
	Forked bool     `json:"forked"`
}

// Status words of a reply.
const (
	StartAgain = "start again"
	NewLog     = "new log"
)

// ReplyHead is the first line of a reply.
type ReplyHead struct {
	V         int                     `json:"v"`
	Server    string                  `json:"server"`
	Workspace string                  `json:"workspace"`
	Job       entry.JobID             `json:"job"`
	Status    string                  `json:"status"`
	Stored    int                     `json:"stored"`
	Held      int                     `json:"held"`
	Heads     map[entry.LogID]LogHead `json:"heads"`
	Cursor    Cursor                  `json:"cursor"`
	Lines     int                     `json:"lines"`
	More      bool                    `json:"more"`
	Count     int64                   `json:"count"`
	Digest    string                  `json:"digest"`
	Results   *Mark                   `json:"results"`
	Bad       []struct {
		Line int    `json:"line"`
		Why  string `json:"why"`
	} `json:"bad"`
}

// Body is a request: the head and a line for each entry.
func Body(head RequestHead, batch []entry.Entry) ([]byte, error) {
	head.Lines = len(batch)
	body, err := json.Marshal(head)
	if err != nil {
		return nil, err
	}
	body = append(body, '\n')
	for _, e := range batch {
		body = append(append(body, e.Raw...), '\n')
	}
	return body, nil
}

// Pack compresses a request that is worth it and returns its headers.
func Pack(body []byte) ([]byte, map[string]string, error) {
	header := map[string]string{"Content-Type": MediaType}
	if len(body) < zipFrom {
		return body, header, nil
	}
	zipped, err := zip(body)
	header["Content-Encoding"] = "gzip"
	return zipped, header, err
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

// Expect says whose reply counts.
type Expect struct {
	Server, Workspace string
	Job               entry.JobID
}

// ReadReply takes a reply in whole before anything of it counts: half a page is no page. Errors: Refused, ErrNotOffice, and
// those of the connection.
func ReadReply(res *http.Response, want Expect) (head ReplyHead, page [][]byte, err error) {
	if res.StatusCode != http.StatusOK {
		return head, nil, refusal(res)
	}
	if typ, _, err := mime.ParseMediaType(res.Header.Get("Content-Type")); err != nil || typ != MediaType {
		return head, nil, ErrNotOffice
	}
	lines := bufio.NewReaderSize(res.Body, 64<<10)
	first, err := lines.ReadBytes('\n')
	if err != nil || json.Unmarshal(first, &head) != nil {
		return head, nil, ErrNotOffice
	}
	if head.V != 1 || head.Server != want.Server || head.Workspace != want.Workspace || head.Job != want.Job {
		return head, nil, ErrNotOffice
	}
	for {
		line, err := lines.ReadBytes('\n')
		if errors.Is(err, io.EOF) && len(line) == 0 && len(page) == head.Lines {
			return head, page, nil
		}
		if errors.Is(err, io.EOF) {
			err = io.ErrUnexpectedEOF // in the middle of a line, or with lines to come
		}
		if err != nil {
			return head, nil, fmt.Errorf("the reply is cut off: %w", err)
		}
		page = append(page, bytes.TrimSuffix(line, []byte("\n")))
	}
}
