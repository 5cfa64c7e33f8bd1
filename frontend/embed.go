// Package frontend carries the built page inside the program.
package frontend

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// Page is the built page: index.html at its root, everything else under assets/. Without a build it holds
// only a placeholder, so that the program compiles without Node.
func Page() (fs.FS, error) {
	return fs.Sub(dist, "dist")
}
