package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	stdsql "database/sql"
	"fmt"
	"io"
	"maps"
	"math/big"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"

	"witnessmark/server/store"
	"witnessmark/server/store/sql"
)

const (
	envChild  = "WITNESSMARK_TEST_CHILD"  // the data folder: this process is a server
	envBinary = "WITNESSMARK_TEST_BINARY" // the built program, to be killed instead of a copy of the tests
	envURL    = "WITNESSMARK_BENCH_PG"    // a PostgreSQL on which databases may be made (.ci/with-postgres)
)

// kills is how often a server is killed: fifty times the built one (make kills), ten times a copy of the tests, which starts
// slowly under the race detector.
func kills() int {
	if os.Getenv(envBinary) != "" {
		return 50
	}
	return 10
}

// TestChild is not a test: it is the server that is killed, or whose disk is full.
func TestChild(t *testing.T) {
	data := os.Getenv(envChild)
	if data == "" {
		return
	}
	signal.Ignore(syscall.SIGXFSZ) // a disk that is full sends no signal; its stand-in, a limit on files, does
	if err := serve(context.Background(), Config{Data: data}, listenOn{addr: "127.0.0.1:0"}, os.Stdout); err != nil {
		t.Fatal(err)
	}
}

// ownServer is a server in a process of its own, which can be killed and started again.
type ownServer struct {
	t        *testing.T
	data, db string
	flags    []string // more of them, for the built program
	cmd      *exec.Cmd
	url      string
}

func (s *ownServer) start() {
	s.t.Helper()
	s.cmd = exec.Command(os.Args[0], "-test.run=^TestChild$")
	if binary := os.Getenv(envBinary); binary != "" || s.db != "" {
		if binary == "" {
			s.t.Skip(envBinary + " names no program: make kills runs this (2026-11)")
		}
		s.cmd = exec.Command(binary, append([]string{"serve", "-data", s.data, "-db", s.db, "-addr", "127.0.0.1:0"}, s.flags...)...)
	}
	s.cmd.Env = append(os.Environ(), envChild+"="+s.data)
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		s.t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		s.t.Fatalf("the server said %q: %v", line, err)
	}
	s.url = "http://" + strings.TrimSpace(strings.TrimPrefix(line, "listening on "))
}

// kill ends the process as a power cut does: without a word.
func (s *ownServer) kill() {
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait() // killed on purpose
}

func (s *ownServer) pair() *phone {
	s.t.Helper()
	if s.db == "" {
		return pairBeside(s.t, s.data, s.url)
	}
	return pairBeside(s.t, s.data, s.url, "-db", s.db)
}

// handing is a phone that hands in under load: what was not acknowledged goes again, byte for byte, as a phone does.
type handing struct {
	*phone
	body         []byte // on its way, nil: nothing
	waits        [][]byte
	acknowledged map[string]bool
	rng          *rand.Rand
}

func newHanding(p *phone, seed uint64) *handing {
	return &handing{phone: p, acknowledged: map[string]bool{}, rng: rand.New(rand.NewPCG(seed, seed))}
}

// once hands in one batch and says whether it was acknowledged.
func (h *handing) once(base string) bool {
	if h.body == nil {
		for range 1 + h.rng.IntN(4) {
			h.waits = append(h.waits, h.write("under load"))
		}
		h.body = h.request(h.waits...)
	}
	req, err := http.NewRequest("POST", base+"/api/v1/jobs/"+h.job+"/exchange", bytes.NewReader(h.body))
	if err != nil {
		return false
	}
	req.Header.Set("Authorization", "Bearer "+h.token)
	req.Header.Set("Content-Type", ndjson)
	res, err := h.client.Do(req)
	if err != nil {
		return false
	}
	defer res.Body.Close()
	if _, err := io.ReadAll(res.Body); err != nil || res.StatusCode != http.StatusOK {
		return false // a reply that is cut acknowledges nothing
	}
	for _, e := range h.waits {
		h.acknowledged[string(e)] = true
	}
	h.body, h.waits = nil, nil
	return true
}

// underFire lets all hand in at once; at the n-th acknowledgement fire is called, in the middle of what the others do.
func underFire(all []*handing, base string, n int, fire func()) {
	var acks atomic.Int64
	var fired atomic.Bool
	var done sync.WaitGroup
	for _, h := range all {
		done.Go(func() {
			for !fired.Load() {
				if h.once(base) && acks.Add(1) == int64(n) {
					fire()
					fired.Store(true)
				}
			}
			h.client.CloseIdleConnections()
		})
	}
	done.Wait()
}

// TestKill is T58: the server is killed at seeded moments while phones hand in; every entry that was acknowledged is
// there afterwards, once, and what was not is taken when it comes again.
func TestKill(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { killed(t, "") })
	t.Run("PostgreSQL", func(t *testing.T) {
		if os.Getenv(envURL) == "" {
			t.Skip("there is no PostgreSQL here: make kills brings one (2026-11)")
		}
		killed(t, newDatabase(t))
	})
}

