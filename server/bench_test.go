package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"database/sql"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	simulated "witnessmark/server/demo"
	device "witnessmark/server/phone"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	story "witnessmark/testdata/demo"
)

// The measurements of `make bench`. Each stands beside a floor that was
// measured in the same run, and only the ratio says anything: machines are
// noisy. They run only when asked for, and no test asserts a time.

const (
	benchEntries = 10_000
	benchBatch   = 500
	benchSize    = 351 // bytes of one entry
)

// TestBench prints the table.
func TestBench(t *testing.T) {
	if os.Getenv("WITNESSMARK_BENCH") == "" {
		t.Skip("make bench runs this")
	}
	b := &benchRun{T: t}
	b.line("%s, %d CPUs, %s", runtime.GOARCH, runtime.NumCPU(), runtime.Version())
	for _, part := range []struct {
		name string
		run  func()
	}{
		{"sqlite", func() { b.store("SQLite", "") }},
		{"postgres", func() {
			if pg := os.Getenv("WITNESSMARK_BENCH_PG"); pg != "" {
				b.store("PostgreSQL", pg)
			}
		}},
		{"one", b.oneEntry}, {"live", b.phoneToPhone}, {"many", b.manyPhones}, {"core", b.core}, {"results", b.results}, {"today", b.today}, {"samples", b.samples}, {"book", b.book},
		{"crowd", b.crowd}, {"sockets", b.sockets}, {"kills", b.killed},
	} {
		if want := os.Getenv("WITNESSMARK_BENCH"); want == "all" || want == part.name {
			part.run()
		}
	}
}

type benchRun struct{ *testing.T }

// office is one as the built program runs it: it logs what it would log unasked, and collects as seldom.
func (b *benchRun) office(change ...func(*Config)) *testOffice {
	b.Helper()
	collectSeldom()
	quiet := func(c *Config) { c.Log = logger(io.Discard, false) }
	return newOffice(b.T, append([]func(*Config){quiet}, change...)...)
}

func (b *benchRun) line(format string, args ...any) { fmt.Printf(format+"\n", args...) }

func (b *benchRun) must(err error) {
	b.Helper()
	if err != nil {
		b.Fatal(err)
	}
}

// opening is how a log begins: with an engine to measure.
var opening = []struct {
	kind string
	body func() jcs.Value
}{
	{"log", func() jcs.Value { return jcs.Obj(jcs.M("device", jcs.Str("own")), jcs.M("name", jcs.Str("P"))) }},
	{"pattern", func() jcs.Value {
		sheet := pattern.Inline{Name: "U6", End1: "timing end", End2: "flywheel end", Cylinders: 6}.Sheet()
		return jcs.Obj(jcs.M("pattern", jcs.Str("u6")), jcs.M("data", sheet))
	}},
	{"engine", func() jcs.Value {
		return jcs.Obj(jcs.M("asm", jcs.Str("2123")), jcs.M("pattern", jcs.Str("u6")), jcs.M("name", jcs.Str("x")), jcs.M("band", jcs.Str("solid")))
	}},
}

// chain writes n entries of one log, each of benchSize bytes.
func chain(job entry.JobID, log string, n int) []entry.Entry {
	out := make([]entry.Entry, 0, n)
	var last entry.Entry
	for i := range n {
		d := entry.Entry{Job: job, Log: entry.LogID(log), Seq: last.Seq + 1, Prev: last.ID, At: "2031-04-12T10:22:31+01:00", By: "idris"}
		d.Kind, d.Body = line(i, "")
		if i < len(opening) {
			d.Kind, d.Body = opening[i].kind, opening[i].body()
		}
		e, err := entry.Compose(d)
		if missing := benchSize - len(e.Raw) - len(`,"note":""`); err == nil && i >= len(opening) && missing > 0 {
			_, d.Body = line(i, strings.Repeat("n", missing))
			e, err = entry.Compose(d)
		}
		if err != nil {
			panic(err)
		}
		e.Body = jcs.Null() // only the bytes are sent: what is kept here would be the collector's work in the measurement
		out, last = append(out, e), e
	}
	return out
}

