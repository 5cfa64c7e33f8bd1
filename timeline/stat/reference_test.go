package stat

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

const referenceFolder = "../../testdata/reference/"

// vector is one case of a reference file; a result passes within rel * |expected| + abs.
type vector struct {
	Name     string
	Input    json.RawMessage
	Expected json.RawMessage
	Rel      float64 `json:"tolerance_rel"`
	Abs      float64 `json:"tolerance_abs"`
}

// eachVector runs every case of a file as a subtest and refuses an empty file.
func eachVector(t *testing.T, file string, run func(t *testing.T, v vector, kind string)) {
	t.Helper()
	text, err := os.ReadFile(referenceFolder + file)
	require.NoError(t, err)
	var content struct{ Cases []vector }
	require.NoError(t, json.Unmarshal(text, &content))
	require.NotEmpty(t, content.Cases)
	for _, v := range content.Cases {
		var input struct{ Kind string }
		require.NoError(t, json.Unmarshal(v.Input, &input))
		t.Run(v.Name, func(t *testing.T) { run(t, v, input.Kind) })
	}
}

func (v vector) read(t *testing.T, input, expected any) {
	t.Helper()
	require.NoError(t, json.Unmarshal(v.Input, input))
	require.NoError(t, json.Unmarshal(v.Expected, expected))
}

func (v vector) near(t *testing.T, want, got float64, what string) {
	t.Helper()
	require.False(t, math.IsNaN(got), "%s is not a number", what)
	require.LessOrEqual(t, math.Abs(got-want), v.Rel*math.Abs(want)+v.Abs, "%s: want %.17g, got %.17g", what, want, got)
}

// nearOptional compares a value that may not exist.
func (v vector) nearOptional(t *testing.T, want, got *float64, what string) {
	t.Helper()
	if want == nil {
		require.Nil(t, got, what)
		return
	}
	require.NotNil(t, got, what)
	v.near(t, *want, *got, what)
}

func (v vector) nearAll(t *testing.T, want, got []float64, what string) {
	t.Helper()
	require.Len(t, got, len(want), what)
	for i := range want {
		v.near(t, want[i], got[i], what)
	}
}

func requireReason(t *testing.T, err error, reason Reason) {
	t.Helper()
	var d *Degenerate
	require.ErrorAs(t, err, &d)
	require.Equal(t, reason, d.Reason)
	require.NotEmpty(t, d.Message)
}
