package view

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"

	story "witnessmark/testdata/demo"
	"witnessmark/testdata/seeds"
)

// TestDecideScenarios plays every scenario of testdata/scenarios/decide.txt, in
// several orders of arrival.
func TestDecideScenarios(t *testing.T) {
	text, err := os.ReadFile("../../testdata/scenarios/decide.txt")
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(string(text), "\n## ")[1:]
	for _, part := range parts {
		title, lines, _ := strings.Cut(part, "\n")
		t.Run(title, func(t *testing.T) {
			s := newStage(t)
			for _, l := range strings.Split(strings.TrimSpace(lines), "\n") {
				s.play(l)
			}
			s.check()
		})
	}
}

// stage is one scenario at work.
type stage struct {
	t       *testing.T
	job     entry.JobID
	base    []entry.Entry
	ids     map[string]entry.ID
	entries []entry.Entry
	last    map[string]entry.Entry // by phone
	want    map[string]string
}

func newStage(t *testing.T) *stage {
	s := &stage{t: t, ids: map[string]entry.ID{}, last: map[string]entry.Entry{}, want: map[string]string{}}
	for _, line := range story.Lines() {
		e, err := entry.Read(line)
		if err != nil {
			t.Fatal(err)
		}
		s.base, s.job = append(s.base, e), e.Job
	}
	return s
}

func (s *stage) play(line string) {
	if about, words, ok := strings.Cut(strings.TrimPrefix(line, "-> "), ": "); ok && strings.HasPrefix(line, "-> ") {
		s.want[about] = words
		return
	}
	w := strings.Fields(line)
	if w[0] == "lost" {
		s.entries = slices.DeleteFunc(s.entries, func(e entry.Entry) bool { return e.ID == s.ids[w[1]] })
		return
	}
	said, opts := []string{}, map[string][]string{}
	at := ""
	for _, x := range w[2:] {
		switch {
		case slices.Contains([]string{"of", "over", "after", "in"}, x):
			at = x
		case at == "":
			said = append(said, x)
		default:
			opts[at] = append(opts[at], x)
		}
	}
	s.write(w[0], w[1], said, opts)
}

func (s *stage) write(phone, name string, said []string, opts map[string][]string) {
	over := s.named(opts["over"])
	if said[0] == "read" || said[0] == "unread" {
		over = append(over, s.first(said).ID)
	}
	if said[0] == "limit" {
		over = append(over, s.limits(said[1], opts["of"])...)
	}
	if said[0] == "sign" {
		over = append(over, s.signed(said[1], opts["of"])...)
	}
	if said[0] == "unread" {
		said = []string{"withdraw"}
	}
	kind, body := s.body(said, opts)
	v, err := jcs.Parse([]byte(body))
	if err != nil {
		s.t.Fatal(err, body)
	}
	before := s.last[phone]
	e := entry.Entry{V: 1, Job: s.job, Log: entry.LogID(fmt.Sprintf("%032x", "decide "+phone)), Seq: before.Seq + 1, Prev: before.ID, At: "2027-04-20T10:00:00+00:00",
		By: "maud", Kind: kind, Body: v, Over: over, After: s.named(opts["after"])}
	made, err := entry.Compose(e)
	if err != nil && !e.Known() { // only a newer version composes it
		made, err = entry.Read(jcs.Obj(jcs.M("v", jcs.Int(1)), jcs.M("job", jcs.Str(string(e.Job))), jcs.M("log", jcs.Str(string(e.Log))), jcs.M("seq", jcs.Int(e.Seq)),
			jcs.M("prev", jcs.Opt(string(e.Prev))), jcs.M("at", jcs.Str(e.At)), jcs.M("by", jcs.Str(e.By)), jcs.M("kind", jcs.Str(kind)), jcs.M("body", v)).Append(nil))
	}
	if err != nil {
		s.t.Fatalf("%s: %v", name, err)
	}
	s.ids[name], s.last[phone] = made.ID, made
	s.entries = append(s.entries, made)
}

