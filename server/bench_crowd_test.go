package main

import (
	"bytes"
	"database/sql"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"

	device "witnessmark/server/phone"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

const (
	crowdPhones = 64
	crowdEach   = 8
)

// crowd measures one exchange of one entry while 64 phones make one at the same moment, on one job and on a job each, with a
// client beside them that has sent half a request and then says nothing.
func (b *benchRun) crowd() {
	for _, on := range []struct{ name, url string }{{"SQLite", ""}, {"PostgreSQL", os.Getenv(envURL)}} {
		if on.name != "SQLite" && on.url == "" {
			continue
		}
		floor := middle(b.durableRows(on.url, 200))
		b.line("\n%d phones at once, one entry each, %d times, on %s, while one client stalls", crowdPhones, crowdEach, on.name)
		b.line("  bare durable row, p50      %8.2f ms", ms(floor))
		for _, jobs := range []int{1, crowdPhones} {
			url := on.url
			if url != "" {
				url = newDatabase(b.T)
			}
			all := b.atOnce(url, jobs)
			b.line("  on %2d jobs, p50, p99       %8.2f, %.2f ms   p99 is %.1f rows for each of the %d", jobs, ms(middle(all)), ms(part(all, 0.99)),
				part(all, 0.99).Seconds()/floor.Seconds()/crowdPhones, crowdPhones)
		}
	}
}

// durableRows is the floor: one row, one transaction, on the disk.
func (b *benchRun) durableRows(url string, n int) []time.Duration {
	driver, dsn, insert := "sqlite", "file:"+filepath.Join(b.TempDir(), "row.db")+"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)", "INSERT INTO bare VALUES (?, ?)"
	if url != "" {
		driver, dsn, insert = "postgres", newDatabase(b.T), "INSERT INTO bare VALUES ($1, $2)"
	}
	db, err := sql.Open(driver, dsn)
	b.must(err)
	defer db.Close()
	_, err = db.Exec("CREATE TABLE bare (id INTEGER PRIMARY KEY, raw TEXT)")
	b.must(err)
	var out []time.Duration
	for i := range n {
		began := time.Now()
		_, err := db.Exec(insert, i, strings.Repeat("x", benchSize))
		b.must(err)
		out = append(out, time.Since(began))
	}
	return out
}

// atOnce returns how long each exchange took.
func (b *benchRun) atOnce(url string, jobs int) []time.Duration {
	o := b.office(func(c *Config) { c.DB, c.TrustProxy = url, true })
	var phones []*device.Phone
	for i := range crowdPhones {
		p := device.New(device.Config{
			URL: o.url, Job: entry.JobID(fmt.Sprintf("%032x", 1+i%jobs)), Name: fmt.Sprint("p", i), Of: "idris", Transport: from{fmt.Sprintf("10.1.0.%d", i+1)},
		})
		code, err := o.Pair(b.Context(), store.RoleFitter)
		b.must(err)
		b.must(p.Pair(b.Context(), code))
		phones = append(phones, p)
	}
	stalled := b.stall(o)
	defer stalled.Close()
	var mu sync.Mutex
	var all []time.Duration
	for range crowdEach {
		var wg sync.WaitGroup
		start := make(chan struct{})
		for k, p := range phones {
			_, err := p.Write(entry.Entry{Kind: "reading", By: "idris", Body: reading(k, "")})
			b.must(err)
			wg.Go(func() {
				<-start
				began := time.Now()
				if _, err := p.ExchangeOnce(b.Context()); err != nil {
					b.Error(err)
				}
				took := time.Since(began)
				mu.Lock()
				all = append(all, took)
				mu.Unlock()
			})
		}
		close(start)
		wg.Wait()
	}
	return all
}

// stall sends half an exchange and nothing more.
func (b *benchRun) stall(o *testOffice) net.Conn {
	p := o.pairPhone(store.RoleFitter)
	conn, err := net.Dial("tcp", strings.TrimPrefix(o.url, "http://"))
	b.must(err)
	body := p.request(p.write("half of it"))
	_, err = fmt.Fprintf(conn, "POST /api/v1/jobs/%s/exchange HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer %s\r\nContent-Type: %s\r\nContent-Length: %d\r\n\r\n%s",
		p.job, p.token, ndjson, len(body), bytes.TrimSpace(body[:len(body)/2]))
	b.must(err)
	return conn
}

// sockets measures the memory of the built server with open sockets that only listen.
func (b *benchRun) sockets() {
	if os.Getenv(envBinary) == "" {
		b.line("\nSockets: %s names no program", envBinary)
		return
	}
	s := &ownServer{t: b.T, data: b.TempDir(), flags: []string{"-proxy"}}
	s.start()
	defer s.kill()
	p := s.pair()
	p.exchange(p.write("one"))
	idle := b.resident(s)
	b.line("\nMemory of the server with open sockets")
	b.line("  none                       %8.1f MiB", float64(idle)/(1<<20))
	open := 0
	for _, n := range []int{1_000, 10_000} {
		for ; open < n; open++ {
			b.T.Cleanup(b.opens(s, p, open))
		}
		now := b.resident(s)
		b.line("  %6d                     %8.1f MiB   %.1f times as much, %.1f KiB a socket", n, float64(now)/(1<<20), float64(now)/float64(idle),
			float64(now-idle)/1024/float64(n))
	}
}

// opens opens one socket and returns what closes it. Each comes from an address of its own: there is a limit for one.
func (b *benchRun) opens(s *ownServer, p *phone, i int) func() {
	d := websocket.Dialer{ReadBufferSize: 256, WriteBufferSize: 256}
	h := http.Header{"Origin": {s.url}, "X-Forwarded-For": {fmt.Sprintf("10.2.%d.%d", i/250, i%250+1)}}
	conn, _, err := d.Dial("ws"+strings.TrimPrefix(s.url, "http")+"/api/v1/jobs/"+p.job+"/live", h)
	b.must(err)
	b.must(conn.WriteMessage(websocket.TextMessage, []byte(`{"token":"`+p.token+`"}`)))
	hear(b.T, conn, "more", 1)
	return func() { _ = conn.Close() }
}

// resident is the server's memory as the system counts it, in bytes.
func (b *benchRun) resident(s *ownServer) int64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", s.cmd.Process.Pid))
	b.must(err)
	pages, err := strconv.ParseInt(strings.Fields(string(text))[1], 10, 64)
	b.must(err)
	return pages * int64(os.Getpagesize())
}

// killed counts what is lost when the server is killed under load.
func (b *benchRun) killed() {
	b.line("\nThe server killed at %d moments while four phones hand in", kills())
	acknowledged, lost := killed(b.T, "")
	b.line("  SQLite                     %8d entries acknowledged, %d lost (wanted: none)", acknowledged, lost)
	if os.Getenv(envURL) != "" && os.Getenv(envBinary) != "" {
		acknowledged, lost = killed(b.T, newDatabase(b.T))
		b.line("  PostgreSQL                 %8d entries acknowledged, %d lost (wanted: none)", acknowledged, lost)
	}
}
