package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/alexedwards/scs/v2/memstore"
	"github.com/gin-gonic/gin"
	"github.com/stretchr/testify/require"
)

// logged is a shell with its log and some routes that fail.
func logged(t *testing.T) (*Server, *bytes.Buffer) {
	t.Helper()
	log := &bytes.Buffer{}
	s := shell(t, func(o *Options) {
		o.Log = slog.New(slog.NewJSONHandler(log, nil))
		o.NewID = func() string { return "request-1" }
	})
	s.engine.GET(prefix+"/test/panic/:case", func(*gin.Context) { panic("a secret in a panic") })
	s.engine.GET("/test/panic", func(*gin.Context) { panic("a secret in a panic") })
	s.engine.GET(prefix+"/test/cut", func(c *gin.Context) {
		c.String(http.StatusOK, "half")
		panic("a secret in a panic")
	})
	s.engine.GET(prefix+"/test/error", func(c *gin.Context) { s.refuse(c, errors.New("a secret in an error")) })
	return s, log
}

func problemFrom(t *testing.T, w *httptest.ResponseRecorder) Problem {
	t.Helper()
	require.Equal(t, "application/problem+json", w.Header().Get("Content-Type"), w.Body.String())
	var p Problem
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &p), w.Body.String())
	require.Equal(t, w.Code, p.Status)
	require.Equal(t, w.Header().Get("X-Request-Id"), p.RequestID)
	return p
}

func TestFailuresShowNothingOfTheirText(t *testing.T) {
	for _, address := range []string{"/api/v1/test/panic/case-17", "/api/v1/test/error", "/test/panic"} {
		t.Run(address, func(t *testing.T) {
			s, log := logged(t)
			w := ask(s, "GET", address)
			require.Equal(t, http.StatusInternalServerError, w.Code)
			require.NotContains(t, w.Body.String(), "secret")
			require.Contains(t, log.String(), "a secret in a", "the cause is in the log")
			require.Contains(t, log.String(), `"level":"ERROR"`)
			require.Contains(t, log.String(), `"requestId":"request-1"`)
			require.NotContains(t, log.String(), "case-17")
			if underPrefix(address) {
				require.EqualValues(t, "internal", problemFrom(t, w).Code)
			}
		})
	}
}

func TestAPanicAfterTheFirstByteCutsTheConnection(t *testing.T) {
	s, log := logged(t)
	server := httptest.NewUnstartedServer(s)
	server.Config.ErrorLog = slog.NewLogLogger(slog.DiscardHandler, slog.LevelError)
	server.Start()
	defer server.Close()
	answer, err := http.Get(server.URL + prefix + "/test/cut")
	if err == nil {
		var body bytes.Buffer
		_, err = body.ReadFrom(answer.Body)
		require.NoError(t, answer.Body.Close())
	}
	require.Error(t, err, "half an answer must not look like a whole one")
	server.Close() // the server writes its log after the connection is cut
	require.Contains(t, log.String(), "panic after the answer began")
}

func TestLogHoldsNoClinicalText(t *testing.T) {
	s, log := logged(t)
	r := httptest.NewRequest("GET", "/api/v1/cases/0190-case?q=Elm+Street&token=hush", nil)
	r.Header.Set("Cookie", "zonule=cookie-value")
	s.ServeHTTP(httptest.NewRecorder(), r)
	var line map[string]any
	require.NoError(t, json.Unmarshal(log.Bytes(), &line))
	for _, key := range []string{"time", "level", "msg", "method", "route", "status", "bytes", "ms", "requestId", "address", "code"} {
		require.Contains(t, line, key)
	}
	require.Len(t, line, 11)
	require.Equal(t, "/api/v1/cases/:case", line["route"])
	for _, text := range []string{"Elm", "hush", "cookie-value", "0190-case"} {
		require.NotContains(t, log.String(), text)
	}
}

