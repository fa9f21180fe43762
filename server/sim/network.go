package sim

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"

	"github.com/klauspost/compress/gzip"

	wire "witnessmark/server/phone"
	"witnessmark/sync/entry"
)

var errLost = errors.New("the connection is gone")

// post lets one thing happen to one letter: it reaches the office, or its reply reaches the phone, or neither.
func (h *history) post() error {
	if len(h.late) > 0 && h.chance(15) {
		l := pick(h, h.late)
		h.note("%d comes to the office once more", l.number)
		return h.serve(&letter{from: l.from, head: l.head, batch: l.batch, token: l.token})
	}
	if len(h.letters) == 0 {
		return nil
	}
	l := pick(h, h.letters)
	if l.reply == nil {
		return h.out(l)
	}
	return h.back(l)
}

// out is the way to the office.
func (h *history) out(l *letter) error {
	switch n := h.rng.IntN(1000); {
	case n < 80:
		h.note("%d is lost", l.number)
		return h.hand(l, nil, errLost)
	case n < 110:
		h.note("%d stays somewhere", l.number)
		return nil
	case n < 150:
		h.note("%d is answered by a stranger", l.number)
		return h.hand(l, stranger(h), nil)
	case n < 190:
		h.note("%d comes twice", l.number)
		if err := h.serve(l); err != nil || l.reply == nil {
			return err
		}
		h.late = append(h.late, l)
		return h.serve(l)
	case n < 260:
		h.office.store.next = pick(h, []blow{beforeWrite, halfWay, diskFull, afterCommit})
	case n < 310:
		return h.cutOut(l)
	}
	return h.serve(l)
}

// cutOut is a request of which only the beginning arrives. An honest connection breaks there, and brings no reply either; one
// behind a bad proxy looks whole.
func (h *history) cutOut(l *letter) error {
	tidy := h.chance(500)
	h.note("%d is cut, tidily: %v", l.number, tidy)
	var end io.Reader = broken{}
	if tidy {
		end = strings.NewReader("")
	}
	if err := h.serveCut(l, end); err != nil || tidy {
		return err
	}
	return h.hand(l, nil, errLost)
}

// back is the way to the phone.
func (h *history) back(l *letter) error {
	switch n := h.rng.IntN(1000); {
	case n < 100:
		h.note("the reply to %d is lost", l.number)
		return h.hand(l, nil, errLost)
	case n < 160 && len(l.body) > 0:
		at := h.rng.IntN(len(l.body))
		tidy := h.chance(500)
		if h.chance(500) { // just where a line ends
			at = bytes.LastIndexByte(l.body[:at], '\n') + 1
		}
		h.note("the reply to %d is cut, tidily: %v", l.number, tidy)
		return h.hand(l, cut(l, at, tidy), nil)
	case n < 190 && len(h.late) > 0:
		if old := pick(h, h.late); old.from == l.from {
			h.note("%d gets the reply to %d", l.number, old.number)
			l.era, l.stale = old.era, true
			return h.hand(l, response(old.reply, bytes.NewReader(old.body)), nil)
		}
	}
	return h.hand(l, response(l.reply, bytes.NewReader(l.body)), nil)
}

// hand gives the phone what came of its letter. One that was killed or gave up is no longer there to take it.
func (h *history) hand(l *letter, res *http.Response, err error) error {
	h.letters = slices.DeleteFunc(h.letters, func(m *letter) bool { return m == l })
	if l.reply != nil {
		h.late = append(h.late[max(0, len(h.late)-20):], l)
	}
	p := l.from
	if !p.up || p.sent != l {
		return nil
	}
	p.sent = nil
	if err == nil {
		err = p.receive(l, res)
	}
	h.note("%s takes the reply to %d: %d entries, %d wait, %v", p.name, l.number, len(p.disk.order), len(p.disk.waiting()), err)
	if err != nil {
		p.run = nil
	}
	return h.expected(p, err)
}

