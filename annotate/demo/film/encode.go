package film

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Progress is told the file being made, and the frames done and wanted over all films.
type Progress func(file string, done, total int64)

// Remake draws every film again into dir, over films of the same name. It needs ffmpeg with libx264
// and libvpx. A cancelled context ends it and leaves no half-made film.
func Remake(ctx context.Context, dir string, progress Progress) error {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		return fmt.Errorf("making the demo films needs ffmpeg, from the ffmpeg package: %w", err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	scripts := Scripts()
	var done, total int64
	for _, s := range scripts {
		for _, film := range s.Parts {
			total += film.Frames
		}
	}
	for _, s := range scripts {
		p, err := newProjector(s)
		if err != nil {
			return err
		}
		for i, film := range s.Parts {
			tell := func(n int64) {
				if progress != nil {
					progress(film.File, done+n, total)
				}
			}
			if err := p.make(ctx, program, dir, i, tell); err != nil {
				return fmt.Errorf("making %s: %w", film.File, err)
			}
			done += film.Frames
		}
	}
	return nil
}

// make draws one part beside its place and moves it there when it is whole.
func (p *projector) make(ctx context.Context, program, dir string, part int, tell func(int64)) error {
	film := p.script.Parts[part]
	unfinished := filepath.Join(dir, ".unfinished-"+film.File)
	defer func() { _ = os.Remove(unfinished) }()
	command := exec.CommandContext(ctx, program, encoderArguments(p.script, film, unfinished)...)
	command.WaitDelay = 5 * time.Second
	var complaints bytes.Buffer
	command.Stderr = &complaints
	pipe, err := command.StdinPipe()
	if err != nil {
		return err
	}
	if err := command.Start(); err != nil {
		return err
	}
	drawErr := p.send(pipe, part, tell)
	err = errors.Join(drawErr, pipe.Close(), command.Wait())
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return fmt.Errorf("%w: %s", err, strings.TrimSpace(complaints.String()))
	}
	return os.Rename(unfinished, filepath.Join(dir, film.File))
}

func (p *projector) send(to io.Writer, part int, tell func(int64)) error {
	for n := range p.script.Parts[part].Frames {
		if _, err := to.Write(p.frame(part, n).Pix); err != nil {
			return err
		}
		if n%50 == 49 {
			tell(n + 1)
		}
	}
	return nil
}

// encoderArguments asks for small files that seek quickly: a key frame at least every 6 s in H.264
// and every 2 s in VP9, whose decoder is slower.
func encoderArguments(s Script, film PartScript, to string) []string {
	rate := fmt.Sprintf("%d/%d", s.RateNum, s.RateDen)
	arguments := []string{"-hide_banner", "-v", "error", "-y", "-f", "rawvideo", "-pix_fmt", "rgba",
		"-s", fmt.Sprintf("%dx%d", s.Width, s.Height), "-framerate", rate, "-i", "pipe:0", "-an", "-map_metadata", "-1",
		"-vf", "scale=out_color_matrix=bt709:out_range=tv:flags=accurate_rnd+full_chroma_int",
		"-pix_fmt", "yuv420p", "-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709",
		"-color_range", "tv", "-fflags", "+bitexact", "-flags:v", "+bitexact", "-threads", "2",
		"-metadata", "creation_time=" + film.RecordedAt.UTC().Format(time.RFC3339)}
	if strings.HasSuffix(film.File, ".webm") {
		keyEvery := strconv.FormatInt(2*s.RateNum/s.RateDen, 10)
		return append(arguments, "-c:v", "libvpx-vp9", "-b:v", "0", "-crf", "46", "-g", keyEvery, "-deadline", "good",
			"-cpu-used", "2", "-row-mt", "1", "-f", "webm", to)
	}
	keyEvery := strconv.FormatInt(6*s.RateNum/s.RateDen, 10)
	return append(arguments, "-c:v", "libx264", "-preset", "veryslow", "-tune", "animation", "-crf", "29", "-g", keyEvery,
		"-movflags", "+faststart", "-f", "mp4", to)
}
