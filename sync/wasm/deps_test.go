//go:build !js

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// uses runs the go command and returns what it says, by line.
func uses(t *testing.T, env []string, args ...string) []string {
	t.Helper()
	cmd := exec.Command("go", args...)
	cmd.Env = append(cmd.Environ(), env...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("go %v: %v: %s", args, err, out)
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}

// watch opens every source of the core, so that the go command does not take
// an old outcome for these tests, which look at sources that they do not import.
func watch(t *testing.T) {
	t.Helper()
	files, err := filepath.Glob("../*/*.go")
	if err != nil || len(files) < 50 {
		t.Fatalf("sources: %d, %v", len(files), err)
	}
	for _, f := range files {
		if _, err := os.ReadFile(f); err != nil {
			t.Fatal(err)
		}
	}
}

// TestCoreImports: the core has no clock, no I/O, no randomness and no
// reflection, for the same answer everywhere and for the phone that downloads it.
func TestCoreImports(t *testing.T) {
	watch(t)
	all := uses(t, []string{"GOOS=js", "GOARCH=wasm"}, "list", "-deps", "./")
	for _, banned := range []string{"fmt", "encoding/json", "reflect", "os", "time", "net", "math/rand", "math/rand/v2", "sort", "log", "crypto/sha256"} {
		if slices.Contains(all, banned) {
			t.Errorf("the core imports %s", banned)
		}
	}
	if !slices.Contains(all, "witnessmark/sync/calc") {
		t.Fatalf("this looked at nothing: %v", all)
	}
}

// TestWhoKnowsWhom: every package of the core may import only the steps before it.
func TestWhoKnowsWhom(t *testing.T) {
	watch(t)
	steps := []string{"order", "jcs", "quantity", "entry", "reconcile", "pattern", "record", "calc", "result", "draw", "view", "wasm"}
	for _, line := range uses(t, nil, "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "../...") {
		f := strings.Fields(line)
		own := slices.Index(steps, strings.TrimPrefix(f[0], "witnessmark/sync/"))
		if own < 0 {
			t.Errorf("%s is not on the way: give it its step here and in DEVELOPERS.md", f[0])
		}
		for _, imp := range f[1:] {
			name, ok := strings.CutPrefix(imp, "witnessmark/sync/")
			if strings.HasPrefix(imp, "witnessmark/server") || ok && slices.Index(steps, name) >= own {
				t.Errorf("%s imports %s, which comes after it", f[0], imp)
			}
		}
	}
}

// TestNothingIsFused: a product that is added must be wrapped in float64(), or
// a compiler fuses the two and arm64 differs from the rest in the last bit
// (T26). The compiler's own listing of the two packages that calculate shows it.
func TestNothingIsFused(t *testing.T) {
	watch(t)
	fused := regexp.MustCompile(`\bF(N?M(ADD|SUB))[SD]?\b`)
	for _, pkg := range []string{"quantity", "calc"} {
		lines := uses(t, []string{"GOARCH=arm64", "CGO_ENABLED=0"}, "build", "-gcflags=witnessmark/sync/"+pkg+"=-S", "-o", "/dev/null", "../"+pkg)
		if len(lines) < 1000 {
			lines = uses(t, []string{"GOARCH=arm64", "CGO_ENABLED=0"}, "build", "-a", "-gcflags=witnessmark/sync/"+pkg+"=-S", "-o", "/dev/null", "../"+pkg)
		}
		if len(lines) < 1000 {
			t.Fatalf("%s: the compiler listed only %d lines", pkg, len(lines))
		}
		for _, l := range lines {
			if fused.MatchString(l) {
				t.Errorf("%s: fused: %s", pkg, strings.TrimSpace(l))
			}
		}
	}
}
