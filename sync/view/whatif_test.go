package view

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/result"

	story "witnessmark/testdata/demo"
)

// TestWhatIf: a change on a copy moves results of both engines, decisions and
// orders with them, and leaves the job as it was, byte for byte.
func TestWhatIf(t *testing.T) {
	w := result.NewWork()
	var job entry.JobID
	for _, line := range story.Lines() {
		e, err := entry.Read(line)
		if err != nil {
			t.Fatal(err)
		}
		job = e.Job
		w.Set.AddEntry(e)
	}
	st, _ := w.Now()
	record, results, n := st.Digest(), w.Digest(), w.Set.Len()
	limit := ""
	for _, l := range st.Limits {
		if l.Name == "pin.clearance" {
			limit = string(l.ID)
		}
	}
	reading := string(st.At("2123:crank", "pin.4.journal", "b.V", "found")[0].ID)
	for _, c := range []struct{ name, changes, path, want string }{
		{"nothing changed, nothing moves", ``, "engines.0.moved.0.id", ""},
		{"no decision either", ``, "decisions.0.title", ""},
		{"a thicker gasket: the ratio of one engine", `{"what":"gasket","t":"1.86"}`, "engines.0.moved.#ratio.now.verdict", "outside"},
		{"was within", `{"what":"gasket","t":"1.86"}`, "engines.0.moved.#ratio.was.verdict", "within"},
		{"and of the other", `{"what":"gasket","t":"1.86"}`, "engines.1.moved.#ratio.now.verdict", "outside"},
		{"and where it lies", `{"what":"gasket","t":"1.86"}`, "window", "1.86\u2009mm lies outside the window 1.17 to 1.28\u2009mm in which both engines meet ratio, gap and valves."},
		{"the right one lies inside", `{"what":"gasket","t":"1.20"}`, "window", "1.20\u2009mm lies inside the window 1.17 to 1.28\u2009mm in which both engines meet ratio, gap and valves."},
		{"what was measured through the old gasket is not dragged along", `{"what":"gasket","t":"1.86"}`, "both.0.id", ""},
		{"a limit", fmt.Sprintf(`{"what":"limit","id":%q,"min":"","max":"0.060"}`, limit), "engines.1.moved.#clearance/2123/pin.5/machined:1.now.verdict", "outside"},
		{"the concession that rests on it", fmt.Sprintf(`{"what":"limit","id":%q,"min":"","max":"0.060"}`, limit), "decisions.0.title", "concession, 2123"},
		{"a size", fmt.Sprintf(`{"what":"size","id":%q,"t":"61.310"}`, reading), "engines.1.moved.#undersize/2123/pin.vals.#Undersize.now", "0.75\u2009mm"},
		{"the other engine keeps its own", fmt.Sprintf(`{"what":"size","id":%q,"t":"61.310"}`, reading), "engines.0.moved.0.id", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			args, err := jcs.Parse([]byte(`{"changes":[` + c.changes + `]}`))
			if err != nil {
				t.Fatal(err)
			}
			v, err := WhatIf(w, job, args)
			if err != nil {
				t.Fatal(err)
			}
			if got := beginning(v, c.path).Text(); got != c.want {
				t.Errorf("%s is %q, want %q", c.path, got, c.want)
			}
		})
	}
	now, _ := w.Now()
	if now.Digest() != record || w.Digest() != results || w.Set.Len() != n {
		t.Error("looking changed the job")
	}
	if _, err := WhatIf(w, job, jcs.Obj(jcs.M("changes", jcs.Arr(jcs.Obj(str("what", "size"), str("id", limit), str("t", "1")))))); err == nil {
		t.Error("a limit was taken for a size")
	}
}

// beginning finds a value by a path; a step #X is the item whose id or label has most of X at its beginning.
func beginning(v jcs.Value, path string) jcs.Value {
	first, rest, hashed := strings.Cut(path, ".#")
	v = find(v, first)
	if !hashed {
		return v
	}
	best, at := jcs.Null(), 0
	for _, it := range v.Items() {
		id := it.Get("id").Text() + it.Get("label").Text()
		for k := at + 1; k < len(rest); k++ {
			if strings.HasPrefix(id, rest[:k]) && rest[k] == '.' {
				best, at = it, k
			}
		}
	}
	if at == 0 {
		return jcs.Null()
	}
	return beginning(best, rest[at+1:])
}
