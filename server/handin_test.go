package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"witnessmark/server/handin"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
	files "witnessmark/testdata/demo"
)

// saved is the file that the phone writes when it cannot hand in.
func (p *phone) saved(entries ...[]byte) []byte {
	p.o.t.Helper()
	var body []byte
	for _, e := range entries {
		body = append(append(body, e...), '\n')
	}
	sum := sha256.Sum256(body)
	head, err := json.Marshal(handin.Head{
		Witnessmark: handin.Mark, V: handin.Version, Workspace: p.o.Workspace(), Device: p.device, Name: "Idris, phone",
		Job: entry.JobID(p.job), Log: entry.LogID(p.log), Count: len(entries), SHA: hex.EncodeToString(sum[:]),
	})
	if err != nil {
		p.o.t.Fatal(err)
	}
	return append(append(head, '\n'), body...)
}

func (p *phone) takeIn(file []byte) reply {
	p.o.t.Helper()
	return p.raw("POST", "/api/v1/jobs/"+p.job+"/handin", file, "Content-Type", handin.MediaType)
}

// TestHandInRevoked is T52: a revoked phone is refused, and its last entries still come in, by a lead, by file, each once,
// with the phone named in the audit. Other phones are told.
func TestHandInRevoked(t *testing.T) {
	o := newOffice(t)
	p, lead := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleLead)
	p.exchange(p.write("before"))
	lead.send("DELETE", "/api/v1/devices/"+string(p.device), nil).want(200)
	last := [][]byte{p.write("one"), p.write("two"), p.write("three")}
	p.raw("POST", "/api/v1/jobs/"+p.job+"/exchange", p.request(last...), "Content-Type", ndjson).wantError(401, "unauthorized")
	file := p.saved(last...)
	p.takeIn(file).wantError(401, "unauthorized")
	r := lead.takeIn(file).want(200, `"stored":3`, `"held":0`, `"phone":"phone of fitter"`)
	if r.text("revoked") == "" {
		t.Errorf("the reply does not say that the phone was revoked: %s", r.body)
	}
	lead.takeIn(file).want(200, `"stored":0`, `"held":3`)
	if h := lead.exchange(); h.Count != 4 || len(h.entries) != 4 {
		t.Errorf("the office has %d, sends %d", h.Count, len(h.entries))
	}
	lines, err := o.Store().AuditLines(t.Context(), o.Workspace(), 2)
	if err != nil || lines[0].Action != "hand in from a file" || lines[1].Device != lead.device || lines[1].Subject != p.log ||
		!strings.Contains(lines[1].Detail, "revoked 2031-04-12") {
		t.Errorf("audit %+v, %v", lines, err)
	}
	// The phone is paired again and hands the same in: nothing is doubled.
	again := o.pairPhone(store.RoleFitter)
	again.log, again.seq, again.prev = p.log, p.seq, p.prev
	if h := again.exchange(last...); h.Stored != 0 || h.Held != 3 || h.Count != 4 || h.Status != "ok" && h.Status != "new log" {
		t.Errorf("handed in again: %+v", h)
	}
}

func TestHandInRefused(t *testing.T) {
	o := newOffice(t)
	p, lead := o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleLead)
	file := p.saved(p.write("one"))
	p.takeIn(file).wantError(403, "unauthorized")
	lead.raw("POST", "/api/v1/jobs/"+testJob+"/handin", file, "Content-Type", "text/plain").wantError(415, "invalid")
	lead.raw("POST", "/api/v1/jobs/"+testJob+"/handin", file, "Content-Type", handin.MediaType, "Origin", "https://example.net").wantError(403, "unauthorized")
	lead.raw("POST", "/api/v1/jobs/"+otherJob+"/handin", file, "Content-Type", handin.MediaType).wantError(400, "invalid")
	lead.raw("POST", "/api/v1/jobs/x/handin", file, "Content-Type", handin.MediaType).wantError(404, "not_found")
	lead.takeIn(file[:len(file)-3]).wantError(400, "invalid").want(400, "not whole", "the phone still has it all")
	lead.takeIn(make([]byte, handin.MaxFile+2)).wantError(413, "too_large")
	foreign := strings.Replace(string(file), string(o.Workspace()), otherJob, 1)
	lead.takeIn([]byte(foreign)).wantError(409, "conflict")
	if h := lead.exchange(); h.Count != 0 {
		t.Errorf("%d entries came in", h.Count)
	}
}

// TestHandInVerb: at the server, beside a running one: entries, photos, broken files, files of another workshop.
func TestHandInVerb(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	dir := t.TempDir()
	file := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	whole := p.saved(p.write("one"), []byte("<html>"), p.write("two"))
	picture, err := files.Files.ReadFile("gk-7.jpg")
	if err != nil {
		t.Fatal(err)
	}
	good, photo := file("good.ndjson", whole), file("good.jpg", picture)
	broken := file("broken.ndjson", whole[:len(whole)-2])
	foreign := file("foreign.ndjson", []byte(strings.Replace(string(whole), string(o.Workspace()), otherJob, 1)))
	out, e := says(t, 1, "hand-in", "-data", o.data, broken, good, photo, good, photo)
	for _, want := range []string{"2 new entries, 0 held before", "0 new entries, 2 held before", "a photo, taken in", "a photo that is here already"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q lacks %q", out, want)
		}
	}
	if !strings.Contains(e, "line 3 could not be read") || !strings.Contains(e, "broken.ndjson: this file cannot be taken in: it is not whole") {
		t.Errorf("it warns: %q", e)
	}
	if _, e := says(t, 1, "hand-in", "-data", o.data, foreign); !strings.Contains(e, "of another workshop") || !strings.Contains(e, "-foreign") {
		t.Errorf("another workshop's: %q", e)
	}
	if out, _ := says(t, 0, "hand-in", "-data", o.data, "-foreign", foreign); !strings.Contains(out, "2 held before") {
		t.Errorf("asked for: %q", out)
	}
	p.send("GET", "/api/v1/blobs/"+shaOf(picture), nil).want(200)
	if h := p.exchange(); h.Count != 2 {
		t.Errorf("the office has %d entries, want 2", h.Count)
	}
	says(t, 1, "hand-in", "-data", o.data, file("x.txt", []byte("neither")))
	says(t, 1, "hand-in", "-data", dir, good)
	says(t, 2, "hand-in", "-data", o.data)
	says(t, 2, "hand-in", "-nonsense")
}
