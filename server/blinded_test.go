package server

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

// The blinded edition of draft and signed report tells nothing of whose case it is, and shows frames only when somebody said
// that nothing is burned into them and the patient agrees.
func TestBlindedEdition(t *testing.T) {
	h := sqliteHouse(t)
	require.True(t, h.library.Stills(), "ffmpeg is needed for this test")
	tell(t, h)
	sol := h.as("sol")
	sol.must("PUT", "/cases/"+flowCase+"/findings/finding-1", annotate.Finding{Kind: annotate.FindingSeen, Place: 1, Text: "Look at @0:12.5.", NamesNobody: true}, nil)
	var read struct {
		Hash   string `json:"hash"`
		Change int64  `json:"change"`
	}
	sol.must("GET", "/cases/"+flowCase+"/report", nil, &read)
	var signed annotate.SignedReport
	sol.must("POST", "/cases/"+flowCase+"/reports", read, &signed)
	page := func(address string) string {
		w := sol.send("GET", address, nil)
		require.Equal(t, 200, w.Code, w.Body)
		for _, told := range []string{"Heron", "Person sol", flowCase, flowPart, flowReading, "quiet-phaco", "2026-02-02", "2 February 2026", read.Hash, "chamber here", "anterior vitrectomy", "2026-02-03"} {
			require.NotContains(t, w.Body.String(), told, address)
			require.NotContains(t, strings.Join(w.Header().Values("Content-Disposition"), ""), told)
		}
		require.Empty(t, w.Header().Get("ETag"))
		return w.Body.String()
	}
	all := []string{"/cases/" + flowCase + "/blinded.html", "/reports/" + signed.ID + "/blinded.html"}
	for _, address := range all {
		require.Contains(t, page(address), "Look at @0:12.5.")
		require.NotContains(t, page(address), "data:image/jpeg", "nobody cleared the picture")
		page(strings.Replace(address, ".html", ".pdf", 1))
		page(strings.Replace(address, ".html", ".json", 1))
	}
	sol.must("PUT", "/cases/"+flowCase+"/parts/"+flowPart+"/cleared", map[string]any{"cleared": true}, nil)
	for answer, shown := range map[string]bool{"": false, "yes": true, "no": false} {
		var c map[string]any
		sol.must("GET", "/cases/"+flowCase, nil, &c)
		c["consent"] = map[string]any{"recording": "yes", "review": answer}
		sol.must("PUT", "/cases/"+flowCase, c, nil)
		for _, address := range all {
			require.Equal(t, shown, strings.Contains(page(address), "data:image/jpeg"), "the patient's answer is %q", answer)
		}
	}
}
