package media

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"time"
)

const (
	probeTimeout = 20 * time.Second
	// probeHead is what ffprobe is given of a recording at an https address.
	probeHead = 8 << 20
	// readFormats keeps playlists out: a playlist could make ffprobe open other files.
	readFormats = "mov,matroska,webm,avi,mpeg,mpegvideo,mpegts,asf,flv,ogg,mxf,dv,h264,hevc,m4v,mjpeg,gxf,nut"
)

// ffprobeFile asks ffprobe. A local file is handed over open, as standard input, so that ffprobe
// never looks up a path of its own and cannot be led elsewhere between check and use.
func (l *Library) ffprobeFile(ctx context.Context, file File, info fs.FileInfo) (Facts, error) {
	if l.ffprobe == "" {
		return Facts{}, fault(NeedsFFprobe, nil,
			"this kind of recording needs ffprobe, from the ffmpeg package; install it on the server, or use an MP4 file")
	}
	ctx, cancel := context.WithTimeout(ctx, probeTimeout)
	defer cancel()
	local, isLocal := file.(*os.File)
	var input io.Reader = io.NewSectionReader(file, 0, min(info.Size(), probeHead))
	if isLocal {
		input = local
	}
	answer, err := l.ask(ctx, input, "-show_format", "-show_streams")
	if err != nil {
		return Facts{}, err
	}
	facts, err := answer.facts(file, info)
	if err != nil || !isLocal {
		return facts, err
	}
	return l.checkEnd(ctx, local, facts)
}

// ask runs ffprobe without a shell on the open input.
func (l *Library) ask(ctx context.Context, input io.Reader, what ...string) (answer, error) {
	source := "pipe:0"
	if file, local := input.(*os.File); local {
		if _, err := file.Seek(0, io.SeekStart); err != nil {
			return answer{}, readFault(ctx, err)
		}
		if runtime.GOOS != "windows" {
			source = "/dev/stdin" // can be sought in, where pipe:0 cannot
		}
	}
	arguments := append([]string{"-v", "error", "-of", "json", "-protocol_whitelist", "file,pipe",
		"-format_whitelist", readFormats}, what...)
	command := exec.CommandContext(ctx, l.ffprobe, append(arguments, "-i", source)...)
	command.Stdin = input
	command.Env = []string{"LC_ALL=C", "PATH=" + os.Getenv("PATH")}
	command.WaitDelay = time.Second
	output, errors := &bounded{left: 8 << 20}, &bounded{left: 64 << 10}
	command.Stdout, command.Stderr = output, errors
	runErr := command.Run()
	switch {
	case ctx.Err() != nil:
		return answer{}, fault(ProbeFailed, ctx.Err(), "ffprobe took too long over this recording; it is probably damaged")
	case runErr != nil:
		return answer{}, fault(ProbeFailed, fmt.Errorf("%w: %s", runErr, errors.Bytes()),
			"ffprobe cannot read this file as a recording; check that it plays elsewhere, and copy it again")
	}
	var a answer
	if err := json.Unmarshal(output.Bytes(), &a); err != nil {
		return a, fault(ProbeFailed, err, "ffprobe gave an answer that cannot be read")
	}
	return a, nil
}

// checkEnd looks at the last packets: an index can promise more than the data hold, and a header
// can promise an even rate where frames are left out.
func (l *Library) checkEnd(ctx context.Context, file *os.File, facts Facts) (Facts, error) {
	from := strconv.FormatFloat(max(0, float64(facts.DurationMs)/1000-10), 'f', 3, 64)
	a, err := l.ask(ctx, file, "-select_streams", "v:0", "-read_intervals", from+"%",
		"-show_entries", "packet=pts_time,dts_time,duration_time")
	if err != nil {
		var typed *Error
		if errors.As(err, &typed) && ctx.Err() == nil {
			return facts, nil // the head was read well; some damaged tails cannot be sought in
		}
		return facts, err
	}
	times, last := a.packetTimes()
	if len(times) == 0 {
		return facts, nil
	}
	facts.VariableFrameRate = facts.VariableFrameRate || uneven(times, float64(facts.FrameRateDen)/float64(facts.FrameRateNum))
	missing := facts.DurationMs - int64(math.Round(last*1000))
	// Containers round their durations, and the sound may outlast the picture a little.
	if missing > max(600, facts.DurationMs/50) {
		return facts, fault(DataEndsEarly, nil,
			"the data ends early: the file speaks of %s, but its picture ends at %s; copy it again from the recorder",
			clock(facts.DurationMs), clock(facts.DurationMs-missing))
	}
	return facts, nil
}

// bounded keeps the first bytes and drops the rest, so that a strange file cannot fill the memory.
type bounded struct {
	bytes.Buffer
	left int
}

func (b *bounded) Write(p []byte) (int, error) {
	keep := min(len(p), b.left)
	b.left -= keep
	_, err := b.Buffer.Write(p[:keep])
	return len(p), err
}