// signed are the scenario's signatures of a hold point: whoever signs again, signs in their place.
func (s *stage) signed(hold string, asm []string) []entry.ID {
	var out []entry.ID
	for _, e := range s.base {
		if e.Kind == "sign" && e.Body.Get("hold").Text() == hold && slices.Equal(e.Body.Get("asm").Texts(), asm) {
			out = append(out, e.ID)
		}
	}
	return out
}

func (s *stage) named(names []string) []entry.ID {
	var out []entry.ID
	for _, n := range names {
		id, ok := s.ids[n]
		if !ok {
			s.t.Fatalf("nothing is called %s", n)
		}
		out = append(out, id)
	}
	return out
}

// body says what a line says.
func (s *stage) body(said []string, opts map[string][]string) (kind, body string) {
	of := ""
	if len(opts["of"]) > 0 {
		of = opts["of"][0]
	}
	id := string(s.ids[of])
	switch strings.Join(said[:min(2, len(said))], " ") {
	case "snag raised":
		return "snag", fmt.Sprintf(`{"state":"raised","of":{"asm":%q},"what":"fuel drips at the return union"}`, of)
	case "snag cured":
		return "snag", fmt.Sprintf(`{"state":"cured","snag":%q,"did":"washers renewed","twin":"the same there"}`, id)
	case "snag proven":
		return "snag", fmt.Sprintf(`{"state":"proven","snag":%q,"test":%q,"seen_by":"idris"}`, id, s.ids[said[2]])
	case "snag reopened":
		return "snag", fmt.Sprintf(`{"state":"reopened","snag":%q,"did":"drips again"}`, id)
	case "hold begun":
		return "hold-test", fmt.Sprintf(`{"of":{"asm":%q},"test":"fuel","pressure":{"t":"0.50","u":"bar"},"temp":{"t":"18","u":"degC"}}`, of)
	case "hold ended":
		asm := s.entry(of).Body.Get("of").Get("asm").Text()
		return "hold-test", fmt.Sprintf(`{"of":{"asm":%q},"start":%q,"pressure":{"t":%q,"u":"bar"},"temp":{"t":"18","u":"degC"},"elapsed":{"t":"900","u":"s"}}`, asm, id, said[2])
	case "run":
		return "run", fmt.Sprintf(`{"of":{"asm":%q},"does":"start","title":"stations","checks":[{"check":"air","answer":"yes, seen"}]}`, of)
	case "withdraw":
		return "withdraw", `{"why":"a mistake"}`
	}
	switch said[0] {
	case "decide":
		return "decision", s.draft(said[1]).With("why", jcs.Str("it will do")).String()
	case "sign":
		r := s.draft(said[2]).Get("rests").Items()[0]
		return "sign", fmt.Sprintf(`{"hold":%q,"asm":[%q],"rests":[{"result":%q,"verdict":%q}],"why":"the rest is seen to"}`, said[1], of, r.Get("result").Text(), r.Get("verdict").Text())
	case "read": // another reading in the place of the first
		return "reading", s.first(said).value(said[5])
	}
	if said[0] == "part" {
		return "part", s.part(said, of, opts["in"])
	}
	if said[0] == "limit" {
		return "limit", fmt.Sprintf(`{"limit":%q,"asm":%q,"max":{"t":%q,"u":%q},"judged":"read","words":"w","accepted":"maud"}`, said[1], of, said[2], said[3])
	}
	s.t.Fatalf("nothing is known of %v", said)
	return "", ""
}

// now is what the screens show of the entries so far.
func (s *stage) now() shown {
	set := reconcile.New()
	for _, e := range append(slices.Clone(s.base), s.entries...) {
		set.AddEntry(e)
	}
	st := record.Build(set.Resolve())
	return shown{s.t, st, result.All(st)}
}

// draft is the body of a decision on a result, as the screen offers it.
func (s *stage) draft(id string) jcs.Value {
	return s.now().view("result", fmt.Sprintf(`{"id":%q}`, id)).Get("decide").Get("body")
}

