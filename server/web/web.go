// Package web holds the built phone app, so that the server is one file. The build copies pwa/dist here; without it the
// folder holds only a README and the server says that the app is not in this build.
package web

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// Files is the built app: index.html, sw.js, manifest and hashed assets. Without a build it holds only README.
func Files() fs.FS {
	sub, err := fs.Sub(dist, "dist")
	if err != nil {
		panic("bug: embedded dist: " + err.Error())
	}
	return sub
}
