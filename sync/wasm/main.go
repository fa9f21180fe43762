//go:build js

// Command wasm is the core for the phone: a thin bridge. It puts one object,
// witnessmark, into the global scope; every function returns JSON text, either
// {"ok":…} or {"error":"words"}.
package main

import (
	"bytes"
	"syscall/js"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

func main() {
	js.Global().Set("witnessmark", js.ValueOf(map[string]any{
		"add": js.FuncOf(add), "view": js.FuncOf(show), "compose": js.FuncOf(compose),
		"digest": js.FuncOf(digest), "heads": js.FuncOf(heads), "forget": js.FuncOf(forget), "sum": js.FuncOf(sum),
	}))
	select {}
}

// add takes a job and lines of entries as bytes, and returns how many were new
// and which lines are none.
func add(_ js.Value, args []js.Value) any {
	raw := make([]byte, args[1].Get("byteLength").Int())
	js.CopyBytesToGo(raw, args[1])
	j := jobOf(args[0].String())
	added := 0
	var bad []jcs.Value
	for i, line := range bytes.Split(raw, []byte("\n")) {
		if len(line) == 0 {
			continue
		}
		// The set keeps the line: it must not hold the whole page in memory.
		fresh, err := j.Set.Add(bytes.Clone(line))
		if err != nil {
			bad = append(bad, jcs.Obj(jcs.M("line", jcs.Int(int64(i+1))), jcs.M("why", jcs.Str(err.Error()))))
		}
		if fresh {
			added++
		}
	}
	return ok(jcs.Obj(jcs.M("added", jcs.Int(int64(added))), jcs.M("bad", jcs.Arr(bad...))))
}

// show returns what a screen shows.
func show(_ js.Value, args []js.Value) any {
	a, err := jcs.Parse([]byte(args[2].String()))
	if err != nil {
		return fail(err)
	}
	v, err := viewOf(args[0].String(), args[1].String(), a)
	if err != nil {
		return fail(err)
	}
	return ok(v)
}

// compose makes an entry of a draft and returns its id and bytes. It keeps
// nothing: the phone adds the entry when it is on its disk.
func compose(_ js.Value, args []js.Value) any {
	d, err := jcs.Parse([]byte(args[1].String()))
	if err != nil {
		return fail(err)
	}
	e, err := entry.Compose(entry.Entry{
		Job: entry.JobID(args[0].String()), Log: entry.LogID(d.Get("log").Text()), Seq: d.Get("seq").Int64(), Prev: entry.ID(d.Get("prev").Text()),
		At: d.Get("at").Text(), By: d.Get("by").Text(), Kind: d.Get("kind").Text(), Over: ids(d.Get("over")), After: ids(d.Get("after")), Body: d.Get("body"),
	})
	if err != nil {
		return fail(err)
	}
	return ok(jcs.Obj(jcs.M("id", jcs.Str(string(e.ID))), jcs.M("raw", jcs.Str(string(e.Raw)))))
}

func ids(v jcs.Value) []entry.ID {
	var out []entry.ID
	for _, t := range v.Texts() {
		out = append(out, entry.ID(t))
	}
	return out
}

// digest returns how many entries the job has, their digest, that of the
// results, and the core's version.
func digest(_ js.Value, args []js.Value) any {
	j := jobOf(args[0].String())
	return ok(jcs.Obj(jcs.M("count", jcs.Int(int64(j.Set.Len()))), jcs.M("digest", jcs.Str(entry.Hex(j.Set.Digest()))),
		jcs.M("results", jcs.Str(j.Digest())), jcs.M("core", jcs.Str(coreVersion))))
}

// sum returns the id of an entry's bytes.
func sum(_ js.Value, args []js.Value) any {
	return ok(jcs.Str(string(entry.Sum([]byte(args[0].String())))))
}

// heads returns where each log has got to.
func heads(_ js.Value, args []js.Value) any {
	var out []jcs.Member
	for _, h := range jobOf(args[0].String()).Set.Heads() {
		out = append(out, jcs.M(string(h.Log), jcs.Obj(jcs.M("seq", jcs.Int(h.Seq)), jcs.M("id", jcs.Str(string(h.ID))), jcs.M("forked", jcs.Flag(len(h.Tips) > 0)))))
	}
	return ok(jcs.Obj(out...))
}

// forget drops a job from memory, before the phone reads it anew.
func forget(_ js.Value, args []js.Value) any {
	delete(jobs, args[0].String())
	return ok(jcs.Null())
}

func ok(v jcs.Value) any { return `{"ok":` + v.String() + `}` }

func fail(err error) any { return `{"error":` + jcs.Str(err.Error()).String() + `}` }