// line is an entry of a workshop's day: a quarter of them readings, over the
// points of an engine's mains in five conditions; the rest notes.
func line(i int, note string) (kind string, body jcs.Value) {
	if i%4 == 0 {
		return "reading", reading(i, note)
	}
	return "note", jcs.Obj(jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str("2123")), jcs.M("at", jcs.Str("main.3.journal")))), jcs.M("text", jcs.Str("looked at it")),
		jcs.M("note", jcs.Opt(note)))
}

func reading(i int, note string) jcs.Value {
	return jcs.Obj(jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str("2123")), jcs.M("at", jcs.Str(fmt.Sprintf("main.%d.journal", i/4%7+1))),
		jcs.M("point", jcs.Str(string("abc"[i/28%3])+"."+string("VH"[i/84%2]))))),
		jcs.M("cond", jcs.Str([]string{"found", "machined:1", "machined:2", "trial:GK-1", "built"}[i/168%5])), jcs.M("read_by", jcs.Str("idris")), jcs.M("note", jcs.Opt(note)),
		jcs.M("value", jcs.Obj(jcs.M("t", jcs.Str(fmt.Sprintf("74.%03d", i%1000))), jcs.M("u", jcs.Str("mm")))))
}

// store measures pushing and pulling over real HTTP against the bare database.
func (b *benchRun) store(name, url string) {
	entries := chain(testJob, strings.Repeat("a", 32), benchEntries)
	floor := b.bareInsert(url, entries)
	o := b.office(func(c *Config) { c.DB = url })
	p := o.pairPhone(store.RoleFitter)
	p.log = string(entries[0].Log)
	var bodies [][]byte
	for batch := range slices.Chunk(entries, benchBatch) {
		bodies = append(bodies, offering(p, batch...))
	}
	var up, down int
	began := time.Now()
	cursor := []byte{}
	for _, body := range bodies {
		// As a phone does, it goes on from the cursor of the last reply.
		body = bytes.Replace(body, []byte(`"holds"`), append(cursor, `"holds"`...), 1)
		r := p.raw("POST", "/api/v1/jobs/"+p.job+"/exchange", body, "Content-Type", ndjson)
		r.want(200)
		cursor = cursorIn(r.body)
		up, down = up+len(body), down+len(r.body)
	}
	took := time.Since(began)
	var mem runtime.MemStats
	runtime.ReadMemStats(&mem)
	b.line("\n%s, %d entries of %d bytes in batches of %d", name, benchEntries, benchSize, benchBatch)
	b.line("  bare multi-row insert      %8.0f rows/s", rate(benchEntries, floor))
	b.line("  exchange over HTTP         %8.0f entries/s   %3.0f %% of the bare insert (wanted: at least 50)", rate(benchEntries, took), 100*floor.Seconds()/took.Seconds())
	b.line("  bytes an entry, up, down   %8d, %d (uncompressed)   memory taken from the system %d MiB", up/benchEntries, down/benchEntries, mem.Sys>>20)
	b.pull(o, name)
}

// offering is a request that, as a phone does, says that it holds its own log up to what it hands in.
func offering(p *phone, batch ...entry.Entry) []byte {
	var raws [][]byte
	for _, e := range batch {
		raws = append(raws, e.Raw)
	}
	holds := fmt.Sprintf(`"holds":{"%s":%d}`, p.log, batch[len(batch)-1].Seq)
	return bytes.Replace(p.request(raws...), []byte(`"holds":{}`), []byte(holds), 1)
}

// handIn exchanges it.
func (p *phone) handIn(batch ...entry.Entry) {
	p.exchanged(p.raw("POST", "/api/v1/jobs/"+p.job+"/exchange", offering(p, batch...), "Content-Type", ndjson))
}

// cursorIn cuts the cursor out of a reply, with its name and a comma.
func cursorIn(body []byte) []byte {
	_, rest, _ := bytes.Cut(body, []byte(`"cursor":`))
	cursor, _, _ := bytes.Cut(rest, []byte("}"))
	return slices.Concat([]byte(`"cursor":`), cursor, []byte("},"))
}

