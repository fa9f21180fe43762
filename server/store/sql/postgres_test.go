package sql_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"

	stdsql "database/sql"

	"witnessmark/server/store"
	"witnessmark/server/store/sql"
	"witnessmark/server/store/storetest"
)

const (
	envURL  = "WITNESSMARK_TEST_PG" // postgres:// URL of a server on which databases may be made
	envSkip = "WITNESSMARK_SKIP_PG" // 1 = go on without PostgreSQL
	nobody  = 65534                 // uid and gid of nobody and nogroup on Debian
)

// TestMain starts one private PostgreSQL for the package when a test first asks for it, and stops it at the end.
func TestMain(m *testing.M) {
	code := m.Run()
	if err := private.stop(); err != nil {
		fmt.Fprintln(os.Stderr, "stop postgres:", err)
		code = 1
	}
	os.Exit(code)
}

var private cluster

// cluster is a PostgreSQL of our own in a temporary folder, without durability: its machine is not expected to fail.
type cluster struct {
	once sync.Once
	url  string
	err  error
	dir  string
	port int
	cmd  *exec.Cmd
	n    int
}

func (c *cluster) start() {
	if c.url = os.Getenv(envURL); c.url != "" {
		return
	}
	c.err = c.launch()
}

func (c *cluster) launch() error {
	bins, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if err != nil || len(bins) == 0 {
		return errors.New("there is no PostgreSQL under /usr/lib/postgresql")
	}
	bin := bins[len(bins)-1]
	if c.dir, err = os.MkdirTemp("", "witnessmark-pg-"); err != nil {
		return err
	}
	if os.Getuid() == 0 {
		if err := os.Chown(c.dir, nobody, nobody); err != nil {
			return err
		}
	}
	data := filepath.Join(c.dir, "data")
	initdb := plainUser(filepath.Join(bin, "initdb"), "-D", data, "-U", "test", "-A", "trust", "--no-sync", "-E", "UTF8", "--locale=C")
	if out, err := initdb.CombinedOutput(); err != nil {
		return fmt.Errorf("initdb: %w: %s", err, out)
	}
	if c.port, err = freePort(); err != nil {
		return err
	}
	return c.run(bin)
}

// run starts the server on a folder that is there.
func (c *cluster) run(bin string) error {
	c.cmd = plainUser(filepath.Join(bin, "postgres"), "-D", filepath.Join(c.dir, "data"), "-p", strconv.Itoa(c.port), "-k", c.dir,
		"-c", "listen_addresses=127.0.0.1", "-c", "fsync=off", "-c", "max_connections=100")
	return c.await(fmt.Sprintf("postgres://test@127.0.0.1:%d/postgres?sslmode=disable", c.port))
}

// crash ends the server at once, as a power cut does, and starts it again: it recovers from its log.
func (c *cluster) crash(t *testing.T) {
	t.Helper()
	// SIGQUIT is PostgreSQL's immediate shutdown: every process goes without a word, and recovery follows.
	if err := c.cmd.Process.Signal(syscall.SIGQUIT); err != nil {
		t.Fatal(err)
	}
	_ = c.cmd.Wait() // ended on purpose
	bins, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if err != nil || len(bins) == 0 {
		t.Fatal("PostgreSQL has gone")
	}
	if err := c.run(bins[len(bins)-1]); err != nil {
		t.Fatal(err)
	}
}

// await starts the server and returns when it says that it takes connections.
func (c *cluster) await(url string) error {
	says, err := c.cmd.StderrPipe()
	if err != nil {
		return err
	}
	if err := c.cmd.Start(); err != nil {
		return err
	}
	var heard bytes.Buffer
	ready := make(chan error, 1)
	go func() {
		buf := make([]byte, 4096)
		said := false
		for {
			n, err := says.Read(buf)
			if !said {
				heard.Write(buf[:n])
				if strings.Contains(heard.String(), "ready to accept connections") {
					said = true
					ready <- nil
				}
			}
			if err != nil {
				if !said {
					ready <- fmt.Errorf("postgres ended: %s", heard.String())
				}
				return
			}
		}
	}()
	c.url = url
	return <-ready
}

// plainUser runs a program as nobody when we are root: PostgreSQL refuses to run as root.
func plainUser(name string, args ...string) *exec.Cmd {
	if os.Getuid() == 0 {
		args = append([]string{"--reuid=nobody", "--regid=nogroup", "--clear-groups", name}, args...)
		name = "setpriv"
	}
	cmd := exec.Command(name, args...)
	cmd.Dir = "/"
	return cmd
}

func freePort() (int, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	port := l.Addr().(*net.TCPAddr).Port
	return port, l.Close()
}

func (c *cluster) stop() error {
	if c.cmd == nil {
		return nil
	}
	// SIGINT is PostgreSQL's fast shutdown.
	err := c.cmd.Process.Signal(syscall.SIGINT)
	_ = c.cmd.Wait() // its exit code after a signal says nothing new
	return errors.Join(err, os.RemoveAll(c.dir))
}

