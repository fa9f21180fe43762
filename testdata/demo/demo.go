// Package demo holds the invented workshop's files: the story, the type sheet of its engine, its photos, and the device logs
// that package server/demo writes from them.
package demo

import "embed"

// Files are story.txt, pattern.json, *.jpg and one NAME.ndjson for each device log.
//
//go:embed story.txt *.json *.jpg *.ndjson
var Files embed.FS