func killed(t *testing.T, db string) (acknowledged, lost int) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, seed))
	s := &ownServer{t: t, data: t.TempDir(), db: db}
	s.start()
	var all []*handing
	for i := range uint64(4) {
		all = append(all, newHanding(s.pair(), seed+i))
	}
	for range kills() {
		underFire(all, s.url, 1+rng.IntN(12), s.kill)
		s.start()
	}
	for _, h := range all {
		if !h.once(s.url) {
			t.Errorf("seed %d: a phone cannot hand in what waited", seed)
		}
	}
	acknowledged, lost = count(t, s.pair(), s.url, all)
	s.kill()
	if lost > 0 || acknowledged < kills() {
		t.Errorf("seed %d: %d kills, %d entries acknowledged, %d lost", seed, kills(), acknowledged, lost)
	}
	if db == "" {
		if _, _, err := sql.Inspect(t.Context(), checkpointed(t, s.data)); err != nil {
			t.Error(err)
		}
	}
	t.Logf("%d kills, %d entries acknowledged, %d lost", kills(), acknowledged, lost)
	return acknowledged, lost
}

// count reads everything as a fresh phone does: how much was acknowledged, how much of that is not there. What is there must
// be there once and add up to the digest.
func count(t *testing.T, p *phone, base string, all []*handing) (acknowledged, lost int) {
	t.Helper()
	p.o.url = base
	held := map[string]bool{}
	sum := new(big.Int)
	h := head{More: true}
	for h.More {
		h = p.exchange()
		for _, e := range h.entries {
			if held[e] {
				t.Errorf("twice: %s", e)
			}
			held[e] = true
			id := sha256.Sum256([]byte(e))
			sum.Add(sum, new(big.Int).SetBytes(id[:]))
		}
	}
	sum.Mod(sum, new(big.Int).Lsh(big.NewInt(1), 256))
	if got := fmt.Sprintf("%064x", sum); got != h.Digest || int64(len(held)) != h.Count {
		t.Errorf("%d entries with digest %s; the server says %d, %s", len(held), got, h.Count, h.Digest)
	}
	for _, w := range all {
		acknowledged += len(w.acknowledged)
		for e := range maps.Keys(w.acknowledged) {
			if !held[e] {
				lost++
			}
		}
	}
	return acknowledged, lost
}

// checkpointed copies a database that nobody has open to one file, as a backup does.
func checkpointed(t *testing.T, data string) string {
	t.Helper()
	db, err := sql.OpenSQLite(t.Context(), filepath.Join(data, databaseFile))
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "copy.db")
	if err := closing(db, db.CopyTo(t.Context(), file)); err != nil {
		t.Fatal(err)
	}
	return file
}

// databases counts those that were made, so that each has its own name.
var databases atomic.Int64

// newDatabase makes an empty database on the PostgreSQL that .ci/with-postgres started, and returns its URL.
func newDatabase(t *testing.T) string {
	t.Helper()
	admin, err := stdsql.Open("postgres", os.Getenv(envURL))
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close()
	name := fmt.Sprintf("wm_%d_%d", os.Getpid(), databases.Add(1))
	if _, err := admin.Exec("CREATE DATABASE " + name); err != nil {
		t.Fatal(err)
	}
	u, err := url.Parse(os.Getenv(envURL))
	if err != nil {
		t.Fatal(err)
	}
	u.Path = "/" + name
	return u.String()
}

// TestDatabaseCut is T58: PostgreSQL ends every connection, as a restart does, at seeded moments in the middle of
// exchanges; nothing that was acknowledged is lost, the next try goes through, and an open socket still hears.
func TestDatabaseCut(t *testing.T) {
	if os.Getenv(envURL) == "" {
		t.Skip("there is no PostgreSQL here: make kills brings one (2026-11)")
	}
	const seed, cuts = 5, 20
	rng := rand.New(rand.NewPCG(seed, seed))
	o := newOffice(t, func(c *Config) { c.DB = newDatabase(t) })
	admin, err := stdsql.Open("postgres", os.Getenv(envURL))
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close()
	u, err := url.Parse(o.cfg.DB)
	if err != nil {
		t.Fatal(err)
	}
	cut := func() {
		if _, err := admin.Exec("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = $1", strings.TrimPrefix(u.Path, "/")); err != nil {
			t.Error(err)
		}
	}
	var all []*handing
	for i := range uint64(4) {
		all = append(all, newHanding(o.pairPhone(store.RoleFitter), seed+i))
	}
	listens := o.pairPhone(store.RoleViewer)
	conn := listens.listen()
	for range cuts {
		underFire(all, o.url, 1+rng.IntN(10), cut)
	}
	for _, h := range all {
		for tries := 0; !h.once(o.url); tries++ { // the pool finds out about its dead connections one by one
			if tries > 100 {
				t.Fatal("the server does not come back to its database")
			}
		}
	}
	acknowledged, lost := count(t, o.pairPhone(store.RoleViewer), o.url, all)
	if lost > 0 || acknowledged < cuts {
		t.Errorf("seed %d: %d acknowledged, %d lost", seed, acknowledged, lost)
	}
	hear(t, conn, "more", int64(acknowledged))
}
