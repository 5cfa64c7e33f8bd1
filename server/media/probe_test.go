package media_test

import (
	"cmp"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/server/media"
)

func probe(t *testing.T, l *media.Library, name string) media.Facts {
	t.Helper()
	facts, err := l.Probe(context.Background(), "films:"+name)
	require.NoError(t, err, name)
	return facts
}

// The figures follow from the commands in testdata/media/make.sh.
func TestProbeOfKnownClips(t *testing.T) {
	l := library(t, clips, media.WithFFprobe("")) // MP4 and MOV must not need it
	made := time.Date(2026, 2, 3, 10, 20, 30, 0, time.UTC)
	size := func(name string) int64 {
		info, err := os.Stat(filepath.Join(clips, name))
		require.NoError(t, err)
		return info.Size()
	}
	base := media.Facts{Container: "mp4", VideoCodec: "h264", Width: 160, Height: 120, FrameRateNum: 25, FrameRateDen: 1,
		DurationMs: 2000, ProbedBy: "zonule"}
	for name, change := range map[string]func(*media.Facts){
		"h264-25.mp4": func(f *media.Facts) { f.AudioCodec, f.CreatedAt = "aac", &made },
		"quicktime.mov": func(f *media.Facts) {
			f.Container, f.AudioCodec, f.CreatedAt = "mov", "aac", &made
		},
		"hevc.mp4": func(f *media.Facts) { f.VideoCodec, f.DurationMs = "hevc", 1000 },
		"index-last-2997.mp4": func(f *media.Facts) {
			// 60 frames of 1001/30000 s are 2002 ms.
			f.FrameRateNum, f.FrameRateDen, f.DurationMs = 30000, 1001, 2002
		},
		"vp9.webm": func(f *media.Facts) { f.Container, f.VideoCodec = "webm", "vp9" },
	} {
		want := base
		change(&want)
		want.SizeBytes = size(name)
		require.Equal(t, want, probe(t, l, name), name)
	}
	varying := probe(t, l, "varying.mp4")
	require.True(t, varying.VariableFrameRate)
}

// An independent reader, ffprobe (Debian ffmpeg 5.1), must say the same of every MP4, MOV and WebM clip.
func TestProbeAgreesWithFFprobe(t *testing.T) {
	program := needs(t, "ffprobe")
	dir := t.TempDir()
	source := []string{"-f", "lavfi", "-i", "testsrc2=size=160x120:rate=50:duration=2"}
	for name, arguments := range map[string]string{
		"plain.mp4":  "-c:v libx264 -preset ultrafast -pix_fmt yuv420p",
		"still.mp4":  "-c:v libx264 -preset ultrafast -r 60000/1001 -pix_fmt yuv420p -movflags +faststart",
		"slow.mov":   "-c:v mpeg4 -r 15",
		"photo.mov":  "-c:v mjpeg -pix_fmt yuvj420p",
		"large.mp4":  "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -movie_timescale 90000 -video_track_timescale 90000",
		"apple.m4v":  "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -f mp4",
		"vp9.mp4":    "-c:v libvpx-vp9 -deadline realtime -cpu-used 8 -b:v 300k",
		"odd.mp4":    "-c:v libx264 -preset ultrafast -pix_fmt yuv420p -r 26777/1000",
		"prores.mov": "-c:v prores_ks",
		"a.webm":     "-c:v libvpx -b:v 200k",
		"b.webm":     "-c:v libvpx -b:v 200k -r 30000/1001",
		"c.webm":     "-c:v libvpx-vp9 -deadline realtime -cpu-used 8 -b:v 200k -r 24000/1001",
		"d.webm":     "-c:v libvpx -b:v 200k -r 25/2",
		"e.webm":     "-c:v libvpx -b:v 200k -r 60",
	} {
		ffmpeg(t, append(append(source, strings.Fields(arguments)...), filepath.Join(dir, name))...)
	}
	// Cut without re-encoding: an edit list hides what lies before the cut.
	ffmpeg(t, "-ss", "0.5", "-i", filepath.Join(dir, "plain.mp4"), "-c", "copy", filepath.Join(dir, "cut.mp4"))
	for _, name := range []string{"h264-25.mp4", "index-last-2997.mp4", "quicktime.mov", "hevc.mp4", "varying.mp4"} {
		content, err := os.ReadFile(filepath.Join(clips, name))
		require.NoError(t, err)
		write(t, dir, name, content)
	}
	l := library(t, dir, media.WithFFprobe(""))
	found, err := filepath.Glob(filepath.Join(dir, "*"))
	require.NoError(t, err)
	require.Len(t, found, 20)
	for _, path := range found {
		compareWithFFprobe(t, program, path, probe(t, l, filepath.Base(path)))
	}
}

