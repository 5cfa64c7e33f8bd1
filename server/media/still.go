package media

import (
	"bytes"
	"context"
	"fmt"
	"image"
	_ "image/jpeg" // what ffmpeg hands over is looked at before it is handed on
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"time"
)

const (
	stillTimeout = 20 * time.Second
	stillBytes   = 4 << 20 // of one picture
	// stillsAtOnce keeps cores free for what people wait for.
	stillsAtOnce = 2

	narrowestStill, widestStill = 80, 1920 // px
)

// StillOf names one picture of a recording.
type StillOf struct {
	Source string // "root-name:relative/path"
	// Fingerprint is what the recording was registered with; a file that has another by now gives no picture.
	Fingerprint string
	Ms          int64 // media time; the picture is the one that is shown then
	// FrameMs is how long one picture of the recording stands; 0 when it is not known.
	FrameMs float64
	Width   int // px, from 80 to 1920; a narrower recording is not made wider
}

// Stills tells whether pictures can be taken: whether ffmpeg is there.
func (l *Library) Stills() bool { return l.ffmpeg != "" }

// Still gives one picture of a recording that lies under a root, as JPEG without the names and dates that the file may
// carry. Faults: NeedsFFmpeg without the program, Replaced when the file is another by now, StillFailed when it gives no
// picture there, and those of Open.
func (l *Library) Still(ctx context.Context, of StillOf) ([]byte, error) {
	if !l.Stills() {
		return nil, fault(NeedsFFmpeg, nil, "still pictures need ffmpeg; install it on the server")
	}
	ref, err := ParseRef(of.Source)
	if err != nil {
		return nil, err
	}
	if ref.Remote() {
		return nil, fault(AddressRefused, nil, "still pictures are taken of recordings in the server's own folders only")
	}
	of.Width = min(max(of.Width, narrowestStill), widestStill)
	key := stillKey{of.Fingerprint, of.Ms, of.Width}
	if kept, ok := l.stills.get(key); ok && of.Fingerprint != "" {
		// The picture is known; that its file may still be read is asked all the same.
		file, _, err := l.openLocal(ref)
		if err != nil {
			return nil, err
		}
		return kept, file.Close()
	}
	select {
	case l.stills.turns <- struct{}{}:
		defer func() { <-l.stills.turns }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if of.Fingerprint != "" {
		if now, err := l.QuickFingerprint(ctx, of.Source); err != nil {
			return nil, err
		} else if now != of.Fingerprint {
			return nil, fault(Replaced, nil, "the file is not the one that was registered; no picture is taken of it")
		}
	}
	picture, err := l.takeStill(ctx, ref, of)
	if err != nil {
		return nil, err
	}
	if of.Fingerprint != "" {
		l.stills.put(key, picture)
	}
	return picture, nil
}

// takeStill runs ffmpeg without a shell. The file is handed over open, as ffprobe gets it, so that no name of ours is
// looked up again.
func (l *Library) takeStill(ctx context.Context, ref Ref, of StillOf) ([]byte, error) {
	file, _, err := l.openLocal(ref)
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }()
	ctx, cancel := context.WithTimeout(ctx, stillTimeout)
	defer cancel()
	source := "pipe:0"
	if runtime.GOOS != "windows" {
		source = "/dev/stdin" // can be sought in, where pipe:0 cannot
	}
	// The first picture from this time on is the one that stands at Ms: it began at most one picture's length before.
	from := max(0, float64(of.Ms)/1000-max(0, of.FrameMs-1)/1000)
	command := exec.CommandContext(ctx, l.ffmpeg, "-nostdin", "-v", "error", "-threads", "1",
		"-protocol_whitelist", "file,pipe", "-format_whitelist", readFormats,
		"-ss", strconv.FormatFloat(from, 'f', 3, 64), "-i", source, "-map", "0:v:0", "-frames:v", "1", "-map_metadata", "-1",
		"-vf", fmt.Sprintf("scale='min(%d,iw)':-2:out_range=pc", of.Width), "-pix_fmt", "yuvj420p", "-c:v", "mjpeg", "-q:v", "4",
		"-threads", "1", "-f", "image2pipe", "pipe:1")
	command.Stdin = file
	command.Env = []string{"LC_ALL=C", "PATH=" + os.Getenv("PATH")}
	command.WaitDelay = time.Second
	output, told := &bounded{left: stillBytes + 1}, &bounded{left: 64 << 10}
	command.Stdout, command.Stderr = output, told
	runErr := command.Run()
	switch {
	case ctx.Err() != nil:
		return nil, fault(StillFailed, ctx.Err(), "taking a picture of this recording took too long")
	case runErr != nil:
		return nil, fault(StillFailed, fmt.Errorf("%w: %s", runErr, told.Bytes()), "no picture can be taken of this recording there")
	case output.Len() > stillBytes:
		return nil, fault(StillFailed, nil, "the picture of this recording is too large")
	}
	if _, _, err := image.DecodeConfig(bytes.NewReader(output.Bytes())); err != nil {
		return nil, fault(StillFailed, err, "the recording has no picture there")
	}
	return output.Bytes(), nil
}
