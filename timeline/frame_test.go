package timeline

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFrameCounts(t *testing.T) {
	ntsc, pal := FrameRate{30000, 1001}, FrameRate{25, 1}
	// Check value 68: 600 s at 30000/1001 is 17 982 frames (17 982.018); arithmetic.
	require.Equal(t, int64(17_982), ntsc.Count(600_000))
	// The same from the duration that a file of that many frames gives, rounded to ms; arithmetic.
	require.Equal(t, int64(17_982), ntsc.Count(599_999))
	// Check value 70: 12 500 frames at 25 a second last 500 s; found (Cataract-101 data set).
	require.Equal(t, int64(12_500), pal.Count(500_000))
	require.InDelta(t, 500, pal.Seconds(12_500), 1e-9)
	// Check value 69: an hour of 30000/1001 read as 30 a second is 3.6 s short; arithmetic, tolerance 0.01.
	frames := ntsc.Count(3_600_000)
	require.InDelta(t, 3.6, ntsc.Seconds(frames)-FrameRate{30, 1}.Seconds(frames), 0.01)
}

// Source: arithmetic by hand; frame 1 of 30000/1001 runs from 33.367 to 66.733 ms.
func TestFramePlaces(t *testing.T) {
	ntsc := FrameRate{30000, 1001}
	require.Equal(t, int64(0), ntsc.FrameAt(33))
	require.Equal(t, int64(1), ntsc.FrameAt(34))
	require.Equal(t, int64(34), ntsc.Start(1))
	require.Equal(t, int64(50), ntsc.Middle(1))
	require.InDelta(t, 0.0333666667, ntsc.Seconds(1), 1e-9)
	require.InDelta(t, 0.05005, ntsc.MiddleSeconds(1), 1e-9)
	require.Equal(t, int64(40), FrameRate{25, 1}.Start(1))
	require.Equal(t, int64(60), FrameRate{25, 1}.Middle(1))
	require.Equal(t, int64(20), FrameRate{25, 1}.Middle(0))
}

func TestUnknownRate(t *testing.T) {
	for _, rate := range []FrameRate{{}, {25, 0}, {0, 1}, {-25, 1}} {
		require.False(t, rate.Known())
		require.Zero(t, rate.FrameAt(1000)+rate.Start(5)+rate.Middle(5)+rate.Count(1000))
		require.Zero(t, rate.Seconds(5)+rate.MiddleSeconds(5))
	}
	require.Zero(t, FrameRate{25, 1}.FrameAt(-40))
	require.Zero(t, FrameRate{25, 1}.Middle(-1))
}

func TestHugeNumbersDoNotWrap(t *testing.T) {
	require.Equal(t, int64(1<<63-1), FrameRate{1 << 62, 1}.FrameAt(1<<62))
	require.Equal(t, int64(90_000_000), FrameRate{90_000_000, 3003}.FrameAt(3003*1000))
}

func TestFramesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := FrameRate{rapid.Int64Range(1000, 240_000).Draw(t, "num"), rapid.Int64Range(1000, 1001).Draw(t, "den")}
		n := rapid.Int64Range(0, 2_000_000).Draw(t, "frame")
		require.Equal(t, n, rate.FrameAt(rate.Start(n)))
		require.Equal(t, n, rate.FrameAt(rate.Middle(n)))
		if n > 0 {
			require.Equal(t, n-1, rate.FrameAt(rate.Start(n)-1), "the millisecond before shows the frame before")
		}
		require.InDelta(t, rate.MiddleSeconds(n)*1000, float64(rate.Middle(n)), 0.5000001)
		require.Equal(t, n, rate.Count(rate.Start(n)), "a file of n frames has n frames")
	})
}
