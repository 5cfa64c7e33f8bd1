package annotate

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestPauseAfter(t *testing.T) {
	for failures, want := range map[int]time.Duration{
		0: 0, 4: 0, 5: 2 * time.Second, 6: 4 * time.Second, 8: 16 * time.Second, 12: 256 * time.Second, 13: 512 * time.Second,
		14: 15 * time.Minute, 1_000_000: 15 * time.Minute,
	} {
		require.Equal(t, want, pauseAfter(failures, freeTriesAtAddress), "%d failures", failures)
	}
}

func TestSecretRules(t *testing.T) {
	for _, row := range []struct {
		secret string
		taken  bool
	}{
		{"twelve chars", true},
		{"eleven char", false},
		{"ααααααααααα", false}, // 11 letters, 22 bytes
		{"αααααααααααα", true},
		{strings.Repeat("a", 200), true},
		{strings.Repeat("a", 201), false},
		{"Somebody.else", false}, // the login
		{"the-old-secret", false},
		{"not utf-8 \xff\xff\xff", false},
	} {
		err := validateSecret("somebody.else", "the-old-secret", row.secret)
		require.Equal(t, row.taken, err == nil, "%q", row.secret)
	}
}

func TestOneTimePasswords(t *testing.T) {
	seen := map[string]bool{}
	for range 200 {
		password := oneTimePassword()
		require.Regexp(t, `^([a-kmnp-z2-9]{4}-){3}[a-kmnp-z2-9]{4}$`, password)
		require.False(t, seen[password])
		seen[password] = true
		require.NoError(t, validateSecret("admin", "", password), "a one-time password keeps the rules of passwords")
	}
}
