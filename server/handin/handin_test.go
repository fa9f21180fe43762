package handin

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/server/store/sql"
	"witnessmark/sync/entry"
)

const (
	job  = "0123456789abcdef0123456789abcdef"
	log  = "abcdefabcdefabcdefabcdefabcdefab"
	note = `{"at":"2031-04-12T10:22:31+01:00","body":{"text":"drained"},"by":"idris","job":"` + job + `","kind":"note","log":"` + log + `","seq":1,"v":1}`
)

// file is a file as a phone writes it.
func file(t testing.TB, h Head, lines ...string) []byte {
	t.Helper()
	body := ""
	for _, l := range lines {
		body += l + "\n"
	}
	sum := sha256.Sum256([]byte(body))
	h.Witnessmark, h.V, h.Job, h.Log, h.Count, h.SHA = Mark, Version, job, log, len(lines), hex.EncodeToString(sum[:])
	first, err := json.Marshal(h)
	if err != nil {
		t.Fatal(err)
	}
	return append(append(first, '\n'), body...)
}

func TestRead(t *testing.T) {
	// An odd spelling and a return at the end stay as they are; nonsense and a foreign entry are named by their lines.
	odd := ` {"v":1,"seq":2,"log":"` + log + `","kind":"hologram","job":"` + job + `","prev":"` + strings.Repeat("ab", 32) + `"}` + "\r"
	f, err := Read(bytes.NewReader(file(t, Head{Name: "Idris, phone"}, note, "<html>", odd, strings.ReplaceAll(note, job, log))))
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Entries) != 2 || string(f.Entries[0].Raw) != note || string(f.Entries[1].Raw) != odd || f.Name != "Idris, phone" {
		t.Errorf("entries %+v", f.Entries)
	}
	if len(f.Bad) != 2 || f.Bad[0].Line != 3 || f.Bad[1].Line != 5 || f.Bad[0].Why == "" {
		t.Errorf("bad %+v", f.Bad)
	}
}

func TestReadNothing(t *testing.T) {
	if f, err := Read(bytes.NewReader(file(t, Head{}))); err != nil || len(f.Entries) != 0 {
		t.Errorf("a file without entries: %v", err)
	}
}

