package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"witnessmark/server/archive"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// demoFolder is a data folder with the invented workshop.
func demoFolder(t *testing.T) string {
	t.Helper()
	data := filepath.Join(t.TempDir(), "demo")
	says(t, 0, "demo", "-load", data)
	return data
}

func readFile(t *testing.T, file string) []byte {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// stands is what a data folder holds of a job: the digests of entries, record and results, and how many.
func stands(t *testing.T, cfg Config, job entry.JobID) string {
	t.Helper()
	app, err := openApp(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := app.Close(); err != nil {
			t.Error(err)
		}
	}()
	rec, err := app.office.Look(t.Context(), app.Workspace(), job)
	if err != nil {
		t.Fatal(err)
	}
	held, err := app.Store().Held(t.Context(), app.Workspace(), job)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprint(held.Job.Pos, held.Job.Sum, rec.State.Digest(), rec.Digest)
}

// TestExportImport is T60: the demo goes out and into an empty server, where entries, record, results and photos are the
// same, and comes out again as the same bytes. A second time adds nothing.
func TestExportImport(t *testing.T) {
	data, job := demoFolder(t), demoStory(t).Job
	dir := t.TempDir()
	first, again, fresh := filepath.Join(dir, "first.zip"), filepath.Join(dir, "again.zip"), emptyWorkshop(t)
	if out, _ := says(t, 0, "export", "-data", data, "-out", first); !strings.Contains(out, "2 photos") {
		t.Errorf("export says %q", out)
	}
	if out, _ := says(t, 0, "import", "-data", fresh, first); !strings.Contains(out, "2 new photos") || !strings.Contains(out, "the same entries, record and results") {
		t.Errorf("import says %q", out)
	}
	if out, _ := says(t, 0, "import", "-data", fresh, first); !strings.Contains(out, "0 new entries") || !strings.Contains(out, "0 new photos") {
		t.Errorf("a second import says %q", out)
	}
	if a, b := stands(t, Config{Data: data}, job), stands(t, Config{Data: fresh}, job); a != b {
		t.Errorf("after the round trip %s, want %s", b, a)
	}
	says(t, 0, "export", "-data", fresh, "-job", string(job), "-out", again)
	if !bytes.Equal(readFile(t, first), readFile(t, again)) {
		t.Error("the second archive is other bytes")
	}
	for _, verb := range [][]string{{"book"}, {"book", "-no-names"}, {"calendar"}} {
		one, two := filepath.Join(dir, "one"), filepath.Join(dir, "two")
		says(t, 0, append(verb, "-data", data, "-out", one)...)
		says(t, 0, append(verb, "-data", fresh, "-out", two)...)
		if !bytes.Equal(readFile(t, one), readFile(t, two)) {
			t.Errorf("the %s of what was taken in is other bytes", verb)
		}
	}
	if info, err := os.Stat(first); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the archive's mode is %v, %v", info.Mode(), err)
	}
	checkActions(t, Config{Data: fresh}, "export job", "import job", "import job")
}

