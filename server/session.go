package server

import (
	"context"
	"net/http"

	"zonule/annotate"
)

// nothing is the input of a route that takes none, and the output of one that gives none.
type nothing struct{}

type signInInput struct {
	Body struct {
		Login    string `json:"login" maxLength:"200"`
		Password string `json:"password" maxLength:"1000"`
	}
}

type userOutput struct {
	SetCookie http.Cookie `header:"Set-Cookie"`
	Body      annotate.User
}

type cookieOutput struct {
	SetCookie http.Cookie `header:"Set-Cookie"`
}

func (s *Server) signIn(ctx context.Context, in *signInInput) (*userOutput, error) {
	user, err := s.service.SignIn(ctx, in.Body.Login, in.Body.Password, exchangeOf(ctx).address)
	if err != nil {
		return nil, err
	}
	exchangeOf(ctx).user = &user
	cookie, err := s.sessions.Begin(ctx, user)
	return &userOutput{SetCookie: cookie, Body: user}, err
}

func (s *Server) signOut(ctx context.Context, _ *nothing) (*cookieOutput, error) {
	cookie, err := s.sessions.End(ctx)
	return &cookieOutput{SetCookie: cookie}, err
}

type meOutput struct{ Body annotate.User }

func (s *Server) me(ctx context.Context, _ *nothing) (*meOutput, error) {
	return &meOutput{Body: actorOf(ctx).User}, nil
}

type passwordInput struct {
	Body struct {
		Old string `json:"old" maxLength:"1000"`
		New string `json:"new" maxLength:"1000"`
	}
}

// changePassword ends every other session of the account and keeps this one under a new token.
func (s *Server) changePassword(ctx context.Context, in *passwordInput) (*cookieOutput, error) {
	actor := actorOf(ctx)
	if err := s.service.ChangePassword(ctx, actor, in.Body.Old, in.Body.New); err != nil {
		return nil, err
	}
	user, err := s.service.UserByID(ctx, actor.ID)
	if err != nil {
		return nil, err
	}
	cookie, err := s.sessions.Begin(ctx, user)
	return &cookieOutput{SetCookie: cookie}, err
}