// limits are those that a new one is put in the place of.
func (s *stage) limits(name string, of []string) []entry.ID {
	var out []entry.ID
	for _, l := range s.now().st.Limits {
		if l.Name == name && slices.Contains(of, l.Asm) {
			out = append(out, l.ID)
		}
	}
	return out
}

// theReading is a reading that the workshop's own entries hold.
type theReading struct{ entry.Entry }

// first finds the reading of 'read KEY PLACE POINT COND'.
func (s *stage) first(said []string) theReading {
	for _, r := range s.now().st.At(said[1], said[2], said[3], said[4]) {
		for _, e := range s.base {
			if e.ID == r.ID && r.Struck == "" {
				return theReading{e}
			}
		}
	}
	s.t.Fatalf("nobody has read %v", said)
	return theReading{}
}

func (r theReading) value(text string) string {
	return r.Body.With("value", r.Body.Get("value").With("t", jcs.Str(text))).String()
}

func (s *stage) part(said []string, asm string, in []string) string {
	b := jcs.Obj(jcs.M("part", jcs.Str(said[1])), jcs.M("state", jcs.Str(said[2])), jcs.M("as", jcs.Str("liner")), jcs.M("what", jcs.Str("liner")))
	if len(in) > 0 {
		b = b.With("asm", jcs.Str(asm)).With("at", jcs.Str(in[0]))
	}
	if len(said) > 3 {
		n, err := strconv.Atoi(said[3])
		if err != nil {
			s.t.Fatal(err)
		}
		b = b.With("count", jcs.Int(int64(n)))
	}
	return b.String()
}

func (s *stage) entry(name string) entry.Entry {
	i := slices.IndexFunc(s.entries, func(e entry.Entry) bool { return e.ID == s.ids[name] })
	return s.entries[i]
}

// check compares what every screen says with what the scenario wants, however
// the entries arrive.
func (s *stage) check() {
	if len(s.want) == 0 {
		s.t.Fatal("the scenario wants nothing")
	}
	for seed := range seeds.Of(3) {
		r := rand.New(rand.NewPCG(seed, 1))
		list := append(slices.Clone(s.base), s.entries...)
		if seed > 0 {
			r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		}
		set := reconcile.New()
		for _, e := range list {
			set.AddEntry(e)
			set.AddEntry(e)
		}
		st := record.Build(set.Resolve())
		now := shown{s.t, st, result.All(st)}
		for about, want := range s.want {
			if got := s.says(now, about); got != want {
				s.t.Errorf("seed %d: %s: %s\nwant %s", seed, about, got, want)
			}
		}
	}
}

// says is what the screen says about something.
func (s *stage) says(now shown, about string) string {
	if key, ok := strings.CutPrefix(about, "part "); ok {
		v := now.view("part", fmt.Sprintf(`{"part":%q}`, key))
		words := strings.TrimSuffix(v.Get("word").Text()+", "+v.Get("asm").Text(), ", ")
		return strings.TrimSuffix(words+"; "+v.Get("doubt").Text(), "; ")
	}
	if name, ok := strings.CutPrefix(about, "decision "); ok {
		v := now.view("decision", fmt.Sprintf(`{"id":%q}`, s.ids[name]))
		words := v.Get("word").Text()
		for _, m := range v.Get("moved").Items() {
			words += "; " + m.Get("label").Text() + " " + m.Get("was").Text() + " → " + m.Get("now").Text()
		}
		return words
	}
	if hold, ok := strings.CutPrefix(about, "hold "); ok {
		key, asm, _ := strings.Cut(hold, " ")
		for _, e := range now.view("stages", `{}`).Get("engines").Items() {
			for _, st := range e.Get("stages").Items() {
				if e.Get("engine").Get("asm").Text() == asm && st.Get("hold").Get("key").Text() == key {
					return strings.Join(append([]string{st.Get("hold").Get("word").Text()}, st.Get("hold").Get("changed").Texts()...), "; ")
				}
			}
		}
	}
	v := now.view("snag", fmt.Sprintf(`{"id":%q}`, s.ids[about]))
	return strings.TrimSuffix(v.Get("word").Text()+"; "+v.Get("not_proven").Text(), "; ")
}