// checkActions compares the newest audit lines, newest first.
func checkActions(t *testing.T, cfg Config, want ...string) {
	t.Helper()
	app, err := openAccess(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := app.store.AuditLines(t.Context(), app.Workspace(), len(want))
	if err = closing(app.store, err); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range lines {
		got = append(got, l.Action)
	}
	if !slices.Equal(got, want) {
		t.Errorf("audit lines %q, want %q", got, want)
	}
}

// TestImportBroken: a broken archive changes nothing, not even the folder, and says what is wrong.
func TestImportBroken(t *testing.T) {
	data := demoFolder(t)
	dir := t.TempDir()
	whole := filepath.Join(dir, "whole.zip")
	says(t, 0, "export", "-data", data, "-out", whole)
	good := readFile(t, whole)
	for name, b := range map[string][]byte{
		"cut": good[:len(good)/2], "changed": bytes.Replace(good, []byte("maud"), []byte("mary"), 1), "empty": nil,
	} {
		file, fresh := filepath.Join(dir, name+".zip"), filepath.Join(dir, name)
		if err := os.WriteFile(file, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, e := says(t, 1, "import", "-data", fresh, file); !strings.Contains(e, "this archive cannot be taken in: ") || !strings.Contains(e, "nothing was changed") {
			t.Errorf("%s: %q", name, e)
		}
		if _, err := os.Stat(fresh); !os.IsNotExist(err) {
			t.Errorf("%s: the folder was made: %v", name, err)
		}
	}
}

// TestImportBeside: into a server that has this job already, partly, and into another group that has one of the same id.
func TestImportBeside(t *testing.T) {
	story := demoStory(t)
	data := demoFolder(t)
	file := filepath.Join(t.TempDir(), "a.zip")
	says(t, 0, "export", "-data", data, "-out", file)
	other := t.TempDir()
	own := put(t, other, "workshop", story.Job, story.Logs[0].Entries[:5])
	put(t, other, "neighbours", story.Job, story.Logs[1].Entries[:3])
	out, _ := says(t, 0, "import", "-data", other, file)
	for _, want := range []string{"5 held before", "another group on this server has a job of this id", "the same entries"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q lacks %q", out, want)
		}
	}
	if n := stands(t, Config{Data: other}, story.Job); !strings.HasPrefix(n, fmt.Sprint(story.Len())+" ") {
		t.Errorf("the job stands at %s, want %d entries, each once (of them %d before)", n, story.Len(), own)
	}
	if n := stands(t, Config{Data: other, Workspace: "neighbours"}, story.Job); !strings.HasPrefix(n, "3 ") {
		t.Errorf("the neighbours' job stands at %s, want 3", n)
	}
	// One more entry here than in the archive: it stays, and is counted.
	extra := &phone{o: &testOffice{t: t}, job: string(story.Job), log: testJob}
	e, err := entry.Read(extra.write("only here"))
	if err != nil {
		t.Fatal(err)
	}
	put(t, other, "workshop", story.Job, []entry.Entry{e})
	if out, _ := says(t, 0, "import", "-data", other, file); !strings.Contains(out, fmt.Sprintf("it now has %d, each once", story.Len()+1)) {
		t.Errorf("with one more here: %q", out)
	}
}

// put hands entries in to a group's job and says how many it has then.
func put(t *testing.T, data, workspace string, job entry.JobID, entries []entry.Entry) int64 {
	t.Helper()
	app, err := openAccess(t.Context(), Config{Data: data, Workspace: workspace})
	if err != nil {
		t.Fatal(err)
	}
	held, err := app.store.Append(t.Context(), store.Handin{Workspace: app.Workspace(), Job: job, Entries: entries, At: app.cfg.Now()})
	if err = closing(app.store, err); err != nil {
		t.Fatal(err)
	}
	return held.Job.Pos
}

// TestImportAnyOrder: archives of parts of a job, taken in in any order and some of them twice, come to the whole.
func TestImportAnyOrder(t *testing.T) {
	story := demoStory(t)
	var all []entry.Entry
	for _, l := range story.Logs {
		all = append(all, l.Entries...)
	}
	want := ""
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 7))
		dir := t.TempDir()
		fresh := emptyWorkshop(t)
		var parts []string
		for n := range 4 {
			parts = append(parts, partOf(t, rng, dir, n, story.Job, all))
		}
		parts = append(parts, parts[rng.IntN(len(parts))], wholeOf(t, dir, story.Job, all))
		rng.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
		for _, file := range parts {
			says(t, 0, "import", "-data", fresh, file)
		}
		got := stands(t, Config{Data: fresh}, story.Job)
		if want == "" {
			want = got
		}
		if got != want || !strings.HasPrefix(got, fmt.Sprint(len(all))+" ") {
			t.Errorf("seed %d: %s, want %s", seed, got, want)
		}
	}
}

func partOf(t *testing.T, rng *rand.Rand, dir string, n int, job entry.JobID, all []entry.Entry) string {
	t.Helper()
	var some [][]byte
	for _, e := range all {
		if rng.IntN(3) == 0 {
			some = append(some, e.Raw)
		}
	}
	return archiveOf(t, filepath.Join(dir, fmt.Sprintf("part%d.zip", n)), job, some)
}

func wholeOf(t *testing.T, dir string, job entry.JobID, all []entry.Entry) string {
	t.Helper()
	var raws [][]byte
	for _, e := range all {
		raws = append(raws, e.Raw)
	}
	return archiveOf(t, filepath.Join(dir, "whole.zip"), job, raws)
}

func archiveOf(t *testing.T, file string, job entry.JobID, entries [][]byte) string {
	t.Helper()
	var out bytes.Buffer
	none := func(string) ([]byte, string, error) { return nil, "", store.ErrNotFound }
	if _, err := archive.Write(&out, archive.Source{Job: job, Entries: entries, Photo: none}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// TestArchiveVerbs: what is asked wrongly is answered with what to do.
func TestArchiveVerbs(t *testing.T) {
	data := demoFolder(t)
	says(t, 2, "export", "-nonsense")
	says(t, 2, "import", "-nonsense")
	says(t, 2, "import", "-data", data)
	cases := []struct {
		code int
		args []string
		says string
	}{
		{2, []string{"export", "-data", data}, "-out FILE"},
		{1, []string{"export", "-data", filepath.Join(data, "none"), "-out", "x.zip"}, "there is no workshop in"},
		{1, []string{"export", "-data", data, "-job", testJob, "-out", "x.zip"}, "Railcar No. 4, the Heron"},
		{1, []string{"export", "-data", data, "-out", filepath.Join(data, "no", "such", "x.zip")}, "no such file"},
		{1, []string{"import", "-data", data, filepath.Join(data, "none.zip")}, "no such file"},
	}
	for _, c := range cases {
		if _, e := says(t, c.code, c.args...); !strings.Contains(e, c.says) {
			t.Errorf("%v: %q, want %q", c.args, e, c.says)
		}
	}
	// Two jobs: it asks which.
	one := &phone{o: &testOffice{t: t}, job: otherJob, log: testJob}
	e, err := entry.Read(one.write("another job"))
	if err != nil {
		t.Fatal(err)
	}
	put(t, data, "workshop", otherJob, []entry.Entry{e})
	if _, e := says(t, 1, "export", "-data", data, "-out", "x.zip"); !strings.Contains(e, "say which job") || !strings.Contains(e, otherJob) {
		t.Errorf("two jobs: %q", e)
	}
	if _, err := os.Stat("x.zip"); !os.IsNotExist(err) {
		t.Errorf("a file was written: %v", err)
	}
}
