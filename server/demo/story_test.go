package demo

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"witnessmark/sync/entry"
)

var update = flag.Bool("update", false, "write the device logs and photos in testdata/demo again")

const folder = "../../testdata/demo"

// TestLogs: the logs in testdata/demo are what the story says, byte for byte.
func TestLogs(t *testing.T) {
	story, err := Compose(os.DirFS(folder), "story.txt")
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		for _, log := range story.Logs {
			if err := os.WriteFile(filepath.Join(folder, log.Device+".ndjson"), log.Lines(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	loaded, err := Load(os.DirFS(folder))
	if err != nil {
		t.Fatal(err)
	}
	if len(loaded.Logs) != len(story.Logs) || len(story.Logs) != 6 {
		t.Fatalf("%d logs in the folder, %d in the story, want 6", len(loaded.Logs), len(story.Logs))
	}
	for i, log := range story.Logs {
		got := loaded.Logs[i]
		if got.Device != log.Device || got.Of != log.Of || string(got.Lines()) != string(log.Lines()) {
			t.Errorf("%s: the folder and the story differ; go test ./server/demo -update writes it again", log.Device)
		}
	}
	for sha := range story.Photos {
		if len(loaded.Photos[sha]) == 0 {
			t.Errorf("the photo %s is not in the folder", sha)
		}
	}
}

// TestLogChains: every log is a chain from 1 with a first entry that says whose device it is, and nothing is unusable.
func TestLogChains(t *testing.T) {
	story, err := Load(os.DirFS(folder))
	if err != nil {
		t.Fatal(err)
	}
	for _, log := range story.Logs {
		prev := entry.ID("")
		for i, e := range log.Entries {
			if e.Seq != int64(i+1) || e.Prev != prev || e.Bad != "" || (i == 0) != (e.Kind == "log") {
				t.Errorf("%s, entry %d: seq %d, kind %s, bad %q", log.Device, i+1, e.Seq, e.Kind, e.Bad)
			}
			prev = e.ID
		}
	}
}

// TestSlowClock is the arithmetic of the scenario: true time is shown plus 26 h 17 min, so 13 March 10:15 was written as
// 12 March 07:58 and 14:40 as 12 March 12:23.
func TestSlowClock(t *testing.T) {
	story, err := Load(os.DirFS(folder))
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(story.Logs, func(l Log) bool { return l.Device == "P3" })
	var at []string
	for _, e := range story.Logs[i].Entries {
		if e.Kind == "reading" {
			at = append(at, e.At)
		}
	}
	for _, want := range []string{"2027-03-12T07:58:00+00:00", "2027-03-12T12:23:00+00:00"} {
		if !slices.Contains(at, want) {
			t.Errorf("no reading at %s in %v", want, at)
		}
	}
	if _, err := time.Parse(time.RFC3339, at[0]); err != nil {
		t.Error(err)
	}
}

func TestComposeErrors(t *testing.T) {
	const head = "device P1 own maud\nday 2027-03-06\n"
	cases := map[string]struct{ line, want string }{
		"no device":       {"09:00 P9 note {}", `no device "P9"`},
		"no time":         {"25:00 P1 note {}", "25:00"},
		"too short":       {"09:00 P1", "an entry is"},
		"body":            {"09:00 P1 note {", "body"},
		"kind's own rule": {`09:00 P1 note {"texts":"x"}`, "'text' is missing"},
		"label":           {`09:00 P1 apply {"zero":"@z","to":["@z"]}`, "no entry @z"},
		"value":           {`09:00 P1 zero {"instrument":"M1","bar":"50.000","read":"50.000 mm"}`, "lacks its unit"},
		"place":           {"09:00 P1 read 2117 pin.1.journal: a.V", "lacks its unit"},
		"pair":            {"09:00 P1 read 2117 pin.1.journal: 61.958 mm", "not a point and a value"},
		"words":           {"09:00 P1 read 2117 pin.1.journal b.V: x 61.958 mm", "too many words"},
		"file":            {`09:00 P1 note {"file":"story.txt","text":"x"}`, "has no file"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			_, err := Compose(fstest.MapFS{"story.txt": {Data: []byte(head + c.line)}}, "story.txt")
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "line 3") {
				t.Errorf("Compose = %v, want line 3 and %q", err, c.want)
			}
		})
	}
}
