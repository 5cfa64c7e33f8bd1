package media

import (
	"encoding/binary"
	"math"
	"strings"

	"github.com/abema/go-mp4"
)

// trackParts are the payloads of one track that matter here.
type trackParts struct {
	handler            string
	mediaHeader, edits []byte // mdhd, elst
	descriptions       []byte // stsd
	times              []byte // stts
	chunks32, chunks64 []byte // stco, co64
}

func trackBoxes(trak []byte) (trackParts, error) {
	var parts trackParts
	var bad bool
	// The path to each table has a fixed depth, so four nested loops by kind are enough and a
	// deeply nested hostile index costs nothing.
	visit := func(content []byte, into map[string]func([]byte)) {
		for kind, payload := range boxes(content) {
			if kind == "" {
				bad = true
			}
			if take, wanted := into[kind]; wanted {
				take(payload)
			}
		}
	}
	keep := func(place *[]byte) func([]byte) { return func(p []byte) { *place = p } }
	table := map[string]func([]byte){
		"stsd": keep(&parts.descriptions), "stts": keep(&parts.times), "stco": keep(&parts.chunks32),
		"co64": keep(&parts.chunks64),
	}
	minf := map[string]func([]byte){"stbl": func(p []byte) { visit(p, table) }}
	mdia := map[string]func([]byte){
		"mdhd": keep(&parts.mediaHeader),
		"hdlr": func(p []byte) {
			if len(p) >= 12 {
				parts.handler = string(p[8:12])
			}
		},
		"minf": func(p []byte) { visit(p, minf) },
	}
	visit(trak, map[string]func([]byte){
		"mdia": func(p []byte) { visit(p, mdia) },
		"edts": func(p []byte) { visit(p, map[string]func([]byte){"elst": keep(&parts.edits)}) },
	})
	if bad {
		return parts, damaged("trak", nil)
	}
	return parts, nil
}

func (parts trackParts) picture() (*track, error) {
	var header mp4.Mdhd
	if err := decode(parts.mediaHeader, &header); err != nil {
		return nil, err
	}
	p := &track{codec: parts.codec(), timescale: header.Timescale, duration: header.GetDuration()}
	if entry := parts.firstDescription(); len(entry) >= 28 {
		// VisualSampleEntry (ISO/IEC 14496-12, 12.1.3): width and height follow 24 bytes.
		p.width, p.height = int(binary.BigEndian.Uint16(entry[24:])), int(binary.BigEndian.Uint16(entry[26:]))
	}
	var ok bool
	if p.timing, ok = readTiming(parts.times); !ok {
		return nil, damaged("stts", nil)
	}
	return p, parts.readEdits(p)
}

// readEdits sums the edits that show something. A recording that was cut without re-encoding keeps
// the whole of its data and shows only a part. Edits with media time -1 are empty time.
func (parts trackParts) readEdits(p *track) error {
	if parts.edits == nil {
		return nil
	}
	var list mp4.Elst
	if err := decode(parts.edits, &list); err != nil {
		return err
	}
	for i := range list.Entries {
		if list.GetMediaTime(i) >= 0 {
			p.shown += min(list.GetSegmentDuration(i), math.MaxInt32<<16)
		}
	}
	return nil
}

// description gives kind and payload of the first sample description.
func (parts trackParts) description() (string, []byte) {
	if len(parts.descriptions) < 8 {
		return "", nil
	}
	for kind, payload := range boxes(parts.descriptions[8:]) {
		return kind, payload
	}
	return "", nil
}

func (parts trackParts) firstDescription() []byte {
	_, payload := parts.description()
	return payload
}

// codecs translates sample description codes into the names that ffprobe uses, so that both
// readers say the same.
var codecs = map[string]string{
	"avc1": "h264", "avc3": "h264", "hvc1": "hevc", "hev1": "hevc", "av01": "av1", "vp08": "vp8", "vp09": "vp9",
	"mp4v": "mpeg4", "jpeg": "mjpeg", "mjpa": "mjpeg", "mjpb": "mjpeg", "s263": "h263", "h263": "h263",
	"apch": "prores", "apcn": "prores", "apcs": "prores", "apco": "prores", "ap4h": "prores",
	"dvc ": "dvvideo", "dvcp": "dvvideo", "dv5p": "dvvideo", "m2v1": "mpeg2video", "hdv1": "mpeg2video", "xdv1": "mpeg2video",
	"mp4a": "aac", ".mp3": "mp3", "Opus": "opus", "fLaC": "flac", "ac-3": "ac3", "ec-3": "eac3", "alac": "alac",
	"sowt": "pcm_s16le", "twos": "pcm_s16be", "lpcm": "pcm", "samr": "amr_nb", "sawb": "amr_wb",
}

func (parts trackParts) codec() string {
	kind, payload := parts.description()
	if kind == "mp4a" {
		return soundOf(payload)
	}
	if name, known := codecs[kind]; known {
		return name
	}
	return strings.TrimSpace(kind)
}

// soundOf tells MP3 from AAC inside an mp4a description by the object type in its esds box
// (ISO/IEC 14496-1: 0x69 and 0x6B are MPEG-2 and MPEG-1 layer 3).
func soundOf(entry []byte) string {
	at := strings.Index(string(entry[:min(len(entry), 4096)]), "esds")
	if at < 0 {
		return "aac"
	}
	for i := at + 8; i+2 < min(len(entry), at+48); i++ {
		if entry[i] != 0x04 {
			continue
		}
		j := i + 1
		for j < len(entry)-1 && entry[j]&0x80 != 0 {
			j++
		}
		if kind := entry[min(j+1, len(entry)-1)]; kind == 0x69 || kind == 0x6b {
			return "mp3"
		}
		return "aac"
	}
	return "aac"
}

// dataEnd is the size that the file must have at least: the first byte of its furthest chunk.
func (parts trackParts) dataEnd() uint64 {
	var furthest uint64
	for table := entries(parts.chunks32, 4); len(table) >= 4; table = table[4:] {
		furthest = max(furthest, uint64(binary.BigEndian.Uint32(table)))
	}
	for table := entries(parts.chunks64, 8); len(table) >= 8; table = table[8:] {
		furthest = max(furthest, min(binary.BigEndian.Uint64(table), math.MaxInt64))
	}
	if furthest == 0 {
		return 0
	}
	return furthest + 1
}

// entries cuts a table (version and flags, count, rows of the width) to the rows that are there.
func entries(payload []byte, width uint64) []byte {
	if len(payload) < 8 {
		return nil
	}
	rows := uint64(binary.BigEndian.Uint32(payload[4:]))
	return payload[8 : 8+min(rows*width, uint64(len(payload)-8))]
}
