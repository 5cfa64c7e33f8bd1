package media

import (
	"context"
	"encoding/binary"
	"errors"
	"io"
)

const (
	// maxIndex bounds what is read into memory. The index of a 12-hour recording at 60 frames a
	// second takes about 50 MB.
	maxIndex = 256 << 20
	// maxBoxes bounds the walk over the top level of a file.
	maxBoxes = 100_000
	// maxTracks bounds the work on a hostile index; recorders write two to five.
	maxTracks = 64
)

// layout is what the top level of an MP4 or MOV file shows.
type layout struct {
	index      []byte // content of moov
	brand      string // major brand; "" when the file has no ftyp, as old QuickTime
	fragmented bool   // the samples are described in fragments, which ffprobe reads
	endsEarly  bool   // the last box claims more bytes than the file has
	sawMedia   bool
}

// probeMP4 reads an MP4 or MOV file. It tells in its second value that the file is fragmented and
// has to be read otherwise.
func probeMP4(ctx context.Context, file io.ReaderAt, size int64) (Facts, bool, error) {
	top, err := walk(ctx, file, size)
	switch {
	case err != nil:
		return Facts{}, false, err
	case top.fragmented:
		return Facts{}, true, nil
	case top.index == nil && (top.sawMedia || top.endsEarly):
		return Facts{}, false, fault(IndexMissing, nil,
			"the index (moov) is missing: the recording was cut short; copy it again, or repair it with the recorder's own tool")
	case top.index == nil:
		return Facts{}, false, fault(NotVideo, nil, "the file holds no recording")
	}
	movie, err := readMovie(top.index)
	if err != nil {
		return Facts{}, false, err
	}
	if movie.fragmented {
		return Facts{}, true, nil
	}
	facts, err := movie.facts(top.brand, size)
	if err != nil {
		return Facts{}, false, err
	}
	if top.endsEarly || movie.dataEnd > uint64(size) {
		return facts, false, fault(DataEndsEarly, nil,
			"the data ends early: the index speaks of %s, but the file is shorter; copy it again from the recorder",
			clock(facts.DurationMs))
	}
	return facts, false, nil
}

// walk visits the top-level boxes by their headers and reads only moov.
func walk(ctx context.Context, file io.ReaderAt, size int64) (layout, error) {
	var top layout
	at := int64(0)
	for range maxBoxes {
		if err := ctx.Err(); err != nil {
			return top, err
		}
		if size-at < 8 {
			return top, nil
		}
		box, err := readHeader(file, at, size)
		if err != nil {
			return top, readFault(ctx, err)
		}
		if box.size < box.header || box.size > 1<<62 {
			return top, fault(IndexDamaged, nil, "the file is damaged at byte %d; copy it again from the recorder", at)
		}
		beyond := box.size > size-at
		switch box.kind {
		case "ftyp":
			top.brand, err = readBrand(file, at+box.header, min(box.size, size-at)-box.header)
		case "mdat":
			top.sawMedia = true
		case "moof":
			top.fragmented = true
		case "moov":
			if !beyond {
				top.index, err = readIndex(file, at+box.header, box.size-box.header)
			}
		}
		if err != nil {
			return top, readFault(ctx, err)
		}
		if beyond {
			top.endsEarly = true
			return top, nil
		}
		at += box.size
	}
	return top, fault(IndexDamaged, nil, "the file has more than %d parts at its top level; it is damaged", maxBoxes)
}

type boxHeader struct {
	kind   string
	size   int64 // with the header
	header int64
}

// readHeader reads the header of one box (ISO/IEC 14496-12, 4.2): 32-bit size and kind, size 1 for
// a 64-bit size that follows, size 0 for "to the end of the file".
func readHeader(file io.ReaderAt, at, end int64) (boxHeader, error) {
	var raw [16]byte
	n, err := file.ReadAt(raw[:min(16, end-at)], at)
	if err != nil && !errors.Is(err, io.EOF) {
		return boxHeader{}, err
	}
	box, ok := parseHeader(raw[:n], end-at)
	if !ok {
		return boxHeader{}, fault(IndexDamaged, nil, "the file is damaged at byte %d; copy it again from the recorder", at)
	}
	return box, nil
}

// parseHeader reads a header from raw, which begins at the box; left is what the container holds
// from there on.
func parseHeader(raw []byte, left int64) (boxHeader, bool) {
	if len(raw) < 8 {
		return boxHeader{}, false
	}
	box := boxHeader{kind: string(raw[4:8]), size: int64(binary.BigEndian.Uint32(raw)), header: 8}
	switch box.size {
	case 0:
		box.size = left
	case 1:
		if len(raw) < 16 {
			return boxHeader{}, false
		}
		large := binary.BigEndian.Uint64(raw[8:])
		if large > 1<<62 {
			return boxHeader{}, false
		}
		box.size, box.header = int64(large), 16
	}
	return box, box.size >= box.header
}

func readBrand(file io.ReaderAt, at, size int64) (string, error) {
	if size < 4 {
		return "", nil
	}
	var brand [4]byte
	if _, err := file.ReadAt(brand[:], at); err != nil {
		return "", err
	}
	return string(brand[:]), nil
}

func readIndex(file io.ReaderAt, at, size int64) ([]byte, error) {
	if size > maxIndex {
		return nil, fault(IndexDamaged, nil, "the index claims %d MiB, more than any recording needs; the file is damaged", size>>20)
	}
	index := make([]byte, size)
	if _, err := io.ReadFull(io.NewSectionReader(file, at, size), index); err != nil {
		return nil, err
	}
	return index, nil
}
