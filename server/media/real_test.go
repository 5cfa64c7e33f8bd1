package media_test

import (
	"compress/gzip"
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/server/media"
)

// Recordings made by others, from the Debian 12 packages opencv-doc 4.6,
// golang-github-gabriel-vasile-mimetype-dev 1.4.1 and gnome-user-docs 43. None is stored here.
const (
	opencv   = "/usr/share/doc/opencv-doc"
	mimetype = "/usr/share/gocode/src/github.com/gabriel-vasile/mimetype/testdata"
	gnome    = "/usr/share/help/C/gnome-help/figures"
)

type realFile struct {
	path      string // with .gz: stored compressed
	container string
	codec     string
	num, den  int64
	ms        int64
	plays     bool
	varies    bool
}

// The figures are those of ffprobe (Debian ffmpeg 5.1) and of the packages' own descriptions.
var realFiles = []realFile{
	{path: opencv + "/examples/data/vtest.avi", container: "avi", codec: "msmpeg4v3", num: 10, den: 1, ms: 79_500},
	// The header promises 444 frames at an even rate; the file holds 68.
	{path: opencv + "/examples/data/tree.avi", container: "avi", codec: "cinepak", num: 1_000_000, den: 66_667, ms: 29_600, varies: true},
	{path: opencv + "/examples/data/Megamind.avi", container: "avi", codec: "mpeg4", num: 2997, den: 125, ms: 11_261},
	{path: opencv + "/opencv4/html/box.mp4.gz", container: "mp4", codec: "h264"},
	{path: opencv + "/opencv4/html/cup.mp4.gz", container: "mp4", codec: "h264", plays: true},
	{path: mimetype + "/mp4.mp4", container: "mp4", codec: "h264", num: 30, den: 1, ms: 5_533, plays: true},
	{path: mimetype + "/mov.mov", container: "mov", codec: "h264", num: 30, den: 1, ms: 5_533, plays: true},
	{path: mimetype + "/webm.webm", container: "webm", codec: "vp8", num: 30, den: 1, ms: 5_568, plays: true},
	{path: mimetype + "/ogg.ogv", container: "ogg", codec: "theora", num: 30, den: 1, ms: 5_533},
	{path: mimetype + "/3gp.3gp", container: "mp4", codec: "h263", num: 15, den: 1, ms: 5_533},
	{path: mimetype + "/flv.flv", container: "flv", codec: "flv1", num: 25, den: 1, ms: 5_560},
	{path: gnome + "/display-dual-monitors.webm", container: "webm", codec: "vp8", num: 15, den: 1, ms: 37_133, plays: true},
}

// fetch puts a real recording into dir under its own name.
func fetch(t *testing.T, path, dir string) (name string, content []byte) {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Skipf("NOT TESTED on a real recording: %s is not installed", path)
	}
	defer func() { _ = file.Close() }()
	var source io.Reader = file
	name = filepath.Base(path)
	if filepath.Ext(name) == ".gz" {
		source, err = gzip.NewReader(file)
		require.NoError(t, err)
		name = name[:len(name)-3]
	}
	content, err = io.ReadAll(source)
	require.NoError(t, err)
	write(t, dir, name, content)
	return name, content
}

func TestRealRecordings(t *testing.T) {
	needs(t, "ffprobe")
	for _, want := range realFiles {
		t.Run(filepath.Base(want.path), func(t *testing.T) {
			dir := t.TempDir()
			name, _ := fetch(t, want.path, dir)
			facts, err := library(t, dir).Probe(context.Background(), "films:"+name)
			require.NoError(t, err)
			require.Equal(t, []string{want.container, want.codec}, []string{facts.Container, facts.VideoCodec})
			if want.num > 0 {
				require.Equal(t, [2]int64{want.num, want.den}, [2]int64{facts.FrameRateNum, facts.FrameRateDen})
				require.InDelta(t, want.ms, facts.DurationMs, 40)
				require.Equal(t, want.varies, facts.VariableFrameRate)
			}
			plays, reason := media.Playable(facts)
			require.Equal(t, want.plays, plays, reason)
		})
	}
}

// The same recordings, cut as a full card or a pulled drive cuts them.
func TestRealRecordingsCutShort(t *testing.T) {
	for _, c := range []struct {
		path string
		keep int
		want media.Fault
	}{
		{mimetype + "/mov.mov", 100_000, media.IndexMissing},
		{mimetype + "/mp4.mp4", 200_000, media.IndexMissing},
		{opencv + "/opencv4/html/cup.mp4.gz", 900_000, media.DataEndsEarly},
	} {
		t.Run(filepath.Base(c.path), func(t *testing.T) {
			dir := t.TempDir()
			_, content := fetch(t, c.path, dir)
			require.Greater(t, len(content), c.keep)
			write(t, dir, "cut.mp4", content[:c.keep])
			_, err := library(t, dir).Probe(context.Background(), "films:cut.mp4")
			requireFault(t, c.want, err)
		})
	}
}
