package media

import (
	"bytes"
	"fmt"
	"iter"
	"math/bits"
	"time"

	"github.com/abema/go-mp4"
)

// movie is the index of an MP4 or MOV file.
type movie struct {
	fragmented bool
	timescale  uint32
	created    uint64 // seconds since 1904; 0 when not written
	picture    *track // the first video track
	sound      string // codec of the first sound track
	dataEnd    uint64 // least size of file that the sample tables need
}

// track is the video track of a movie.
type track struct {
	codec         string
	width, height int
	timescale     uint32
	duration      uint64 // in timescale, from the media header
	timing        timing
	shown         uint64 // in the movie's timescale, what the edit list lets through; 0 without one
}

func damaged(where string, cause error) error {
	return fault(IndexDamaged, cause, "the index of the recording is damaged (%s); copy it again from the recorder", where)
}

// boxes visits the boxes in content: kind and payload. It stops with ok false at a size that does
// not fit.
func boxes(content []byte) iter.Seq2[string, []byte] {
	return func(yield func(string, []byte) bool) {
		for len(content) >= 8 {
			box, ok := parseHeader(content, int64(len(content)))
			if !ok || box.size > int64(len(content)) {
				yield("", nil)
				return
			}
			if !yield(box.kind, content[box.header:box.size]) {
				return
			}
			content = content[box.size:]
		}
	}
}

// decode reads one box of fixed layout. Payloads are cut at 64 KiB, which bounds what the layout
// reader can allocate.
func decode(payload []byte, into mp4.IBox) error {
	payload = payload[:min(len(payload), 64<<10)]
	if _, err := mp4.Unmarshal(bytes.NewReader(payload), uint64(len(payload)), into, mp4.Context{}); err != nil {
		return damaged(into.GetType().String(), err)
	}
	return nil
}

func readMovie(index []byte) (movie, error) {
	var m movie
	tracks := 0
	for kind, payload := range boxes(index) {
		var err error
		switch kind {
		case "":
			err = damaged("moov", nil)
		case "mvhd":
			err = m.readHeader(payload)
		case "mvex":
			m.fragmented = true
		case "trak":
			if tracks++; tracks > maxTracks {
				return m, damaged("too many tracks", nil)
			}
			err = m.readTrack(payload)
		}
		if err != nil {
			return m, err
		}
	}
	return m, nil
}

func (m *movie) readHeader(payload []byte) error {
	var header mp4.Mvhd
	if err := decode(payload, &header); err != nil {
		return err
	}
	m.timescale, m.created = header.Timescale, header.GetCreationTime()
	return nil
}

// readTrack takes the first video and the first sound track; others (time code, text) only count
// for the end of the data.
func (m *movie) readTrack(trak []byte) error {
	parts, err := trackBoxes(trak)
	if err != nil {
		return err
	}
	if end := parts.dataEnd(); end > m.dataEnd {
		m.dataEnd = end
	}
	switch {
	case parts.handler == "vide" && m.picture == nil:
		m.picture, err = parts.picture()
	case parts.handler == "soun" && m.sound == "":
		m.sound = parts.codec()
	}
	return err
}

// facts puts the index into the words of a recording.
func (m *movie) facts(brand string, size int64) (Facts, error) {
	p := m.picture
	if p == nil {
		return Facts{}, fault(NotVideo, nil, "the file holds no picture track; choose the video, not the sound")
	}
	if p.timescale == 0 || p.timing.samples == 0 {
		return Facts{}, damaged("no frames", nil)
	}
	f := Facts{
		Container: "mp4", VideoCodec: p.codec, AudioCodec: m.sound, Width: p.width, Height: p.height,
		VariableFrameRate: p.timing.varies, SizeBytes: size, ProbedBy: "zonule",
	}
	if brand == "qt  " || brand == "" {
		f.Container = "mov"
	}
	ticks := p.duration
	if ticks == 0 {
		ticks = p.timing.ticks
	}
	var err error
	if f.DurationMs, err = milliseconds(ticks, p.timescale); err != nil {
		return Facts{}, err
	}
	if p.shown > 0 && m.timescale > 0 {
		shown, err := milliseconds(p.shown, m.timescale)
		if err != nil {
			return Facts{}, err
		}
		f.DurationMs = min(f.DurationMs, shown)
	}
	f.FrameRateNum, f.FrameRateDen = p.timing.rate(p.timescale)
	if f.FrameRateNum == 0 {
		return Facts{}, damaged("no frame rate", nil)
	}
	f.CreatedAt = created(m.created)
	return f, nil
}

// milliseconds rounds to the nearest; it refuses what no recording lasts.
func milliseconds(ticks uint64, timescale uint32) (int64, error) {
	high, low := bits.Mul64(ticks, 1000)
	low, carry := bits.Add64(low, uint64(timescale)/2, 0)
	high += carry
	if high >= uint64(timescale) {
		return 0, damaged("duration", nil)
	}
	ms, _ := bits.Div64(high, low, uint64(timescale))
	const longest = 7 * 24 * 3600 * 1000
	if ms > longest {
		return 0, damaged("a duration of more than a week", nil)
	}
	return int64(ms), nil
}

// created converts seconds since 1904 (ISO/IEC 14496-12, 8.2.2) to an instant.
func created(seconds uint64) *time.Time {
	const from1904to1970 = 2_082_844_800
	if seconds <= from1904to1970 || seconds > from1904to1970+1<<33 {
		return nil
	}
	at := time.Unix(int64(seconds)-from1904to1970, 0).UTC()
	return &at
}

// clock writes a duration as minutes and seconds for a message.
func clock(ms int64) string {
	return fmt.Sprintf("%d:%02d", ms/60_000, ms/1000%60)
}
