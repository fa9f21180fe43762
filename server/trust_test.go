package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

const requirements = 68

var (
	trustLine = regexp.MustCompile(`^\| T(\d+) \| (.+) \| (.+) \|$`)
	proofSpan = regexp.MustCompile("`([^`]+)`")
)

// TestTrustTable: every requirement has its line in trust.md, in order, and every test named there exists.
func TestTrustTable(t *testing.T) {
	next := 1
	for _, line := range strings.Split(string(readFile(t, "trust.md")), "\n") {
		m := trustLine.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		if m[1] != fmt.Sprint(next) {
			t.Errorf("the line of T%s stands where T%d belongs", m[1], next)
		}
		next++
		proofs := proofSpan.FindAllStringSubmatch(m[3], -1)
		if len(proofs) == 0 && m[3] != "by hand: the list below" {
			t.Errorf("T%s has no test", m[1])
		}
		for _, p := range proofs {
			if err := proofExists(p[1]); err != nil {
				t.Errorf("T%s: %v", m[1], err)
			}
		}
	}
	if next != requirements+1 {
		t.Errorf("%d requirements have a line, want %d", next-1, requirements)
	}
}

// TestTrustTableRots: a test that is not there is missed, in each of the ways to name one.
func TestTrustTableRots(t *testing.T) {
	for _, gone := range []string{
		"server TestNever", "server/sim TestWithout/no such part", "pwa/src/log/log.test.ts: no such title", "pwa/e2e/none.spec.mjs: none",
		"make nothing", "TestKill",
	} {
		if proofExists(gone) == nil {
			t.Errorf("%q is taken for a test", gone)
		}
	}
}

// proofExists says why a proof as written in trust.md is none.
func proofExists(proof string) error {
	if target, ok := strings.CutPrefix(proof, "make "); ok {
		return inFiles(proof, []string{"../Makefile"}, "\n"+target+":")
	}
	if file, title, ok := strings.Cut(proof, ": "); ok {
		if strings.HasSuffix(file, ".mjs") {
			title = "['" + title + "', " // as a case is listed
		}
		return inFiles(proof, []string{"../" + file}, title)
	}
	folder, test, ok := strings.Cut(proof, " ")
	if !ok {
		return fmt.Errorf("%q names no folder and test", proof)
	}
	files, err := filepath.Glob("../" + folder + "/*.go")
	if err != nil {
		return err
	}
	name, part, has := strings.Cut(test, "/")
	if err := inFiles(proof, files, "func "+name+"(t *testing.T)"); err != nil || !has {
		return err
	}
	suite, err := filepath.Glob("store/storetest/*.go")
	if err != nil {
		return err
	}
	return inFiles(proof, append(files, suite...), `"`+part+`"`)
}

func inFiles(proof string, files []string, want string) error {
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			return fmt.Errorf("%q: %w", proof, err)
		}
		if strings.Contains(string(text), want) {
			return nil
		}
	}
	return fmt.Errorf("%q is nowhere", proof)
}
