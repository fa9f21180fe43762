package main

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
)

// straight is a phone's connection without the standard client, which hands a request to one goroutine and its reply to
// another: on a machine at rest that takes half as long as a row.
type straight struct {
	b    *benchRun
	p    *phone
	conn net.Conn
	from *bufio.Reader
}

func (b *benchRun) dial(p *phone) *straight {
	conn, err := net.Dial("tcp", strings.TrimPrefix(p.o.url, "http://"))
	b.must(err)
	b.Cleanup(func() { b.must(conn.Close()) })
	return &straight{b, p, conn, bufio.NewReader(conn)}
}

// request is an exchange as it goes over the line.
func (s *straight) request(body []byte) []byte {
	return fmt.Appendf(nil, "POST /api/v1/jobs/%s/exchange HTTP/1.1\r\nHost: %s\r\nAuthorization: Bearer %s\r\nContent-Type: %s\r\nContent-Length: %d\r\n\r\n%s",
		s.p.job, s.conn.RemoteAddr(), s.p.token, ndjson, len(body), body)
}

// send writes a request and reads the whole of its reply.
func (s *straight) send(request []byte) reply {
	_, err := s.conn.Write(request)
	s.b.must(err)
	res, err := http.ReadResponse(s.from, nil)
	s.b.must(err)
	got, err := io.ReadAll(res.Body)
	s.b.must(err)
	return reply{t: s.b.T, what: "exchange", status: res.StatusCode, header: res.Header, body: got}
}
