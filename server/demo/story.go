// Package demo is the invented workshop: it reads the story in testdata/demo/story.txt and writes it as the device logs of
// five phones, and sends those logs through the real exchange.
//
// The logs are made from the story alone: ids of job and logs are hashes of names, times are the story's. So the same story
// always gives the same bytes, and testdata/demo keeps them beside it.
package demo

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// Log is what one device wrote.
type Log struct {
	Device  string // "P1"
	Of      string // the key of the person who holds it
	ID      entry.LogID
	Slow    time.Duration // how far its clock is behind
	Entries []entry.Entry // in the order in which it wrote them
}

// Story is the whole of it.
type Story struct {
	Job    entry.JobID
	Logs   []Log             // by device
	Photos map[string][]byte // by SHA-256, 64 hex digits
}

// idOf makes 128 bits from a name, so that the same story has the same ids.
func idOf(name string) string {
	sum := sha256.Sum256([]byte("witnessmark demo " + name))
	return hex.EncodeToString(sum[:16])
}

// JobID is the demo's job.
func JobID() entry.JobID { return entry.JobID(idOf("job")) }

// Compose writes a story's entries. Files holds what its lines name by file: photos, the engine's type sheet and the plan. The error
// names the line.
func Compose(files fs.FS, name string) (*Story, error) {
	f, err := files.Open(name)
	if err != nil {
		return nil, fmt.Errorf("open story: %w", err)
	}
	defer f.Close()
	w := &writer{
		files: files, story: &Story{Job: JobID(), Photos: map[string][]byte{}}, logs: map[string]int{},
		labels: map[string]entry.ID{}, fitted: map[string]fitted{}, parts: map[string]entry.ID{},
	}
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		if err := w.line(lines.Text()); err != nil {
			return nil, fmt.Errorf("%s, line %d: %w", name, n, err)
		}
	}
	return w.story, lines.Err()
}

// writer is a story half written.
type writer struct {
	files  fs.FS
	story  *Story
	logs   map[string]int // device to its place in story.Logs
	day    string
	labels map[string]entry.ID
	order  []string // labels as they came
	fitted map[string]fitted
	parts  map[string]entry.ID // the last entry about each
}

// fitted is where an engine is.
type fitted struct {
	side string // "" when it is in no vehicle
	by   entry.ID
}

func (w *writer) line(text string) error {
	text = strings.TrimSpace(text)
	if text == "" || strings.HasPrefix(text, "#") {
		return nil
	}
	first, rest, _ := strings.Cut(text, " ")
	rest = strings.TrimSpace(rest)
	switch first {
	case "device":
		return w.device(strings.Fields(rest))
	case "day":
		w.day = rest
		_, err := time.Parse(time.DateOnly, rest)
		return err
	}
	return w.event(first, rest)
}

// device reads 'P3 own bram slow 26h17m'.
func (w *writer) device(words []string) error {
	if len(words) != 3 && (len(words) != 5 || words[3] != "slow") {
		return errors.New("a device is: NAME own|workshop PERSON [slow DURATION]")
	}
	log := Log{Device: words[0], Of: words[2], ID: entry.LogID(idOf("log " + words[0]))}
	if len(words) == 5 {
		var err error
		if log.Slow, err = time.ParseDuration(words[4]); err != nil {
			return err
		}
	}
	w.logs[log.Device] = len(w.story.Logs)
	w.story.Logs = append(w.story.Logs, log)
	return nil
}

// event reads 'HH:MM DEVICE KIND [@label] [name=value …] BODY'; kinds 'read' and 'ran' have bodies of their own forms.
func (w *writer) event(clock, rest string) error {
	at, err := time.Parse("2006-01-02 15:04", w.day+" "+clock)
	if err != nil {
		return err
	}
	words := strings.SplitN(rest, " ", 3)
	if len(words) < 3 {
		return errors.New("an entry is: HH:MM DEVICE KIND [@label] [name=value …] BODY")
	}
	i, ok := w.logs[words[0]]
	if !ok {
		return fmt.Errorf("there is no device %q", words[0])
	}
	ev := event{log: &w.story.Logs[i], at: at, kind: words[1]}
	body := ev.options(words[2])
	if len(ev.log.Entries) == 0 {
		if err := w.open(ev.log, at); err != nil {
			return err
		}
	}
	if ev.kind == "read" {
		return w.readings(ev, body)
	}
	if ev.kind == "ran" {
		return w.ran(ev, body)
	}
	return w.entry(ev, body)
}

