package server

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

// shape is a refusal as text that can be compared: ids of requests are taken out.
func shape(t *testing.T, p Problem) []byte {
	t.Helper()
	require.NotEmpty(t, p.RequestID)
	p.RequestID = "request"
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	require.NoError(t, encoder.Encode(p))
	return text.Bytes()
}

// marked is a house whose case is marked and reported, and its surgeon.
func marked(t *testing.T) (*house, *client) {
	t.Helper()
	h := sqliteHouse(t)
	tell(t, h)
	return h, h.as("sol")
}

// Bad input gets a clear refusal (what, which field, what to do), and nothing is changed.
func TestBadInput(t *testing.T) {
	h, sol := marked(t)
	edits := "/readings/" + flowReading + "/edits"
	edit := func(m map[string]any) map[string]any { return map[string]any{"edits": []any{addMarker("edit-new", m)}} }
	wrongCase := newCase("case-2", "sol")
	wrongCase["before"] = map[string]any{"age": 300}
	wrongCase["date"] = "02/02/2026"
	unknown := newCase("case-2", "sol")
	unknown["patientName"] = "Elm Street"
	text := newCase("case-2", "sol")
	text["before"] = map[string]any{"age": "seventy, of Elm Street"}
	tests := []struct {
		name, method, path string
		body               any
		status             int
	}{
		{"unknown-step", "POST", edits, edit(marker("m", "dance", flowPart, 1, 2)), 422},
		{"end-before-start", "POST", edits, edit(marker("m", "ovd", flowPart, 3000, 2000)), 422},
		{"outside-the-part", "POST", edits, edit(marker("m", "ovd", flowPart, 314_000, 999_000)), 422},
		{"part-of-another-case", "POST", edits, edit(marker("m", "ovd", "part-x", 1, 2)), 422},
		{"no-edits", "POST", edits, map[string]any{"edits": []any{}}, 422},
		{"impossible-case", "PUT", "/cases/case-2", wrongCase, 422},
		{"unknown-field", "PUT", "/cases/case-2", unknown, 422},
		{"wrong-kind-of-value", "PUT", "/cases/case-2", text, 422},
		{"missing-field", "PUT", "/cases/case-2", map[string]any{"revision": 0}, 422},
		{"another-id", "PUT", "/cases/case-2", newCase("case-3", "sol"), 422},
		{"unknown-query", "GET", "/cases?colour=blue", nil, 422},
		{"limit-too-high", "GET", "/cases?limit=1000", nil, 422},
		{"invalid-utf8", "PUT", "/cases/case-2", []byte("{\"pseudonym\":\"\xff\xfe\"}"), 400},
		{"not-json", "PUT", "/cases/case-2", []byte("{\"pseudonym\":"), 400},
		{"nul", "PUT", "/cases/case-2", []byte(`{"pseudonym":"a\u0000b"}`), 400},
		{"empty-body", "PUT", "/cases/case-2", []byte{}, 400},
		{"unknown-report", "GET", "/reports/none", nil, 404},
		{"no-such-case", "GET", "/cases/none", nil, 404},
	}
	before := sol.send("GET", "/readings/"+flowReading, nil).Body.String()
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := sol.send(tt.method, tt.path, tt.body)
			require.Equal(t, tt.status, w.Code, w.Body)
			require.NotContains(t, w.Body.String(), "Elm Street", "values are not repeated")
			golden(t, "problem-"+tt.name+".json", shape(t, problemFrom(t, w)))
		})
	}
	require.Equal(t, before, sol.send("GET", "/readings/"+flowReading, nil).Body.String())
	require.Equal(t, http.StatusNotFound, sol.send("GET", "/cases/case-2", nil).Code)
	require.NotContains(t, h.log.String(), "Elm Street")
}

func TestWrongContentType(t *testing.T) {
	_, sol := marked(t)
	sol.headers = map[string]string{"Content-Type": "text/plain"}
	sol.refused("PUT", "/cases/case-2", newCase("case-2", "sol"), http.StatusUnsupportedMediaType, "not-json")
}

