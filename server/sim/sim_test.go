package sim

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"

	"witnessmark/server/store"
	"witnessmark/server/store/sql"
)

func openSQLite(ctx context.Context, file string) (store.Store, error) {
	return sql.OpenSQLite(ctx, file)
}

func options(t testing.TB, seed uint64, seeds, steps int) Options {
	return Options{
		Seed: seed, Seeds: seeds, Steps: steps, At: 2, Grounds: SQLite(t.TempDir(), openSQLite), Again: "witnessmark sim -seed %d",
	}
}

// TestShort: a few histories keep every promise, and they were not tame.
func TestShort(t *testing.T) {
	var trace strings.Builder
	opt := options(t, 1, 10, 300)
	opt.Trace, opt.At = &trace, 1
	out, err := Run(t.Context(), opt)
	if err != nil || !out.Good() {
		t.Fatalf("%v: %v\n%v", err, out, out.Reports)
	}
	if want := fmt.Sprintf("seeds=10 histories=10 entries=%d lost=0 doubled=0 diverged=0 stuck=0", out.Entries); out.String() != want || out.Entries < 300 {
		t.Errorf("%s, want %s", out, want)
	}
	for _, happened := range []string{
		"is a copy of", "is put back to", "is lost", "the office is put back", "the office is killed", "new epoch true", "new epoch false",
		"comes twice", "once more", "is cut, tidily: true", "the reply to", "by a stranger", "gets the reply to", "gives", "writes thermogram",
		"the phone is full", "the phone was killed", "clock off by", "writes withdraw", "writes restore", "writes fitting", "writes tighten",
		"writes decision", "writes ask", "writes note", "settles: new log", "settles: start again", "(507,", "(503,", "(500,", "(401,",
	} {
		if !strings.Contains(trace.String(), happened) {
			t.Errorf("in no history: %q", happened)
		}
	}
}

// TestOneSeedOneHistory: the same seed twice is the same history, step by step; another seed is another.
func TestOneSeedOneHistory(t *testing.T) {
	var digests []string
	for _, seed := range []uint64{7, 7, 8} {
		h, err := oneLife(t.Context(), options(t, 0, 0, 200), seed, none)
		if err != nil || h.trouble != "" {
			t.Fatalf("seed %d: %v %s", seed, err, h.says)
		}
		digests = append(digests, hex.EncodeToString(h.digest.Sum(nil)))
	}
	if digests[0] != digests[1] || digests[0] == digests[2] {
		t.Errorf("digests %v", digests)
	}
}

// TestWithout: whoever breaks one of the protections is seen within a few seeds.
func TestWithout(t *testing.T) {
	for _, c := range []struct {
		missing protection
		want    []Trouble
	}{
		{keepingUnsent, []Trouble{Lost}}, {savedWhenComplete, []Trouble{Lost}}, {oneTransaction, []Trouble{Diverged}},
		{officeOnly, []Trouble{Lost}}, {wholeReplies, []Trouble{Diverged}}, {leases, []Trouble{Doubled}},
		{union, []Trouble{Lost, Diverged}}, {comparing, []Trouble{Lost, Diverged}}, {duplicates, []Trouble{Doubled}},
		{unknownKinds, []Trouble{Diverged}}, {commitFirst, []Trouble{Lost}}, {cursorDigest, []Trouble{Diverged}},
	} {
		t.Run(string(c.missing), func(t *testing.T) {
			t.Parallel()
			for seed := range uint64(mostSeeds) {
				h, err := oneLife(t.Context(), options(t, 0, 0, 300), 1+seed, c.missing)
				if err != nil {
					t.Fatal(err)
				}
				if slices.Contains(c.want, h.trouble) {
					t.Logf("seed %d, step %d: %s: %s", h.seed, h.at, h.trouble, h.says)
					return
				}
			}
			t.Errorf("%d histories without it, and none was %v", mostSeeds, c.want)
		})
	}
}

const mostSeeds = 40

// TestScenarios keeps the seeds that once found a fault of the product.
func TestScenarios(t *testing.T) {
	for _, c := range []struct {
		name string
		seed uint64
	}{
		{"a reply that is cut where a line ends is not a shorter page", 6},
		{"a request that is cut within a line does not lose the entry", 54},
		{"a phone whose log was forked goes on in a new one", 1},
		{"the other branch of a log is not held back while this one waits", 42},
		{"an office that is put back while a phone begins to read anew tells it so once more", 2858909921},
		{"a branch that fills the gap of another is seen as a fork", 1265},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			out, err := Run(t.Context(), options(t, c.seed, 1, 500))
			if err != nil || !out.Good() {
				t.Errorf("%v: %v", err, out.Reports)
			}
		})
	}
}

// TestReport: a history that fails says its seed, its step and how to live it again.
func TestReport(t *testing.T) {
	out := Outcome{Seeds: 1}
	h := &history{seed: 17, step: 203}
	h.digest = sha256.New()
	h.broken(Lost, 3, "three are gone")
	h.broken(Doubled, 1, "a consequence")
	out.add(h, "witnessmark sim -seed %d -seeds 1")
	if want := "seed 17, step 203: lost: three are gone; again: witnessmark sim -seed 17 -seeds 1"; len(out.Reports) != 1 || out.Reports[0] != want {
		t.Errorf("reports %q, want %q", out.Reports, want)
	}
	if out.Good() || out.String() != "seeds=1 histories=1 entries=0 lost=3 doubled=0 diverged=0 stuck=0" {
		t.Errorf("%s", out)
	}
}
