package film

import (
	"embed"
	"io/fs"
)

//go:embed films/*.mp4 films/*.webm
var embedded embed.FS

// Films gives the finished films by their names in Scripts.
func Films() (fs.FS, error) { return fs.Sub(embedded, "films") }
