package words

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFigure(t *testing.T) {
	for want, value := range map[string]float64{
		"0": 0, "0.50": 0.5, "−0.50": -0.5, "0.025": 0.0251, "0.0010": 0.001, "12.4": 12.35001, "123": 123.4, "−1500": -1500,
		"over a million": 2e6, "under minus a million": -2e6, "any size": math.MaxFloat64, "not known": math.NaN(), "0.10": 0.0951, "0.094": 0.0942,
	} {
		require.Equal(t, want, Figure(value))
	}
	require.Equal(t, "0", Figure(-1e-9), "a tiny number is none")
}
