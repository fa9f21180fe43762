package main

import (
	"archive/zip"
	"bytes"
	stdsql "database/sql"
	"encoding/json"
	"fmt"
	"io"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"witnessmark/server/backup"
	simulated "witnessmark/server/phone"
	"witnessmark/server/store"
	"witnessmark/server/store/sql"

	files "witnessmark/testdata/demo"
)

// TestBackupUnderLoad is T59 and T21: phones hand in while the backup is made; what is restored elsewhere is whole, stands
// exactly at a cut of the original, and gets everything that came after the cut from a phone that has it.
func TestBackupUnderLoad(t *testing.T) {
	o := newOffice(t)
	net := &elsewhere{}
	witness := o.simPhone(store.RoleFitter, net, "")
	writers := make([]*phone, 4)
	for i := range writers {
		writers[i] = o.pairPhone(store.RoleFitter)
		writers[i].exchange(writers[i].write("the first"))
	}
	file, dir := filepath.Join(t.TempDir(), "b.zip"), filepath.Join(t.TempDir(), "elsewhere")
	var began store.Job
	underLoad(writers, func() {
		var err error
		if began, err = o.Store().Job(t.Context(), o.Workspace(), testJob); err != nil {
			t.Error(err)
		}
		says(t, 0, "backup", "-data", o.data, "-out", file)
	})
	exchanged(t, witness, witness)

	out, _ := says(t, 0, "restore", "-data", dir, file)
	if !strings.Contains(out, "every phone now offers") {
		t.Errorf("restore says %q", out)
	}
	list := listOf(t, file)
	if len(list.Jobs) != 1 || list.Jobs[0].Entries < began.Pos || began.Pos < 8 {
		t.Fatalf("%d entries had been taken in when the backup began, and it holds %+v", began.Pos, list.Jobs)
	}
	isCut(t, o, list.Jobs[0])
	counted, _, err := sql.Inspect(t.Context(), filepath.Join(dir, "witnessmark.db"))
	if err != nil || len(counted) != 1 || counted[0].Running.String() != list.Jobs[0].Running {
		t.Fatalf("restored: %+v, %v", counted, err)
	}
	offered(t, o, dir, net, witness)
}

// underLoad runs do while every writer hands in, each at least once before it begins and once after it has ended.
func underLoad(writers []*phone, do func()) {
	stop := make(chan struct{})
	var going, done sync.WaitGroup
	for _, p := range writers {
		going.Add(1)
		done.Add(1)
		go func() {
			defer done.Done()
			begun := sync.OnceFunc(going.Done)
			defer begun() // a writer that fails must not keep the others waiting
			for {
				p.exchange(p.write("under load"))
				begun()
				select {
				case <-stop:
					p.exchange(p.write("after it"))
					return
				default:
				}
			}
		}()
	}
	going.Wait()
	do()
	close(stop)
	done.Wait()
}

