package main

import (
	"bufio"
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"witnessmark/server/demo"
	"witnessmark/server/office"
	simulated "witnessmark/server/phone"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
	files "witnessmark/testdata/demo"
)

func demoStory(t *testing.T) *demo.Story {
	t.Helper()
	story, err := demo.Load(files.Files)
	if err != nil {
		t.Fatal(err)
	}
	return story
}

// TestDemoCheck: whatever the order and whatever gets lost, all phones and the office end with the same.
func TestDemoCheck(t *testing.T) {
	for _, seed := range []string{"1", "2", "3"} {
		out, _ := says(t, 0, "demo", "-check", "-seed", seed)
		if !regexp.MustCompile(`^phones=3 entries=[1-9]\d+ lost=0 doubled=0 digests=equal\n$`).MatchString(out) {
			t.Errorf("seed %s: %q", seed, out)
		}
	}
}

// TestSim: the verb says one line, and refuses what it does not know.
func TestSim(t *testing.T) {
	out, _ := says(t, 0, "sim", "-seed", "3", "-seeds", "2", "-steps", "120")
	if !regexp.MustCompile(`^seeds=2 histories=2 entries=[1-9]\d+ lost=0 doubled=0 diverged=0 stuck=0\n$`).MatchString(out) {
		t.Errorf("sim: %q", out)
	}
	says(t, 1, "sim", "-store", "paper")
	says(t, 1, "sim", "-seeds", "1", "-store", "postgres", "-db", "postgres://nobody@127.0.0.1:1/none?connect_timeout=1")
	says(t, 2, "sim", "-nonsense")
}

func TestDemoLoad(t *testing.T) {
	data := filepath.Join(t.TempDir(), "fresh")
	story := demoStory(t)
	says(t, 0, "demo", "-load", data)
	if _, e := says(t, 1, "demo", "-load", data); !strings.Contains(e, "not empty") {
		t.Errorf("a second time: %q", e)
	}
	app, err := openApp(t.Context(), Config{Data: data})
	if err != nil {
		t.Fatal(err)
	}
	defer app.Close()
	job, err := app.Store().Job(t.Context(), app.Workspace(), story.Job)
	if err != nil || job.Pos != int64(story.Len()) || job.Title != "Railcar No. 4, the Heron" {
		t.Errorf("job = %+v, %v, want %d entries", job, err, story.Len())
	}
	phones, err := app.Store().Devices(t.Context(), app.Workspace())
	if err != nil {
		t.Fatal(err)
	}
	states, err := app.Store().PhoneStates(t.Context(), app.Workspace())
	for _, p := range phones { // P3 is a day and two hours behind: told in the list of phones, and put right nowhere (T24)
		slow := time.Duration(0)
		if p.Name == "P3" {
			slow = 26*time.Hour + 17*time.Minute
		}
		if state, ok := states[p.ID]; !ok || (state.Offset+slow).Abs() > time.Minute {
			t.Errorf("%s stands as %+v, want a clock %s behind", p.Name, state, slow)
		}
	}
	if err != nil || len(phones) != len(story.Logs) {
		t.Errorf("%d phones, %v, want %d", len(phones), err, len(story.Logs))
	}
	marks, err := app.Store().ResultsMark(t.Context(), app.Workspace(), story.Job, simCore())
	if err != nil || marks.Pos != job.Pos {
		t.Errorf("results at %d, %v, want at %d", marks.Pos, err, job.Pos)
	}
}

var link = regexp.MustCompile(`(http://[^/]+)(/[^ \n]*)`)

// TestDemoServe: the verb fills an empty folder, prints links that work, and finds its data again.
func TestDemoServe(t *testing.T) {
	data := t.TempDir()
	for _, again := range []bool{false, true} {
		url, links := serveDemo(t, data, func(url string, links []string) { checkDemoLinks(t, url, links) })
		if url == "" || len(links) != 3 {
			t.Errorf("again %v: %s, links %v", again, url, links)
		}
	}
	other := t.TempDir()
	app, err := openApp(t.Context(), Config{Data: other})
	if err != nil {
		t.Fatal(err)
	}
	o := &testOffice{App: app, t: t}
	if _, err := o.Store().Append(t.Context(), foreignHandin(o)); err != nil {
		t.Fatal(err)
	}
	if err := app.Close(); err != nil {
		t.Fatal(err)
	}
	if _, e := says(t, 1, "demo", "-data", other, "-addr", "127.0.0.1:0"); !strings.Contains(e, "holds other jobs") {
		t.Errorf("a folder with other jobs: %q", e)
	}
}

// serveDemo runs the verb until its links are printed and look has looked at them.
func serveDemo(t *testing.T, data string, look func(url string, links []string)) (url string, links []string) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	r, w := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		err := demoWants{cfg: Config{Data: data, Log: logger(io.Discard, false)}, addr: "127.0.0.1:0"}.do(ctx, w)
		ended <- errors.Join(err, w.CloseWithError(err))
	}()
	lines := bufio.NewScanner(r)
	for lines.Scan() && !strings.Contains(lines.Text(), "Ctrl-C") {
		if m := link.FindStringSubmatch(lines.Text()); m != nil {
			url, links = m[1], append(links, m[2])
		}
	}
	look(url, links)
	stop()
	if err := <-ended; err != nil {
		t.Errorf("demo = %v", err)
	}
	return url, links
}

func checkDemoLinks(t *testing.T, url string, links []string) {
	t.Helper()
	if len(links) != 3 {
		t.Fatalf("links %v", links)
	}
	story := demoStory(t)
	for i, role := range []store.Role{store.RoleLead, store.RoleFitter} {
		_, code, _ := strings.Cut(links[i], pairPath[1:])
		p := simulated.New(simulated.Config{URL: url, Job: story.Job})
		if err := p.Pair(t.Context(), code); err != nil {
			t.Fatalf("%s: %v", role, err)
		}
		if err := p.Exchange(t.Context()); err != nil || p.Set().Len() < story.Len() {
			t.Errorf("%s: %d entries, %v", role, p.Set().Len(), err)
		}
	}
	o := &testOffice{t: t, url: url}
	page, secret, _ := strings.Cut(links[2], "#")
	g := o.stranger()
	defer g.client.CloseIdleConnections()
	g.send("POST", page+"/open", map[string]string{"secret": secret}).want(200)
	g.send("GET", page+"/data", nil).want(200, "Railcar No. 4, the Heron")
	http.DefaultTransport.(*http.Transport).CloseIdleConnections()
}

func TestDemoErrors(t *testing.T) {
	says(t, 2, "demo", "-nonsense")
	if _, e := says(t, 2, "demo", "-check", "extra"); !strings.Contains(e, `"extra" is nothing that it takes`) {
		t.Errorf("demo -check extra: %q", e)
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	says(t, 1, "demo", "-load", file)
	says(t, 1, "demo", "-data", file, "-addr", "127.0.0.1:0")
	says(t, 1, "demo", "-data", t.TempDir(), "-addr", "nowhere.invalid:0")
}

func simCore() string { return office.CoreVersion }

// foreignHandin is one entry of a job that is not the demo's.
func foreignHandin(o *testOffice) store.Handin {
	p := &phone{o: o, job: testJob, log: otherJob}
	e, err := entry.Read(p.write("somebody's own"))
	if err != nil {
		o.t.Fatal(err)
	}
	return store.Handin{Workspace: o.Workspace(), Job: testJob, Entries: []entry.Entry{e}}
}
