package sheet

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const readBy = "Read by Noor <Chair>, 25 November 2026, 19:50"

func longDocument(watermark string) Document {
	d := Document{Title: "Long", Watermark: watermark, Made: time.Unix(0, 0).UTC()}
	for i := range 40 {
		d.Sections = append(d.Sections, Section{Title: fmt.Sprintf("Part %d", i), Blocks: []Block{Paragraph{Text: strings.Repeat("Text of it. ", 40)}}})
	}
	return d
}

// TestWatermarkIsOnEveryPage, over what is there, and takes no room: the pages break where they do without it.
func TestWatermarkIsOnEveryPage(t *testing.T) {
	plain, marked := pagesOf(t, longDocument("")), pagesOf(t, longDocument(readBy))
	require.Greater(t, len(plain), 2)
	require.Len(t, marked, len(plain))
	for i, page := range marked {
		// Text that runs upwards is read letter by letter; these two stand nowhere else.
		require.NotContains(t, plain[i], "<")
		require.GreaterOrEqual(t, strings.Count(page, "<"), 4, "page %d", i+1)
		require.GreaterOrEqual(t, strings.Count(page, ">"), 4, "page %d", i+1)
	}
	one, err := longDocument(readBy).PDF()
	require.NoError(t, err)
	two, err := longDocument(readBy).PDF()
	require.NoError(t, err)
	require.Equal(t, one, two)
}

func TestWatermarkOfThePage(t *testing.T) {
	content, err := longDocument(readBy).HTML()
	require.NoError(t, err)
	require.Contains(t, string(content), `aria-label="Read by Noor &lt;Chair&gt;, 25 November 2026, 19:50"`)
	require.NotContains(t, string(content), "<Chair>")
	content, err = longDocument("").HTML()
	require.NoError(t, err)
	require.NotContains(t, string(content), `<svg class="watermark"`)
}
