package media

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
)

// Probe reads what a recording says about itself. MP4, MOV, M4V and WebM are read here; every other
// container, fragmented MP4 and WebM written live need ffprobe. With the fault DataEndsEarly the facts are filled
// in as well, so that the caller can say how long the recording should have been.
func (l *Library) Probe(ctx context.Context, reference string) (Facts, error) {
	file, info, err := l.Open(ctx, reference)
	if err != nil {
		return Facts{}, err
	}
	defer func() { _ = file.Close() }()
	return l.probeFile(ctx, file, info)
}

func (l *Library) probeFile(ctx context.Context, file File, info fs.FileInfo) (Facts, error) {
	if info.Size() == 0 {
		return Facts{}, fault(NotVideo, nil, "the file is empty; copy it again from the recorder")
	}
	head := make([]byte, 12)
	n, err := file.ReadAt(head, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return Facts{}, readFault(ctx, err)
	}
	if looksLikeWebM(head[:n]) {
		facts, known, err := probeWebM(file, info.Size())
		switch {
		case err != nil:
			return facts, readFault(ctx, err)
		case known:
			return facts, nil
		}
	}
	if !looksLikeMP4(head[:n]) {
		return l.ffprobeFile(ctx, file, info)
	}
	facts, fragmented, err := probeMP4(ctx, file, info.Size())
	if fragmented {
		return l.ffprobeFile(ctx, file, info)
	}
	return facts, err
}

// looksLikeMP4 checks the kind of the first box against those a file of this family begins with.
func looksLikeMP4(head []byte) bool {
	if len(head) < 8 {
		return false
	}
	for _, kind := range []string{"ftyp", "moov", "mdat", "wide", "free", "skip", "pnot"} {
		if bytes.Equal(head[4:8], []byte(kind)) {
			return true
		}
	}
	return false
}

// readFault keeps a cancelled request apart from a disk that fails, and lets typed faults through.
func readFault(ctx context.Context, err error) error {
	return knownOr(ctx, err, fault(Unreadable, err, "the recording cannot be read to its end; check the drive it lies on"))
}

// knownOr gives why the request ended, if it did, or the typed fault in err; anything else is told as otherwise.
func knownOr(ctx context.Context, err error, otherwise *Error) error {
	var typed *Error
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.As(err, &typed):
		return typed
	}
	return otherwise
}
