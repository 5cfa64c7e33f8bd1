package server

import (
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

// filmed is a house with one case that has a recording, and its surgeon.
func filmed(t *testing.T) (*house, *client) {
	t.Helper()
	h := sqliteHouse(t)
	sol := h.hire("sol", annotate.RoleSurgeon)
	sol.must("PUT", "/cases/"+flowCase, newCase(flowCase, "sol"), nil)
	sol.must("PUT", "/cases/"+flowCase+"/parts/"+flowPart, newPart("clips:h264-25.mp4"), nil)
	return h, sol
}

func TestPlayback(t *testing.T) {
	_, sol := filmed(t)
	clip, err := os.ReadFile(filepath.Join("..", "testdata", "media", "h264-25.mp4"))
	require.NoError(t, err)
	whole := sol.send("GET", "/media/parts/"+flowPart, nil)
	require.Equal(t, http.StatusOK, whole.Code)
	require.Equal(t, "video/mp4", whole.Header().Get("Content-Type"))
	require.Equal(t, "bytes", whole.Header().Get("Accept-Ranges"))
	require.Equal(t, "private, no-cache", whole.Header().Get("Cache-Control"))
	require.Equal(t, clip, whole.Body.Bytes())
	tag := whole.Header().Get("ETag")
	require.NotEmpty(t, tag)

	tests := []struct {
		name    string
		headers map[string]string
		status  int
		body    []byte
		about   string // Content-Range
	}{
		{"the first bytes", map[string]string{"Range": "bytes=0-99"}, 206, clip[:100], "bytes 0-99/23655"},
		{"from the middle", map[string]string{"Range": "bytes=23600-"}, 206, clip[23600:], "bytes 23600-23654/23655"},
		{"the last bytes", map[string]string{"Range": "bytes=-10"}, 206, clip[len(clip)-10:], "bytes 23645-23654/23655"},
		{"beyond the end", map[string]string{"Range": "bytes=30000-"}, 416, nil, "bytes */23655"},
		{"known already", map[string]string{"If-None-Match": tag}, 304, nil, ""},
		{"a range of the same film", map[string]string{"If-Range": tag, "Range": "bytes=1-2"}, 206, clip[1:3], "bytes 1-2/23655"},
		{"a range of another film", map[string]string{"If-Range": `"other"`, "Range": "bytes=1-2"}, 200, clip, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			sol.headers = tt.headers
			defer func() { sol.headers = nil }()
			w := sol.send("GET", "/media/parts/"+flowPart, nil)
			require.Equal(t, tt.status, w.Code)
			require.Equal(t, tt.about, w.Header().Get("Content-Range"))
			if tt.body != nil {
				require.Equal(t, tt.body, w.Body.Bytes())
			}
		})
	}
	head := sol.send("HEAD", "/media/parts/"+flowPart, nil)
	require.Equal(t, http.StatusOK, head.Code)
	require.Equal(t, "23655", head.Header().Get("Content-Length"))
	require.Empty(t, head.Body.Bytes())
}

// Over a real connection, where the framework's writer is left aside for the bytes.
func TestPlaybackOverAConnection(t *testing.T) {
	h, sol := filmed(t)
	server := httptest.NewServer(h)
	defer server.Close()
	r, err := http.NewRequest("GET", server.URL+prefix+"/media/parts/"+flowPart, nil)
	require.NoError(t, err)
	r.AddCookie(sol.cookie)
	r.Header.Set("Range", "bytes=100-199")
	answer, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	body, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusPartialContent, answer.StatusCode)
	require.Len(t, body, 100)
}

func TestPermissionIsAskedAtEveryRange(t *testing.T) {
	h, sol := filmed(t)
	shared := h.hire("tara", annotate.RoleTrainee)
	var c annotate.Case
	sol.must("GET", "/cases/"+flowCase, nil, &c)
	c.SharedWith = []string{"tara"}
	sol.must("PUT", "/cases/"+flowCase, c, &c)
	shared.headers = map[string]string{"Range": "bytes=0-9"}
	require.Equal(t, http.StatusPartialContent, shared.send("GET", "/media/parts/"+flowPart, nil).Code)
	c.SharedWith = []string{}
	sol.must("PUT", "/cases/"+flowCase, c, nil)
	shared.headers = map[string]string{"Range": "bytes=10-19"}
	require.Equal(t, http.StatusNotFound, shared.send("GET", "/media/parts/"+flowPart, nil).Code)
}

