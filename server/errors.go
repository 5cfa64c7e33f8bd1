package server

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humagin"
	"github.com/gin-gonic/gin"

	"zonule/annotate"
	"zonule/server/media"
)

// statuses maps every code of the domain to one status.
var statuses = map[annotate.Code]int{
	annotate.CodeInvalid:      http.StatusUnprocessableEntity,
	annotate.CodeNotFound:     http.StatusNotFound,
	annotate.CodeForbidden:    http.StatusForbidden,
	annotate.CodeSignedOut:    http.StatusUnauthorized,
	annotate.CodeStale:        http.StatusConflict,
	annotate.CodeTaken:        http.StatusConflict,
	annotate.CodeTooManyTries: http.StatusTooManyRequests,
	annotate.CodeMedia:        http.StatusUnprocessableEntity,
	annotate.CodeSigned:       http.StatusConflict,
	annotate.CodeUnavailable:  http.StatusServiceUnavailable,
}

// statusLeft is logged when the caller left before the answer; nobody receives it.
const statusLeft = 499

// doorCodes are the refusals that the domain never hears of, by status, with the words for them.
var doorCodes = map[int]struct {
	code   annotate.Code
	detail string
}{
	http.StatusBadRequest:            {annotate.CodeInvalid, "The request has no body; nothing was changed."},
	http.StatusMethodNotAllowed:      {"method-not-allowed", "This address does not take that method."},
	http.StatusNotAcceptable:         {"not-acceptable", "This address answers in JSON only."},
	http.StatusRequestTimeout:        {"too-slow", "The request did not arrive in time. Check the network and send it again."},
	http.StatusRequestEntityTooLarge: {"too-large", "The request is too large; nothing was changed. Send it in smaller pieces."},
	http.StatusUnsupportedMediaType:  {"not-json", "Send the body as application/json."},
	http.StatusUnprocessableEntity:   {annotate.CodeInvalid, "The request was not taken; nothing was changed."},
	http.StatusInternalServerError:   {"internal", "The server failed. Try again; if it happens again, tell your administrator the request number."},
	statusLeft:                       {"left", "The caller left before the answer."},
}

// leads begin the sentence about the first finding of the library.
var leads = map[int]string{
	http.StatusBadRequest:          "The request cannot be read: ",
	http.StatusUnprocessableEntity: "The request was not taken: ",
}

// Problem is the one shape of every refusal (RFC 9457, with fields of ours).
type Problem struct {
	Type      string                `json:"type"`
	Title     string                `json:"title"`
	Status    int                   `json:"status"`
	Detail    string                `json:"detail" doc:"What happened and what to do, for a person."`
	Code      annotate.Code         `json:"code" doc:"Stable name of the refusal."`
	RequestID string                `json:"requestId" doc:"Stands in the server's log too."`
	Fields    []annotate.FieldError `json:"fields,omitempty" doc:"What is wrong with which field."`
	Yours     any                   `json:"yours,omitempty" doc:"With code stale: what was sent."`
	Theirs    any                   `json:"theirs,omitempty" doc:"With code stale: what is stored now."`
	// RetryAfterSeconds is set for too-many-tries and repeated in the Retry-After header.
	RetryAfterSeconds int `json:"retryAfterSeconds,omitempty"`
}

// Error is for logs.
func (p *Problem) Error() string { return string(p.Code) + ": " + p.Detail }

// GetStatus tells the API library which status to write.
func (p *Problem) GetStatus() int { return p.Status }

// ContentType is that of RFC 9457.
func (p *Problem) ContentType(string) string { return "application/problem+json" }

// The library makes all its own errors through these two variables and passes what handlers return through them, so
// that everything under the prefix is refused in one shape.
func init() {
	huma.NewError = func(status int, _ string, _ ...error) huma.StatusError { return doorProblem(status) }
	huma.NewErrorWithContext = newProblem
}

