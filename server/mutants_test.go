package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// envMutants has TestMutants break the code in each of the ways of mutants.txt: "all", or the ones to do, by promise or by
// line of mutants.txt, such as "T13,T22,181".
const envMutants = "WITNESSMARK_MUTANTS"

// mutant is one way to break a promise: text of a file that becomes another one, and the test that has to notice it.
type mutant struct {
	line     int // in mutants.txt
	promise  string
	proof    string // as trust.md writes it
	file     string
	old, now string
}

// readMutants reads mutants.txt: blocks of
//
//	T13 server TestPhonesBadNetwork
//	@ server/api/exchange.go
//	- the old text, line by line
//	+ what stands there instead; none = nothing
//
// and lines "T68 none: why".
func readMutants(t *testing.T) (all []mutant, without map[string]string) {
	t.Helper()
	without = map[string]string{}
	for n, line := range strings.Split(string(readFile(t, "mutants.txt")), "\n") {
		mark, rest, _ := strings.Cut(line, " ")
		last := len(all) - 1
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(mark, "T") && strings.HasPrefix(rest, "none: "):
			without[mark] = rest
		case strings.HasPrefix(mark, "T"):
			all = append(all, mutant{line: n + 1, promise: mark, proof: rest})
		case mark == "@" && last >= 0:
			all[last].file = rest
		case mark == "-" && last >= 0:
			all[last].old += rest + "\n"
		case mark == "+" && last >= 0:
			all[last].now += rest + "\n"
		default:
			t.Fatalf("mutants.txt:%d: %q is not understood", n+1, line)
		}
	}
	for i := range all {
		all[i].old, all[i].now = strings.TrimSuffix(all[i].old, "\n"), strings.TrimSuffix(all[i].now, "\n")
	}
	return all, without
}

// TestMutantsFit: every mutation still fits the code, names a proof of its line in trust.md, and no promise is left out: it
// has a mutation, a protection that the simulation takes away (TestWithout), or a reason why it has none.
func TestMutantsFit(t *testing.T) {
	all, covered := readMutants(t)
	proofs := trustProofs(t)
	for _, m := range all {
		text := string(readFile(t, filepath.Join("..", m.file)))
		if n := strings.Count(text, m.old); n != 1 || m.old == m.now {
			t.Errorf("mutants.txt:%d: its old text stands %d times in %s", m.line, n, m.file)
		}
		if !proofs[m.promise+" "+m.proof] {
			t.Errorf("mutants.txt:%d: trust.md names no %q for %s", m.line, m.proof, m.promise)
		}
		covered[m.promise] = m.proof
	}
	for p := range proofs {
		if promise, proof, _ := strings.Cut(p, " "); strings.HasPrefix(proof, "server/sim TestWithout") {
			covered[promise] = proof
		}
	}
	for n := 1; n <= requirements; n++ {
		if covered[fmt.Sprintf("T%d", n)] == "" {
			t.Errorf("T%d has no mutation and no reason why not", n)
		}
	}
}

// trustProofs is every pair of promise and proof in trust.md, as "T1 proof".
func trustProofs(t *testing.T) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	for _, line := range strings.Split(string(readFile(t, "trust.md")), "\n") {
		if m := trustLine.FindStringSubmatch(line); m != nil {
			for _, p := range proofSpan.FindAllStringSubmatch(m[3], -1) {
				out["T"+m[1]+" "+p[1]] = true
			}
		}
	}
	return out
}

// TestMutants breaks a copy of the code in each way and runs the named test, which has to fail (make mutants).
func TestMutants(t *testing.T) {
	only := os.Getenv(envMutants)
	if only == "" {
		t.Skip("takes an hour: make mutants")
	}
	all, _ := readMutants(t)
	root := scratch(t)
	listed := map[string]bool{}
	for _, one := range strings.Split(only, ",") {
		listed[one] = true
	}
	var tried int
	var survived []string
	for _, m := range all {
		if only != "all" && !listed[m.promise] && !listed[strconv.Itoa(m.line)] {
			continue
		}
		tried++
		how := m.live(t, root)
		fmt.Printf("%s %s · %s · mutants.txt:%d\n", map[bool]string{true: "caught  ", false: "SURVIVED"}[how == ""], m.promise, m.proof, m.line)
		if how != "" {
			survived = append(survived, m.promise)
			fmt.Println(how)
			t.Errorf("%s: %s does not notice %s changed as in mutants.txt:%d", m.promise, m.proof, m.file, m.line)
		}
	}
	fmt.Printf("mutations=%d caught=%d survived=%d\n", tried, tried-len(survived), len(survived))
}