func TestOversize(t *testing.T) {
	_, sol := marked(t)
	body := func(size int) []byte {
		head, tail := `{"revision":0,"pseudonym":"`, `"}`
		return []byte(head + strings.Repeat("x", size-len(head)-len(tail)) + tail)
	}
	sol.refused("PUT", "/cases/case-2", body(bodyLimit+1), http.StatusRequestEntityTooLarge, "too-large")
	sol.refused("PUT", "/cases/case-2", body(bodyLimit), http.StatusUnprocessableEntity, annotate.CodeInvalid)
	edits := "/readings/" + flowReading + "/edits"
	sol.refused("POST", edits, body(editsBodyLimit), http.StatusUnprocessableEntity, annotate.CodeInvalid)
	sol.refused("POST", edits, body(editsBodyLimit+1), http.StatusRequestEntityTooLarge, "too-large")
}

func TestStaleShowsBothVersions(t *testing.T) {
	h, sol := marked(t)
	var opened annotate.Case
	sol.must("GET", "/cases/"+flowCase, nil, &opened)
	mine, other := opened, opened
	other.Pseudonym = "Bittern"
	h.as("sol").must("PUT", "/cases/"+flowCase, other, nil)
	mine.Pseudonym = "Egret"
	p := sol.refused("PUT", "/cases/"+flowCase, mine, http.StatusConflict, annotate.CodeStale)
	require.Equal(t, "Egret", p.Yours.(map[string]any)["pseudonym"])
	require.Equal(t, "Bittern", p.Theirs.(map[string]any)["pseudonym"])
	golden(t, "problem-stale-case.json", shape(t, p))

	move := func(edit string, base, end int64) map[string]any {
		m := marker("marker-3", "ovd", flowPart, 70_000, end)
		var state annotate.ReadingState
		sol.must("GET", "/readings/"+flowReading, nil, &state)
		for _, stands := range state.Markers {
			if stands.ID == "marker-3" {
				m["step"] = stands.Step
			}
		}
		return map[string]any{"edits": []any{map[string]any{"id": edit, "action": "move", "changes": []any{
			map[string]any{"thing": "marker", "id": "marker-3", "base": base, "marker": m},
		}}}}
	}
	edits := "/readings/" + flowReading + "/edits"
	sol.must("POST", edits, move("move-1", 4, 85_000), nil)
	p = sol.refused("POST", edits, move("move-2", 4, 88_000), http.StatusConflict, annotate.CodeStale)
	golden(t, "problem-stale-marker.json", shape(t, p))
}

func TestTheSameEditTwiceCountsOnce(t *testing.T) {
	_, sol := marked(t)
	edits := "/readings/" + flowReading + "/edits"
	var first, second addEditsOutput
	body := map[string]any{"edits": []any{addMarker("edit-once", marker("marker-once", "ovd", flowPart, 300_000, 301_000))}}
	sol.must("POST", edits, body, &first.Body)
	sol.must("POST", edits, body, &second.Body)
	require.False(t, first.Body.Answers[0].AlreadyDone)
	require.True(t, second.Body.Answers[0].AlreadyDone)
	require.Equal(t, first.Body.Answers[0].Seq, second.Body.Answers[0].Seq)
	require.Equal(t, first.Body.Seq, second.Body.Seq)
	var since editsOutput
	sol.must("GET", edits+"?after=13", nil, &since.Body)
	require.Len(t, since.Body.Edits, 1)
}

func TestSigningWhatHasChanged(t *testing.T) {
	_, sol := marked(t)
	var read struct {
		Hash   string `json:"hash"`
		Change int64  `json:"change"`
	}
	sol.must("GET", "/cases/"+flowCase+"/report", nil, &read)
	var c annotate.Case
	sol.must("GET", "/cases/"+flowCase, nil, &c)
	c.Operation.Note = "a later thought"
	sol.must("PUT", "/cases/"+flowCase, c, nil)
	p := sol.refused("POST", "/cases/"+flowCase+"/reports", read, http.StatusConflict, annotate.CodeStale)
	require.Contains(t, p.Detail, "nothing was signed")
	require.Equal(t, read.Hash, p.Yours.(map[string]any)["hash"])
	sol.refused("POST", "/cases/"+flowCase+"/reports", map[string]any{"hash": "beef", "change": read.Change + 1}, http.StatusConflict, annotate.CodeStale)
	var reports []annotate.SignedReport
	sol.must("GET", "/cases/"+flowCase+"/reports", nil, &reports)
	require.Len(t, reports, 1)
}