// pull measures a fresh phone's catch-up against reading the same rows.
func (b *benchRun) pull(o *testOffice, name string) {
	b.must(o.Settle(b.Context()))
	job, ws := entry.JobID(testJob), o.Workspace()
	began := time.Now()
	var after *store.Cursor
	rows := 0
	for {
		page, err := o.Store().Page(b.Context(), store.PageQuery{Workspace: ws, Job: job, After: after, Limit: 5000, Bytes: 4 << 20})
		b.must(err)
		rows += len(page.Entries)
		if after = &page.Cursor; !page.More {
			break
		}
	}
	floor := time.Since(began)
	fresh := o.pairPhone(store.RoleFitter)
	fresh.log = strings.Repeat("f", 32)
	wire, got := 0, 0
	began = time.Now()
	for more := true; more; {
		body := bytes.Replace(fresh.request(), []byte(`"limit":500`), []byte(`"limit":5000`), 1)
		r := fresh.raw("POST", "/api/v1/jobs/"+testJob+"/exchange", body, "Content-Type", ndjson, "Accept-Encoding", "gzip")
		wire += len(r.body)
		r.body = unzip(b.T, r.body)
		h := fresh.exchanged(r)
		got, more = got+len(h.entries), h.More
	}
	took := time.Since(began)
	b.line("  a fresh phone fetches all  %8.3f s   %.1f times reading the rows (wanted: at most 3); %d entries, %d bytes an entry compressed (wanted: at most 100)",
		took.Seconds(), took.Seconds()/floor.Seconds(), got, wire/max(1, got))
	if rows != got {
		b.Errorf("%s: %d rows, %d fetched", name, rows, got)
	}
}

func rate(n int, d time.Duration) float64 { return float64(n) / d.Seconds() }

// bareInsert writes the same rows with nothing around them: the floor.
func (b *benchRun) bareInsert(url string, entries []entry.Entry) time.Duration {
	driver, dsn, mark := "postgres", url, func(i int) string { return fmt.Sprintf("$%d", i) }
	types := "job BIGINT, pos BIGINT, id BYTEA, log TEXT, seq BIGINT, prev BYTEA, raw BYTEA, running BYTEA, device TEXT, carried INT, offset_ms BIGINT, received BIGINT, PRIMARY KEY (job, pos)"
	if url == "" {
		driver, mark = "sqlite", func(int) string { return "?" }
		dsn = "file:" + filepath.Join(b.TempDir(), "bare.db") + "?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)"
		types = "job INTEGER, pos INTEGER, id BLOB, log TEXT, seq INTEGER, prev BLOB, raw BLOB, running BLOB, device TEXT, carried INTEGER, offset_ms INTEGER, received INTEGER, PRIMARY KEY (job, pos)"
	}
	db, err := sql.Open(driver, dsn)
	b.must(err)
	defer db.Close()
	_, err = db.Exec("CREATE TABLE bare (" + types + ")")
	b.must(err)
	_, err = db.Exec("CREATE UNIQUE INDEX bare_id ON bare (job, id)")
	b.must(err)
	began := time.Now()
	pos := 0
	for batch := range slices.Chunk(entries, benchBatch) {
		var rows []string
		var args []any
		for _, e := range batch {
			pos++
			sum, prev := e.ID.Bytes(), e.Prev.Bytes()
			args = append(args, 1, pos, sum[:], string(e.Log), e.Seq, prev[:], e.Raw, sum[:], "d", 0, 0, 0)
			marks := make([]string, 12)
			for k := range marks {
				marks[k] = mark(len(args) - 11 + k)
			}
			rows = append(rows, "("+strings.Join(marks, ",")+")")
		}
		tx, err := db.Begin()
		b.must(err)
		_, err = tx.Exec("INSERT INTO bare VALUES "+strings.Join(rows, ","), args...)
		b.must(err)
		b.must(tx.Commit())
	}
	took := time.Since(began)
	if url != "" {
		_, err = db.Exec("DROP TABLE bare")
		b.must(err)
	}
	return took
}

