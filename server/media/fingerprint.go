package media

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
)

const chunk = 1 << 20

// Fingerprint reads the whole recording and gives "sha256:" and the SHA-256 of its bytes in hex.
// progress, which may be nil, is told the bytes done and the total about once per MiB. A cancelled
// context ends it within one MiB.
func (l *Library) Fingerprint(ctx context.Context, reference string, progress func(done, total int64)) (string, error) {
	file, info, err := l.Open(ctx, reference)
	if err != nil {
		return "", err
	}
	defer func() { _ = file.Close() }()
	sum := sha256.New()
	var done int64
	for {
		if err := ctx.Err(); err != nil {
			return "", err
		}
		n, err := io.CopyN(sum, file, chunk)
		done += n
		if progress != nil && n > 0 {
			progress(done, info.Size())
		}
		if errors.Is(err, io.EOF) {
			return "sha256:" + hex.EncodeToString(sum.Sum(nil)), nil
		}
		if err != nil {
			return "", readFault(ctx, err)
		}
	}
}

// QuickFingerprint reads at most 3 MiB however long the recording is: it gives "quick:" and the
// SHA-256 of the size in decimal, a line feed, and the first, middle and last MiB (the whole file
// up to 3 MiB). It finds another, a cut or a re-encoded recording; a change of a few bytes elsewhere
// is found only by Fingerprint.
func (l *Library) QuickFingerprint(ctx context.Context, reference string) (string, error) {
	file, info, err := l.Open(ctx, reference)
	if err != nil {
		return "", err
	}
	defer func() { _ = file.Close() }()
	return quick(ctx, file, info.Size())
}

func quick(ctx context.Context, file io.ReaderAt, size int64) (string, error) {
	sum := sha256.New()
	_, _ = fmt.Fprintf(sum, "%d\n", size) // a hash never fails to take bytes
	spans := [][2]int64{{0, size}}
	if size > 3*chunk {
		middle := (size - chunk) / 2
		spans = [][2]int64{{0, chunk}, {middle, chunk}, {size - chunk, chunk}}
	}
	for _, span := range spans {
		if err := addSpan(ctx, sum, file, span); err != nil {
			return "", err
		}
	}
	return "quick:" + hex.EncodeToString(sum.Sum(nil)), nil
}

func addSpan(ctx context.Context, sum hash.Hash, file io.ReaderAt, span [2]int64) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if _, err := io.Copy(sum, io.NewSectionReader(file, span[0], span[1])); err != nil {
		return readFault(ctx, err)
	}
	return nil
}

// Stamp is what is kept of a recording to notice later that it is another one.
type Stamp struct {
	SizeBytes  int64
	ModifiedMs int64  // Unix milliseconds; 0 when an https address does not say it
	Quick      string // QuickFingerprint
}

// Stamp takes the stamp of a recording as it is now.
func (l *Library) Stamp(ctx context.Context, reference string) (Stamp, error) {
	file, info, err := l.Open(ctx, reference)
	if err != nil {
		return Stamp{}, err
	}
	defer func() { _ = file.Close() }()
	print, err := quick(ctx, file, info.Size())
	return Stamp{SizeBytes: info.Size(), ModifiedMs: modifiedMs(info), Quick: print}, err
}

// State is whether a recording is still the one that was registered.
type State string

// The states of a recording.
const (
	OK      State = "ok"
	Missing State = "missing"
	Changed State = "changed"
)

// State compares a recording with the stamp taken when it was registered. Size and time of change
// decide when both agree or the size differs; otherwise the quick fingerprint does, because copying
// a recording back from an archive gives it a new time.
func (l *Library) State(ctx context.Context, reference string, known Stamp) (State, error) {
	file, info, err := l.Open(ctx, reference)
	var typed *Error
	if errors.As(err, &typed) && typed.Fault == NotFound {
		return Missing, nil
	}
	if err != nil {
		return "", err
	}
	defer func() { _ = file.Close() }()
	if info.Size() != known.SizeBytes {
		return Changed, nil
	}
	if at := modifiedMs(info); at != 0 && at == known.ModifiedMs {
		return OK, nil
	}
	print, err := quick(ctx, file, info.Size())
	if err != nil {
		return "", err
	}
	if print != known.Quick {
		return Changed, nil
	}
	return OK, nil
}
