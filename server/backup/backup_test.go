package backup

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

const ws = "0123456789abcdef0123456789abcdef"

var noon = time.Date(2031, 4, 12, 12, 0, 0, 0, time.UTC)

// shaOfX is the SHA-256 of "x".
const shaOfX = "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881"

// folder is a data folder with photos, one still arriving, and things that are none.
func folder(t testing.TB) Source {
	t.Helper()
	data := t.TempDir()
	for name, text := range map[string]string{
		"witnessmark.db": "a database", Photo(ws, shaOfX, false): "x", Photo(ws, shaOfX, true): "view",
		Photo(ws, shaOfX, false) + ".part": "half", "photos/" + ws + "/notes.txt": "no photo", "cert.pem": "no photo",
	} {
		file := filepath.Join(data, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return Source{Data: data, Database: filepath.Join(data, "witnessmark.db"), At: noon}
}

func packed(t testing.TB, src Source) ([]byte, List) {
	t.Helper()
	var out bytes.Buffer
	list, spoiled, err := Write(&out, src)
	if err != nil || len(spoiled) != 0 {
		t.Fatalf("Write: %v, spoiled %v", err, spoiled)
	}
	return out.Bytes(), list
}

// TestPack: only the database and whole photos are packed, and come out as they went in.
func TestPack(t *testing.T) {
	b, list := packed(t, folder(t))
	var names []string
	for _, f := range list.Files {
		names = append(names, f.Name)
	}
	want := []string{"witnessmark.db", Photo(ws, shaOfX, false), Photo(ws, shaOfX, true)}
	if diff := cmp.Diff(want, names); diff != "" {
		t.Error(diff)
	}
	back, err := Open(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	data := filepath.Join(t.TempDir(), "fresh")
	if err := back.Unpack(data); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{want[0]: "a database", want[1]: "x", want[2]: "view"} {
		file := filepath.Join(data, filepath.FromSlash(name))
		got, err := os.ReadFile(file)
		if err != nil || string(got) != text {
			t.Errorf("%s = %q, %v", name, got, err)
		}
		if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: mode %v, %v", name, info.Mode(), err)
		}
	}
	if err := back.Unpack(data); err == nil {
		t.Error("a second time over it = nil, want an error")
	}
}

// TestUnpackFails: what was written is taken away again.
func TestUnpackFails(t *testing.T) {
	b, _ := packed(t, folder(t))
	back, err := Open(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	data := t.TempDir()
	// The list is whole, and then the medium is not.
	for i := range b[:200] {
		b[i] = 0
	}
	if err := back.Unpack(data); err == nil {
		t.Fatal("Unpack = nil, want an error")
	}
	if there, err := os.ReadDir(data); err != nil || len(there) != 0 {
		t.Errorf("left behind: %v, %v", there, err)
	}
}

func FuzzOpen(f *testing.F) {
	src := folder(f)
	whole, _ := packed(f, src)
	f.Add(whole)
	f.Add(whole[:len(whole)/2])
	src.Database = ""
	photosOnly, _ := packed(f, src)
	f.Add(photosOnly)
	f.Fuzz(func(t *testing.T, b []byte) {
		back, err := Open(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			if !errors.As(err, new(Broken)) {
				t.Fatalf("not said in words: %v", err)
			}
			return
		}
		for name := range back.files {
			if name != listName && name != databaseName && !photo.MatchString(name) {
				t.Fatalf("a file that does not belong: %q", name)
			}
		}
	})
}