// event is one line, taken apart.
type event struct {
	log   *Log
	at    time.Time // true
	kind  string
	label string
	by    string
	over  []string
	after []string // more of what it comes after, by label
	opts  map[string]string
}

// options takes the label and name=value words off the front of text and returns the rest.
func (ev *event) options(text string) string {
	ev.by, ev.opts = ev.log.Of, map[string]string{}
	for {
		word, rest, _ := strings.Cut(text, " ")
		name, value, is := strings.Cut(word, "=")
		switch {
		case strings.HasPrefix(word, "@"):
			ev.label = word[1:]
		case !is || strings.ContainsAny(name, `{":`):
			return text
		case name == "by":
			ev.by = value
		case name == "over":
			ev.over = strings.Split(value, ",")
		case name == "after":
			ev.after = strings.Split(value, ",")
		default:
			ev.opts[name] = value
		}
		text = strings.TrimSpace(rest)
	}
}

// open writes the first entry of a log: whose device it is.
func (w *writer) open(log *Log, at time.Time) error {
	body := []jcs.Member{jcs.M("device", jcs.Str("own")), jcs.M("name", jcs.Str(log.Device)), jcs.M("of", jcs.Str(log.Of))}
	if log.Device == officeDevice || log.Device == benchDevice {
		body = []jcs.Member{jcs.M("device", jcs.Str("workshop")), jcs.M("name", jcs.Str(log.Device))}
	}
	return w.write(event{log: log, at: at, kind: "log", by: log.Of}, jcs.Obj(body...), nil)
}

// officeDevice is the machine in the office, benchDevice the tablet at the bench: nobody's own.
const (
	officeDevice = "OF"
	benchDevice  = "T1"
)

// write composes the next entry of a log.
func (w *writer) write(ev event, body jcs.Value, after []entry.ID) error {
	draft := entry.Entry{
		Job: w.story.Job, Log: ev.log.ID, Seq: int64(len(ev.log.Entries) + 1), By: ev.by, Kind: ev.kind, Body: body, After: after,
		At: ev.at.Add(-ev.log.Slow).Format("2006-01-02T15:04:05") + "+00:00",
	}
	if n := len(ev.log.Entries); n > 0 {
		draft.Prev = ev.log.Entries[n-1].ID
	}
	for _, label := range ev.over {
		ids, err := w.refer(label)
		if err != nil {
			return err
		}
		draft.Over = append(draft.Over, ids...)
	}
	for _, label := range ev.after {
		ids, err := w.refer(label)
		if err != nil {
			return err
		}
		draft.After = append(draft.After, ids...)
	}
	e, err := entry.Compose(draft)
	if err != nil {
		return err
	}
	ev.log.Entries = append(ev.log.Entries, e)
	if ev.label == "" {
		return nil
	}
	if _, ok := w.labels[ev.label]; ok {
		return fmt.Errorf("the label @%s is there already", ev.label)
	}
	w.labels[ev.label] = e.ID
	w.order = append(w.order, ev.label)
	return nil
}

// refer returns what a label names; '@pin1.*' names every label that begins with 'pin1.', in the order of the story.
func (w *writer) refer(label string) ([]entry.ID, error) {
	label = strings.TrimPrefix(label, "@")
	prefix, many := strings.CutSuffix(label, "*")
	if !many {
		id, ok := w.labels[label]
		if !ok {
			return nil, fmt.Errorf("there is no entry @%s before this", label)
		}
		return []entry.ID{id}, nil
	}
	var ids []entry.ID
	for _, l := range w.order {
		if strings.HasPrefix(l, prefix) {
			ids = append(ids, w.labels[l])
		}
	}
	if len(ids) == 0 {
		return nil, fmt.Errorf("there is no entry @%s before this", label)
	}
	return ids, nil
}
