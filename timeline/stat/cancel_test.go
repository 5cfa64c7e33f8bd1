package stat

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestLogisticIsCancelled: a fit stops where it is told to, tells how far it came, and profiles only what is wanted.
func TestLogisticIsCancelled(t *testing.T) {
	chance := rand.New(rand.NewPCG(1, 2))
	const n = 400
	d, y := NewDesign(n), make([]float64, n)
	for _, name := range []string{"a", "b", "c"} {
		values := make([]float64, n)
		for i := range values {
			values[i] = chance.NormFloat64()
			if chance.Float64() < 0.1 {
				y[i] = 1
			}
		}
		require.NoError(t, d.Add(name, values))
	}
	var told [][2]int
	options := LogisticOptions{Level: 0.95, Penalised: true, Progress: func(done, of int) { told = append(told, [2]int{done, of}) }}
	full, err := Logistic(d, y, options)
	require.NoError(t, err)
	require.Equal(t, [][2]int{{1, 5}, {2, 5}, {3, 5}, {4, 5}, {5, 5}}, told)

	options.Progress, options.Profiled = nil, []int{2}
	one, err := Logistic(d, y, options)
	require.NoError(t, err)
	require.Equal(t, full.Profile[2], one.Profile[2])
	require.Nil(t, one.Profile[1].Lower)

	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = LogisticContext(ctx, d, y, options)
	require.ErrorIs(t, err, context.Canceled)

	ctx, cancel = context.WithCancel(t.Context())
	options.Profiled = nil
	options.Progress = func(done, _ int) {
		if done == 2 {
			cancel()
		}
	}
	_, err = LogisticContext(ctx, d, y, options)
	require.ErrorIs(t, err, context.Canceled)
}
