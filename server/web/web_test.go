package web

import (
	"bytes"
	"compress/gzip"
	"io"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// What a phone at the edge of the signal loads first (T66), compressed, in bytes.
const (
	maxFirstScript = 170 << 10
	maxShell       = 1 << 20
)

// TestBudgets is T66: what the page asks for before it can draw is small, and so is the whole app without its core.
func TestBudgets(t *testing.T) {
	index, err := fs.ReadFile(Files(), "index.html")
	if err != nil {
		t.Skip("the app is not built here: make build (2026-11)")
	}
	first := 0
	for _, src := range scripts(string(index)) {
		first += zipped(t, src)
	}
	if first == 0 || first > maxFirstScript {
		t.Errorf("the first script is %d bytes compressed, want at most %d", first, maxFirstScript)
	}
	shell := 0
	err = fs.WalkDir(Files(), ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && !strings.Contains(path, ".wasm") && path != "README" {
			shell += zipped(t, path)
		}
		return err
	})
	if err != nil || shell > maxShell {
		t.Errorf("the app without its core is %d bytes compressed, want at most %d: %v", shell, maxShell, err)
	}
}

// TestZipped: what the build has compressed unfolds to the file beside it, and the core, most of the app, is so.
func TestZipped(t *testing.T) {
	if _, err := fs.Stat(Files(), "index.html"); err != nil {
		t.Skip("the app is not built here: make build (2026-11)")
	}
	core, err := fs.Glob(Files(), "assets/core-*.wasm")
	if err != nil || len(core) != 1 {
		t.Fatalf("the core is %v, %v, want one file", core, err)
	}
	found, err := fs.Glob(Files(), "assets/*.gz")
	if err != nil || !slices.Equal(found, []string{core[0] + ".gz"}) {
		t.Errorf("compressed are %v, %v, want the core", found, err)
	}
	for _, path := range found {
		zipped, err := Files().Open(path)
		if err != nil {
			t.Fatal(err)
		}
		z, err := gzip.NewReader(zipped)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		got, err := io.ReadAll(z)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		want, err := fs.ReadFile(Files(), strings.TrimSuffix(path, ".gz"))
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s unfolds to %d bytes, want the %d of the file: %v", path, len(got), len(want), err)
		}
	}
}

// scripts are the page's scripts and what they import before they run.
func scripts(index string) []string {
	var out []string
	for _, m := range regexp.MustCompile(`<script[^>]* src="/([^"]+)"|rel="modulepreload"[^>]* href="/([^"]+)"`).FindAllStringSubmatch(index, -1) {
		out = append(out, m[1]+m[2])
	}
	return out
}

func zipped(t *testing.T, path string) int {
	t.Helper()
	body, err := fs.ReadFile(Files(), path)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	if _, err := z.Write(body); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Len()
}