func TestAViewingIsInTheAuditOnceAnHour(t *testing.T) {
	h, sol := filmed(t)
	viewings := func() (n int) {
		var history []annotate.AuditEntry
		sol.must("GET", "/cases/"+flowCase+"/history", nil, &history)
		for _, entry := range history {
			if entry.Action == "recording.view" {
				require.Equal(t, "sol", entry.ActorID)
				require.Equal(t, flowPart, entry.ThingID)
				n++
			}
		}
		return n
	}
	sol.send("HEAD", "/media/parts/"+flowPart, nil)
	require.Zero(t, viewings())
	for _, span := range []string{"bytes=500-", "bytes=0-", "bytes=100-200"} {
		sol.headers = map[string]string{"Range": span}
		require.Equal(t, http.StatusPartialContent, sol.send("GET", "/media/parts/"+flowPart, nil).Code)
	}
	sol.headers = nil
	require.Equal(t, 1, viewings())
	h.now.Add((40 * time.Minute).Milliseconds())
	sol.send("GET", "/media/parts/"+flowPart, nil)
	require.Equal(t, 1, viewings(), "the store knows when the server has forgotten")
	h.now.Add((30 * time.Minute).Milliseconds())
	sol.send("GET", "/media/parts/"+flowPart, nil)
	require.Equal(t, 2, viewings())
}

func TestRecordingsThatAreRefused(t *testing.T) {
	_, sol := filmed(t)
	top, err := filepath.Abs("..")
	require.NoError(t, err)
	for _, source := range []string{
		"clips:../annotate/case.go", "/etc/passwd", "nowhere:film.mp4", "clips:none.mp4", "clips:sound-only.mp4", "clips:make.sh",
		"clips:cut-before-index.mp4", "clips:cut-in-data.mp4", "http://films.example.org/a.mp4",
	} {
		t.Run(source, func(t *testing.T) {
			p := sol.refused("PUT", "/cases/"+flowCase+"/parts/part-2", newPart(source), http.StatusUnprocessableEntity, annotate.CodeMedia)
			require.Len(t, p.Fields, 1)
			require.Equal(t, "source", p.Fields[0].Field)
			text, err := json.Marshal(p)
			require.NoError(t, err)
			require.NotContains(t, string(text), top, "the folders of the server are not told")
		})
	}
	var parts []annotate.Part
	sol.must("GET", "/cases/"+flowCase+"/parts", nil, &parts)
	require.Len(t, parts, 1, "nothing was changed")
}

func TestTheState(t *testing.T) {
	_, sol := filmed(t)
	var part annotate.Part
	sol.must("PUT", "/cases/"+flowCase+"/parts/part-2", map[string]any{
		"source": "clips:hevc.mp4", "position": 2, "rates": []any{}, "cuts": []any{}, "realTime": true, "revision": 0,
	}, &part)
	require.Equal(t, annotate.PartNotPlayable, part.State)
	require.NotEmpty(t, part.StateReason)
	var parts []annotate.Part
	sol.must("POST", "/cases/"+flowCase+"/parts/check", nil, &parts)
	require.Equal(t, annotate.PartOK, parts[0].State)
	require.Equal(t, annotate.PartNotPlayable, parts[1].State)
}

func TestBrowse(t *testing.T) {
	_, sol := filmed(t)
	var answer struct {
		Roots   []string      `json:"roots"`
		Entries []folderEntry `json:"entries"`
	}
	sol.must("GET", "/media/browse", nil, &answer)
	require.Equal(t, []string{"films", "clips"}, answer.Roots)
	sol.must("GET", "/media/browse?root=clips&dir=", nil, &answer)
	found := ""
	for _, e := range answer.Entries {
		require.False(t, strings.HasSuffix(e.Name, ".sh"), "only recordings are shown")
		if e.Name == "h264-25.mp4" {
			found = e.Source
			require.EqualValues(t, 23655, e.Size)
			require.Positive(t, e.ModifiedAt)
		}
	}
	require.Equal(t, "clips:h264-25.mp4", found)
	sol.refused("GET", "/media/browse?root=clips&dir=..", nil, http.StatusUnprocessableEntity, annotate.CodeMedia)
	sol.refused("GET", "/media/browse?root=elsewhere", nil, http.StatusUnprocessableEntity, annotate.CodeMedia)
}
