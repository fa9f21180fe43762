package view

import (
	"os"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

const quill = `"name":"Quill Q4","cylinders":"4","end1":"fan end","end2":"clutch end"`

func (s shown) wrong(args string) string {
	var out []string
	for _, w := range s.view("type", args).Get("wrong").Items() {
		out = append(out, w.Get("key").Text()+": "+w.Get("says").Text())
	}
	return strings.Join(out, "; ")
}

// TestTypeForm: the small form says what to do, line by line, and draws what it can meanwhile.
func TestTypeForm(t *testing.T) {
	s := demo(t)
	for _, c := range []struct{ name, form, wrong string }{
		{"complete", quill, ""},
		{"empty", ``, "name: call it"},
		{"no number", `"name":"x","end1":"a","end2":"b","cylinders":"four"`, "cylinders: a whole number from 1 to 16"},
		{"ends alike", `"name":"x","end1":"a","end2":"a","cylinders":"4"`, "end2: both ends"},
		{"fires twice", quill + `,"firing":"1 3 3 2"`, "firing: each cylinder once"},
		{"fires, with dashes", quill + `,"firing":"1-3-4-2"`, ""},
		{"a valve twice", quill + `,"valves":"E1 I1 E1 I2"`, "valves: two letters"},
		{"a size that is none", quill + `,"bore":"wide"`, "bore: "},
		{"a size in inches", quill + `,"bore":"3 1/2 in"`, ""},
		{"a torque that is none", quill + `,"studs":"10","torques":"50 tight"`, "torques: "},
		{"the name of another", `"name":"Ellandry U6","cylinders":"4","end1":"a","end2":"b"`, "name: there is a type of that name"},
	} {
		t.Run(c.name, func(t *testing.T) {
			args := `{"form":{` + c.form + `}}`
			if got := s.wrong(args); (got == "") != (c.wrong == "") || !strings.Contains(got, c.wrong) {
				t.Errorf("wrong: %q, want '%s …'", got, c.wrong)
			}
			v := s.view("type", args)
			if drawn := strings.Contains(v.Get("svg").Text(), "cyl 4"); drawn != strings.Contains(c.form, `"4"`) {
				t.Errorf("drawn: %v", drawn)
			}
			if kept := !v.Get("draft").IsNull(); kept != (c.wrong == "") {
				t.Errorf("may be kept: %v", kept)
			}
		})
	}
}

// TestTypeChanged: what changes stands old beside new, the draft takes the place of the type as it stands, and what hangs on
// a place that goes is said.
func TestTypeChanged(t *testing.T) {
	s := demo(t)
	if v := s.view("type", `{"pattern":"ellandry-u6"}`); !v.Get("draft").IsNull() || len(v.Get("changes").Items()) > 0 || len(v.Get("fields").Items()) < 150 {
		t.Errorf("as it stands: %d fields, draft %v", len(v.Get("fields").Items()), v.Get("draft"))
	}
	v := s.view("type", `{"pattern":"ellandry-u6","edits":[{"key":"nominal|bore","text":"107.02"},{"key":"feature|crank.float|off","text":"off"},{"key":"joint|head|fasteners","text":"1 2 3"}]}`)
	if got := find(v, "draft.over.0").Text(); got != string(s.st.Patterns[0].ID) {
		t.Errorf("over %q", got)
	}
	if got := find(v, "draft.body.data.nominal.bore.t").Text(); got != "107.02" {
		t.Errorf("bore %q", got)
	}
	lost := strings.Join(v.Get("lost").Texts(), "\n")
	for _, want := range []string{"2123 · crank · end float goes: 1 reading and 1 point skipped stand on it", "2117 · cylinder head stud 14 goes: 4 tightenings stand on it; they stay in the log and are shown as 'no such place', until that is back", "crank: end float goes: 1 limit"} {
		if !strings.Contains(lost, want) {
			t.Errorf("lost: %q is not among\n%s", want, lost)
		}
	}
	if strings.Contains(lost, "journal") {
		t.Errorf("nothing of a journal goes: %s", lost)
	}
}

// TestTypeTakenIn: the file of a type is kept as an entry, and is the same bytes when it is taken out again.
func TestTypeTakenIn(t *testing.T) {
	s := demo(t)
	file := find(s.view("types", `{}`), "types.0.file").Text()
	raw, err := os.ReadFile("../../testdata/demo/pattern.json")
	if err != nil {
		t.Fatal(err)
	}
	empty := shown{t, &record.State{}, nil}
	for name, text := range map[string]string{"as saved": file, "as written by hand, and named": strings.Replace(string(raw), "{", `{"key":"ellandry-u6",`, 1)} {
		v := empty.view("type", `{"file":`+jcs.Str(text).String()+`}`)
		body := find(v, "draft.body")
		if _, err := entry.Compose(entry.Entry{Job: "0123456789abcdef0123456789abcdef", Log: "0123456789abcdef0123456789abcdef", Seq: 2, Prev: entry.ID(strings.Repeat("a", 64)), At: "2031-04-12T10:22:31+01:00", By: "maud", Kind: "pattern", Body: body}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		p, err := pattern.Parse(body.Get("data"))
		if err != nil || p.File(body.Get("pattern").Text()) != file {
			t.Errorf("%s: %v, not the same file", name, err)
		}
	}
	changed := strings.Replace(file, `"t": "107.00"`, `"t": "107.50"`, 1)
	v := s.view("type", `{"file":`+jcs.Str(changed).String()+`}`)
	if got := find(v, "changes.0.was").Text() + " → " + find(v, "changes.0.now").Text(); got != "107.00\u2009mm → 107.50\u2009mm" || !v.Get("stands").IsTrue() {
		t.Errorf("beside the one that stands: %s", got)
	}
	if got := s.wrong(`{"file":"{}"}`); !strings.Contains(got, "needs a name") {
		t.Errorf("a file that is none: %q", got)
	}
}

// TestTypeCounts: how many cylinders and studs there are is changed; what stands at what goes is said with its place and how
// much it is, and none of it says anything of what stays.
func TestTypeCounts(t *testing.T) {
	s := demo(t)
	lost := func(edits string) string {
		return strings.Join(s.view("type", `{"pattern":"ellandry-u6","edits":[`+edits+`]}`).Get("lost").Texts(), "\n")
	}
	for _, c := range []struct{ name, edits, says, not string }{
		{"a cylinder", `{"key":"cylinders","text":"5"}`, "2123 · cylinder 6 goes: 6 readings stand on it; they stay in the log and are shown as 'no such place'", "cylinder 5"},
		{"its pin", `{"key":"cylinders","text":"5"}`, "2123 · big-end pin 6 goes: 8 readings", "pin 5"},
		{"a main by itself", `{"key":"mains","text":"6"}`, "2123 · main bearing 7 goes: 4 readings", "cylinder"},
		{"studs", `{"key":"studs","text":"22"}`, "2117 · cylinder head stud 26 goes: 4 tightenings", "stud 11 goes"},
		{"studs that are numbered anew", `{"key":"studs","text":"22"}`, "2117 · cylinder head: its studs are numbered anew", "cylinder 6"},
		{"more cylinders", `{"key":"cylinders","text":"8"}`, "", "goes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := lost(c.edits); !strings.Contains(got, c.says) || strings.Contains(got, c.not) {
				t.Errorf("want '%s …' and nothing of %s:\n%s", c.says, c.not, got)
			}
		})
	}
	d := atDesk(t)
	d.keep("type", `{"pattern":"ellandry-u6","edits":[{"key":"cylinders","text":"5"},{"key":"studs","text":"22"}]}`)
	if n := len(d.now().st.Unusable); n < 20 {
		t.Errorf("%d entries are said to have no place", n)
	}
	d.keep("type", `{"pattern":"ellandry-u6","edits":[{"key":"cylinders","text":"6"},{"key":"studs","text":"26"},{"key":"firing","text":"1 5 3 6 2 4"}]}`)
	if got := d.now().st.Unusable; len(got) > 0 {
		t.Errorf("not all of it counts again: %+v", got[0])
	}
}
