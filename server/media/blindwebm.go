package media

import (
	"encoding/binary"
	"io"
	"slices"
)

// Element codes of what is blanked (RFC 9559).
const (
	fileTitle    = 0x7BA9
	fileUUID     = 0x73A4
	fileName     = 0x7384
	previousName = 0x3C83AB
	nextName     = 0x3E83BB
	writingApp   = 0x5741
	trackName    = 0x536E
	tags         = 0x1254C367
	attachments  = 0x1941A469
	chapters     = 0x1043A770
	voidElement  = 0xEC
	pictureTrack = 1
)

// blankedElements are those of a WebM file that are sent as void wherever they stand.
var blankedElements = []uint32{dateUTC, fileTitle, fileUUID, fileName, previousName, nextName, trackName, tags, attachments, chapters, voidElement}

// blanksOfWebM finds in a WebM file what tells of its making.
func blanksOfWebM(file io.ReaderAt, size int64) ([]blank, error) {
	w := &elementWalk{file: file, left: maxBoxes}
	err := w.elements(0, size)
	return w.blanks, err
}

// elementWalk goes through the elements that can hold something to blank.
type elementWalk struct {
	file   io.ReaderAt
	left   int
	blanks []blank
}

func (w *elementWalk) elements(at, end int64) error {
	for at < end {
		if w.left--; w.left < 0 {
			return fault(IndexDamaged, nil, "the recording has too many parts to be looked through")
		}
		raw, err := readSpan(w.file, at, min(12, end-at))
		if err != nil {
			return fault(Unreadable, err, "the recording cannot be read")
		}
		code, length, head, ok := elementHead(raw)
		if !ok {
			return fault(IndexDamaged, nil, "the recording is damaged; copy it again from the recorder")
		}
		from := at + int64(head)
		if length == unknownSize && code != segment {
			return nil // written live: nothing but film follows
		}
		to := end
		if length != unknownSize {
			to = min(end, from+length)
		}
		if err := w.element(code, at, from, to); err != nil {
			return err
		}
		at = to
	}
	return nil
}

func (w *elementWalk) element(code uint32, at, from, to int64) error {
	switch {
	case slices.Contains(blankedElements, code):
		w.void(at, to)
	case code == segment, code == segmentInfo, code == tracks:
		return w.elements(from, to)
	case code == writingApp:
		w.blanks = append(w.blanks, blank{at: from, length: to - from}) // must be there
	case code == trackEntry:
		entry, err := readSpan(w.file, from, min(to-from, maxHead))
		if err != nil {
			return fault(Unreadable, err, "the recording cannot be read")
		}
		if (element{content: entry}).number(trackType) != pictureTrack {
			w.void(at, to)
			return nil
		}
		return w.elements(from, to)
	}
	return nil
}

// void makes an element a void one of the same length. Its size takes one byte in a short element, else eight.
func (w *elementWalk) void(at, to int64) {
	head := []byte{voidElement, 0x80 | byte(to-at-2)}
	if to-at > 100 {
		head = binary.BigEndian.AppendUint64([]byte{voidElement}, uint64(to-at-9)|1<<56)
	}
	w.blanks = append(w.blanks, blank{at: at, length: to - at, text: string(head)})
}
