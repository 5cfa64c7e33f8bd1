package server

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/media"
)

func TestAFindingShowsItsMoment(t *testing.T) {
	h := sqliteHouse(t)
	require.True(t, h.library.Stills(), "ffmpeg is needed for this test")
	tell(t, h)
	sol := h.as("sol")
	address := "/cases/" + flowCase + "/findings/finding-1"
	var put annotate.Finding
	sol.must("PUT", address, annotate.Finding{Kind: annotate.FindingSeen, Place: 1, Text: "Look at @0:12.5, again at @0:12.5 and at @59:00."}, &put)
	require.Equal(t, "sol", put.AuthorID)
	w := sol.send("PUT", address, annotate.Finding{Kind: annotate.FindingLearning, Place: 1, Text: "Other."})
	require.Equal(t, 409, w.Code, "an autosaved text tells of a conflict")
	require.Equal(t, put.Text, problemFrom(t, w).Theirs.(map[string]any)["text"])

	page := sol.send("GET", "/cases/"+flowCase+"/report.html", nil).Body.String()
	require.Equal(t, 2, strings.Count(page, "data:image/jpeg;base64,"), "a picture at each place of the text")
	require.Contains(t, page, "The recording holds no such moment.")
	require.Contains(t, page, "operation#part="+flowPart+"&amp;t=12.5")
	require.Equal(t, 200, sol.send("GET", "/cases/"+flowCase+"/report.pdf", nil).Code)

	var read struct {
		Hash   string `json:"hash"`
		Change int64  `json:"change"`
	}
	sol.must("GET", "/cases/"+flowCase+"/report", nil, &read)
	var signed annotate.SignedReport
	sol.must("POST", "/cases/"+flowCase+"/reports", read, &signed)
	require.Contains(t, sol.send("GET", "/reports/"+signed.ID+"/content.html", nil).Body.String(), "data:image/jpeg;base64,")
}

func TestAMomentWithoutAPictureLeadsThere(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	sol := h.as("sol")
	sol.must("PUT", "/cases/"+flowCase+"/findings/finding-1", annotate.Finding{Kind: annotate.FindingSeen, Place: 1, Text: "Look at @0:12.5."}, nil)
	without, err := media.NewLibrary(nil, media.WithFFmpeg(""))
	require.NoError(t, err)
	h.library = without
	page := sol.send("GET", "/cases/"+flowCase+"/report.html", nil).Body.String()
	require.NotContains(t, page, "data:image/jpeg")
	require.Contains(t, page, "@0:12.5</a>")
}