// oneEntry measures a single entry on a large job: its acknowledgement, and
// the time until its results stand, against one durable row.
func (b *benchRun) oneEntry() {
	const held, tries, lone, pins = 20_000, 200, 60, 200
	o := b.office()
	p := o.pairPhone(store.RoleFitter)
	entries := chain(testJob, strings.Repeat("b", 32), held+tries+lone)
	entries = append(entries, ofPins(entries[len(entries)-1], pins)...)
	p.log = string(entries[0].Log)
	for batch := range slices.Chunk(entries[:held], benchBatch) {
		p.handIn(batch...)
	}
	b.must(o.Settle(b.Context()))
	b.line("\nOne entry on a job of %d, p50", held)
	b.oneByOne(o, p, "one after the other", entries[held:held+tries], 0)
	b.oneByOne(o, p, "alone, after a rest", entries[held+tries:held+tries+lone], rest)
	b.oneByOne(o, p, "readings only, of pins that were not read before, each point twice at most", entries[held+tries+lone:], 0)
}

// ofPins goes on with a log by readings as a fitter takes them: point by point along the crank pins, each twice, and then in the
// next condition. In a chain each point has been read two dozen times in each condition, which nobody does by hand.
func ofPins(last entry.Entry, n int) (out []entry.Entry) {
	for i := range n {
		at := fmt.Sprintf("pin.%d.journal", i/12%6+1)
		body := jcs.Obj(jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str("2123")), jcs.M("at", jcs.Str(at)), jcs.M("point", jcs.Str(string("abc"[i/4%3])+"."+string("VH"[i/2%2]))))),
			jcs.M("cond", jcs.Str([]string{"found", "machined:1", "built"}[i/72])), jcs.M("read_by", jcs.Str("idris")), jcs.M("value", jcs.Obj(jcs.M("t", jcs.Str(fmt.Sprintf("61.%03d", 980-i%7))), jcs.M("u", jcs.Str("mm")))))
		e, err := entry.Compose(entry.Entry{Job: last.Job, Log: last.Log, Seq: last.Seq + 1, Prev: last.ID, At: last.At, By: last.By, Kind: "reading", Body: body})
		if err != nil {
			panic(err)
		}
		out, last = append(out, e), e
	}
	return out
}

// rest is long enough for the office to work on the next entry at once, and for processor and disk to go to rest.
const rest = 250 * time.Millisecond

// oneByOne hands entries in with a pause before each, beside bare rows with the same pause.
func (b *benchRun) oneByOne(o *testOffice, p *phone, how string, entries []entry.Entry, pause time.Duration) {
	floor := b.bareRow(len(entries), pause)
	row, done := b.rows()
	defer done()
	line := b.dial(p)
	runtime.GC() // as testing.B does: an office that has run for a day has its memory, and does not ask the system for it page by page
	var between, ack, whole, readings []time.Duration
	for _, e := range entries {
		request := line.request(offering(p, e))
		time.Sleep(pause)
		between = append(between, row())
		time.Sleep(pause)
		began := time.Now()
		got := line.send(request)
		ack = append(ack, time.Since(began))
		b.must(o.Settle(b.Context()))
		whole = append(whole, time.Since(began))
		p.exchanged(got)
		if e.Kind == "reading" {
			readings = append(readings, whole[len(whole)-1])
		}
	}
	times := func(all []time.Duration) float64 { return middle(all).Seconds() / middle(between).Seconds() }
	b.line("  %s", how)
	b.line("    bare rows by themselves  %8.2f ms", ms(middle(floor)))
	b.line("    bare row between entries %8.2f ms", ms(middle(between)))
	b.line("    acknowledged             %8.2f ms   %.1f times the row (wanted: at most 3)", ms(middle(ack)), times(ack))
	b.line("    record and results stand %8.2f ms   %.1f times the row (wanted: at most 3)", ms(middle(whole)), times(whole))
	b.line("      after a reading alone  %8.2f ms   %.1f times the row", ms(middle(readings)), times(readings))
}