func TestReportFiles(t *testing.T) {
	h, sol := marked(t)
	signed := h.signedID(t, sol)
	tests := []struct {
		ending, kind, begins, how string
	}{
		{"html", "text/html; charset=utf-8", "<!", "inline"},
		{"pdf", "application/pdf", "%PDF-", "attachment"},
		{"csv", "text/csv; charset=utf-8", "", "attachment"},
		{"json", "application/json", "{", "attachment"},
	}
	for _, tt := range tests {
		draft := sol.send("GET", "/cases/"+flowCase+"/report."+tt.ending, nil)
		require.Equal(t, 200, draft.Code)
		require.Equal(t, tt.kind, draft.Header().Get("Content-Type"))
		require.Equal(t, tt.how+`; filename="draft-review-heron-case-1-2026-02-02.`+tt.ending+`"`, draft.Header().Get("Content-Disposition"))
		require.Equal(t, "no-store", draft.Header().Get("Cache-Control"))

		w := sol.send("GET", "/reports/"+signed+"/content."+tt.ending, nil)
		require.Equal(t, 200, w.Code)
		require.Equal(t, tt.kind, w.Header().Get("Content-Type"))
		require.Equal(t, tt.how+`; filename="review-heron-case-1-2026-02-02.`+tt.ending+`"`, w.Header().Get("Content-Disposition"))
		require.True(t, bytes.HasPrefix(w.Body.Bytes(), []byte(tt.begins)), tt.ending)
		require.NotEmpty(t, w.Body.Bytes())
		for _, answer := range []string{w.Header().Get("Content-Security-Policy"), draft.Header().Get("Content-Security-Policy")} {
			require.Contains(t, answer, "sandbox ")
			require.Contains(t, answer, "default-src 'none'")
			require.NotContains(t, answer, "allow-scripts")
			require.NotContains(t, answer, "allow-same-origin")
		}
		tag := w.Header().Get("ETag")
		require.Len(t, tag, 66)
		sol.headers = map[string]string{"If-None-Match": tag}
		require.Equal(t, http.StatusNotModified, sol.send("GET", "/reports/"+signed+"/content."+tt.ending, nil).Code)
		sol.headers = nil
		if tt.ending == "html" {
			require.Contains(t, w.Body.String(), `href="/cases/case-1/operation#`, "links stay on this server")
			require.NotContains(t, w.Body.String(), "zonule.example.org")
		}
		again := sol.send("GET", "/reports/"+signed+"/content."+tt.ending, nil)
		require.Equal(t, w.Body.Bytes(), again.Body.Bytes())
	}
	var addendum annotate.Addendum
	sol.must("PUT", "/reports/"+signed+"/addenda/addendum-1", map[string]string{"text": "Seen again with the trainer."}, &addendum)
	require.Equal(t, "Person sol", addendum.AuthorName)
	var report annotate.SignedReport
	sol.must("GET", "/reports/"+signed, nil, &report)
	require.Len(t, report.Addenda, 1)
}

func TestFileNamesHoldOnlyPlainLetters(t *testing.T) {
	require.Equal(t, "review-heron-7-2026-02-02", fileName("  Heron/7\r\n\" ", "2026-02-02"))
	require.Equal(t, "review-case-2026-02-02", fileName("患者", "2026-02-02"))
}

// Nobody receives the answer, and nobody should be woken by it.
func TestACallerWhoLeftIsNoFailureOfTheServer(t *testing.T) {
	h, sol := marked(t)
	h.log.Reset()
	ctx, leave := context.WithCancel(t.Context())
	leave()
	r := httptest.NewRequest("GET", prefix+"/people", nil).WithContext(ctx)
	r.AddCookie(sol.cookie)
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	require.Equal(t, statusLeft, w.Code)
	require.Contains(t, h.log.String(), `"level":"INFO"`)
	require.NotContains(t, h.log.String(), `"level":"ERROR"`)
}
