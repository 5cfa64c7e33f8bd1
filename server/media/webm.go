package media

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"strings"
	"time"
)

// Element codes of WebM (RFC 8794 for the form, RFC 9559 for the codes).
const (
	ebmlHeader      = 0x1A45DFA3
	docType         = 0x4282
	segment         = 0x18538067
	segmentInfo     = 0x1549A966
	timestampScale  = 0x2AD7B1
	segmentDuration = 0x4489
	dateUTC         = 0x4461
	tracks          = 0x1654AE6B
	trackEntry      = 0xAE
	trackType       = 0x83
	codecID         = 0x86
	defaultDuration = 0x23E383
	videoSettings   = 0xE0
	pixelWidth      = 0xB0
	pixelHeight     = 0xBA
	cluster         = 0x1F43B675
)

const (
	// maxHead bounds an element that is read into memory; real ones take a few hundred bytes.
	maxHead = 1 << 20
	// maxElements bounds the walk to the first cluster.
	maxElements = 1000
	unknownSize = int64(1)<<56 - 1
)

var webmCodecs = map[string]string{"V_VP8": "vp8", "V_VP9": "vp9", "V_AV1": "av1", "A_VORBIS": "vorbis", "A_OPUS": "opus"}

// probeWebM reads the head of a WebM file. ok is false when the head does not tell everything (a
// recording written live has no duration) or is not WebM: then ffprobe has to look.
func probeWebM(file io.ReaderAt, size int64) (facts Facts, ok bool, err error) {
	head, err := readSpan(file, 0, min(size, 4096))
	if err != nil {
		return Facts{}, false, err
	}
	header, rest, ok := nextElement(head)
	if !ok || header.code != ebmlHeader || string(header.find(docType)) != "webm" {
		return Facts{}, false, nil
	}
	start := int64(len(head) - len(rest))
	code, length, headLength, ok := elementHead(rest)
	if !ok || code != segment {
		return Facts{}, false, nil
	}
	facts = Facts{Container: "webm", SizeBytes: size, ProbedBy: "zonule"}
	found, err := readSegment(file, start+int64(headLength), size, &facts)
	if err != nil || !found || facts.DurationMs <= 0 || facts.FrameRateNum <= 0 || facts.VideoCodec == "" {
		return Facts{}, false, err
	}
	if length != unknownSize && start+int64(headLength)+length > size {
		return facts, true, fault(DataEndsEarly, nil,
			"the data ends early: the file speaks of %s, but is shorter; copy it again from the recorder", clock(facts.DurationMs))
	}
	return facts, true, nil
}

// looksLikeWebM checks the first code of the file.
func looksLikeWebM(head []byte) bool { return bytes.HasPrefix(head, []byte("\x1a\x45\xdf\xa3")) }

// readSegment walks the elements before the first cluster and takes information and tracks.
func readSegment(file io.ReaderAt, at, size int64, facts *Facts) (bool, error) {
	var sawInfo, sawTracks bool
	for range maxElements {
		raw, err := readSpan(file, at, min(16, size-at))
		if err != nil {
			return false, err
		}
		code, length, headLength, ok := elementHead(raw)
		if !ok || code == cluster || length == unknownSize {
			break
		}
		at += int64(headLength)
		if code == segmentInfo || code == tracks {
			if length > maxHead || at+length > size {
				return false, nil
			}
			content, err := readSpan(file, at, length)
			if err != nil {
				return false, err
			}
			if code == segmentInfo {
				sawInfo = facts.takeInfo(element{content: content})
			} else {
				sawTracks = facts.takeTracks(element{content: content})
			}
		}
		at += length
	}
	return sawInfo && sawTracks, nil
}

func readSpan(file io.ReaderAt, at, length int64) ([]byte, error) {
	if length <= 0 {
		return nil, nil
	}
	content := make([]byte, length)
	n, err := file.ReadAt(content, at)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	return content[:n], nil
}

func (f *Facts) takeInfo(info element) bool {
	scale := info.number(timestampScale)
	if scale == 0 {
		scale = 1_000_000 // the default of the format, in nanoseconds
	}
	ms := info.float(segmentDuration) * float64(scale) / 1e6
	if !(ms > 0 && ms < 7*24*3600*1000) {
		return false
	}
	f.DurationMs = int64(math.Round(ms))
	if raw := info.find(dateUTC); len(raw) == 8 {
		// Nanoseconds since the beginning of 2001.
		since := time.Duration(int64(binary.BigEndian.Uint64(raw)))
		at := time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC).Add(since)
		f.CreatedAt = &at
	}
	return true
}

// takeTracks takes the first picture and the first sound.
func (f *Facts) takeTracks(list element) bool {
	for content := list.content; ; {
		entry, rest, ok := nextElement(content)
		if !ok {
			return f.VideoCodec != ""
		}
		content = rest
		if entry.code != trackEntry {
			continue
		}
		codec := strings.TrimRight(string(entry.find(codecID)), "\x00")
		name, known := webmCodecs[codec]
		if !known {
			name = codec
		}
		switch kind := entry.number(trackType); {
		case kind == 1 && f.VideoCodec == "":
			settings := element{content: entry.find(videoSettings)}
			f.VideoCodec, f.Width, f.Height = name, int(settings.number(pixelWidth)), int(settings.number(pixelHeight))
			f.FrameRateNum, f.FrameRateDen = rateOf(entry.number(defaultDuration))
		case kind == 2 && f.AudioCodec == "":
			f.AudioCodec = name
		}
	}
}

// rateOf finds the fraction behind a frame length in whole nanoseconds: whole rates and those
// divided by 1.001 come out exactly; others as they are written. 0 when none is written.
func rateOf(nanoseconds uint64) (int64, int64) {
	if nanoseconds < 1e5 || nanoseconds > 1e11 {
		return 0, 1
	}
	for _, below := range []uint64{1000, 1001} {
		whole := (below*1_000_000 + nanoseconds/2) / nanoseconds // 25, or 30 for 30000/1001
		if whole == 0 {
			continue
		}
		// Writers cut or round the length to whole nanoseconds.
		if back := below * 1_000_000 / whole; nanoseconds == back || nanoseconds == back+1 {
			g := gcd(whole*1000, below)
			return int64(whole * 1000 / g), int64(below / g)
		}
	}
	g := gcd(1_000_000_000, nanoseconds)
	return int64(1_000_000_000 / g), int64(nanoseconds / g)
}
