package numbers

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"time"
)

// drawing is a map or a chart; svg draws it when it is asked for.
type drawing struct {
	name string
	svg  func() string
}

// drawings lists an engine's map, each joint in each condition, and the chart of each result that has one.
func (j *job) drawings() []drawing {
	var out []drawing
	for _, e := range j.print.Engines() {
		if e.Pattern == nil {
			continue
		}
		out = append(out, drawing{plain("map-" + e.Serial), func() string { return j.print.Map(e) }})
		for _, have := range j.st.Joints {
			if sheet, ok := e.Pattern.Joint(have.Joint); ok && have.Asm == e.Serial {
				out = append(out, drawing{plain("joint-" + e.Serial + "-" + have.Joint + "-" + have.Cond), func() string { return j.print.Joint(sheet, have) }})
			}
		}
	}
	for i := range j.rs {
		if j.rs[i].Chart != nil {
			out = append(out, drawing{plain("chart-" + j.rs[i].ID), func() string { return j.print.Chart(&j.rs[i]) }})
		}
	}
	for _, r := range j.print.Runs() {
		for _, d := range j.print.Run(r).Drawings {
			name := "run-" + r.At[:min(len(r.At), len(time.DateOnly))] + "-" + string(r.ID[:shortID]) + "-" + d.Title
			out = append(out, drawing{plain(strings.ReplaceAll(name, " ", "-")), func() string { return d.SVG }})
		}
	}
	return out
}

// shortID tells the runs of one day apart.
const shortID = 8

// plain makes a file name that any system takes. What had to be changed is told apart by the hash of what it was.
func plain(name string) string {
	out := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-._", r) {
			return r
		}
		return '-'
	}, name)
	if out != name || len(out) > 100 {
		sum := sha256.Sum256([]byte(name))
		out = out[:min(len(out), 100)] + "-" + hex.EncodeToString(sum[:4])
	}
	return out + ".svg"
}
