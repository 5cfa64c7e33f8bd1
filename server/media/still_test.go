package media_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/server/media"
)

// coloured makes a recording of three seconds, each of one colour: red, green, blue.
func coloured(t *testing.T, name string) string {
	t.Helper()
	dir := t.TempDir()
	ffmpeg(t, "-f", "lavfi", "-i", "color=red:s=320x240:d=1:r=25", "-f", "lavfi", "-i", "color=lime:s=320x240:d=1:r=25",
		"-f", "lavfi", "-i", "color=blue:s=320x240:d=1:r=25", "-filter_complex", "[0][1][2]concat=n=3",
		"-metadata", "title=HERON", "-pix_fmt", "yuv420p", "-g", "75", filepath.Join(dir, name))
	return dir
}

func colourOf(t *testing.T, picture []byte) color.RGBA {
	t.Helper()
	decoded, err := jpeg.Decode(bytes.NewReader(picture))
	require.NoError(t, err)
	middle := decoded.Bounds().Dx() / 2
	r, g, b, _ := decoded.At(middle, middle/2).RGBA()
	return color.RGBA{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8), 255}
}

func strongest(c color.RGBA) string {
	switch {
	case c.R > 180 && c.G < 90 && c.B < 90:
		return "red"
	case c.G > 180 && c.R < 90 && c.B < 90:
		return "green"
	case c.B > 180 && c.R < 90 && c.G < 90:
		return "blue"
	}
	return "none of them"
}

func TestStillIsThePictureShownThen(t *testing.T) {
	l := library(t, coloured(t, "three.mp4"))
	fingerprint, err := l.QuickFingerprint(t.Context(), "films:three.mp4")
	require.NoError(t, err)
	for ms, want := range map[int64]string{0: "red", 999: "red", 1000: "green", 1039: "green", 1990: "green", 2000: "blue", 2999: "blue"} {
		picture, err := l.Still(t.Context(), media.StillOf{Source: "films:three.mp4", Fingerprint: fingerprint, Ms: ms, FrameMs: 40, Width: 160})
		require.NoError(t, err, ms)
		require.Equal(t, want, strongest(colourOf(t, picture)), ms)
		size, _, err := image.DecodeConfig(bytes.NewReader(picture))
		require.NoError(t, err)
		require.Equal(t, [2]int{160, 120}, [2]int{size.Width, size.Height})
		require.NotContains(t, string(picture), "HERON", "what the file says about itself stays behind")
	}
	wide, err := l.Still(t.Context(), media.StillOf{Source: "films:three.mp4", Fingerprint: fingerprint, Width: 9000})
	require.NoError(t, err)
	size, _, err := image.DecodeConfig(bytes.NewReader(wide))
	require.NoError(t, err)
	require.Equal(t, 320, size.Width, "no wider than it is")
	again, err := l.Still(t.Context(), media.StillOf{Source: "films:three.mp4", Fingerprint: fingerprint, Width: 9000})
	require.NoError(t, err)
	require.Equal(t, wide, again)
}

func TestStillRefuses(t *testing.T) {
	dir := coloured(t, "three.mp4")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "words.mp4"), []byte("not a recording at all"), 0o644))
	l := library(t, dir)
	fingerprint, err := l.QuickFingerprint(t.Context(), "films:three.mp4")
	require.NoError(t, err)
	for name, c := range map[string]struct {
		of   media.StillOf
		want media.Fault
	}{
		"a file outside":           {media.StillOf{Source: "films:../three.mp4"}, media.OutsideRoot},
		"an address":               {media.StillOf{Source: "https://archive.example.org/three.mp4"}, media.AddressRefused},
		"an unknown folder":        {media.StillOf{Source: "elsewhere:three.mp4"}, media.UnknownRoot},
		"no such file":             {media.StillOf{Source: "films:none.mp4"}, media.NotFound},
		"another file by now":      {media.StillOf{Source: "films:three.mp4", Fingerprint: "of another"}, media.Replaced},
		"no recording":             {media.StillOf{Source: "films:words.mp4"}, media.StillFailed},
		"after the end":            {media.StillOf{Source: "films:three.mp4", Fingerprint: fingerprint, Ms: 60_000, FrameMs: 40}, media.StillFailed},
		"a name that is an option": {media.StillOf{Source: "films:-i.mp4"}, media.NotFound},
	} {
		_, err := l.Still(t.Context(), c.of)
		require.Error(t, err, name)
		requireFault(t, c.want, err)
	}
	_, err = l.Still(t.Context(), media.StillOf{Source: "films:three.mp4", Fingerprint: fingerprint})
	require.NoError(t, err)
	require.NoError(t, os.Remove(filepath.Join(dir, "three.mp4")))
	_, err = l.Still(t.Context(), media.StillOf{Source: "films:three.mp4", Fingerprint: fingerprint})
	requireFault(t, media.NotFound, err)
}

func TestStillWithoutFFmpegAndInTime(t *testing.T) {
	dir := coloured(t, "three.mp4")
	without := library(t, dir, media.WithFFmpeg(""))
	require.False(t, without.Stills())
	_, err := without.Still(t.Context(), media.StillOf{Source: "films:three.mp4"})
	requireFault(t, media.NeedsFFmpeg, err)

	l := library(t, dir)
	require.True(t, l.Stills())
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = l.Still(gone, media.StillOf{Source: "films:three.mp4"})
	require.Error(t, err, "whoever left gets no picture")
}
