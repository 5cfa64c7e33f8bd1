package auth

import (
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestHasher(t *testing.T) {
	h := NewHasher()
	hash, err := h.Hash("correct horse battery")
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(hash, "$argon2id$v=19$m=19456,t=2,p=1$"), "the cost does not depend on the machine: %s", hash)

	again, err := h.Hash("correct horse battery")
	require.NoError(t, err)
	require.NotEqual(t, hash, again, "each hash has its own salt")

	for password, want := range map[string]bool{"correct horse battery": true, "correct horse batterz": false, "": false} {
		got, err := h.Check(password, hash)
		require.NoError(t, err)
		require.Equal(t, want, got, password)
	}
	_, err = h.Check("x", "no hash")
	require.Error(t, err)
}

// RFC 9106 section 5.3 gives a vector with secret and associated data, which the library does not take. This one is
// from the reference implementation's test.c of argon2id: version 0x13, t=2, m=65536 KiB, p=1, "password", "somesalt"
// (from memory).
func TestHasherAgreesWithTheReferenceImplementation(t *testing.T) {
	ok, err := NewHasher().Check("password", "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc")
	require.NoError(t, err)
	require.True(t, ok)
}

func TestHasherIsUsedByMany(t *testing.T) {
	h := NewHasher()
	hash, err := h.Hash("a password for many")
	require.NoError(t, err)
	var wait sync.WaitGroup
	for range 6 {
		wait.Go(func() {
			ok, err := h.Check("a password for many", hash)
			if err != nil || !ok {
				t.Errorf("check: %v %v", ok, err)
			}
		})
	}
	wait.Wait()
	require.Equal(t, hashesAtOnce, cap(h.slots))
	require.Empty(t, h.slots)
}
