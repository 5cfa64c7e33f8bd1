package media

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzProbe wants of any bytes: no panic, an answer that makes sense or a typed fault, and no
// more memory than a small multiple of the input.
func FuzzProbe(f *testing.F) {
	found, err := filepath.Glob("../../testdata/media/*.[mw]*[4vm]")
	require.NoError(f, err)
	require.NotEmpty(f, found)
	for _, path := range found {
		content, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(content)
	}
	f.Add([]byte("\x00\x00\x00\x01moov\x7f\xff\xff\xff\xff\xff\xff\xff"))
	f.Add([]byte("\x00\x00\x00\x00moov\x00\x00\x00\x00trak\x00\x00\x00\x00mdia"))
	f.Fuzz(func(t *testing.T, content []byte) {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		facts, known, err := probeWebM(bytes.NewReader(content), int64(len(content)))
		if !known && err == nil {
			facts, _, err = probeMP4(context.Background(), bytes.NewReader(content), int64(len(content)))
		}
		runtime.ReadMemStats(&after)
		require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(64*len(content)+8<<20))
		var typed *Error
		if err != nil {
			require.True(t, errors.As(err, &typed), "%T", err)
			return
		}
		if facts.ProbedBy == "" {
			return // ffprobe has to look
		}
		require.GreaterOrEqual(t, facts.DurationMs, int64(0))
		require.Positive(t, facts.FrameRateNum)
		require.Positive(t, facts.FrameRateDen)
	})
}

// A hostile index must not cost more than its own size, whatever counts it claims.
func TestHostileCounts(t *testing.T) {
	content, err := os.ReadFile("../../testdata/media/h264-25.mp4")
	require.NoError(t, err)
	for _, table := range []string{"stts", "stco", "stsd", "elst", "stsz", "stsc", "ctts"} {
		at := bytes.Index(content, []byte(table))
		if at < 0 {
			continue
		}
		hostile := bytes.Clone(content)
		copy(hostile[at+8:], "\xff\xff\xff\xff") // the count of rows
		_, _, err := probeMP4(context.Background(), bytes.NewReader(hostile), int64(len(hostile)))
		var typed *Error
		require.True(t, err == nil || errors.As(err, &typed), table)
	}
}
