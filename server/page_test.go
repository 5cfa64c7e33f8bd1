package server

import (
	"net/http"
	"net/http/httptest"
	"testing"
	"testing/fstest"

	"github.com/alexedwards/scs/v2/memstore"
	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/media"
)

// shell is a server whose domain is never asked.
func shell(t *testing.T, change func(*Options)) *Server {
	t.Helper()
	library, err := media.NewLibrary(nil)
	require.NoError(t, err)
	options := Options{Service: &annotate.Service{}, Media: library, Sessions: memstore.NewWithCleanupInterval(0)}
	if change != nil {
		change(&options)
	}
	s, err := New(options)
	require.NoError(t, err)
	return s
}

func ask(s http.Handler, method, address string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	s.ServeHTTP(w, httptest.NewRequest(method, address, nil))
	return w
}

func TestPage(t *testing.T) {
	s := shell(t, func(o *Options) {
		o.Page = fstest.MapFS{
			"index.html":         {Data: []byte("<!doctype html>the page")},
			"favicon.svg":        {Data: []byte("<svg/>")},
			".gitkeep":           {Data: []byte("kept")},
			"assets/app-1234.js": {Data: []byte("start()")},
		}
	})
	const forever = "public, max-age=31536000, immutable"
	tests := []struct {
		method, address string
		status          int
		kind, cache     string
		body            string
	}{
		{"GET", "/", 200, "text/html; charset=utf-8", "no-cache", "<!doctype html>the page"},
		{"GET", "/cases/0190/operation", 200, "text/html; charset=utf-8", "no-cache", "<!doctype html>the page"},
		{"GET", "/sign-in", 200, "text/html; charset=utf-8", "no-cache", "<!doctype html>the page"},
		{"HEAD", "/sign-in", 200, "text/html; charset=utf-8", "no-cache", ""},
		{"GET", "/index.html", 200, "text/html; charset=utf-8", "no-cache", "<!doctype html>the page"},
		{"GET", "/favicon.svg", 200, "image/svg+xml", "no-cache", "<svg/>"},
		{"GET", "/assets/app-1234.js", 200, "text/javascript; charset=utf-8", forever, "start()"},
		{"GET", "/assets/app-old.js", 404, "text/plain; charset=utf-8", "", "There is no such file.\n"},
		{"GET", "/assets/", 404, "text/plain; charset=utf-8", "", "There is no such file.\n"},
		{"GET", "/assets", 404, "text/plain; charset=utf-8", "", "There is no such file.\n"},
		{"GET", "/assets/none", 404, "text/plain; charset=utf-8", "", "There is no such file.\n"},
		{"GET", "/robots.txt", 404, "text/plain; charset=utf-8", "", "There is no such file.\n"},
		{"GET", "/.gitkeep", 404, "text/plain; charset=utf-8", "", "There is no such file.\n"},
		{"GET", "/../../etc/passwd.txt", 404, "text/plain; charset=utf-8", "", "There is no such file.\n"},
		{"POST", "/cases", 405, "text/plain; charset=utf-8", "", "This address does not take that method.\n"},
		{"POST", "/healthz", 405, "text/plain; charset=utf-8", "", "This address does not take that method.\n"},
	}
	for _, tt := range tests {
		t.Run(tt.method+" "+tt.address, func(t *testing.T) {
			w := ask(s, tt.method, tt.address)
			require.Equal(t, tt.status, w.Code)
			require.Equal(t, tt.kind, w.Header().Get("Content-Type"))
			if tt.status == 200 {
				require.Equal(t, tt.cache, w.Header().Get("Cache-Control"))
			} else {
				require.NotEqual(t, forever, w.Header().Get("Cache-Control"))
			}
			require.Equal(t, tt.body, w.Body.String())
		})
	}
}

func TestPageNotBuilt(t *testing.T) {
	for name, page := range map[string]fstest.MapFS{"no page": nil, "only the placeholder": {".gitkeep": {}}} {
		s := shell(t, func(o *Options) { o.Page = page })
		w := ask(s, "GET", "/cases")
		require.Equal(t, 503, w.Code, name)
		require.Contains(t, w.Body.String(), "make build", name)
	}
}

func TestHeaders(t *testing.T) {
	for _, address := range []string{"/", "/api/v1/me", "/healthz", "/nowhere.txt"} {
		w := ask(shell(t, nil), "GET", address)
		policy := w.Header().Get("Content-Security-Policy")
		require.Contains(t, policy, "default-src 'self';")
		require.Contains(t, policy, "frame-ancestors 'self'")
		require.NotContains(t, policy, "script-src")
		require.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
		require.Equal(t, "no-referrer", w.Header().Get("Referrer-Policy"))
		require.NotEmpty(t, w.Header().Get("Permissions-Policy"))
		require.NotEmpty(t, w.Header().Get("X-Request-Id"))
		require.Empty(t, w.Header().Get("Strict-Transport-Security"))
	}
	secure := shell(t, func(o *Options) { o.SecureCookies = true })
	require.NotEmpty(t, ask(secure, "GET", "/").Header().Get("Strict-Transport-Security"))
	require.Equal(t, "no-store", ask(secure, "GET", "/api/v1/me").Header().Get("Cache-Control"))
}
