package server

import (
	"bytes"
	"errors"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"zonule/annotate"
)

// headersOf gives the headers of every answer. Style attributes are let through because the page places markers and
// stages with them; style sheets and scripts come from the server alone. Films may lie at an https address.
func headersOf(secure bool) map[string]string {
	headers := map[string]string{
		"Content-Security-Policy": "default-src 'self'; style-src-attr 'unsafe-inline'; img-src 'self' data: blob:; " +
			"media-src 'self' https: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'self'",
		"Cross-Origin-Opener-Policy":   "same-origin",
		"Cross-Origin-Resource-Policy": "same-origin",
		"Permissions-Policy":           "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
		"Referrer-Policy":              "no-referrer",
		"X-Content-Type-Options":       "nosniff",
	}
	if secure {
		headers["Strict-Transport-Security"] = "max-age=31536000"
	}
	return headers
}

// nowhere answers every address without a route: the page for people, a refusal for programs.
func (s *Server) nowhere(c *gin.Context) {
	reading := c.Request.Method == http.MethodGet || c.Request.Method == http.MethodHead
	switch {
	case underPrefix(c.Request.URL.Path):
		s.refuse(c, annotate.Refuse(annotate.CodeNotFound, "There is nothing at this address."))
	case !reading:
		s.fail(c, doorProblem(http.StatusMethodNotAllowed))
	default:
		s.servePage(c, path.Clean(c.Request.URL.Path))
	}
}

// servePage gives the file at the address, or index.html for an address of the page. A name with an ending is a
// file, and a missing file is missing: answered with the page, it would fail in the browser without a word.
func (s *Server) servePage(c *gin.Context, address string) {
	name, cache := "index.html", "no-cache"
	if strings.Contains(path.Base(address), ".") || strings.HasPrefix(address+"/", "/assets/") {
		name = strings.TrimPrefix(address, "/")
	}
	if strings.HasPrefix(name, "assets/") {
		cache = "public, max-age=31536000, immutable" // the build puts a hash of the content into the name
	}
	content, err := s.readPage(name)
	switch {
	case err == nil:
		c.Header("Cache-Control", cache)
		http.ServeContent(c.Writer, c.Request, name, time.Time{}, bytes.NewReader(content))
	case errors.Is(err, fs.ErrNotExist) && name == "index.html":
		c.String(http.StatusServiceUnavailable, "The page is not built into this program. Build it with \"make build\".\n")
	case errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid):
		c.String(http.StatusNotFound, "There is no such file.\n")
	default:
		s.fail(c, err)
	}
}

func (s *Server) readPage(name string) ([]byte, error) {
	if s.page == nil || strings.HasPrefix(path.Base(name), ".") {
		return nil, fs.ErrNotExist
	}
	if info, err := fs.Stat(s.page, name); err != nil || info.IsDir() {
		return nil, fs.ErrNotExist
	}
	return fs.ReadFile(s.page, name)
}
