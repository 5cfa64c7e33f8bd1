package media_test

import (
	"bytes"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/stretchr/testify/require"

	"zonule/server/media"
)

// theatre serves one recording of known bytes, once through gin and once without.
func theatre(t *testing.T, name string) (content []byte, servers map[string]*httptest.Server, path string) {
	t.Helper()
	dir := t.TempDir()
	content = make([]byte, 300_000)
	copy(content, "\x00\x00\x00\x18ftypmp42")
	for i := 12; i < len(content); i++ {
		content[i] = byte(i * 7)
	}
	write(t, dir, name, content)
	path = filepath.Join(dir, name)
	l := library(t, dir)
	gin.SetMode(gin.TestMode)
	engine := gin.New()
	engine.Any("/film", func(c *gin.Context) {
		if err := l.Serve(c.Writer, c.Request, "films:"+name, "quick:abc"); err != nil {
			c.String(http.StatusTeapot, err.Error())
		}
		c.Set("status", c.Writer.Status())
	})
	plain := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := l.Serve(w, r, "films:"+name, "quick:abc"); err != nil {
			http.Error(w, err.Error(), http.StatusTeapot)
		}
	})
	servers = map[string]*httptest.Server{"gin": httptest.NewServer(engine), "plain": httptest.NewServer(plain)}
	for _, s := range servers {
		t.Cleanup(s.Close)
	}
	return content, servers, path
}

func ask(t *testing.T, server *httptest.Server, method string, headers ...string) (*http.Response, []byte) {
	t.Helper()
	request, err := http.NewRequest(method, server.URL+"/film", nil)
	require.NoError(t, err)
	for i := 0; i < len(headers); i += 2 {
		request.Header.Set(headers[i], headers[i+1])
	}
	response, err := server.Client().Do(request)
	require.NoError(t, err)
	body, err := io.ReadAll(response.Body)
	require.NoError(t, err)
	require.NoError(t, response.Body.Close())
	return response, body
}

func TestServeWholeAndHead(t *testing.T) {
	content, servers, _ := theatre(t, "film.mp4")
	for kind, server := range servers {
		response, body := ask(t, server, http.MethodGet)
		require.Equal(t, http.StatusOK, response.StatusCode, kind)
		require.True(t, bytes.Equal(content, body), kind)
		for name, want := range map[string]string{"Content-Type": "video/mp4", "Accept-Ranges": "bytes",
			"Cache-Control": "private, no-cache", "X-Content-Type-Options": "nosniff", "Content-Length": "300000"} {
			require.Equal(t, want, response.Header.Get(name), kind)
		}
		require.NotEmpty(t, response.Header.Get("Last-Modified"))
		require.Regexp(t, `^"quick:abc-493e0-[0-9a-f]+"$`, response.Header.Get("ETag"))

		response, body = ask(t, server, http.MethodHead)
		require.Equal(t, http.StatusOK, response.StatusCode, kind)
		require.Empty(t, body)
		require.Equal(t, "300000", response.Header.Get("Content-Length"))
	}
}

// The expected answers follow RFC 9110, section 14.
func TestServeRanges(t *testing.T) {
	content, servers, _ := theatre(t, "film.mp4")
	for kind, server := range servers {
		for asked, want := range map[string][2]int{
			"bytes=0-0": {0, 1}, "bytes=0-99999": {0, 100_000}, "bytes=299999-": {299_999, 300_000},
			"bytes=250000-": {250_000, 300_000}, "bytes=-1": {299_999, 300_000}, "bytes=-1000": {299_000, 300_000},
			"bytes=100-999999999": {100, 300_000}, "bytes=-999999999": {0, 300_000},
		} {
			response, body := ask(t, server, http.MethodGet, "Range", asked)
			require.Equal(t, http.StatusPartialContent, response.StatusCode, "%s %s", kind, asked)
			require.Equal(t, fmt.Sprintf("bytes %d-%d/300000", want[0], want[1]-1), response.Header.Get("Content-Range"))
			require.True(t, bytes.Equal(content[want[0]:want[1]], body), "%s %s", kind, asked)
		}
		for _, asked := range []string{"bytes=300000-", "bytes=5-2", "bytes=x", "seconds=1-2", "bytes=-"} {
			response, _ := ask(t, server, http.MethodGet, "Range", asked)
			require.Equal(t, http.StatusRequestedRangeNotSatisfiable, response.StatusCode, "%s %s", kind, asked)
		}
	}
}

func TestServeSeveralRanges(t *testing.T) {
	content, servers, _ := theatre(t, "film.mp4")
	for kind, server := range servers {
		response, body := ask(t, server, http.MethodGet, "Range", "bytes=0-9,100-199,-5")
		require.Equal(t, http.StatusPartialContent, response.StatusCode, kind)
		kindOf, parameters, err := mime.ParseMediaType(response.Header.Get("Content-Type"))
		require.NoError(t, err)
		require.Equal(t, "multipart/byteranges", kindOf)
		reader := multipart.NewReader(bytes.NewReader(body), parameters["boundary"])
		for _, want := range [][]byte{content[:10], content[100:200], content[299_995:]} {
			piece, err := reader.NextPart()
			require.NoError(t, err)
			got, err := io.ReadAll(piece)
			require.NoError(t, err)
			require.Equal(t, want, got)
			require.Equal(t, "video/mp4", piece.Header.Get("Content-Type"))
		}
	}
}

