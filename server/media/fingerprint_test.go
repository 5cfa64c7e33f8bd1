package media_test

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/server/media"
)

const mib = 1 << 20

func randomBytes(n int, seed uint64) []byte {
	random := rand.New(rand.NewPCG(seed, 7))
	content := make([]byte, n)
	for i := range content {
		content[i] = byte(random.Uint32())
	}
	return content
}

func TestFingerprint(t *testing.T) {
	dir := t.TempDir()
	content := randomBytes(2*mib+17, 1)
	write(t, dir, "film.mp4", content)
	l := library(t, dir)
	var seen []int64
	got, err := l.Fingerprint(context.Background(), "films:film.mp4", func(done, total int64) {
		require.EqualValues(t, len(content), total)
		seen = append(seen, done)
	})
	require.NoError(t, err)
	sum := sha256.Sum256(content)
	require.Equal(t, "sha256:"+hex.EncodeToString(sum[:]), got)
	require.Equal(t, []int64{mib, 2 * mib, 2*mib + 17}, seen)
}

// FIPS 180-4 example: SHA-256 of "abc" (from memory, the value is printed in the standard's examples).
func TestFingerprintOfKnownText(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "abc.mp4", []byte("abc"))
	got, err := library(t, dir).Fingerprint(context.Background(), "films:abc.mp4", nil)
	require.NoError(t, err)
	require.Equal(t, "sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", got)
}

func TestFingerprintCanBeCancelled(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "film.mp4", make([]byte, 8*mib))
	ctx, cancel := context.WithCancel(context.Background())
	var last int64
	_, err := library(t, dir).Fingerprint(ctx, "films:film.mp4", func(done, _ int64) {
		last = done
		cancel()
	})
	require.ErrorIs(t, err, context.Canceled)
	require.EqualValues(t, mib, last, "no more than the MiB in hand is read")
}

func TestQuickFingerprintNoticesWhatItSays(t *testing.T) {
	dir := t.TempDir()
	l := library(t, dir)
	quick := func(content []byte) string {
		write(t, dir, "film.mp4", content)
		print, err := l.QuickFingerprint(context.Background(), "films:film.mp4")
		require.NoError(t, err)
		return print
	}
	content := randomBytes(9*mib, 2)
	original := quick(content)
	require.Regexp(t, "^quick:[0-9a-f]{64}$", original)
	require.Equal(t, original, quick(content))
	for name, at := range map[string]int{"first": 10, "middle": 4*mib + mib/2, "last": 9*mib - 1} {
		content[at]++
		require.NotEqual(t, original, quick(content), name)
		content[at]--
	}
	require.NotEqual(t, original, quick(content[:9*mib-1]), "size")
	content[2*mib]++
	require.Equal(t, original, quick(content), "between the spans only the full fingerprint looks")
}

func TestState(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "film.mp4")
	l := library(t, dir)
	ctx := context.Background()
	content := randomBytes(4*mib, 3)
	write(t, dir, "film.mp4", content)
	known, err := l.Stamp(ctx, "films:film.mp4")
	require.NoError(t, err)
	state := func() media.State {
		got, err := l.State(ctx, "films:film.mp4", known)
		require.NoError(t, err)
		return got
	}
	require.Equal(t, media.OK, state())

	// Copied back from an archive: another time, the same bytes.
	require.NoError(t, os.Chtimes(path, time.Now(), time.Now().Add(-time.Hour)))
	require.Equal(t, media.OK, state())

	content[5]++
	write(t, dir, "film.mp4", content)
	require.NoError(t, os.Chtimes(path, time.Now(), time.Now().Add(-2*time.Hour)))
	require.Equal(t, media.Changed, state())

	write(t, dir, "film.mp4", content[:mib])
	require.Equal(t, media.Changed, state())

	require.NoError(t, os.Remove(path))
	require.Equal(t, media.Missing, state())
	require.NoError(t, os.RemoveAll(dir))
	require.Equal(t, media.Missing, state(), "a drive that is away")

	_, err = l.State(ctx, "films:../film.mp4", known)
	requireFault(t, media.OutsideRoot, err)
}