func compareWithFFprobe(t *testing.T, program, path string, facts media.Facts) {
	t.Helper()
	output, err := exec.Command(program, "-v", "error", "-of", "json", "-show_streams", "-show_format", "-select_streams", "v:0", path).Output()
	require.NoError(t, err)
	var theirs struct {
		Streams []struct {
			Codec    string `json:"codec_name"`
			Width    int    `json:"width"`
			Height   int    `json:"height"`
			Average  string `json:"avg_frame_rate"`
			Duration string `json:"duration"`
		} `json:"streams"`
		Format struct {
			Duration string `json:"duration"`
		} `json:"format"`
	}
	require.NoError(t, json.Unmarshal(output, &theirs))
	s := theirs.Streams[0]
	require.Equal(t, s.Codec, facts.VideoCodec, path)
	require.Equal(t, [2]int{s.Width, s.Height}, [2]int{facts.Width, facts.Height}, path)
	above, below, _ := strings.Cut(s.Average, "/")
	num, err := strconv.ParseFloat(above, 64)
	require.NoError(t, err)
	den, err := strconv.ParseFloat(below, 64)
	require.NoError(t, err)
	require.InEpsilon(t, num/den, float64(facts.FrameRateNum)/float64(facts.FrameRateDen), 0.0005, path)
	seconds, err := strconv.ParseFloat(cmp.Or(s.Duration, theirs.Format.Duration), 64)
	require.NoError(t, err)
	frameMs := 1000 * float64(facts.FrameRateDen) / float64(facts.FrameRateNum)
	require.InDelta(t, seconds*1000, float64(facts.DurationMs), frameMs, path)
}

func TestProbeThroughFFprobe(t *testing.T) {
	needs(t, "ffprobe")
	dir := t.TempDir()
	// As a browser or a live encoder writes it: without a duration, and without the length of a frame.
	ffmpeg(t, "-i", filepath.Join(clips, "vp9.webm"), "-c", "copy", "-f", "webm", "-live", "1", filepath.Join(dir, "live.webm"))
	_, err := library(t, dir).Probe(context.Background(), "films:live.webm")
	requireFault(t, media.ProbeFailed, err)
	require.ErrorContains(t, err, "how long it is")

	l := library(t, clips)
	for name, want := range map[string]media.Facts{
		"fragmented.mp4": {Container: "mp4", VideoCodec: "h264", Width: 160, Height: 120, FrameRateNum: 25, FrameRateDen: 1, DurationMs: 2000, ProbedBy: "ffprobe"},
	} {
		facts := probe(t, l, name)
		require.InDelta(t, want.DurationMs, facts.DurationMs, 80, name)
		require.Positive(t, facts.SizeBytes)
		facts.DurationMs, facts.SizeBytes = want.DurationMs, 0
		require.Equal(t, want, facts, name)
	}
}

func TestProbeOfOldContainers(t *testing.T) {
	dir := t.TempDir()
	for name, codec := range map[string]string{"a.avi": "mjpeg", "b.mpg": "mpeg2video", "c.avi": "msmpeg4", "d.mkv": "libx264"} {
		ffmpeg(t, "-f", "lavfi", "-i", "testsrc2=size=160x120:rate=25:duration=3", "-c:v", codec, "-pix_fmt",
			map[bool]string{true: "yuvj420p", false: "yuv420p"}[codec == "mjpeg"], filepath.Join(dir, name))
	}
	needs(t, "ffprobe")
	l := library(t, dir)
	for name, codec := range map[string]string{"a.avi": "mjpeg", "b.mpg": "mpeg2video", "c.avi": "msmpeg4v3", "d.mkv": "h264"} {
		facts := probe(t, l, name)
		require.Equal(t, codec, facts.VideoCodec, name)
		require.Equal(t, [2]int64{25, 1}, [2]int64{facts.FrameRateNum, facts.FrameRateDen}, name)
		require.InDelta(t, 3000, facts.DurationMs, 81, name)
		plays, reason := media.Playable(facts)
		require.False(t, plays, name)
		require.NotEmpty(t, reason)
		_, err := library(t, dir, media.WithFFprobe("")).Probe(context.Background(), "films:"+name)
		requireFault(t, media.NeedsFFprobe, err)
	}
}

