package demo

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"witnessmark/server/phone"
	"witnessmark/sync/entry"
	"witnessmark/sync/result"
)

// Load reads the device logs NAME.ndjson and the photos of a folder, as Compose wrote them, and from the story how far each
// clock is behind. Logs are in order of name.
func Load(files fs.FS) (*Story, error) {
	names, err := fs.Glob(files, "*.ndjson")
	if err != nil || len(names) == 0 {
		return nil, errors.Join(err, errors.New("there is no device log"))
	}
	story := &Story{Job: JobID(), Photos: map[string][]byte{}}
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		log, err := readLog(strings.TrimSuffix(name, path.Ext(name)), data)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		story.Logs = append(story.Logs, log)
	}
	return story, errors.Join(story.loadClocks(files), story.loadPhotos(files))
}

// loadClocks sets how far the phones' clocks are behind: that stands in the story alone.
func (s *Story) loadClocks(files fs.FS) error {
	text, err := fs.ReadFile(files, "story.txt")
	if err != nil {
		return err
	}
	told := &writer{story: &Story{}, logs: map[string]int{}}
	for line := range strings.Lines(string(text)) {
		if words := strings.Fields(line); len(words) > 0 && words[0] == "device" {
			if err := told.device(words[1:]); err != nil {
				return err
			}
		}
	}
	for i, log := range s.Logs {
		if at := slices.IndexFunc(told.story.Logs, func(l Log) bool { return l.Device == log.Device }); at >= 0 {
			s.Logs[i].Slow = told.story.Logs[at].Slow
		}
	}
	return nil
}

func readLog(device string, data []byte) (Log, error) {
	log := Log{Device: device, ID: entry.LogID(idOf("log " + device))}
	for _, raw := range bytes.Split(bytes.TrimSuffix(data, []byte("\n")), []byte("\n")) {
		e, err := entry.Read(raw)
		if err != nil {
			return log, err
		}
		if e.Bad != "" || e.Log != log.ID || e.Job != JobID() {
			return log, fmt.Errorf("entry %d does not belong here: %s", len(log.Entries)+1, e.Bad)
		}
		log.Entries = append(log.Entries, e)
		log.Of = log.Entries[0].By
	}
	return log, nil
}

func (s *Story) loadPhotos(files fs.FS) error {
	names, err := fs.Glob(files, "*.jpg")
	if err != nil {
		return err
	}
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(data)
		s.Photos[hex.EncodeToString(sum[:])] = data
	}
	return nil
}

// Lines is a log as a file: one entry a line.
func (l Log) Lines() []byte {
	var out bytes.Buffer
	for _, e := range l.Entries {
		out.Write(e.Raw)
		out.WriteByte('\n')
	}
	return out.Bytes()
}

// Len is how many entries there are.
func (s *Story) Len() int {
	n := 0
	for _, l := range s.Logs {
		n += len(l.Entries)
	}
	return n
}

// Pair draws a pairing code for a role: "lead" or "fitter".
type Pair func(ctx context.Context, role string) (code string, err error)

// Send pairs one simulated phone for each device and sends its log and its photos through the exchange of the server at
// url. Readings go before photos.
func Send(ctx context.Context, url string, pair Pair, story *Story) error {
	var phones []*phone.Phone
	for _, log := range story.Logs {
		clock := func() time.Time { return time.Now().Add(-log.Slow) }
		p := phone.New(phone.Config{URL: url, Job: story.Job, Name: log.Device, Of: log.Of, Log: log.ID, Now: clock, Core: result.CoreVersion})
		code, err := pair(ctx, roleOf(log))
		if err != nil {
			return err
		}
		if err := p.Pair(ctx, code); err != nil {
			return fmt.Errorf("%s: %w", log.Device, err)
		}
		for _, e := range log.Entries {
			if err := p.Carry(e.Raw); err != nil {
				return fmt.Errorf("%s, entry %d: %w", log.Device, e.Seq, err)
			}
		}
		if err := p.Exchange(ctx); err != nil {
			return fmt.Errorf("%s: %w", log.Device, err)
		}
		phones = append(phones, p)
	}
	return sendPhotos(ctx, phones, story)
}

// roleOf: the lead's phone is paired as the lead's.
func roleOf(log Log) string {
	if log.Of == Lead {
		return "lead"
	}
	return "fitter"
}

// Lead is the key of the person who leads the invented workshop.
const Lead = "maud"

func sendPhotos(ctx context.Context, phones []*phone.Phone, story *Story) error {
	for i, log := range story.Logs {
		for _, e := range log.Entries {
			data, ok := story.Photos[e.Body.Get("sha").Text()]
			if e.Kind != "photo" || !ok {
				continue
			}
			if _, err := phones[i].SendPhoto(ctx, data); err != nil {
				return fmt.Errorf("%s: %w", log.Device, err)
			}
		}
	}
	return nil
}