// rows opens a store for bare rows and returns what writes one durably and says how long that took.
func (b *benchRun) rows() (row func() time.Duration, done func()) {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(b.TempDir(), "row.db")+"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)")
	b.must(err)
	_, err = db.Exec("CREATE TABLE bare (id BLOB PRIMARY KEY, raw BLOB)")
	b.must(err)
	n, raw := 0, bytes.Repeat([]byte("x"), benchSize)
	return func() time.Duration {
		n++
		began := time.Now()
		_, err := db.Exec("INSERT INTO bare VALUES (?, ?)", n, raw)
		b.must(err)
		return time.Since(began)
	}, func() { b.must(db.Close()) }
}

func (b *benchRun) bareRow(n int, pause time.Duration) []time.Duration {
	row, done := b.rows()
	defer done()
	var out []time.Duration
	for range n {
		time.Sleep(pause)
		out = append(out, row())
	}
	return out
}

// phoneToPhone measures one entry from a phone to another over the live
// socket, 200 times.
func (b *benchRun) phoneToPhone() {
	o := b.office()
	one, two := b.goPhone(o, "one"), b.goPhone(o, "two")
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	b.must(one.Exchange(ctx))
	news, err := two.Follow(ctx)
	b.must(err)
	b.must(two.Exchange(ctx))
	var all []time.Duration
	for i := range 200 {
		want := two.Set().Len() + 1
		if i == 0 {
			want++ // the entry that opens the log
		}
		began := time.Now()
		_, err := one.Write(entry.Entry{Kind: "reading", By: "idris", Body: reading(i, "")})
		b.must(err)
		b.must(one.Exchange(ctx))
		for two.Set().Len() < want {
			if _, ok := <-news; !ok {
				b.Fatal("the socket ended")
			}
			b.must(two.Exchange(ctx))
		}
		all = append(all, time.Since(began))
	}
	b.line("\nOne entry from phone to phone, 200 times")
	b.line("  p50, p99                   %8.2f, %.2f ms   (aimed at: 0.7 at p50)", ms(middle(all)), ms(part(all, 0.99)))
}

func (b *benchRun) goPhone(o *testOffice, name string) *device.Phone {
	p := device.New(device.Config{URL: o.url, Job: testJob, Name: name, Of: "idris"})
	code, err := o.Pair(b.Context(), store.RoleFitter)
	b.must(err)
	b.must(p.Pair(b.Context(), code))
	return p
}

// manyPhones measures 200 phones of 20 entries, 16 at a time.
func (b *benchRun) manyPhones() {
	o := b.office(func(c *Config) { c.TrustProxy = true }) // each phone comes from an address of its own
	var phones []*device.Phone
	for i := range 200 {
		p := device.New(device.Config{URL: o.url, Job: testJob, Name: fmt.Sprint("p", i), Of: "idris", Transport: from{fmt.Sprintf("10.0.%d.%d", i/250, i%250+1)}})
		code, err := o.Pair(b.Context(), store.RoleFitter)
		b.must(err)
		b.must(p.Pair(b.Context(), code))
		for k := range 20 {
			_, err := p.Write(entry.Entry{Kind: "reading", By: "idris", Body: reading(k, "")})
			b.must(err)
		}
		phones = append(phones, p)
	}
	var mu sync.Mutex
	var all []time.Duration
	work := make(chan *device.Phone)
	var wg sync.WaitGroup
	began := time.Now()
	for range 16 {
		wg.Go(func() {
			for p := range work {
				one := time.Now()
				if _, err := p.ExchangeOnce(b.Context()); err != nil {
					b.Error(err)
				}
				mu.Lock()
				all = append(all, time.Since(one))
				mu.Unlock()
			}
		})
	}
	for _, p := range phones {
		work <- p
	}
	close(work)
	wg.Wait()
	b.line("\n200 phones of 20 entries, 16 at a time")
	b.line("  total, p99 of one          %8.2f s, %.1f ms   (aimed at: 0.5 s)", time.Since(began).Seconds(), ms(part(all, 0.99)))
}

// from sends requests as if they came through a proxy from an address.
type from struct{ address string }

func (f from) RoundTrip(r *http.Request) (*http.Response, error) {
	r = r.Clone(r.Context())
	r.Header.Set("X-Forwarded-For", f.address)
	return http.DefaultTransport.RoundTrip(r)
}