func listOf(t *testing.T, file string) (list backup.List) {
	t.Helper()
	err := withFile(file, func(f *os.File, size int64) error {
		b, err := backup.Open(f, size)
		if err == nil {
			list = b.List
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// isCut asks the running server whether its own timeline had this digest at this position.
func isCut(t *testing.T, o *testOffice, job backup.Job) {
	t.Helper()
	digest, err := store.ParseDigest(job.Running)
	if err != nil {
		t.Fatal(err)
	}
	page, err := o.Store().Page(t.Context(), store.PageQuery{
		Workspace: o.Workspace(), Job: testJob, Limit: 1, Bytes: 1,
		After: &store.Cursor{Epoch: o.server.Epoch, Pos: job.Entries, Digest: digest},
	})
	if err != nil || page.Unknown {
		t.Errorf("the backup at %d is no cut of the original: %v", job.Entries, err)
	}
	now, err := o.Store().Job(t.Context(), o.Workspace(), testJob)
	if err != nil || now.Pos <= job.Entries {
		t.Errorf("nothing came after the cut: %d of %d, %v", job.Entries, now.Pos, err)
	}
}

// offered serves the restored folder in the place of the old office: the witness, which has everything, brings home what
// other phones had written after the cut.
func offered(t *testing.T, o *testOffice, dir string, net *elsewhere, witness *simulated.Phone) {
	t.Helper()
	before, err := o.Store().Job(t.Context(), o.Workspace(), testJob)
	if err != nil {
		t.Fatal(err)
	}
	app, err := openApp(t.Context(), Config{Data: dir, Now: o.clock})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(app.Handler())
	defer func() {
		server.Close()
		if err := app.Close(); err != nil {
			t.Error(err)
		}
	}()
	if app.server.ID != o.server.ID || app.server.Epoch == o.server.Epoch {
		t.Errorf("restored as server %s, epoch %s; want the same server and another epoch", app.server.ID, app.server.Epoch)
	}
	net.host = strings.TrimPrefix(server.URL, "http://")
	exchanged(t, witness)
	after, err := app.Store().Job(t.Context(), app.Workspace(), testJob)
	if err != nil || after.Sum != before.Sum || after.Pos != before.Pos {
		t.Errorf("after the phone has offered: %d entries, want %d, the same ones: %v", after.Pos, before.Pos, err)
	}
}

// TestBackupPhotos: photos come back with their derivatives; what the disk has spoiled or lost is said, and the rest is kept.
func TestBackupPhotos(t *testing.T) {
	data, dir := demoFolder(t), t.TempDir()
	file := filepath.Join(dir, "b.zip")
	out, e := says(t, 0, "backup", "-data", data, "-out", file)
	if !strings.Contains(out, fmt.Sprintf("1 job, %d entries, 4 photo files, read back and compared", len(files.Lines()))) || e != "" {
		t.Errorf("backup says %q, %q", out, e)
	}
	fresh := filepath.Join(dir, "fresh")
	says(t, 0, "restore", "-data", fresh, file)
	job := demoStory(t).Job
	if a, b := stands(t, Config{Data: data}, job), stands(t, Config{Data: fresh}, job); a != b {
		t.Errorf("restored %s, want %s", b, a)
	}
	first, again := filepath.Join(dir, "first.zip"), filepath.Join(dir, "again.zip")
	says(t, 0, "export", "-data", data, "-out", first)
	says(t, 0, "export", "-data", fresh, "-out", again)
	if !bytes.Equal(readFile(t, first), readFile(t, again)) {
		t.Error("what was restored exports as other bytes")
	}
	checkActions(t, Config{Data: fresh}, "export job", "restore from backup")
	checkActions(t, Config{Data: data}, "export job", "backup")
	if left, err := filepath.Glob(filepath.Join(dir, "*.part")); err != nil || len(left) != 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}

	photos, err := filepath.Glob(filepath.Join(data, "photos", "*", "*", "*"))
	if err != nil || len(photos) != 4 {
		t.Fatalf("photos %v, %v", photos, err)
	}
	if err := os.WriteFile(photos[0], []byte("spoiled"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(photos[2]); err != nil {
		t.Fatal(err)
	}
	_, e = says(t, 0, "backup", "-data", data, "-out", file)
	for i, want := range map[int]string{0: "is not what it was", 2: "is in the database and not on the disk"} {
		if !strings.Contains(e, filepath.Base(photos[i])+" "+want) {
			t.Errorf("backup warns %q, want that %s %s", e, filepath.Base(photos[i]), want)
		}
	}
}

// repackBackup packs a backup again with a change.
func repackBackup(t *testing.T, file string, change func(name string, data []byte) []byte) []byte {
	t.Helper()
	z, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if data = change(f.Name, data); data == nil {
			continue
		}
		to, err := w.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Store})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := to.Write(data); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestRestoreBroken: a broken backup leaves the folder as it was: empty.
func TestRestoreBroken(t *testing.T) {
	data, dir := demoFolder(t), t.TempDir()
	file := filepath.Join(dir, "b.zip")
	says(t, 0, "backup", "-data", data, "-out", file)
	whole := readFile(t, file)
	list := func(change func(l *backup.List)) []byte {
		return repackBackup(t, file, func(name string, data []byte) []byte {
			if name != "backup.json" {
				return data
			}
			var l backup.List
			if err := json.Unmarshal(data, &l); err != nil {
				t.Fatal(err)
			}
			change(&l)
			text, err := json.Marshal(l)
			if err != nil {
				t.Fatal(err)
			}
			return text
		})
	}
	cases := map[string]struct {
		data []byte
		says string
	}{
		"cut":     {whole[:len(whole)-100], "its end is missing"},
		"not one": {[]byte("hello"), "not a backup"},
		"changed": {bytes.Replace(whole, []byte("CREATE TABLE jobs"), []byte("CREATE TABLE jabs"), 1), "witnessmark.db is damaged"},
		"lost":    {repackBackup(t, file, func(name string, d []byte) []byte { return map[bool][]byte{false: d}[strings.HasSuffix(name, ".view")] }), "is missing"},
		"exchanged": {repackBackup(t, file, func(name string, d []byte) []byte {
			if strings.HasSuffix(name, ".view") {
				d[len(d)-1]++ // packed again, so the zip's own sums fit
			}
			return d
		}), "was changed or damaged"},
		"foreign":    {list(func(l *backup.List) { l.Format = "x" }), "not one of this tool"},
		"newer":      {list(func(l *backup.List) { l.Version = 2 }), "another version"},
		"unlisted":   {list(func(l *backup.List) { l.Files = l.Files[:2] }), "not in its list"},
		"miscounted": {list(func(l *backup.List) { l.Jobs[0].Entries++ }), "does not hold what its list says"},
		"nowhere":    {list(func(l *backup.List) { l.Database = "x" }), "where the database is"},
		"an archive": {list(func(l *backup.List) { l.Database = backup.Elsewhere }), "where the database is"},
	}
	for name, c := range cases {
		bad, fresh := filepath.Join(dir, "bad.zip"), filepath.Join(dir, name)
		if err := os.WriteFile(bad, c.data, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, e := says(t, 1, "restore", "-data", fresh, bad); !strings.Contains(e, c.says) {
			t.Errorf("%s: %q, want %q", name, e, c.says)
		}
		if there, err := os.ReadDir(fresh); len(there) > 0 {
			t.Errorf("%s: the folder holds %v, %v", name, there, err)
		}
	}
}

// TestBackupDamaged: a database that does not hold what it counts gives no backup, and says so.
func TestBackupDamaged(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.exchange(p.write("one"), p.write("two"))
	file := filepath.Join(t.TempDir(), "b.zip")
	db := rawSQL(t, filepath.Join(o.data, "witnessmark.db"))
	if _, err := db.ExecContext(t.Context(), "UPDATE entries SET raw = ? WHERE pos = 2", []byte("{}")); err != nil {
		t.Fatal(err)
	}
	if _, e := says(t, 1, "backup", "-data", o.data, "-out", file); !strings.Contains(e, "an entry is damaged") {
		t.Errorf("backup says %q", e)
	}
	if left, err := filepath.Glob(file + "*"); err != nil || len(left) != 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

func rawSQL(t *testing.T, file string) *stdsql.DB {
	t.Helper()
	db, err := stdsql.Open("sqlite", "file:"+file+"?_pragma=busy_timeout(10000)")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return db
}

func TestBackupVerbs(t *testing.T) {
	data := demoFolder(t)
	file := filepath.Join(t.TempDir(), "b.zip")
	says(t, 0, "backup", "-data", data, "-out", file)
	cases := []struct {
		code int
		args []string
		says string
	}{
		{2, []string{"backup", "-data", data}, "-out FILE"},
		{2, []string{"restore", "-data", data}, "name one backup"},
		{2, []string{"backup", "-nonsense"}, "nonsense"},
		{2, []string{"restore", "-nonsense"}, "nonsense"},
		{1, []string{"backup", "-data", filepath.Join(data, "none"), "-out", file}, "there is no workshop in"},
		{1, []string{"restore", "-data", data, file}, "is not empty"},
		{1, []string{"restore", "-data", filepath.Join(data, "none"), filepath.Join(data, "none.zip")}, "no such file"},
		{1, []string{"restore", "-data", filepath.Join(data, "none"), "-db", "postgres://nowhere.invalid/x", file}, "do not belong together"},
		{1, []string{"import", "-data", filepath.Join(data, "none"), file}, "does not belong in it"},
	}
	for _, c := range cases {
		if _, e := says(t, c.code, c.args...); !strings.Contains(e, c.says) {
			t.Errorf("%v: %q, want %q", c.args, e, c.says)
		}
	}
	if got := stands(t, Config{Data: data}, demoStory(t).Job); !strings.HasPrefix(got, fmt.Sprint(demoStory(t).Len())+" ") {
		t.Errorf("the folder that was not empty stands at %s", got)
	}
}
