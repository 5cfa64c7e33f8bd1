package server

import (
	"context"
	"fmt"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humagin"

	"zonule/annotate"
	"zonule/server/media"
)

type meetingPartPath struct {
	Meeting string `path:"meeting"`
	Item    string `path:"item"`
	Number  int    `path:"number" doc:"Of the part of the recording, from 1."`
}

// playMeetingPart streams a part of the recording of an item to a member. What it sends tells neither whose it is nor when
// it was made.
func (s *Server) playMeetingPart(ctx context.Context, in *meetingPartPath) (*huma.StreamResponse, error) {
	film, err := s.service.MeetingPart(ctx, actorOf(ctx), in.Meeting, in.Item, in.Number)
	if err != nil {
		return nil, err
	}
	if err := s.noteMeetingView(ctx, in.Meeting, fmt.Sprintf("recording of item %s, part %d", in.Item, in.Number)); err != nil {
		return nil, err
	}
	return s.streamBlind(film, in), nil
}

// lookAtMeetingPart answers as playMeetingPart does, without a picture.
func (s *Server) lookAtMeetingPart(ctx context.Context, in *meetingPartPath) (*huma.StreamResponse, error) {
	film, err := s.service.MeetingPart(ctx, actorOf(ctx), in.Meeting, in.Item, in.Number)
	if err != nil {
		return nil, err
	}
	return s.streamBlind(film, in), nil
}

func (s *Server) streamBlind(film annotate.MeetingFilm, in *meetingPartPath) *huma.StreamResponse {
	return &huma.StreamResponse{Body: func(hc huma.Context) {
		c := humagin.Unwrap(hc)
		salt := fmt.Sprintf("%s/%d", in.Item, in.Number)
		if err := s.library.ServeBlind(c.Writer, c.Request, film.Part.Source, film.Part.Facts.Fingerprint, salt); err != nil {
			s.refuse(c, unshownFilm(err))
		}
	}}
}

// unshownFilm keeps the words of the library, which name files, for the log.
func unshownFilm(err error) error {
	return annotate.Refuse(annotate.CodeMedia, "The recording cannot be shown now.").Because(err)
}

type stillPath struct {
	Meeting string `path:"meeting"`
	Item    string `path:"item"`
	Moment  string `path:"moment"`
	Width   int    `query:"width" default:"960" minimum:"80" maximum:"1920" doc:"In pixels."`
}

// meetingStill gives the picture of a prepared moment.
func (s *Server) meetingStill(ctx context.Context, in *stillPath) (*fileOutput, error) {
	film, err := s.service.MeetingMoment(ctx, actorOf(ctx), in.Meeting, in.Item, in.Moment)
	if err != nil {
		return nil, err
	}
	still := media.StillOf{Source: film.Part.Source, Fingerprint: film.Part.Facts.Fingerprint, Ms: film.Ms, Width: in.Width}
	if rate := film.Part.Facts.FrameRate; rate.Num > 0 {
		still.FrameMs = 1000 * float64(rate.Den) / float64(rate.Num)
	}
	picture, err := s.library.Still(ctx, still)
	if err != nil {
		return nil, unshownFilm(err)
	}
	return &fileOutput{
		Status: http.StatusOK, ContentType: "image/jpeg", Disposition: `inline; filename="still.jpg"`, CacheControl: "private, no-cache", Body: picture,
	}, nil
}
