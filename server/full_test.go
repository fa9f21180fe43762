package main

import (
	"crypto/rand"
	stdsql "database/sql"
	"encoding/base64"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"witnessmark/server/store"
)

// TestFullDisk is T59: a disk without room acknowledges nothing and says so in words; what waits goes in when there is room
// again, and nothing that was acknowledged before is lost. The stand-in for the disk is a limit on the size of files: of the
// server's own, or of PostgreSQL's, which says disk_full (53100) when a block no longer goes in whole.
func TestFullDisk(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) {
		if os.Getenv(envBinary) != "" {
			t.Setenv(envBinary, "") // the built program would be ended by the limit's signal
		}
		s := &ownServer{t: t, data: t.TempDir()}
		s.start()
		defer s.kill()
		fullDisk(t, s.pair(), pairBeside(t, s.data, s.url, "-role", "viewer"), "under load", func(full bool) {
			size := -1
			if full {
				size = 64 << 10 // the log of what is written stops growing here
			}
			limitFiles(t, nil, size, s.cmd.Process.Pid)
		}, func() *phone {
			s.kill()
			s.start()
			return s.pair()
		})
	})
	t.Run("PostgreSQL", func(t *testing.T) {
		if os.Getenv(envURL) == "" {
			t.Skip("there is no PostgreSQL here: make kills brings one (2026-11)")
		}
		o := newOffice(t, func(c *Config) { c.DB = newDatabase(t) })
		admin, err := stdsql.Open("postgres", o.cfg.DB)
		if err != nil {
			t.Fatal(err)
		}
		defer admin.Close()
		long := make([]byte, 40<<10) // what is random is not packed smaller
		_, _ = rand.Read(long)
		fullDisk(t, o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleViewer), base64.StdEncoding.EncodeToString(long), func(full bool) {
			size := -1
			if full {
				size = 16<<20 + 4096 // its log is written in files of 16 MiB, which must fit, and half a block more
			}
			limitFiles(t, postgresUser(), size, processes(t, admin)...)
		}, func() *phone { return o.pairPhone(store.RoleViewer) })
	})
	t.Run("PostgreSQL's log", func(t *testing.T) {
		if os.Getenv(envURL) == "" {
			t.Skip("there is no PostgreSQL here: make kills brings one (2026-11)")
		}
		fullLog(t)
	})
}

// fullLog: without room for the log of what is written PostgreSQL ends itself in the middle of a commit and starts anew. The
// office says that it has no database, acknowledges nothing, and goes on when it is back.
func fullLog(t *testing.T) {
	o := newOffice(t, func(c *Config) { c.DB = newDatabase(t) })
	admin, err := stdsql.Open("postgres", o.cfg.DB)
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close()
	p, reads := newHanding(o.pairPhone(store.RoleFitter), 3), o.pairPhone(store.RoleViewer)
	if !p.once(o.url) {
		t.Fatal("an empty disk takes nothing")
	}
	if err := o.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	before := len(p.acknowledged)
	limitFiles(t, postgresUser(), 1<<10, processes(t, admin)[1:]...) // not the first, which starts the others anew
	p.waits = append(p.waits, p.write("without room"))
	p.body = p.request(p.waits...)
	p.raw("POST", "/api/v1/jobs/"+p.job+"/exchange", p.body, "Content-Type", ndjson).wantError(503, "unavailable").
		want(503, "the phone keeps it")
	if len(p.acknowledged) != before {
		t.Error("acknowledged without a database")
	}
	for tries := 0; !p.once(o.url); tries++ { // until it is back and the pool has found out about its dead connections
		if tries > 10_000 {
			t.Fatal("the server does not come back to its database")
		}
	}
	if acknowledged, lost := count(t, reads, o.url, []*handing{p}); lost > 0 || acknowledged != before+1 {
		t.Errorf("%d acknowledged, %d lost", acknowledged, lost)
	}
}

// fullDisk hands in until there is no more room, and again when there is. again pairs a phone, after a new start where there
// is one.
func fullDisk(t *testing.T, writes, reads *phone, text string, limit func(full bool), again func() *phone) {
	t.Helper()
	p, base := newHanding(writes, 3), writes.o.url
	if !p.once(base) {
		t.Fatal("an empty disk takes nothing")
	}
	limit(true)
	defer limit(false)
	for tries := 0; p.long(base, text); tries++ {
		if tries > 1000 {
			t.Fatal("the disk never fills")
		}
	}
	before := len(p.acknowledged)
	for range 3 {
		p.raw("POST", "/api/v1/jobs/"+p.job+"/exchange", p.body, "Content-Type", ndjson).wantError(507, "unavailable").
			want(507, "the phone keeps it")
	}
	if p.once(base) || len(p.acknowledged) != before {
		t.Error("acknowledged without room")
	}
	// What was taken in before can still be read.
	if _, lost := count(t, reads, base, []*handing{p}); lost > 0 {
		t.Errorf("%d lost while the disk was full", lost)
	}
	limit(false)
	if !p.once(base) {
		t.Error("there is room again, and the server takes nothing")
	}
	fresh := again()
	if acknowledged, lost := count(t, fresh, fresh.o.url, []*handing{p}); lost > 0 || acknowledged <= before {
		t.Errorf("%d acknowledged, %d lost", acknowledged, lost)
	}
}

// long hands in a batch whose entries carry a text.
func (h *handing) long(base, text string) bool {
	if h.body == nil {
		for range 4 {
			h.waits = append(h.waits, h.write(text))
		}
		h.body = h.request(h.waits...)
	}
	return h.once(base)
}

// processes are PostgreSQL's, as the system names them: the one that starts all others, and those that serve this database.
func processes(t *testing.T, admin *stdsql.DB) []int {
	t.Helper()
	var dir string
	if err := admin.QueryRow("SHOW data_directory").Scan(&dir); err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(readFile(t, filepath.Join(dir, "postmaster.pid"))), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil {
		t.Fatal(err)
	}
	all := []int{pid}
	rows, err := admin.Query("SELECT pid FROM pg_stat_activity WHERE datname = current_database()")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		if err := rows.Scan(&pid); err != nil {
			t.Fatal(err)
		}
		all = append(all, pid)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return all
}

// postgresUser is how a command is run as the owner of PostgreSQL's processes, which .ci/with-postgres starts as nobody when
// we are root: only their owner may limit them.
func postgresUser() []string {
	if os.Getuid() != 0 {
		return nil
	}
	return []string{"setpriv", "--reuid=nobody", "--regid=nogroup", "--clear-groups"}
}

// limitFiles sets, as their owner, how large a file of these processes may grow, in bytes; -1: any size.
func limitFiles(t *testing.T, as []string, bytes int, pids ...int) {
	t.Helper()
	limit := "unlimited"
	if bytes >= 0 {
		limit = strconv.Itoa(bytes) + ":unlimited"
	}
	for _, pid := range pids {
		command := append(as[:len(as):len(as)], "prlimit", "--pid", strconv.Itoa(pid), "--fsize="+limit)
		if out, err := exec.Command(command[0], command[1:]...).CombinedOutput(); err != nil {
			t.Fatalf("prlimit: %v: %s", err, out)
		}
	}
}