// core measures 100,000 entries from nothing, natively.
func (b *benchRun) core() {
	const n = 100_000
	var raws [][]byte
	for i := range 5 {
		for _, e := range chain(testJob, strings.Repeat(string(rune('1'+i)), 32), n/5) {
			raws = append(raws, e.Raw)
		}
	}
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	began := time.Now()
	set := reconcile.New()
	for _, raw := range raws {
		_, err := set.Add(raw)
		b.must(err)
	}
	st := record.Build(set.Resolve())
	digest := result.Digest(result.All(st))
	took := time.Since(began)
	runtime.ReadMemStats(&after)
	b.line("\nThe core, %d entries from nothing, natively", n)
	b.line("  entries to results         %8.0f entries/s   %.0f allocations and %.0f bytes an entry (results %.8s)", rate(n, took),
		float64(after.Mallocs-before.Mallocs)/n, float64(after.TotalAlloc-before.TotalAlloc)/n, digest)
}

// results measures the demo's results from nothing, and again after one more
// reading, on the demo alone and among 20,000 entries that have nothing to do
// with it.
func (b *benchRun) results() {
	alone, from := b.after(0)
	among, _ := b.after(20_000)
	b.line("\nResults of the demo's job")
	b.line("  all of them from nothing   %8.2f ms", ms(from))
	b.line("  after one more reading     %8.2f ms", ms(alone))
	b.line("    among 20,000 others      %8.2f ms   %.1f times (wanted: about 1)", ms(among), among.Seconds()/alone.Seconds())
}

// after returns the middle time from one more reading to its results, and that
// of all results from nothing.
func (b *benchRun) after(others int) (one, whole time.Duration) {
	w := result.NewWork()
	for _, line := range story.Lines() {
		_, err := w.Set.Add(line)
		b.must(err)
	}
	other := entry.Entry{}
	for i := range others {
		e, err := entry.Compose(b.more(i, "e", "2123", other))
		b.must(err)
		other = e
		w.Set.AddEntry(e)
	}
	began := time.Now()
	w.Now()
	whole = time.Since(began)
	runtime.GC() // as in oneByOne
	var all []time.Duration
	last := entry.Entry{}
	for i := range 101 {
		e, err := entry.Compose(b.more(i, "f", "2117", last))
		b.must(err)
		last = e
		began := time.Now()
		w.Set.AddEntry(e)
		w.Digest()
		if all = append(all, time.Since(began)); i == 0 {
			all = all[:0] // the first entry of a log names it, and is no reading
		}
	}
	return middle(all), whole
}

// more is a log of readings of an engine's main bearing 2.
func (b *benchRun) more(i int, log, asm string, last entry.Entry) entry.Entry {
	d := entry.Entry{Job: simulated.JobID(), Log: entry.LogID(strings.Repeat(log, 32)), Seq: last.Seq + 1, Prev: last.ID, At: "2031-04-12T10:22:31+01:00", By: "idris", Kind: "reading"}
	d.Body = jcs.Obj(jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str(asm)), jcs.M("at", jcs.Str("main.2.journal")), jcs.M("point", jcs.Str("b.V")))),
		jcs.M("cond", jcs.Str("found")), jcs.M("read_by", jcs.Str("idris")), jcs.M("value", jcs.Obj(jcs.M("t", jcs.Str(fmt.Sprintf("74.%03d", 980+i%3))), jcs.M("u", jcs.Str("mm")))))
	if i == 0 {
		d.Kind, d.Body = "log", jcs.Obj(jcs.M("device", jcs.Str("own")), jcs.M("name", jcs.Str("bench")), jcs.M("of", jcs.Str("idris")))
	}
	return d
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

func middle(all []time.Duration) time.Duration { return part(all, 0.5) }

func part(all []time.Duration, p float64) time.Duration {
	s := slices.Sorted(slices.Values(all))
	return s[min(len(s)-1, int(float64(len(s))*p))]
}

func unzip(t *testing.T, body []byte) []byte {
	t.Helper()
	z, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	out, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	return out
}
