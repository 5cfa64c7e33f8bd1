package server

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/gin-gonic/gin"

	"zonule/annotate"
)

// exchange is what the server keeps about one request while it is answered.
type exchange struct {
	requestID string
	address   string // of the caller
	origin    string // by which the caller reaches the server, such as "https://zonule.example.org"
	user      *annotate.User
	code      annotate.Code // of the refusal, "" when there was none
	cause     error         // of the refusal; only for the log
}

type exchangeKey struct{}

func withExchange(ctx context.Context, e *exchange) context.Context {
	return context.WithValue(ctx, exchangeKey{}, e)
}

// exchangeOf gives the exchange that the first middleware put into every request.
func exchangeOf(ctx context.Context) *exchange {
	e, ok := ctx.Value(exchangeKey{}).(*exchange)
	if !ok {
		return &exchange{}
	}
	return e
}

// actorOf gives the person who asks. Routes that anyone may call do not use it.
func actorOf(ctx context.Context) annotate.Actor {
	e := exchangeOf(ctx)
	actor := annotate.Actor{RequestID: e.requestID}
	if e.user != nil {
		actor.User = *e.user
	}
	return actor
}

// identify gives every request a number that stands in the answer, in the log and in the audit.
func (s *Server) identify(c *gin.Context) {
	e := &exchange{requestID: s.newID(), address: c.ClientIP(), origin: s.originOf(c.Request)}
	c.Request = c.Request.WithContext(withExchange(c.Request.Context(), e))
	c.Header("X-Request-Id", e.requestID)
	c.Next()
}

// originOf is put before the links of reports that leave the program.
func (s *Server) originOf(r *http.Request) string {
	switch {
	case s.address != "":
		return s.address
	case r.TLS != nil || s.secure:
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

// record writes one log line per request. It holds the route and never the address itself, a query, a header or a
// body: those may be clinical text. The cause of a refusal is told only when it is the server's, or lies below it.
func (s *Server) record(c *gin.Context) {
	began := time.Now()
	c.Next()
	e, status := exchangeOf(c.Request.Context()), c.Writer.Status()
	line := []slog.Attr{
		slog.String("method", c.Request.Method), slog.String("route", c.FullPath()), slog.Int("status", status),
		slog.Int("bytes", max(0, c.Writer.Size())), slog.Int64("ms", time.Since(began).Milliseconds()),
		slog.String("requestId", e.requestID), slog.String("address", e.address),
	}
	if e.user != nil {
		line = append(line, slog.String("user", e.user.ID))
	}
	if e.code != "" {
		line = append(line, slog.String("code", string(e.code)))
	}
	level := slog.LevelInfo
	if status >= http.StatusInternalServerError {
		level = slog.LevelError
		if e.cause != nil {
			line = append(line, slog.String("cause", e.cause.Error()))
		}
	} else if below := errors.Unwrap(e.cause); below != nil {
		line = append(line, slog.String("cause", below.Error()))
	}
	s.log.LogAttrs(c.Request.Context(), level, "request", line...)
}

// survive turns a panic into a refusal. A panic after the first byte can only cut the connection.
func (s *Server) survive(c *gin.Context) {
	defer func() {
		met := recover()
		if met == nil {
			return
		}
		if err, ok := met.(error); ok && errors.Is(err, http.ErrAbortHandler) {
			panic(met)
		}
		err := fmt.Errorf("panic: %v\n%s", met, debug.Stack())
		if c.Writer.Written() {
			exchangeOf(c.Request.Context()).cause = err
			s.log.ErrorContext(c.Request.Context(), "panic after the answer began", "cause", err.Error(),
				"requestId", exchangeOf(c.Request.Context()).requestID)
			panic(http.ErrAbortHandler)
		}
		s.fail(c, err)
	}()
	c.Next()
}

// fail answers in the form that the caller reads: a problem under the prefix, plain words elsewhere.
func (s *Server) fail(c *gin.Context, err error) {
	if underPrefix(c.Request.URL.Path) {
		s.refuse(c, err)
		return
	}
	exchangeOf(c.Request.Context()).cause = err
	problem := problemOf(c.Request.Context(), err)
	c.Abort()
	c.String(problem.Status, "%s\n", problem.Detail)
}

func underPrefix(path string) bool { return path == prefix || strings.HasPrefix(path, prefix+"/") }

// readable refuses addresses that no text column could keep.
func (s *Server) readable(c *gin.Context) {
	if underPrefix(c.Request.URL.Path) && !storable(c.Request.URL) {
		s.refuse(c, annotate.Refuse(annotate.CodeInvalid, "The address is not valid UTF-8 text; nothing was changed."))
		return
	}
	c.Request.Body = &timedBody{ReadCloser: c.Request.Body, controller: http.NewResponseController(c.Writer)}
	c.Next()
}

// timedBody ends the deadline that was set for reading the body once it is read. Left standing, it would cancel the
// request of a handler that works for longer, because the server goes on reading to notice a caller who leaves.
type timedBody struct {
	io.ReadCloser
	controller *http.ResponseController
}

func (b *timedBody) Close() error {
	err := b.ReadCloser.Close()
	// A writer without deadlines, as in tests, has none to end.
	_ = b.controller.SetReadDeadline(time.Time{})
	return err
}

// sameSite refuses changes that another site's page asks for.
func (s *Server) sameSite(c *gin.Context) {
	if err := s.origins.Check(c.Request); err != nil {
		s.fail(c, annotate.Refuse(annotate.CodeForbidden,
			"This change was asked for by a page of another site and was not made. Open Zonule at its own address.").Because(err))
		return
	}
	c.Next()
}

// known finds out who asks.
func (s *Server) known(c *gin.Context) {
	if !underPrefix(c.Request.URL.Path) {
		c.Next()
		return
	}
	visit, err := s.sessions.Open(c.Request)
	if err != nil {
		s.refuse(c, err)
		return
	}
	c.Request = c.Request.WithContext(visit.Context)
	exchangeOf(visit.Context).user = visit.User
	c.Next()
}

// admit keeps the rule of one route and gives its work an end; one without a limit ends with its caller.
func (s *Server) admit(r route, limit time.Duration) func(huma.Context, func(huma.Context)) {
	return func(ctx huma.Context, next func(huma.Context)) {
		if err := r.who.check(exchangeOf(ctx.Context()).user); err != nil {
			_ = huma.WriteErr(s.api, ctx, http.StatusInternalServerError, "", err)
			return
		}
		if limit == 0 {
			next(ctx)
			return
		}
		bounded, cancel := context.WithTimeout(ctx.Context(), limit)
		defer cancel()
		next(huma.WithContext(ctx, bounded))
	}
}

// protect sets the headers that hold for every answer; some handlers tighten them.
func (s *Server) protect(c *gin.Context) {
	for name, value := range s.headers {
		c.Header(name, value)
	}
	if underPrefix(c.Request.URL.Path) {
		c.Header("Cache-Control", "no-store")
	}
	c.Next()
}