func TestRefusalsBeforeAnyHandler(t *testing.T) {
	tests := []struct {
		name, method, address string
		headers               map[string]string
		status                int
		code                  string
	}{
		{"no such address", "GET", "/api/v1/nowhere", nil, 404, "not-found"},
		{"the bare prefix", "GET", "/api/v1", nil, 404, "not-found"},
		{"no such method", "PATCH", "/api/v1/unit", nil, 405, "method-not-allowed"},
		{"signed out", "GET", "/api/v1/unit", nil, 401, "signed-out"},
		{"a cookie of nobody", "GET", "/api/v1/unit", map[string]string{"Cookie": "zonule=AAAA"}, 401, "signed-out"},
		{"another site", "POST", "/api/v1/sign-out", map[string]string{"Sec-Fetch-Site": "cross-site"}, 403, "forbidden"},
		{"another origin", "PUT", "/api/v1/unit", map[string]string{"Origin": "https://elsewhere.example"}, 403, "forbidden"},
		{"invalid UTF-8 in the path", "GET", "/api/v1/cases/%ff", nil, 422, "invalid"},
		{"NUL in the path", "GET", "/api/v1/cases/a%00b", nil, 422, "invalid"},
		{"NUL in the query", "GET", "/api/v1/cases?q=%00", nil, 422, "invalid"},
		{"invalid UTF-8 in the query", "GET", "/api/v1/cases?q=%c3%28", nil, 422, "invalid"},
		{"a broken query", "GET", "/api/v1/cases?q=%zz", nil, 422, "invalid"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := httptest.NewRequest(tt.method, tt.address, nil)
			for name, value := range tt.headers {
				r.Header.Set(name, value)
			}
			w := httptest.NewRecorder()
			shell(t, nil).ServeHTTP(w, r)
			require.Equal(t, tt.status, w.Code)
			problem := problemFrom(t, w)
			require.EqualValues(t, tt.code, problem.Code)
			require.NotEmpty(t, problem.Detail)
			require.Equal(t, "about:blank", problem.Type)
		})
	}
}

func TestMethodNotAllowedNamesTheOthers(t *testing.T) {
	allow := ask(shell(t, nil), "PATCH", "/api/v1/unit").Header().Get("Allow")
	require.Contains(t, allow, "GET")
	require.Contains(t, allow, "PUT")
}

func TestMetricsNameRoutesAndNoCases(t *testing.T) {
	s := shell(t, nil)
	ask(s, "GET", "/api/v1/cases/0190-case")
	ask(s, "GET", "/cases/0190-case")
	ask(s, "BREW", "/api/v1/unit")
	text := ask(s, "GET", "/metrics").Body.String()
	require.Contains(t, text, `zonule_http_request_seconds_count{method="GET",route="/api/v1/cases/:case",status="401"} 1`)
	require.Contains(t, text, `route="page"`)
	require.Contains(t, text, `method="other"`)
	require.NotContains(t, text, "0190-case")
	require.NotContains(t, text, "BREW")
}

func TestHealthAndReadiness(t *testing.T) {
	var trouble error
	s := shell(t, func(o *Options) {
		o.Version = "1.2.3"
		o.Ready = func(context.Context) error { return trouble }
	})
	w := ask(s, "GET", "/healthz")
	require.Equal(t, 200, w.Code)
	require.JSONEq(t, `{"state":"ok","version":"1.2.3"}`, w.Body.String())
	require.Equal(t, 200, ask(s, "GET", "/readyz").Code)
	trouble = errors.New("dial tcp db.secret.example: refused")
	w = ask(s, "GET", "/readyz")
	require.Equal(t, 503, w.Code)
	require.NotContains(t, w.Body.String(), "secret")
	require.Equal(t, 200, ask(s, "GET", "/healthz").Code, "a database that is away does not make the process ill")
}

func TestTheServerHasTimeouts(t *testing.T) {
	h := shell(t, nil).HTTPServer("127.0.0.1:0")
	require.NotZero(t, h.ReadHeaderTimeout)
	require.NotZero(t, h.IdleTimeout)
	require.Zero(t, h.WriteTimeout, "it would cut a film that is being watched")
	require.Zero(t, h.ReadTimeout)
}

func TestNewRefusesHalfAServer(t *testing.T) {
	_, err := New(Options{})
	require.Error(t, err)
	for _, change := range []func(*Options){
		func(o *Options) { o.TrustedOrigins = []string{"no origin"} },
		func(o *Options) { o.TrustedProxies = []string{"no address"} },
	} {
		full := shell(t, nil)
		options := Options{Service: full.service, Media: full.library, Sessions: memstore.NewWithCleanupInterval(0)}
		change(&options)
		_, err := New(options)
		require.Error(t, err)
		require.True(t, strings.Contains(err.Error(), "no "), err.Error())
	}
}
