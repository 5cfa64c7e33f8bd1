package media_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/server/media"
)

// clips is the folder of small committed recordings.
const clips = "../../testdata/media"

// library is a Library over one root, "films".
func library(t *testing.T, dir string, options ...media.Option) *media.Library {
	t.Helper()
	dir, err := filepath.Abs(dir)
	require.NoError(t, err)
	l, err := media.NewLibrary([]media.Root{{Name: "films", Dir: dir}}, options...)
	require.NoError(t, err)
	return l
}

// needs finds a program. Without it the test is skipped aloud, and fails where everything must run.
func needs(t *testing.T, program string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		lacking(t, program+", from the ffmpeg package, is not installed")
	}
	return path
}

func lacking(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("NOT TESTED: %s, and in CI nothing may be left out", what)
	}
	t.Skipf("NOT TESTED: %s", what)
}

// ffmpeg makes a recording for one test.
func ffmpeg(t *testing.T, arguments ...string) {
	t.Helper()
	command := exec.Command(needs(t, "ffmpeg"), append([]string{"-v", "error", "-y"}, arguments...)...)
	output, err := command.CombinedOutput()
	require.NoError(t, err, string(output))
}

func write(t *testing.T, dir, name string, content []byte) {
	t.Helper()
	path := filepath.Join(dir, name)
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, content, 0o644))
}

func requireFault(t *testing.T, want media.Fault, err error) {
	t.Helper()
	var typed *media.Error
	require.ErrorAs(t, err, &typed)
	require.Equal(t, want, typed.Fault, typed.Message)
	require.NotEmpty(t, typed.Message)
}
