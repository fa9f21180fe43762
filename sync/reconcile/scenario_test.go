package reconcile

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// TestScenarios plays every scenario of testdata/scenarios/reconcile.txt, in
// several orders of arrival.
func TestScenarios(t *testing.T) {
	text, err := os.ReadFile("../../testdata/scenarios/reconcile.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range strings.Split(string(text), "\n## ")[1:] {
		title, lines, _ := strings.Cut(part, "\n")
		t.Run(title, func(t *testing.T) { play(t, strings.Split(strings.TrimSpace(lines), "\n")) })
	}
}

type scenario struct {
	t       *testing.T
	ids     map[string]entry.ID
	names   map[entry.ID]string
	entries []entry.Entry
	last    map[string]entry.Entry // by phone
	want    []string
}

func play(t *testing.T, lines []string) {
	s := &scenario{t: t, ids: map[string]entry.ID{}, names: map[entry.ID]string{}, last: map[string]entry.Entry{}}
	for _, l := range lines {
		w := strings.Fields(l)
		switch w[0] {
		case "->":
			s.want = append(s.want, strings.TrimPrefix(l, "-> "))
		case "lost":
			s.entries = slices.DeleteFunc(s.entries, func(e entry.Entry) bool { return e.ID == s.ids[w[1]] })
		default:
			s.write(w[0], w[1], w[2:])
		}
	}
	s.check()
}

// write makes the entry of a line, checked as a phone would.
func (s *scenario) write(phone, name string, w []string) {
	said, opts := options(w)
	e := entry.Entry{V: 1, Job: entry.JobID(strings.Repeat("0", 32)), Log: entry.LogID(fmt.Sprintf("%032x", phone)),
		Seq: 1, At: "2027-03-06T10:00:00+00:00", By: "idris", Kind: said[0]}
	before, ok := s.last[phone]
	if p := opts["prev"]; p != nil {
		i := slices.IndexFunc(s.entries, func(e entry.Entry) bool { return e.ID == s.ids[p[0]] })
		before, ok = s.entries[i], true
	}
	if ok {
		e.Seq, e.Prev = before.Seq+1, before.ID
	}
	for _, o := range opts["over"] {
		e.Over = append(e.Over, s.ids[o])
	}
	for _, o := range opts["after"] {
		e.After = append(e.After, s.ids[o])
	}
	e.Body = s.body(said, opts)
	s.add(phone, name, e)
}

func (s *scenario) add(phone, name string, e entry.Entry) {
	made, err := entry.Compose(e)
	if err != nil {
		// A kind that this version does not know: only a newer one composes it.
		raw := jcs.Obj(jcs.M("v", jcs.Int(1)), jcs.M("job", jcs.Str(string(e.Job))), jcs.M("log", jcs.Str(string(e.Log))),
			jcs.M("seq", jcs.Int(e.Seq)), jcs.M("prev", jcs.Opt(string(e.Prev))), jcs.M("at", jcs.Str(e.At)),
			jcs.M("kind", jcs.Str(e.Kind)), jcs.M("over", jcs.Strs(e.Over)), jcs.M("body", e.Body)).Append(nil)
		if made, err = entry.Read(raw); err != nil || made.Known() {
			s.t.Fatalf("%s: %v", name, err)
		}
	}
	s.ids[name], s.names[made.ID] = made.ID, name
	s.last[phone] = made
	s.entries = append(s.entries, made)
}

func options(w []string) (said []string, opts map[string][]string) {
	opts = map[string][]string{}
	at := ""
	for _, x := range w {
		switch {
		case slices.Contains([]string{"over", "after", "prev", "of", "why"}, x):
			at = x
		case at == "":
			said = append(said, x)
		default:
			opts[at] = append(opts[at], x)
		}
	}
	return said, opts
}