func TestProbeRefusesDamage(t *testing.T) {
	needs(t, "ffprobe")
	dir := t.TempDir()
	for _, name := range []string{"cut-before-index.mp4", "cut-in-data.mp4", "sound-only.mp4"} {
		content, err := os.ReadFile(filepath.Join(clips, name))
		require.NoError(t, err)
		write(t, dir, name, content)
	}
	write(t, dir, "empty.mp4", nil)
	write(t, dir, "text.mp4", []byte("This is not a film, it only says so.\n"))
	write(t, dir, "page.webm", []byte("<html><script>alert(1)</script></html>"))
	write(t, dir, "list.mp4", []byte("ffconcat version 1.0\nfile /etc/passwd\n"))
	write(t, dir, "stream.ts", []byte("#EXTM3U\n#EXT-X-VERSION:3\n#EXTINF:10,\nfile:///etc/passwd\n"))
	write(t, dir, "short.mp4", []byte("\x00\x00\x00\x08ftyp"))
	write(t, dir, "huge-index.mp4", []byte("\x00\x00\x00\x0cftypqt  \x00\x00\x00\x01moov\x00\x00\x00\x7f\x00\x00\x00\x00"))
	write(t, dir, "zero.mp4", []byte("\x00\x00\x00\x08ftyp\x00\x00\x00\x02moov"))
	write(t, dir, "nothing.mp4", []byte("\x00\x00\x00\x0cftypmp42\x00\x00\x00\x08moov"))
	l := library(t, dir)
	for name, want := range map[string]media.Fault{
		"cut-before-index.mp4": media.IndexMissing, "cut-in-data.mp4": media.DataEndsEarly, "sound-only.mp4": media.NotVideo,
		"empty.mp4": media.NotVideo, "text.mp4": media.ProbeFailed, "page.webm": media.ProbeFailed,
		"list.mp4": media.ProbeFailed, "stream.ts": media.ProbeFailed, "short.mp4": media.NotVideo,
		"huge-index.mp4": media.IndexMissing, "zero.mp4": media.IndexDamaged, "nothing.mp4": media.NotVideo,
	} {
		_, err := l.Probe(context.Background(), "films:"+name)
		require.Error(t, err, name)
		requireFault(t, want, err)
		require.NotContains(t, err.Error(), dir)
	}
	facts, err := l.Probe(context.Background(), "films:cut-in-data.mp4")
	require.ErrorContains(t, err, "data ends early")
	require.EqualValues(t, 2000, facts.DurationMs, "what was promised is told beside the fault")
}

func TestPlayable(t *testing.T) {
	good := media.Facts{Container: "mp4", VideoCodec: "h264", AudioCodec: "aac", Width: 720, Height: 540}
	for _, c := range []struct {
		change func(*media.Facts)
		plays  bool
		reason string
	}{
		{func(*media.Facts) {}, true, ""},
		{func(f *media.Facts) { f.Container, f.AudioCodec = "mov", "" }, true, ""},
		{func(f *media.Facts) { f.Container, f.VideoCodec, f.AudioCodec = "webm", "vp8", "vorbis" }, true, ""},
		{func(f *media.Facts) { f.VideoCodec = "av1" }, true, ""},
		{func(f *media.Facts) { f.VideoCodec = "hevc" }, false, "H.265"},
		{func(f *media.Facts) { f.Container, f.VideoCodec = "avi", "mjpeg" }, false, "avi"},
		{func(f *media.Facts) { f.VideoCodec = "mpeg2video" }, false, "MPEG-2"},
		{func(f *media.Facts) { f.VideoCodec = "msmpeg4v3" }, false, "Microsoft"},
		{func(f *media.Facts) { f.AudioCodec = "ac3" }, false, "sound"},
		{func(f *media.Facts) { f.Width = 0 }, false, "no picture size"},
	} {
		facts := good
		c.change(&facts)
		plays, reason := media.Playable(facts)
		require.Equal(t, c.plays, plays, facts)
		require.Contains(t, reason, c.reason)
	}
}

// Containers that ffprobe reads tell their duration in the head; the end shows whether it is true.
func TestProbeNoticesCutContainers(t *testing.T) {
	needs(t, "ffprobe")
	dir := t.TempDir()
	for name, codec := range map[string]string{"whole.webm": "libvpx", "whole.avi": "mpeg4", "whole.mkv": "libx264"} {
		path := filepath.Join(dir, name)
		ffmpeg(t, "-f", "lavfi", "-i", "testsrc2=size=160x120:rate=25:duration=12", "-c:v", codec, "-g", "25", path)
		content, err := os.ReadFile(path)
		require.NoError(t, err)
		write(t, dir, "cut-"+name, content[:len(content)/2])
		l := library(t, dir)
		whole := probe(t, l, name)
		require.InDelta(t, 12_000, whole.DurationMs, 81)
		require.False(t, whole.VariableFrameRate, name)
		_, err = l.Probe(context.Background(), "films:cut-"+name)
		requireFault(t, media.DataEndsEarly, err)
	}
}