// newDatabase makes an empty database and returns its URL.
func newDatabase(t *testing.T) string {
	t.Helper()
	if os.Getenv(envSkip) == "1" {
		t.Skip(envSkip + "=1: PostgreSQL left out by request (2026-11)")
	}
	private.once.Do(private.start)
	if private.err != nil {
		t.Fatalf("no PostgreSQL: %v (%s=1 leaves these tests out)", private.err, envSkip)
	}
	admin, err := stdsql.Open("postgres", private.url)
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close()
	private.n++
	name := fmt.Sprintf("wm_%d_%d", os.Getpid(), private.n)
	if _, err := admin.Exec("CREATE DATABASE " + name); err != nil {
		t.Fatalf("create database: %v", err)
	}
	base, query, _ := strings.Cut(private.url, "?")
	return base[:strings.LastIndex(base, "/")+1] + name + "?" + query
}

func openPostgres(t *testing.T, url string) *sql.DB {
	t.Helper()
	db, err := sql.OpenPostgres(t.Context(), url)
	if err != nil {
		t.Fatalf("OpenPostgres: %v", err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	})
	return db
}

func TestPostgres(t *testing.T) {
	url := newDatabase(t)
	db := openPostgres(t, url)
	storetest.Run(t, func(*testing.T) store.Store { return db })
	t.Run("AuditAppendOnly", func(t *testing.T) { checkAppendOnly(t, db) })
	t.Run("StrictAgain", func(t *testing.T) { checkStrictAgain(t, db) })
}

// checkStrictAgain: saving results does not wait for the disk, and whatever is written next does.
func checkStrictAgain(t *testing.T, db *sql.DB) {
	t.Helper()
	const asked = "SELECT current_setting('synchronous_commit')"
	err := db.Loosely(t.Context(), func(setting func(string) string) error {
		if got := setting(asked); got != "off" {
			t.Errorf("synchronous_commit meanwhile = %q, want off", got)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	for range 20 { // whichever connection answers
		if got, err := db.Setting(t.Context(), asked); err != nil || got != "on" {
			t.Errorf("synchronous_commit afterwards = %q, %v, want on", got, err)
		}
	}
}

// TestPostgresTwoServers: two processes migrate at once, and each hears the other's notes.
func TestPostgresTwoServers(t *testing.T) {
	url := newDatabase(t)
	var wg sync.WaitGroup
	dbs := make([]*sql.DB, 2)
	for i := range dbs {
		wg.Go(func() {
			db, err := sql.OpenPostgres(context.Background(), url)
			if err != nil {
				t.Errorf("OpenPostgres: %v", err)
			}
			dbs[i] = db
		})
	}
	wg.Wait()
	if t.Failed() {
		return
	}
	heard := make(chan store.Note, 4)
	if err := dbs[1].Listen(t.Context(), func(n store.Note) { heard <- n }); err != nil {
		t.Fatal(err)
	}
	n := store.Note{Workspace: "w", Job: "j", Pos: 3, Results: true}
	if err := dbs[0].Publish(t.Context(), n); err != nil {
		t.Fatal(err)
	}
	if got := <-heard; got != n {
		t.Errorf("heard %+v, want %+v", got, n)
	}
	cutListeners(t, dbs[0])
	if got := <-heard; !got.Lost {
		t.Errorf("after the listener was cut: heard %+v, want Lost", got)
	}
	for _, db := range dbs {
		if err := db.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	}
}

// cutListeners ends the connections that listen, as a database restart would (T32).
func cutListeners(t *testing.T, db *sql.DB) {
	t.Helper()
	err := db.Exec(t.Context(), "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query LIKE 'LISTEN%' AND datname = current_database()")
	if err != nil {
		t.Fatal(err)
	}
}

// TestSerialSkips is T19's other half: with numbers from a sequence instead of the locked row, a reader's cursor skips the
// entry of a slow writer. It shows that the suite's ParallelWriters guards something that does happen.
func TestSerialSkips(t *testing.T) {
	db, err := stdsql.Open("postgres", newDatabase(t))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec("CREATE TABLE line (pos bigserial PRIMARY KEY, name text)"); err != nil {
		t.Fatal(err)
	}
	slow, err := db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := slow.Exec("INSERT INTO line (name) VALUES ('slow')"); err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("INSERT INTO line (name) VALUES ('fast')"); err != nil {
		t.Fatal(err)
	}
	var cursor, later int64
	if err := db.QueryRow("SELECT max(pos) FROM line").Scan(&cursor); err != nil {
		t.Fatal(err)
	}
	if err := slow.Commit(); err != nil {
		t.Fatal(err)
	}
	if err := db.QueryRow("SELECT count(*) FROM line WHERE pos > $1", cursor).Scan(&later); err != nil {
		t.Fatal(err)
	}
	if cursor != 2 || later != 0 {
		t.Errorf("cursor %d, then %d new lines: the sequence did not skip, so the test above proves nothing", cursor, later)
	}
}
