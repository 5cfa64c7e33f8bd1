package media

import (
	"fmt"
	"time"
)

// Facts is what a recording says about itself.
type Facts struct {
	Container  string // "mp4", "mov", "webm", or ffprobe's name of another container
	VideoCodec string // "h264", "hevc", "vp9", ...: ffprobe's names
	AudioCodec string // "" when there is no sound
	Width      int    // pixels as stored
	Height     int    // pixels as stored

	FrameRateNum      int64 // frames per second as an exact fraction: 30000/1001 is not 29.97
	FrameRateDen      int64
	VariableFrameRate bool // then the fraction is a mean, or what the header claims

	DurationMs int64      // of the picture as it is shown, in milliseconds of media time
	SizeBytes  int64      // of the file
	CreatedAt  *time.Time // as the recorder wrote it, UTC; nil when it wrote none
	ProbedBy   string     // "zonule" or "ffprobe"
}

// playable names the picture formats that browsers decode, per container.
var playable = map[string]map[string]bool{
	"mp4":  {"h264": true, "av1": true, "vp9": true},
	"mov":  {"h264": true},
	"webm": {"vp8": true, "vp9": true, "av1": true},
}

// playableSound names the sound that goes with them. MP3 inside MP4 is left out because a browser
// was seen to refuse a whole file for it.
var playableSound = map[string]map[string]bool{
	"mp4":  {"": true, "aac": true, "opus": true, "flac": true},
	"mov":  {"": true, "aac": true},
	"webm": {"": true, "opus": true, "vorbis": true},
}

// Playable guesses whether browsers play the recording, and if not says why in words. A browser
// has the last word: the page also checks that a picture really appears.
func Playable(f Facts) (bool, string) {
	codecs, known := playable[f.Container]
	switch {
	case !known:
		return false, fmt.Sprintf("browsers do not open %s files; make an MP4 (H.264) copy", f.Container)
	case !codecs[f.VideoCodec]:
		return false, fmt.Sprintf("browsers do not usually show %s pictures in %s files; make an MP4 (H.264) copy",
			codecName(f.VideoCodec), f.Container)
	case f.Width <= 0 || f.Height <= 0:
		return false, "the recording has no picture size"
	case !playableSound[f.Container][f.AudioCodec]:
		return false, fmt.Sprintf("browsers do not usually play %s sound in %s files; make a copy without sound or with AAC",
			f.AudioCodec, f.Container)
	}
	return true, ""
}

func codecName(codec string) string {
	names := map[string]string{
		"hevc": "H.265 (HEVC)", "mpeg2video": "MPEG-2", "mpeg1video": "MPEG-1", "mjpeg": "Motion JPEG",
		"msmpeg4v3": "Microsoft MPEG-4", "mpeg4": "MPEG-4 Visual", "prores": "ProRes", "dvvideo": "DV",
	}
	if name, known := names[codec]; known {
		return name
	}
	return codec
}
