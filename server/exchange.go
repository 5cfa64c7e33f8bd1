package server

import (
	"context"

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
