package media

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"
)

// answer is the part of ffprobe's JSON that matters here.
type answer struct {
	Format struct {
		Name     string            `json:"format_name"`
		Duration string            `json:"duration"`
		Tags     map[string]string `json:"tags"`
	} `json:"format"`
	Streams []stream `json:"streams"`
	Packets []struct {
		Pts      string `json:"pts_time"`
		Dts      string `json:"dts_time"`
		Duration string `json:"duration_time"`
	} `json:"packets"`
}

type stream struct {
	Kind        string            `json:"codec_type"`
	Codec       string            `json:"codec_name"`
	Width       int               `json:"width"`
	Height      int               `json:"height"`
	Nominal     string            `json:"r_frame_rate"`
	Average     string            `json:"avg_frame_rate"`
	Duration    string            `json:"duration"`
	Tags        map[string]string `json:"tags"`
	Disposition struct {
		Picture int `json:"attached_pic"`
	} `json:"disposition"`
}

func (a answer) facts(file File, info fs.FileInfo) (Facts, error) {
	f := Facts{SizeBytes: info.Size(), ProbedBy: "ffprobe"}
	var picture *stream
	for i, s := range a.Streams {
		switch {
		case s.Kind == "video" && s.Disposition.Picture == 0 && picture == nil:
			picture = &a.Streams[i]
		case s.Kind == "audio" && f.AudioCodec == "":
			f.AudioCodec = s.Codec
		}
	}
	if picture == nil {
		return Facts{}, fault(NotVideo, nil, "the file holds no picture track; choose the video, not the sound")
	}
	f.VideoCodec, f.Width, f.Height = picture.Codec, picture.Width, picture.Height
	var err error
	if f.Container, err = a.container(file); err != nil {
		return Facts{}, err
	}
	f.FrameRateNum, f.FrameRateDen, f.VariableFrameRate = picture.rate()
	if f.FrameRateNum == 0 {
		return Facts{}, fault(ProbeFailed, nil, "the recording does not say how many frames a second it has; make an MP4 copy")
	}
	if f.DurationMs = a.durationMs(*picture); f.DurationMs <= 0 {
		return Facts{}, fault(ProbeFailed, nil,
			"the recording does not say how long it is, as when it was cut off while being written; make an MP4 copy")
	}
	f.CreatedAt = creation(a.Format.Tags["creation_time"])
	return f, nil
}

// container gives one name where ffprobe gives the names of a family.
func (a answer) container(file io.ReaderAt) (string, error) {
	name, _, _ := strings.Cut(a.Format.Name, ",")
	switch name {
	case "mov":
		if brand := a.Format.Tags["major_brand"]; brand != "qt  " && brand != "" {
			return "mp4", nil
		}
	case "matroska":
		// The document type stands in the first few dozen bytes (RFC 8794, 11.2.6).
		head := make([]byte, 64)
		n, err := file.ReadAt(head, 0)
		if err != nil && !errors.Is(err, io.EOF) {
			return "", fault(Unreadable, err, "the recording cannot be read; check the drive it lies on")
		}
		if bytes.Contains(head[:n], []byte("webm")) {
			return "webm", nil
		}
	}
	return name, nil
}

// rate chooses between ffprobe's nominal rate (the least common one, or the field rate of
// interlaced pictures) and the mean one, and tells whether the rate varies.
func (s stream) rate() (int64, int64, bool) {
	nominal, mean := fraction(s.Nominal), fraction(s.Average)
	switch {
	case mean == nil && nominal == nil:
		return 0, 1, false
	case mean == nil:
		mean = nominal
	case nominal == nil:
		nominal = mean
	}
	ratio, _ := new(big.Rat).Quo(nominal, mean).Float64()
	switch {
	case math.Abs(ratio-1) < 0.001: // the mean only suffers from rounded time stamps
		return nominal.Num().Int64(), nominal.Denom().Int64(), false
	case math.Abs(ratio-2) < 0.002: // fields, not frames
		return mean.Num().Int64(), mean.Denom().Int64(), false
	}
	return mean.Num().Int64(), mean.Denom().Int64(), true
}

// fraction reads "30000/1001"; nil for 0/0 and what no recording has.
func fraction(text string) *big.Rat {
	above, below, found := strings.Cut(text, "/")
	num, err := strconv.ParseInt(above, 10, 64)
	den, err2 := strconv.ParseInt(below, 10, 64)
	if !found || err != nil || err2 != nil || num <= 0 || den <= 0 || num/den > 10_000 {
		return nil
	}
	return big.NewRat(num, den)
}

func (a answer) durationMs(picture stream) int64 {
	for _, text := range []string{picture.Duration, a.Format.Duration} {
		seconds, err := strconv.ParseFloat(text, 64)
		if err == nil && seconds > 0 && seconds < 7*24*3600 {
			return int64(math.Round(seconds * 1000))
		}
	}
	return 0
}

// packetTimes gives the times of the packets in order, in seconds, and the end of the last.
func (a answer) packetTimes() (times []float64, end float64) {
	for _, packet := range a.Packets {
		at, err := strconv.ParseFloat(packet.Pts, 64)
		if err != nil {
			if at, err = strconv.ParseFloat(packet.Dts, 64); err != nil {
				continue
			}
		}
		length, err := strconv.ParseFloat(packet.Duration, 64)
		if err != nil {
			length = 0
		}
		times, end = append(times, at), max(end, at+length)
	}
	slices.Sort(times)
	return times, end
}

// uneven tells whether frames are missing between packets that should be one frame apart.
func uneven(times []float64, frame float64) bool {
	for i := 1; i < len(times); i++ {
		if times[i]-times[i-1] > 1.6*frame {
			return true
		}
	}
	return false
}

func creation(text string) *time.Time {
	at, err := time.Parse(time.RFC3339Nano, text)
	if err != nil || at.Year() < 1971 {
		return nil
	}
	at = at.UTC()
	return &at
}
