package server

import (
	"context"
	"net/http"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/gin-gonic/gin"

	"zonule/annotate"
)

const (
	// prefix begins every address of the interface; what changes incompatibly gets another number.
	prefix = "/api/v1"

	bodyLimit      = 1 << 20
	editsBodyLimit = 4 << 20
	// bodyReadLimit is generous: an outbox may be sent over a poor line.
	bodyReadLimit = 60 * time.Second

	workLimit     = 30 * time.Second
	longWorkLimit = 3 * time.Minute
)

// route is one row of the table.
type route struct {
	method string
	path   string
	who    rule
	name   string // operationId in the description
	attach attach
}

// rule says who may use a route. The domain checks rights over a thing; the door checks only whether somebody is
// signed in, so that a rule that names an action is kept by the domain's table in annotate/access.go.
type rule struct {
	words string
	// signedIn asks for somebody; settled for somebody whose password is their own.
	signedIn, settled bool
}

var (
	anyone     = rule{words: "anyone"}
	signedIn   = rule{words: "signed in", signedIn: true}
	everyone   = rule{words: "signed in, own password", signedIn: true, settled: true}
	itself     = rule{words: "the network it listens on"}
	pageReader = rule{words: "anyone, the page holds no data"}
)

// may is the rule of a route whose right the domain decides: one of the actions, depending on what is asked.
func may(actions ...annotate.Action) rule {
	words := make([]string, len(actions))
	for i, action := range actions {
		words[i] = string(action)
	}
	return rule{words: strings.Join(words, " or "), signedIn: true, settled: true}
}

func (r rule) check(user *annotate.User) error {
	switch {
	case !r.signedIn:
		return nil
	case user == nil:
		return annotate.Refuse(annotate.CodeSignedOut, "You are signed out. Sign in again; what you typed is still here.")
	case r.settled && user.MustChangePassword:
		return annotate.Refuse(annotate.CodeForbidden, "Choose a password of your own first; until then nothing else can be done.")
	}
	return nil
}

// attach puts a route into the server.
type attach func(*Server, route)

// option changes how a route is described or bounded.
type option func(*huma.Operation, *time.Duration)

// answer attaches a handler of the described interface: it returns a value or an error and writes nothing itself.
func answer[I, O any](handler func(context.Context, *I) (*O, error), options ...option) attach {
	return func(s *Server, r route) {
		operation := huma.Operation{
			OperationID: r.name, Method: r.method, Path: r.path, MaxBodyBytes: bodyLimit + 1, BodyReadTimeout: bodyReadLimit,
			Summary: strings.ReplaceAll(r.name, "-", " "), Description: "Who may: " + r.who.words + ".",
		}
		limit := workLimit
		for _, o := range options {
			o(&operation, &limit)
		}
		operation.Middlewares = huma.Middlewares{s.admit(r, limit)}
		huma.Register(s.api, operation, handler)
	}
}

// plain attaches a handler outside the described interface.
func plain(handler gin.HandlerFunc) attach {
	return func(s *Server, r route) { s.engine.Handle(r.method, r.path, handler) }
}

// upTo lets a body be larger than usual.
func upTo(bytes int64) option {
	return func(o *huma.Operation, _ *time.Duration) { o.MaxBodyBytes = bytes + 1 }
}

// slow lets work take longer than usual: reading recordings and drawing reports.
func slow(_ *huma.Operation, limit *time.Duration) { *limit = longWorkLimit }

// gives describes an answer that is a file.
func gives(contentType string) option {
	return func(o *huma.Operation, _ *time.Duration) {
		o.Responses = map[string]*huma.Response{"200": {
			Description: http.StatusText(http.StatusOK),
			Content:     map[string]*huma.MediaType{contentType: {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}},
		}}
	}
}