// expected sorts what may go wrong with an exchange from what may not.
func (h *history) expected(p *phone, err error) error {
	var refused wire.Refused
	switch {
	case errors.As(err, &refused):
		if refused.Status == http.StatusUnauthorized {
			p.token = "" // bought anew with the next request
		} else if refused.Status < http.StatusInternalServerError && refused.Code != "invalid" {
			h.broken(Stuck, 1, "%s is refused: %v", p.name, err)
		}
		return nil
	case err == nil, errors.Is(err, errLost), errors.Is(err, wire.ErrNotOffice), errors.Is(err, io.ErrUnexpectedEOF),
		errors.Is(err, errFull), errors.Is(err, errKilled):
		return nil
	}
	return err
}

// serve brings a letter to the office.
func (h *history) serve(l *letter) error {
	body, header, err := l.packed(h.numbers%8 == 0)
	if err != nil {
		return err
	}
	return h.arrives(l, bytes.NewReader(body), header)
}

// serveCut brings the beginning of a letter to the office.
func (h *history) serveCut(l *letter, end io.Reader) error {
	body, header, err := l.packed(false)
	if err != nil {
		return err
	}
	at := h.rng.IntN(len(body))
	if h.chance(500) { // just where a line ends
		at = bytes.LastIndexByte(body[:at], '\n') + 1
	}
	return h.arrives(l, io.MultiReader(bytes.NewReader(body[:at]), end), header)
}

// arrives is where the real handlers answer.
func (h *history) arrives(l *letter, body io.Reader, header map[string]string) error {
	ctx, cancel := context.WithCancel(h.ctx)
	defer cancel()
	h.office.store.cancel = cancel
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, "http://office.test/api/v1/jobs/"+string(h.job)+"/exchange", body)
	if err != nil {
		return err
	}
	for name, value := range header {
		req.Header.Set(name, value)
	}
	req.Header.Set("Authorization", "Bearer "+l.token)
	l.reply, l.body = h.office.serve(req)
	l.era = h.office.generation
	if l.reply == nil {
		l.reply, l.body = &http.Response{StatusCode: http.StatusBadGateway, Header: http.Header{}}, nil
	}
	if l.reply.Header.Get("Content-Encoding") == "gzip" {
		l.body, err = unzipped(l.body)
		l.reply.Header.Del("Content-Encoding")
	}
	h.note("the office answers %d: %d, at %d", l.number, l.reply.StatusCode, len(h.office.twin))
	return err
}

// packed is a letter as it goes out.
func (l *letter) packed(zip bool) ([]byte, map[string]string, error) {
	entries := make([]entry.Entry, len(l.batch))
	for i, r := range l.batch {
		entries[i] = r.Entry
	}
	body, err := wire.Body(l.head, entries)
	if err != nil || !zip {
		return body, map[string]string{"Content-Type": wire.MediaType}, err
	}
	body, header, err := wire.Pack(body)
	if err == nil {
		header["Accept-Encoding"] = "gzip"
	}
	return body, header, err
}

func unzipped(body []byte) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(z)
}

func response(like *http.Response, body io.Reader) *http.Response {
	return &http.Response{StatusCode: like.StatusCode, Header: like.Header, Body: io.NopCloser(body)}
}

// cut is a reply that ends early. An honest connection says so; one behind a bad proxy does not.
func cut(l *letter, at int, tidy bool) *http.Response {
	part := bytes.NewReader(l.body[:at])
	if tidy {
		return response(l.reply, part)
	}
	return response(l.reply, io.MultiReader(part, broken{}))
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

// stranger is what answers on a network that is not the workshop's.
func stranger(h *history) *http.Response {
	page := func(status int, typ, body string) *http.Response {
		return response(&http.Response{StatusCode: status, Header: http.Header{"Content-Type": {typ}}}, strings.NewReader(body))
	}
	other := fmt.Sprintf(`{"v":1,"server":%q,"workspace":%q,"job":%q,"status":"ok","stored":0,"held":0,"bad":[],"heads":{}}`, h.draw(), h.draw(), h.job)
	return pick(h, []*http.Response{
		page(http.StatusOK, "text/html", "<html>Welcome to the station's Wi-Fi: please sign in</html>"),
		page(http.StatusOK, wire.MediaType, ""),
		page(http.StatusOK, wire.MediaType, other+"\n"),
		page(http.StatusBadGateway, "text/html", "<html>502</html>"),
	})
}
