package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/media"
)

func TestEveryCodeHasItsStatus(t *testing.T) {
	want := map[annotate.Code]int{
		annotate.CodeInvalid: 422, annotate.CodeNotFound: 404, annotate.CodeForbidden: 403, annotate.CodeSignedOut: 401,
		annotate.CodeStale: 409, annotate.CodeTaken: 409, annotate.CodeTooManyTries: 429, annotate.CodeMedia: 422,
		annotate.CodeSigned: 409, annotate.CodeUnavailable: 503,
	}
	require.Equal(t, want, statuses)
	for _, code := range annotate.Codes {
		require.NotZero(t, statuses[code], code)
		problem := problemOf(context.Background(), annotate.Refuse(code, "what to do"))
		require.Equal(t, statuses[code], problem.Status)
		require.Equal(t, code, problem.Code)
		require.Equal(t, "what to do", problem.Detail)
		require.NotEmpty(t, problem.Title)
	}
}

func TestProblemOf(t *testing.T) {
	left, leave := context.WithCancel(context.Background())
	leave()
	late, cancel := context.WithDeadline(context.Background(), time.Now().Add(-time.Second))
	defer cancel()
	tests := []struct {
		name   string
		ctx    context.Context
		err    error
		status int
		code   annotate.Code
	}{
		{"not one of ours", context.Background(), errors.New(`pq: column "secret" does not exist`), 500, "internal"},
		{"wrapped", context.Background(), fmt.Errorf("while saving: %w", annotate.Refuse(annotate.CodeTaken, "m")), 409, annotate.CodeTaken},
		{"the caller left", left, fmt.Errorf("query: %w", context.Canceled), statusLeft, "left"},
		{"the caller left, the driver says it otherwise", left, errors.New("interrupted (9)"), statusLeft, "left"},
		{"a cancelled thing while the caller waits", context.Background(), context.Canceled, 500, "internal"},
		{"too late", late, fmt.Errorf("query: %w", context.DeadlineExceeded), 503, annotate.CodeUnavailable},
		{"a recording", context.Background(), &media.Error{Fault: media.OutsideRoot, Message: "outside", Cause: errors.New("/srv/secret")}, 422, annotate.CodeMedia},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			problem := problemOf(tt.ctx, tt.err)
			require.Equal(t, tt.status, problem.Status)
			require.Equal(t, tt.code, problem.Code)
			text, err := json.Marshal(problem)
			require.NoError(t, err)
			require.NotContains(t, string(text), "secret")
		})
	}
}

func TestFindingsOfTheLibraryKeepNoValues(t *testing.T) {
	fields := detailsOf([]error{
		&huma.ErrorDetail{Location: "body.before.age", Message: "expected integer", Value: "ninety, lives in Elm Street"},
		&huma.ErrorDetail{Location: "body", Message: "expected required property date to be present", Value: map[string]any{}},
		&huma.ErrorDetail{Location: "body.edits[1]", Message: "expected required property id to be present"},
		&huma.ErrorDetail{Location: "query.limit", Message: "expected number <= 200", Value: 201},
		errors.New("no finding"),
	})
	require.Equal(t, []annotate.FieldError{
		{Field: "before.age", Message: "expected integer"},
		{Field: "date", Message: "is missing"},
		{Field: "edits[1].id", Message: "is missing"},
		{Field: "limit", Message: "expected number <= 200"},
	}, fields)
}

func TestStrictJSON(t *testing.T) {
	tests := []struct{ body, message string }{
		{`{"a":"ok"}`, ""},
		{"{\"a\":\"\xff\"}", "is not valid UTF-8 text"},
		{`{"a":"x\u0000y"}`, "holds a NUL character, which no text may"},
		{`{"a":["x",{"\u0000":1}]}`, "holds a NUL character, which no text may"},
		{`{"a":"\ud83d"}`, "holds half a character (a lone surrogate); send the text as UTF-8"},
		{`{"a":"\ud83dx\ude00"}`, "holds half a character (a lone surrogate); send the text as UTF-8"},
		{`{"\uDE00":1}`, "holds half a character (a lone surrogate); send the text as UTF-8"},
		{`{"a":"\ud83d\ud83d\ude00"}`, "holds half a character (a lone surrogate); send the text as UTF-8"},
		{`{"a":"\\u0000"}`, ""},
		{`{"a":"\ud83d\uDC41 \\ud83d \\\ud83d\udc41\n"}`, ""},
		{`{"a":`, "is not JSON: it breaks off or goes wrong at byte 5"},
		{`{"a":1}}`, "is not JSON: it breaks off or goes wrong at byte 8"},
	}
	for _, tt := range tests {
		var parsed any
		if err := strictJSON.Unmarshal([]byte(tt.body), &parsed); tt.message == "" {
			require.NoError(t, err, tt.body)
		} else {
			require.EqualError(t, err, tt.message, tt.body)
		}
	}
	var typed struct {
		Age int `json:"age"`
	}
	require.EqualError(t, strictJSON.Unmarshal([]byte(`{"age":1e300}`), &typed), `holds a value that does not fit its field "age"`)
}

// The deadline for reading a body, left standing, ends the request of a handler that works for longer: without
// timedBody this test fails.
func TestReadingTheBodyDoesNotEndTheWork(t *testing.T) {
	cause := make(chan error, 1)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		controller := http.NewResponseController(w)
		if err := controller.SetReadDeadline(time.Now().Add(100 * time.Millisecond)); err != nil {
			t.Errorf("deadline: %v", err)
		}
		body := &timedBody{ReadCloser: r.Body, controller: controller}
		buffer := make([]byte, 64)
		for {
			if _, err := body.Read(buffer); err != nil {
				break
			}
		}
		if err := body.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
		select {
		case <-r.Context().Done():
		case <-time.After(400 * time.Millisecond):
		}
		cause <- r.Context().Err()
	}))
	defer server.Close()
	answer, err := http.Post(server.URL, "application/json", http.NoBody)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.NoError(t, <-cause)
}
