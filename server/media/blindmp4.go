package media

import (
	"io"
	"slices"
)

// blankedBoxes are those of an MP4 that are sent as free space wherever they stand: what people and recorders write about
// the film, and the time of its making.
var blankedBoxes = []string{"udta", "meta", "uuid", "free", "skip", "emsg", "prft"}

// openedBoxes are looked into.
var openedBoxes = []string{"moov", "mdia", "moof", "traf"}

// blanksOfMP4 finds in an MP4 or MOV file (ISO/IEC 14496-12) what tells of its making.
func blanksOfMP4(file io.ReaderAt, size int64) ([]blank, error) {
	w := &boxWalk{file: file, left: maxBoxes}
	err := w.boxes(0, size)
	return w.blanks, err
}

// boxWalk goes through the boxes that can hold something to blank.
type boxWalk struct {
	file   io.ReaderAt
	left   int
	blanks []blank
}

func (w *boxWalk) boxes(at, end int64) error {
	for end-at >= 8 {
		if w.left--; w.left < 0 {
			return fault(IndexDamaged, nil, "the recording has too many parts to be looked through")
		}
		box, err := readHeader(w.file, at, end)
		if err != nil {
			return fault(Unreadable, err, "the recording cannot be read")
		}
		if box.size > end-at {
			if box.kind == "mdat" {
				return nil // the film itself is cut short
			}
			return fault(DataEndsEarly, nil, "the recording was cut short; copy it again from the recorder")
		}
		from, to := at+box.header, at+box.size
		if err := w.box(box.kind, at, from, to); err != nil {
			return err
		}
		at = to
	}
	return nil
}

// box blanks what one box tells; its content lies from one offset to another.
func (w *boxWalk) box(kind string, at, from, to int64) error {
	switch {
	case slices.Contains(blankedBoxes, kind):
		w.free(at, from, to)
	case kind == "trak":
		pictures, err := w.pictures(from, to)
		if err != nil {
			return err
		}
		if !pictures {
			w.free(at, from, to)
			return nil
		}
		return w.boxes(from, to)
	case slices.Contains(openedBoxes, kind):
		return w.boxes(from, to)
	case kind == "mvhd", kind == "tkhd", kind == "mdhd":
		version, err := readSpan(w.file, from, 1)
		if err != nil || to-from < 20 {
			return err
		}
		w.zero(from+4, 8<<min(version[0], 1)) // made and changed, of 4 bytes each, or of 8
	case kind == "hdlr" && to-from > 24:
		w.zero(from+24, to-from-24) // the name, after the kind
	}
	return nil
}

func (w *boxWalk) zero(at, length int64) { w.blanks = append(w.blanks, blank{at: at, length: length}) }

// free makes a box free space of the same length.
func (w *boxWalk) free(at, from, to int64) {
	w.blanks = append(w.blanks, blank{at: at + 4, length: 4, text: "free"}, blank{at: from, length: to - from})
}

// pictures tells whether a track holds pictures.
func (w *boxWalk) pictures(from, to int64) (bool, error) {
	media, ok, err := w.child("mdia", from, to)
	if err != nil || !ok {
		return false, err
	}
	handler, ok, err := w.child("hdlr", media.at, media.at+media.length)
	if err != nil || !ok || handler.length < 12 {
		return false, err
	}
	kind, err := readSpan(w.file, handler.at+8, 4)
	return string(kind) == "vide", err
}

// child finds the content of a box within another.
func (w *boxWalk) child(kind string, at, end int64) (blank, bool, error) {
	for end-at >= 8 {
		if w.left--; w.left < 0 {
			break
		}
		box, err := readHeader(w.file, at, end)
		if err != nil {
			return blank{}, false, fault(Unreadable, err, "the recording cannot be read")
		}
		if box.size > end-at {
			break
		}
		if box.kind == kind {
			return blank{at: at + box.header, length: box.size - box.header}, true, nil
		}
		at += box.size
	}
	return blank{}, false, nil
}