// timedOut is what the timeout command says of a test that never came to its end: it waited for what no longer happens.
const timedOut = 124

// live makes the change, runs the test and takes the change back. It returns "" when the test failed, else what was said.
func (m mutant) live(t *testing.T, root string) string {
	file := filepath.Join(root, m.file)
	text := string(readFile(t, file))
	write := func(s string) {
		if err := os.WriteFile(file, []byte(s), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(strings.Replace(text, m.old, m.now, 1))
	defer write(text)
	command, failed := testOf(m.proof)
	cmd := exec.CommandContext(t.Context(), "timeout", "-k", "5", "300", "bash", "-c", command)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), envMutants+"=")
	said, err := cmd.CombinedOutput()
	if err != nil && (failed.Match(said) || cmd.ProcessState.ExitCode() == timedOut) {
		return ""
	}
	return command + "\n" + string(said[max(0, len(said)-2000):])
}

// before is what some tests need: PostgreSQL, or what is built anew.
var before = map[string]string{
	"server TestFullDisk": ".ci/with-postgres ", "server TestDatabaseCut": ".ci/with-postgres ", "server/web TestBudgets": "make build && ",
}

// testOf is the command that runs a proof as trust.md writes it, and what it says when that test itself has failed; a
// change that does not build proves nothing.
func testOf(proof string) (command string, failed *regexp.Regexp) {
	quote := func(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }
	if target, ok := strings.CutPrefix(proof, "make "); ok {
		return "make " + target, regexp.MustCompile(`--- FAIL: |(?m)^FAIL |failed`)
	}
	if file, title, ok := strings.Cut(proof, ": "); ok {
		if strings.HasSuffix(file, ".mjs") {
			area, _, _ := strings.Cut(strings.TrimPrefix(file, "pwa/e2e/"), "/")
			area = strings.TrimSuffix(area, ".spec.mjs")
			return "make build && node pwa/e2e/run.mjs " + area + " " + quote(title), regexp.MustCompile(`0 passed, 1 failed`)
		}
		title = strings.ReplaceAll(regexp.QuoteMeta(title), "%s", ".*")
		return "cd pwa && npx vitest run " + strings.TrimPrefix(file, "pwa/") + " -t " + quote(title), regexp.MustCompile(`Tests .*[1-9]\d* failed`)
	}
	folder, test, _ := strings.Cut(proof, " ")
	name, part, has := strings.Cut(test, "/")
	run := "^" + name + "$"
	if has {
		run += "/^" + regexp.QuoteMeta(part) + "$"
	}
	return before[folder+" "+name] + "go test -count=1 -vet=off -timeout 2m ./" + folder + " -run " + quote(run),
		regexp.MustCompile(`--- FAIL: ` + name + `|panic: test timed out|(?s)panic: .*FAIL`)
}

// scratch is a copy of the working tree that may be broken; what was built and fetched comes along.
func scratch(t *testing.T) string {
	t.Helper()
	root, err := filepath.Abs("../.cache/mutants" + os.Getenv("WITNESSMARK_MUTANTS_COPY"))
	if err != nil {
		t.Fatal(err)
	}
	copying := `rm -rf "$0" && mkdir -p "$0/pwa" && cd .. && git ls-files -co --exclude-standard -z | xargs -0 cp -a --parents -t "$0" &&
		cp -a bin "$0/" && cp -a server/web/dist "$0/server/web/" && cp -a pwa/public/. "$0/pwa/public/" && ln -s "$PWD/pwa/node_modules" "$0/pwa/node_modules"`
	if said, err := exec.CommandContext(t.Context(), "bash", "-c", copying, root).CombinedOutput(); err != nil {
		t.Fatalf("copy the tree (make build comes first): %v\n%s", err, said)
	}
	if _, err := os.Stat(filepath.Join(root, "server/web/dist/index.html")); err != nil {
		t.Fatalf("%v: make build comes first", err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(root) })
	return root
}