// refuse answers with a problem outside the handlers of the API library, by the same writer.
func (s *Server) refuse(c *gin.Context, err error) {
	c.Abort()
	if c.Writer.Written() {
		exchangeOf(c.Request.Context()).cause = err
		return
	}
	// The library reports a failed write by itself, and there is nobody left to tell.
	_ = huma.WriteErr(s.api, humagin.NewContext(&huma.Operation{}, c), http.StatusInternalServerError, "", err)
}

func newProblem(ctx huma.Context, status int, _ string, errs ...error) huma.StatusError {
	exchange := exchangeOf(ctx.Context())
	var problem *Problem
	if details := detailsOf(errs); status < http.StatusInternalServerError || len(details) > 0 {
		problem = doorProblem(status)
		if lead := leads[status]; lead != "" && len(details) > 0 {
			problem.Fields, problem.Detail = details, lead+sentence(details[0])
		}
	} else {
		err := errors.Join(errs...)
		problem = problemOf(ctx.Context(), err)
		exchange.cause = err
	}
	problem.RequestID = exchange.requestID
	exchange.code = problem.Code
	if problem.RetryAfterSeconds > 0 {
		ctx.SetHeader("Retry-After", strconv.Itoa(problem.RetryAfterSeconds))
	}
	ctx.SetHeader("Cache-Control", "no-store")
	return problem
}

// problemOf turns what the domain returned into what the caller is told. Errors that are not ours show nothing of
// their text.
func problemOf(ctx context.Context, err error) *Problem {
	var known *annotate.Error
	var door *Problem
	var fault *media.Error
	switch {
	case errors.As(err, &door):
		return door
	case errors.As(err, &known):
		return &Problem{
			Type: "about:blank", Title: http.StatusText(statuses[known.Code]), Status: statuses[known.Code],
			Code: known.Code, Detail: known.Message, Fields: known.Fields, Yours: known.Yours, Theirs: known.Theirs,
			RetryAfterSeconds: known.RetryAfterSeconds,
		}
	case errors.As(err, &fault):
		return problemOf(ctx, recordingError(fault))
	case errors.Is(ctx.Err(), context.Canceled):
		return doorProblem(statusLeft)
	case errors.Is(err, context.DeadlineExceeded):
		return problemOf(ctx, annotate.Refuse(annotate.CodeUnavailable, "This took too long and was given up. Try again in a moment."))
	}
	return doorProblem(http.StatusInternalServerError)
}

func doorProblem(status int) *Problem {
	words, known := doorCodes[status]
	if !known {
		words = doorCodes[http.StatusInternalServerError]
	}
	title := http.StatusText(status)
	if status == statusLeft {
		title = "Caller Left"
	}
	return &Problem{Type: "about:blank", Title: title, Status: status, Code: words.code, Detail: words.detail}
}

// reworded are the findings whose words the library does not let us set.
var reworded = map[string]string{
	"unknown query parameter":             "is not a known part of the query",
	"required query parameter is missing": "is missing from the query",
	"invalid integer":                     "must be a whole number",
	"invalid boolean":                     "must be true or false",
}

// detailsOf takes the places and messages from the library's findings, never the values: they may be clinical text
// or a password. A missing property is told at its own place rather than at its parent's.
func detailsOf(errs []error) []annotate.FieldError {
	var fields []annotate.FieldError
	for _, err := range errs {
		found, ok := err.(huma.ErrorDetailer)
		if !ok {
			continue
		}
		detail := found.ErrorDetail()
		place, message := detail.Location, detail.Message
		if name, missing := strings.CutPrefix(message, "expected required property "); missing {
			place += "." + strings.TrimSuffix(name, " to be present")
			message = "is missing"
		}
		if better, ok := reworded[message]; ok {
			message = better
		}
		for _, where := range []string{"body", "path", "query", "header"} {
			if rest, inside := strings.CutPrefix(place, where+"."); inside {
				place = rest
				break
			}
		}
		fields = append(fields, annotate.FieldError{Field: place, Message: message})
	}
	return fields
}

func sentence(f annotate.FieldError) string {
	if f.Field == "body" {
		f.Field = "the body"
	}
	return f.Field + " " + f.Message + "."
}
