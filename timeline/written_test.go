package timeline_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"zonule/timeline"
)

func TestWrittenMoments(t *testing.T) {
	file, err := os.ReadFile("../testdata/moments/written.txt")
	require.NoError(t, err)
	lines := 0
	for line := range strings.Lines(string(file)) {
		line = strings.TrimRight(line, "\n")
		if strings.HasPrefix(line, "#") {
			continue
		}
		lines++
		parts := strings.Split(line, " |")
		text := parts[0]
		want := []string{}
		for _, moment := range parts[1:] {
			if moment != "" {
				want = append(want, strings.TrimSpace(moment))
			}
		}
		found := []string{}
		for _, m := range timeline.WrittenMoments(text) {
			found = append(found, fmt.Sprintf("%s %d %d", text[m.Start:m.End], m.Part, m.Ms))
		}
		require.Equal(t, want, found, text)
	}
	require.Equal(t, 21, lines)
}

func TestWhatIsWrittenIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		part := rapid.IntRange(0, 999).Draw(t, "part")
		ms := rapid.Int64Range(0, 99*3600_000-1).Draw(t, "ms")
		text := "At " + timeline.WriteMoment(part, ms) + ", then."
		found := timeline.WrittenMoments(text)
		require.Len(t, found, 1, text)
		require.Equal(t, part, found[0].Part)
		require.Equal(t, ms, found[0].Ms)
	})
}

func FuzzWrittenMoments(f *testing.F) {
	f.Add("Look at @1:03:12.5 and @2/3:12!")
	f.Add("@@3:12.@12/")
	f.Add("\xff@3:12\xff")
	f.Fuzz(func(t *testing.T, text string) {
		end := 0
		for _, m := range timeline.WrittenMoments(text) {
			require.GreaterOrEqual(t, m.Start, end)
			require.Greater(t, m.End, m.Start)
			require.LessOrEqual(t, m.End, len(text))
			require.EqualValues(t, '@', text[m.Start])
			require.GreaterOrEqual(t, m.Ms, int64(0))
			require.True(t, m.Part >= 0 && m.Part < 1000)
			again := timeline.WrittenMoments(text[m.Start:m.End])
			require.Len(t, again, 1)
			require.Equal(t, m.Ms, again[0].Ms)
			end = m.End
		}
	})
}