func TestServeConditions(t *testing.T) {
	_, servers, path := theatre(t, "film.mp4")
	for kind, server := range servers {
		first, _ := ask(t, server, http.MethodGet)
		tag, when := first.Header.Get("ETag"), first.Header.Get("Last-Modified")
		for name, c := range map[string]struct {
			headers []string
			status  int
		}{
			"same tag":       {[]string{"If-None-Match", tag}, http.StatusNotModified},
			"other tag":      {[]string{"If-None-Match", `"x"`}, http.StatusOK},
			"not newer":      {[]string{"If-Modified-Since", when}, http.StatusNotModified},
			"must match":     {[]string{"If-Match", `"x"`}, http.StatusPreconditionFailed},
			"range, same":    {[]string{"If-Range", tag, "Range", "bytes=0-9"}, http.StatusPartialContent},
			"range, another": {[]string{"If-Range", `"x"`, "Range", "bytes=0-9"}, http.StatusOK},
			"range, date":    {[]string{"If-Range", when, "Range", "bytes=0-9"}, http.StatusPartialContent},
		} {
			response, _ := ask(t, server, http.MethodGet, c.headers...)
			require.Equal(t, c.status, response.StatusCode, "%s %s", kind, name)
		}
		// The same fingerprint with another file behind it must not be taken for the old one.
		require.NoError(t, os.Chtimes(path, time.Now(), time.Now().Add(time.Hour)))
		response, _ := ask(t, server, http.MethodGet, "If-Range", tag, "Range", "bytes=0-9")
		require.Equal(t, http.StatusOK, response.StatusCode, kind)
	}
}

func TestServeRefusesBeforeWriting(t *testing.T) {
	l := library(t, house(t))
	for reference, want := range map[string]media.Fault{
		"films:../secret.mp4": media.OutsideRoot, "films:outside.mp4": media.OutsideRoot, "films:gone.mp4": media.NotFound,
		"films:2026": media.NotAFile, "https://example.org/a.mp4": media.AddressRefused,
	} {
		recorder := httptest.NewRecorder()
		err := l.Serve(recorder, httptest.NewRequest(http.MethodGet, "/", nil), reference, "")
		requireFault(t, want, err)
		require.Empty(t, recorder.Body.Bytes())
		require.Empty(t, recorder.Header())
	}
}

func TestContentTypeComesFromTheFile(t *testing.T) {
	dir := t.TempDir()
	for name, head := range map[string]string{
		"a.mp4": "\x00\x00\x00\x14ftypqt  ....", "b.dat": "\x00\x00\x00\x14ftypisom....",
		"c.mp4": "\x1a\x45\xdf\xa3....webm", "d.mp4": "<html>", "e.html": "<html>", "f.avi": "RIFF",
	} {
		write(t, dir, name, []byte(head))
	}
	l := library(t, dir)
	for name, want := range map[string]string{
		"a.mp4": "video/quicktime", "b.dat": "video/mp4", "c.mp4": "video/webm", "d.mp4": "video/mp4",
		"e.html": "application/octet-stream", "f.avi": "video/x-msvideo",
	} {
		recorder := httptest.NewRecorder()
		require.NoError(t, l.Serve(recorder, httptest.NewRequest(http.MethodGet, "/", nil), "films:"+name, ""))
		require.Equal(t, want, recorder.Header().Get("Content-Type"), name)
	}
}

// A film outlasts the server's write timeout: a slow reader must get all of it.
func TestServeOutlastsTheWriteTimeout(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "long.mp4", make([]byte, 24<<20))
	l := library(t, dir)
	server := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := l.Serve(w, r, "films:long.mp4", ""); err != nil {
			http.Error(w, err.Error(), http.StatusTeapot)
		}
	}))
	server.Config.WriteTimeout = 200 * time.Millisecond
	server.Start()
	defer server.Close()
	response, err := server.Client().Get(server.URL)
	require.NoError(t, err)
	defer func() { _ = response.Body.Close() }()
	_, err = io.CopyN(io.Discard, response.Body, 1<<20)
	require.NoError(t, err)
	time.Sleep(500 * time.Millisecond)
	rest, err := io.Copy(io.Discard, response.Body)
	require.NoError(t, err)
	require.EqualValues(t, 23<<20, rest)
}

// readFromCounter stands for the connection: it tells whether the body came by ReadFrom, which is
// what lets the kernel send the file.
type readFromCounter struct {
	*httptest.ResponseRecorder
	calls int
}

func (c *readFromCounter) ReadFrom(source io.Reader) (int64, error) {
	c.calls++
	return io.Copy(c.ResponseRecorder, source)
}

func TestServeReachesTheConnectionThroughGin(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "film.mp4", []byte("\x00\x00\x00\x18ftypmp42 and more"))
	l := library(t, dir)
	gin.SetMode(gin.TestMode)
	engine := gin.New()
	var status, written int
	engine.GET("/film", func(c *gin.Context) {
		require.NoError(t, l.Serve(c.Writer, c.Request, "films:film.mp4", ""))
		status, written = c.Writer.Status(), c.Writer.Size()
	})
	connection := &readFromCounter{ResponseRecorder: httptest.NewRecorder()}
	request := httptest.NewRequest(http.MethodGet, "/film", nil)
	request.Header.Set("Range", "bytes=4-7")
	engine.ServeHTTP(connection, request)
	require.Equal(t, 1, connection.calls)
	require.Equal(t, "ftyp", connection.Body.String())
	require.Equal(t, http.StatusPartialContent, status, "the log must see the true status")
	require.GreaterOrEqual(t, written, 0, "gin must know that the answer is begun")
}