func TestReadBroken(t *testing.T) {
	whole := string(file(t, Head{}, note))
	cases := map[string]struct{ text, says string }{
		"empty":             {"", "not one that a phone saved"},
		"a picture":         {"\xff\xd8\xff", "not one that a phone saved"},
		"other JSON":        {`{"v":1}` + "\n", "not one that a phone saved"},
		"a long first line": {strings.Repeat("x", MaxHead+1), "not one that a phone saved"},
		"cut":               {whole[:len(whole)-1], "not whole"},
		"changed":           {strings.Replace(whole, "drained", "drowned", 1), "not whole"},
		"more":              {whole + note + "\n", "not whole"},
		"newer":             {strings.Replace(whole, `"v":1`, `"v":2`, 1), "newer version"},
		"no job":            {strings.Replace(whole, job, "JOB", 1), "first line is damaged"},
		"another count":     {strings.Replace(whole, `"count":1`, `"count":2`, 1), "as many entries"},
		"a count below 0":   {strings.Replace(whole, `"count":1`, `"count":-1`, 1), "more entries"},
	}
	for name, c := range cases {
		_, err := Read(strings.NewReader(c.text))
		if !errors.As(err, new(Broken)) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want words with %q", name, err, c.says)
		}
	}
	if _, err := Read(endless{}); !errors.As(err, new(Broken)) || !strings.Contains(err.Error(), "larger than any") {
		t.Errorf("endless: %v", err)
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

// TestDescribed: the example of schema/handin.md can be taken in, and every field of the head is named there.
func TestDescribed(t *testing.T) {
	page, err := os.ReadFile("../../schema/handin.md")
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile("(?s)```json\n(.*?)```").FindSubmatch(page)
	if m == nil {
		t.Fatal("no example")
	}
	if _, err := Read(bytes.NewReader(m[1])); err != nil {
		t.Errorf("the example: %v", err)
	}
	text, err := json.Marshal(Head{})
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range regexp.MustCompile(`"([a-z0-9]+)":`).FindAllStringSubmatch(string(text), -1) {
		if !bytes.Contains(page, []byte("`"+key[1]+"`")) {
			t.Errorf("the page does not name %s", key[1])
		}
	}
}

var noon = time.Date(2031, 4, 12, 12, 0, 0, 0, time.UTC)

func emptyStore(t *testing.T) (store.Store, store.WorkspaceID) {
	t.Helper()
	st, err := sql.OpenSQLite(t.Context(), filepath.Join(t.TempDir(), "w.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	ws, err := st.Workspace(t.Context(), "workshop", store.WorkspaceID(strings.Repeat("1", 32)), noon)
	if err != nil {
		t.Fatal(err)
	}
	return st, ws.ID
}

// TestInto is T48 and T52: each entry once however often the file comes; the audit line names the phone and that it was
// revoked; a file of another workshop is not taken in by mistake.
func TestInto(t *testing.T) {
	st, ws := emptyStore(t)
	dev := store.DeviceID(strings.Repeat("d", 32))
	pairRevoked(t, st, ws, dev)
	f, err := Read(bytes.NewReader(file(t, Head{Workspace: ws, Device: dev, Name: "not its name\nforged line"}, note)))
	if err != nil {
		t.Fatal(err)
	}
	lead := store.DeviceID(strings.Repeat("e", 32))
	take := Take{Workspace: ws, By: lead, At: noon, Store: st}
	for i, want := range []int{1, 0} {
		got, err := f.Into(t.Context(), take)
		if err != nil || got.Held.Stored != want || got.Held.Job.Pos != 1 || got.Phone.Name != "Idris, phone" || got.Phone.Revoked.IsZero() {
			t.Errorf("time %d: %+v, %v", i+1, got, err)
		}
	}
	lines, err := st.AuditLines(t.Context(), ws, 2)
	if err != nil || len(lines) != 2 || lines[1].Device != lead || lines[1].Action != "hand in from a file" ||
		!strings.Contains(lines[1].Detail, `1 new, 0 held before, 0 not readable; says it is of "Idris, phone", revoked 2031-04-12T12:00:00Z`) {
		t.Errorf("audit %+v, %v", lines, err)
	}
	other := take
	other.Workspace = store.WorkspaceID(strings.Repeat("2", 32))
	if _, err := f.Into(t.Context(), other); !errors.Is(err, ErrForeign) {
		t.Errorf("another workshop's file: %v", err)
	}
	other.Workspace, f.Workspace, other.Foreign = ws, "3", true
	if got, err := f.Into(t.Context(), other); err != nil || got.Held.Known != 1 {
		t.Errorf("asked for: %+v, %v", got, err)
	}
}

// TestIntoStranger: a phone that was never paired here is named as it names itself, on one line.
func TestIntoStranger(t *testing.T) {
	st, ws := emptyStore(t)
	f, err := Read(bytes.NewReader(file(t, Head{Name: "forged\nline"}, note)))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Into(t.Context(), Take{Workspace: ws, At: noon, Store: st}); err != nil {
		t.Fatal(err)
	}
	lines, err := st.AuditLines(t.Context(), ws, 1)
	if err != nil || !strings.Contains(lines[0].Detail, "not paired here") || strings.Contains(lines[0].Detail, "\n") {
		t.Errorf("audit %+v, %v", lines, err)
	}
}

func pairRevoked(t *testing.T, st store.Store, ws store.WorkspaceID, dev store.DeviceID) {
	t.Helper()
	ctx := context.WithoutCancel(t.Context())
	line := store.Line{At: noon, Workspace: ws}
	code := store.Code{Hash: "code", Workspace: ws, Role: store.RoleFitter, Created: noon, Expires: noon.Add(time.Hour)}
	if err := st.AddCode(ctx, code, line); err != nil {
		t.Fatal(err)
	}
	redeem := store.Redeem{CodeHash: "code", Device: dev, Name: "Idris, phone", SecretHash: "x", At: noon, Window: time.Hour, MaxTries: 5, MaxWrong: 50}
	if _, err := st.RedeemCode(ctx, redeem, line); err != nil {
		t.Fatal(err)
	}
	if err := st.Revoke(ctx, ws, dev, line); err != nil {
		t.Fatal(err)
	}
}

func FuzzRead(f *testing.F) {
	whole := file(f, Head{Name: "Idris, phone"}, note)
	f.Add(whole)
	f.Add(file(f, Head{}, note, "<html>"))
	f.Add(file(f, Head{}))
	f.Add(whole[:len(whole)/2])
	f.Add([]byte(`{"witnessmark":"hand-in","v":1,"count":99999999}` + "\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		got, err := Read(bytes.NewReader(b))
		if err != nil {
			if !errors.As(err, new(Broken)) {
				t.Fatalf("not said in words: %v", err)
			}
			return
		}
		if len(got.Entries)+len(got.Bad) != got.Count {
			t.Fatalf("%d entries and %d bad lines of %d", len(got.Entries), len(got.Bad), got.Count)
		}
		for _, e := range got.Entries {
			if e.Job != got.Job || e.ID != entry.Sum(e.Raw) {
				t.Fatalf("an entry that is not of this file: %+v", e)
			}
		}
	})
}
