package server

import (
	"context"

	"zonule/annotate"
)

type peopleOutput struct{ Body []annotate.Person }

func (s *Server) people(ctx context.Context, _ *nothing) (*peopleOutput, error) {
	people, err := s.service.People(ctx, actorOf(ctx))
	return &peopleOutput{Body: people}, err
}

type usersOutput struct{ Body []annotate.User }

func (s *Server) users(ctx context.Context, _ *nothing) (*usersOutput, error) {
	users, err := s.service.Users(ctx, actorOf(ctx))
	return &usersOutput{Body: users}, err
}

type putUserInput struct {
	User string `path:"user"`
	Body annotate.User
}

func (s *Server) putUser(ctx context.Context, in *putUserInput) (*meOutput, error) {
	if err := sameAs("id", in.User, &in.Body.ID); err != nil {
		return nil, err
	}
	user, err := s.service.PutUser(ctx, actorOf(ctx), in.Body)
	return &meOutput{Body: user}, err
}

type userPath struct {
	User string `path:"user"`
}

type oneTimePasswordOutput struct {
	Body struct {
		OneTimePassword string `json:"oneTimePassword"`
	}
}

func (s *Server) resetPassword(ctx context.Context, in *userPath) (*oneTimePasswordOutput, error) {
	password, err := s.service.ResetPassword(ctx, actorOf(ctx), in.User)
	out := &oneTimePasswordOutput{}
	out.Body.OneTimePassword = password
	return out, err
}

// sameAs fills in an id that the body leaves to the address, and refuses one that contradicts it.
func sameAs(field, address string, body *string) error {
	if *body != "" && *body != address {
		refusal := annotate.Refuse(annotate.CodeInvalid, "The body is about another thing than the address; nothing was changed.")
		refusal.Fields = []annotate.FieldError{{Field: field, Message: "differs from the address"}}
		return refusal
	}
	*body = address
	return nil
}
