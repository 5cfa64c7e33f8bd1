package film

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/server/media"
)

// needs finds a program. Without it the test is skipped aloud, and fails where everything must run.
func needs(t *testing.T, program string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatalf("NOT TESTED: %s, from the ffmpeg package, is not installed, and in CI nothing may be left out", program)
	}
	if err != nil {
		t.Skipf("NOT TESTED: %s, from the ffmpeg package, is not installed", program)
	}
	return path
}

// unpacked puts the embedded films into a folder.
func unpacked(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	films, err := Films()
	require.NoError(t, err)
	require.NoError(t, os.CopyFS(dir, films))
	return dir
}

func TestEmbeddedFilmsAreThoseOfTheScripts(t *testing.T) {
	films, err := Films()
	require.NoError(t, err)
	entries, err := fs.ReadDir(films, ".")
	require.NoError(t, err)
	found, wanted := map[string]bool{}, map[string]bool{}
	var total int64
	for _, entry := range entries {
		info, err := entry.Info()
		require.NoError(t, err)
		total += info.Size()
		found[entry.Name()] = true
	}
	for _, s := range Scripts() {
		for _, film := range s.Parts {
			wanted[film.File] = true
		}
	}
	require.Equal(t, wanted, found)
	require.Less(t, total, int64(8_000_000))
}

func TestFilmsProbeToTheirScripts(t *testing.T) {
	needs(t, "ffprobe")
	library, err := media.NewLibrary([]media.Root{{Name: "films", Dir: unpacked(t)}})
	require.NoError(t, err)
	for _, s := range Scripts() {
		for i, film := range s.Parts {
			facts, err := library.Probe(context.Background(), "films:"+film.File)
			require.NoError(t, err, film.File)
			require.Equal(t, [2]int64{s.RateNum, s.RateDen}, [2]int64{facts.FrameRateNum, facts.FrameRateDen}, film.File)
			require.False(t, facts.VariableFrameRate, film.File)
			require.InDelta(t, s.DurationMs(i), facts.DurationMs, float64(s.FrameMs(1)), film.File)
			require.Equal(t, [2]int{s.Width, s.Height}, [2]int{facts.Width, facts.Height})
			require.NotNil(t, facts.CreatedAt, film.File)
			require.Equal(t, film.RecordedAt, *facts.CreatedAt, film.File)
			plays, reason := media.Playable(facts)
			require.True(t, plays, reason)
		}
	}
}

// decoded gives one frame of a film by its number, as ffmpeg decodes it.
func decoded(t *testing.T, path string, s Script, n int64) *image.RGBA {
	t.Helper()
	// Sought to a key frame before, then counted by time: frame n is the one shown in its middle.
	at := fmt.Sprintf("%.6f", (float64(n)-0.5)*float64(s.RateDen)/float64(s.RateNum))
	output, err := exec.Command(needs(t, "ffmpeg"), "-v", "error", "-ss", at, "-i", path, "-frames:v", "1",
		"-f", "rawvideo", "-pix_fmt", "rgba", "pipe:1").Output()
	require.NoError(t, err)
	require.Len(t, output, s.Width*s.Height*4)
	return &image.RGBA{Pix: output, Stride: s.Width * 4, Rect: image.Rect(0, 0, s.Width, s.Height)}
}

// difference is the mean difference of the upper left corner, where the clock runs.
func difference(a, b *image.RGBA) float64 {
	sum, count := 0.0, 0
	for y := range 25 {
		for x := range 95 {
			i := a.PixOffset(x, y)
			d := float64(a.Pix[i]) - float64(b.Pix[i])
			sum += d * d
			count++
		}
	}
	return sum / float64(count)
}

// The committed films are what the drawing says, to the frame: at the start of each cue the decoded
// picture shows that frame's clock, and not that of a neighbour.
func TestFilmsAreFrameExact(t *testing.T) {
	dir := unpacked(t)
	for _, s := range Scripts() {
		p, err := newProjector(s)
		require.NoError(t, err)
		for i, film := range s.Parts {
			for k := 0; k < len(film.Cues); k += 3 {
				n := max(1, (film.Cues[k].StartMs*s.RateNum+s.RateDen*500)/(s.RateDen*1000))
				got := decoded(t, filepath.Join(dir, film.File), s, n)
				right := difference(got, p.frame(i, n))
				require.Less(t, right, difference(got, p.frame(i, n-1)), "%s frame %d", film.File, n)
				require.Less(t, right, difference(got, p.frame(i, n+1)), "%s frame %d", film.File, n)
			}
		}
	}
}

func TestDrawingIsRepeatable(t *testing.T) {
	s := Scripts()[2]
	a, err := newProjector(s)
	require.NoError(t, err)
	b, err := newProjector(s)
	require.NoError(t, err)
	// In another order: a frame must not depend on the ones drawn before it.
	frames := []int64{100, 2600, 4400, 6900}
	first := map[int64][]byte{}
	for _, n := range frames {
		first[n] = bytes.Clone(a.frame(0, n).Pix)
	}
	for i := len(frames) - 1; i >= 0; i-- {
		require.True(t, bytes.Equal(first[frames[i]], b.frame(0, frames[i]).Pix))
	}
}

func TestClockText(t *testing.T) {
	for ms, want := range map[int64]string{0: "00:00.00", 40: "00:00.04", 999: "00:00.99", 61_001: "01:01.00", 754_329: "12:34.32"} {
		require.Equal(t, want, clockText(ms))
	}
}

// A short script goes the whole way to a file, in both formats.
func TestMakeFilm(t *testing.T) {
	program, dir := needs(t, "ffmpeg"), t.TempDir()
	for _, file := range []string{"short.mp4", "short.webm"} {
		s := Script{Width: 160, Height: 120, RateNum: 30000, RateDen: 1001, Parts: []PartScript{{File: file, Frames: 45,
			RecordedAt: time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC), Cues: []Cue{{StartMs: 0, EndMs: 1001, Step: "side-port"}}}}}
		p, err := newProjector(s)
		require.NoError(t, err)
		require.NoError(t, p.make(context.Background(), program, dir, 0, func(int64) {}))
		needs(t, "ffprobe")
		library, err := media.NewLibrary([]media.Root{{Name: "films", Dir: dir}})
		require.NoError(t, err)
		facts, err := library.Probe(context.Background(), "films:"+file)
		require.NoError(t, err)
		require.InDelta(t, 1502, facts.DurationMs, 34)
	}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2, "nothing unfinished is left")
}

func TestRemakeCanBeCancelled(t *testing.T) {
	needs(t, "ffmpeg")
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	err := Remake(ctx, dir, func(file string, done, total int64) {
		require.Equal(t, "quiet-phaco.mp4", file)
		require.Positive(t, done)
		require.Greater(t, total, int64(20_000))
		cancel()
	})
	require.True(t, errors.Is(err, context.Canceled), "%v", err)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, entries)
}