func (s *scenario) body(said []string, opts map[string][]string) jcs.Value {
	why := jcs.M("why", jcs.Opt(strings.Join(opts["why"], " ")))
	switch said[0] {
	case "reading":
		return jcs.Obj(why, jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str("2123")), jcs.M("at", jcs.Str("main.3.journal")), jcs.M("point", jcs.Str("b.V")))),
			jcs.M("cond", jcs.Str("found")), jcs.M("read_by", jcs.Str("idris")),
			jcs.M("value", jcs.Obj(jcs.M("t", jcs.Str(said[1])), jcs.M("u", jcs.Str("mm")))))
	case "person":
		return jcs.Obj(jcs.M("person", jcs.Str(said[1])), jcs.M("name", jcs.Str(said[1])), jcs.M("role", jcs.Str(said[2])))
	case "note":
		return jcs.Obj(jcs.M("text", jcs.Str(said[1])))
	case "hold-test":
		b := jcs.Obj(jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str("2123")))), jcs.M("pressure", jcs.Obj(jcs.M("t", jcs.Str(said[1])), jcs.M("u", jcs.Str("bar")))))
		if of := opts["of"]; of != nil {
			return b.With("start", jcs.Str(string(s.ids[of[0]]))).With("elapsed", jcs.Obj(jcs.M("t", jcs.Str("15")), jcs.M("u", jcs.Str("min"))))
		}
		return b.With("test", jcs.Str("cooling water"))
	case "run":
		b := jcs.Obj(jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str("2123")))))
		if of := opts["of"]; of != nil {
			return b.With("does", jcs.Str("event")).With("run", jcs.Str(string(s.ids[of[0]]))).With("event", jcs.Str(said[1])).
				With("elapsed", jcs.Obj(jcs.M("t", jcs.Str(said[2])), jcs.M("u", jcs.Str("s"))))
		}
		return b.With("does", jcs.Str("start")).With("title", jcs.Str(said[1]))
	case "clutch":
		return jcs.Obj(jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str("2123")))), jcs.M("try", jcs.Str("drag")), jcs.M("result", jcs.Str(said[1])))
	case "adjust":
		return jcs.Obj(jcs.M("of", jcs.Obj(jcs.M("asm", jcs.Str("2123")))), jcs.M("what", jcs.Str("idle stop")), jcs.M("way", jcs.Str(said[1])))
	case "fitting":
		return jcs.Obj(jcs.M("moves", moves(said[1])), jcs.M("day", jcs.Str("2027-03-06")))
	case "withdraw":
		return jcs.Obj(jcs.M("why", jcs.Str("a reason "+strings.Join(opts["why"], " "))))
	case "restore":
		b := jcs.Obj(why)
		if of := opts["of"]; of != nil {
			b = b.With("of", jcs.Str(string(s.ids[of[0]])))
		}
		return b
	}
	return jcs.Obj(jcs.M("unknown", jcs.Str("to this version")))
}

func moves(text string) jcs.Value {
	var list []jcs.Value
	for _, m := range strings.Split(text, ",") {
		asm, to, _ := strings.Cut(m, "=")
		field := "place"
		if to == "left" || to == "right" {
			field = "side"
		}
		list = append(list, jcs.Obj(jcs.M("asm", jcs.Str(asm)), jcs.M(field, jcs.Str(to))))
	}
	return jcs.Arr(list...)
}

// check says everything about the set, in words, and compares it with what the
// scenario wants; what it does not mention must stand, uncontested.
func (s *scenario) check() {
	for seed := range uint64(6) {
		r := rand.New(rand.NewPCG(seed, 1))
		set := New()
		list := slices.Clone(s.entries)
		r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		for _, e := range list {
			set.AddEntry(e)
			set.AddEntry(e)
		}
		got := s.say(set.Resolve())
		want := slices.Clone(s.want)
		slices.Sort(want)
		got = slices.DeleteFunc(got, func(l string) bool {
			return strings.HasSuffix(l, " stands") && !slices.Contains(want, l)
		})
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			s.t.Fatalf("seed %d\n got:\n%s\nwant:\n%s", seed, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

func (s *scenario) say(r *Resolved) []string {
	var out []string
	for _, it := range r.Ordered {
		n := s.names[it.ID]
		if it.Contest == 0 || it.State != Stands && it.State != Withdrawn {
			out = append(out, n+" "+s.state(it))
		}
		if len(it.Waits) > 0 {
			out = append(out, n+" waits for "+s.list(it.Waits))
		}
		if it.NeedsNewer {
			out = append(out, n+" needs newer")
		}
	}
	for _, c := range r.Contests {
		out = append(out, "contest "+s.list(c.Members))
	}
	for _, f := range r.Forks {
		out = append(out, "fork "+s.list(f.IDs))
	}
	slices.Sort(out)
	return out
}

func (s *scenario) state(it *Item) string {
	switch it.State {
	case Covered:
		return "covered by " + s.list(it.CoveredBy)
	case Withdrawn:
		return "nothing here"
	case Unusable:
		return "not usable: " + it.Why
	}
	if it.Kind == "restore" && it.Origin != "" {
		return "stands as " + s.names[it.Origin]
	}
	return "stands"
}

func (s *scenario) list(ids []entry.ID) string {
	var names []string
	for _, id := range ids {
		if n := s.names[id]; n != "" {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}
