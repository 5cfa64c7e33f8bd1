package words

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
)

// Lengths as a theatre person reads them: m:ss, with tenths under a minute. Source: our definition; common practice.
func TestLength(t *testing.T) {
	for ms, want := range map[int64]string{
		0: "0:00.0", 49: "0:00.0", 50: "0:00.1", 11_400: "0:11.4", 59_949: "0:59.9", 59_950: "1:00", 60_000: "1:00", 60_499: "1:00",
		60_500: "1:01", 185_480: "3:05", 3_599_499: "59:59", 3_599_500: "1:00:00", 3_725_000: "1:02:05", -1_500: "−0:01.5",
	} {
		require.Equal(t, want, Length(ms), "%d ms", ms)
	}
}

func TestMeasuredSaysWhatItIsWorth(t *testing.T) {
	ms := int64(45_200)
	require.Equal(t, "0:45.2", Measured(&ms, timeline.Measured))
	require.Equal(t, "at least 0:45.2", Measured(&ms, timeline.LowerBound))
	require.Equal(t, "0:45.2 of edited film", Measured(&ms, timeline.NoStatistics))
	require.Equal(t, "not recorded", Measured(nil, timeline.Measured))
	require.Equal(t, "not recorded", Measured(&ms, timeline.NotRecorded))
}

func TestWords(t *testing.T) {
	require.Equal(t, "09:08.440", Instant(548_440))
	require.Equal(t, "75:00.001", Instant(4_500_001))
	require.Equal(t, "12 March 2026", Date("2026-03-12"))
	require.Equal(t, "soon", Date("soon"))
	for n, want := range map[int]string{1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 11: "11th", 12: "12th", 13: "13th", 21: "21st", 62: "62nd", 99: "99th"} {
		require.Equal(t, want, Ordinal(n))
	}
	require.Equal(t, "1st", Percentile(0))
	require.Equal(t, "99th", Percentile(100))
	require.Equal(t, "a, b and c", List([]string{"a", "b", "c"}))
	require.Equal(t, "a and b", List([]string{"a", "b"}))
	require.Equal(t, "", List(nil))
	require.Equal(t, "−2.0", Number(-2, 1))
	require.Equal(t, "0.0", Number(-0.01, 1))
	require.Equal(t, "OVD injection", Lower("OVD injection"))
	require.Equal(t, "capsulorhexis", Lower("Capsulorhexis"))
	require.Equal(t, "", Upper(""))
}
