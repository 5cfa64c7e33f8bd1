package media_test

import (
	"context"
	"crypto/x509"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/server/media"
)

// archive serves the committed clips over https on the loopback address.
func archive(t *testing.T, handler http.Handler) (address string, pool *x509.CertPool) {
	t.Helper()
	server := httptest.NewTLSServer(handler)
	t.Cleanup(server.Close)
	pool = x509.NewCertPool()
	pool.AddCert(server.Certificate())
	return server.URL, pool
}

func TestProbeOfAddress(t *testing.T) {
	var asked atomic.Int64
	files := http.FileServer(http.Dir(clips))
	address, pool := archive(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Range") == "" {
			t.Error("the whole recording must never be asked for")
		}
		asked.Add(1)
		files.ServeHTTP(w, r)
	}))
	l := library(t, clips, media.WithPrivateAddresses(), media.WithCertificates(pool))
	for _, name := range []string{"h264-25.mp4", "index-last-2997.mp4", "quicktime.mov"} {
		facts, err := l.Probe(context.Background(), address+"/"+name)
		require.NoError(t, err, name)
		require.Equal(t, probe(t, l, name), facts, name)
	}
	require.LessOrEqual(t, asked.Load(), int64(3), "one block holds such a small clip")

	needs(t, "ffprobe")
	facts, err := l.Probe(context.Background(), address+"/vp9.webm")
	require.NoError(t, err)
	require.Equal(t, "webm", facts.Container)
	require.InDelta(t, 2000, facts.DurationMs, 80)
}

func TestAddressOfLargeRecordingIsReadSparingly(t *testing.T) {
	dir := t.TempDir()
	content, err := os.ReadFile(filepath.Join(clips, "index-last-2997.mp4"))
	require.NoError(t, err)
	// A free box of 40 MiB in front of everything, as a long recording with its index at the end.
	const filler = 40 << 20
	head := []byte{0x02, 0x80, 0, 0, 'f', 'r', 'e', 'e'}
	write(t, dir, "long.mp4", append(append(head, make([]byte, filler-8)...), content...))
	var sent atomic.Int64
	files := http.FileServer(http.Dir(dir))
	address, pool := archive(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		recorder := httptest.NewRecorder()
		files.ServeHTTP(recorder, r)
		for name, values := range recorder.Header() {
			w.Header()[name] = values
		}
		w.WriteHeader(recorder.Code)
		n, _ := w.Write(recorder.Body.Bytes())
		sent.Add(int64(n))
	}))
	l := library(t, dir, media.WithPrivateAddresses(), media.WithCertificates(pool))
	facts, err := l.Probe(context.Background(), address+"/long.mp4")
	require.NoError(t, err)
	require.EqualValues(t, 2002, facts.DurationMs)
	require.Less(t, sent.Load(), int64(1<<20))

	here, err := l.Stamp(context.Background(), "films:long.mp4")
	require.NoError(t, err)
	there, err := l.Stamp(context.Background(), address+"/long.mp4")
	require.NoError(t, err)
	require.Equal(t, here.Quick, there.Quick)
	state, err := l.State(context.Background(), address+"/long.mp4", there)
	require.NoError(t, err)
	require.Equal(t, media.OK, state)
}

func TestPrivateAddressesAreRefused(t *testing.T) {
	address, pool := archive(t, http.FileServer(http.Dir(clips)))
	l := library(t, clips, media.WithCertificates(pool))
	port := address[strings.LastIndex(address, ":"):]
	for _, host := range []string{"127.0.0.1", "localhost", "[::1]", "0.0.0.0", "10.0.0.1", "192.168.1.1", "172.16.0.1",
		"169.254.169.254", "100.64.0.1", "[fd00::1]", "[fe80::1]", "[::ffff:127.0.0.1]", "[64:ff9b::7f00:1]", "2130706433", "0x7f.1"} {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		_, err := l.Probe(ctx, "https://"+host+port+"/h264-25.mp4")
		cancel()
		require.Error(t, err, host)
		var typed *media.Error
		require.ErrorAs(t, err, &typed, host)
		require.Contains(t, []media.Fault{media.AddressRefused, media.Unreachable}, typed.Fault, host)
		if host == "127.0.0.1" || host == "localhost" || host == "[::ffff:127.0.0.1]" {
			require.Equal(t, media.AddressRefused, typed.Fault, host)
		}
	}
}

func TestBadAnswersOfAnAddress(t *testing.T) {
	content := strings.Repeat("x", 1000)
	change := 0
	handlers := map[string]http.HandlerFunc{
		"no ranges": func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte(content)) },
		"not there": func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "no", http.StatusNotFound) },
		"other part": func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Range", "bytes 5-9/1000")
			w.WriteHeader(http.StatusPartialContent)
		},
		"endless total": func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Range", "bytes 0-9/*")
			w.WriteHeader(http.StatusPartialContent)
		},
		"cut": func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Range", "bytes 0-999/1000")
			w.WriteHeader(http.StatusPartialContent)
			_, _ = w.Write([]byte("short"))
		},
		"changes": func(w http.ResponseWriter, r *http.Request) {
			change++
			var from, to int
			_, _ = fmt.Sscanf(r.Header.Get("Range"), "bytes=%d-%d", &from, &to)
			w.Header().Set("ETag", fmt.Sprintf(`"%d"`, change))
			w.Header().Set("Content-Range", fmt.Sprintf("bytes %d-%d/9000000", from, to))
			w.WriteHeader(http.StatusPartialContent)
			_, _ = w.Write(append([]byte("\x00\x40\x00\x00free"), make([]byte, to-from-7)...))
		},
		"down to http": func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "http://"+r.Host+"/", http.StatusFound)
		},
		"for ever": func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "https://"+r.Host+"/", http.StatusFound)
		},
	}
	for name, handler := range handlers {
		address, pool := archive(t, handler)
		l := library(t, clips, media.WithPrivateAddresses(), media.WithCertificates(pool))
		_, err := l.Probe(context.Background(), address+"/a.mp4")
		require.Error(t, err, name)
		want := media.Unreachable
		if strings.HasPrefix(name, "down") || strings.HasPrefix(name, "for") {
			want = media.AddressRefused
		}
		requireFault(t, want, err)
	}
}

func TestAddressWithUnknownCertificate(t *testing.T) {
	address, _ := archive(t, http.FileServer(http.Dir(clips)))
	l := library(t, clips, media.WithPrivateAddresses())
	_, err := l.Probe(context.Background(), address+"/h264-25.mp4")
	requireFault(t, media.Unreachable, err)
}
