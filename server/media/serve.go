package media

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"
)

// Serve streams a local recording: whole, or the asked ranges, or "not modified". The caller has
// checked permission for this very request. etag is the stored fingerprint, or ""; size and time of
// the file are added to it, so that a replaced file is never joined to cached parts of the old one.
//
// An error means that nothing was written yet and the caller answers. A recording at an https
// address is refused: the page plays it from there.
func (l *Library) Serve(w http.ResponseWriter, r *http.Request, reference, etag string) error {
	ref, err := ParseRef(reference)
	if err != nil {
		return err
	}
	if ref.Remote() {
		return fault(AddressRefused, nil, "this recording is played from its own address, not through the server")
	}
	file, info, err := l.openLocal(ref)
	if err != nil {
		return err
	}
	defer func() { _ = file.Close() }()
	kind, err := contentType(file, ref.Path)
	if err != nil {
		return err
	}
	// A film is watched for longer than any fixed write timeout. Writers of tests have no deadline.
	err = http.NewResponseController(w).SetWriteDeadline(time.Time{})
	if err != nil && !errors.Is(err, http.ErrNotSupported) {
		return fault(Unreadable, err, "the connection cannot carry a recording")
	}
	header := w.Header()
	header.Set("Content-Type", kind)
	header.Set("ETag", fmt.Sprintf(`"%s-%x-%x"`, tagText(etag), info.Size(), modifiedMs(info)))
	header.Set("Cache-Control", "private, no-cache")
	header.Set("X-Content-Type-Options", "nosniff")
	http.ServeContent(sender{ResponseWriter: w, inner: innermost(w)}, r, "", info.ModTime(), file)
	return nil
}

// sender writes headers through the framework's writer, so that it knows the status, and the body
// straight to the connection, so that the kernel can send the file by itself.
type sender struct {
	http.ResponseWriter
	inner http.ResponseWriter
}

func (s sender) ReadFrom(source io.Reader) (int64, error) {
	if writer, waits := s.ResponseWriter.(interface{ WriteHeaderNow() }); waits {
		writer.WriteHeaderNow()
	}
	return io.Copy(s.inner, source)
}

func innermost(w http.ResponseWriter) http.ResponseWriter {
	for {
		wrapped, ok := w.(interface{ Unwrap() http.ResponseWriter })
		if !ok {
			return w
		}
		w = wrapped.Unwrap()
	}
}

// tagText keeps of a fingerprint what may stand in an entity tag (RFC 9110, 8.8.3).
func tagText(etag string) string {
	return strings.Map(func(r rune) rune {
		if r <= ' ' || r == '"' || r > '~' {
			return -1
		}
		return r
	}, etag)
}

func modifiedMs(info fs.FileInfo) int64 {
	if info.ModTime().IsZero() {
		return 0
	}
	return info.ModTime().UnixMilli()
}

var typesByName = map[string]string{
	".mp4": "video/mp4", ".m4v": "video/mp4", ".mov": "video/quicktime", ".webm": "video/webm",
	".mkv": "video/x-matroska", ".avi": "video/x-msvideo", ".mpg": "video/mpeg", ".mpeg": "video/mpeg",
	".ts": "video/mp2t", ".mts": "video/mp2t", ".m2ts": "video/mp2t", ".ogv": "video/ogg", ".wmv": "video/x-ms-wmv",
	".3gp": "video/3gpp", ".flv": "video/x-flv",
}

// contentType looks into the file first, because recorders name files as they like; never anything
// but a video type, so that no file can act as a page.
func contentType(file io.ReaderAt, name string) (string, error) {
	head := make([]byte, 64)
	n, err := file.ReadAt(head, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return "", fault(Unreadable, err, "the recording cannot be read; check the drive it lies on")
	}
	text := string(head[:n])
	switch {
	case n >= 12 && text[4:8] == "ftyp" && text[8:12] == "qt  ":
		return "video/quicktime", nil
	case n >= 12 && text[4:8] == "ftyp":
		return "video/mp4", nil
	case strings.HasPrefix(text, "\x1a\x45\xdf\xa3") && strings.Contains(text, "webm"):
		return "video/webm", nil
	}
	if kind, known := typesByName[strings.ToLower(path.Ext(name))]; known {
		return kind, nil
	}
	return "application/octet-stream", nil
}
