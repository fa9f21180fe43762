// Package demo holds the invented workshop's files: the story, the type sheet of its engine, the plan of the job, its photos,
// and the device logs that package server/demo writes from them.
package demo

import (
	"bytes"
	"embed"
)

// Files are story.txt, pattern.json, plan.json, *.jpg and one NAME.ndjson for each device log.
//
//go:embed story.txt *.json *.jpg *.ndjson
var Files embed.FS

// Lines returns every entry of every device log, as sent.
func Lines() [][]byte {
	var out [][]byte
	for _, device := range []string{"P1", "P2", "P3", "P4", "OF", "T1"} {
		raw, err := Files.ReadFile(device + ".ndjson")
		if err != nil {
			panic("bug: embedded log: " + err.Error())
		}
		out = append(out, bytes.Split(bytes.TrimSpace(raw), []byte("\n"))...)
	}
	return out
}
