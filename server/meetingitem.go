package server

import (
	"context"

	"zonule/annotate"
)

type itemPath struct {
	Meeting string `path:"meeting"`
	Item    string `path:"item"`
}

type putMeetingItemInput struct {
	Meeting string `path:"meeting"`
	Item    string `path:"item"`
	Body    annotate.AgendaItem
}

type meetingItemOutput struct{ Body annotate.AgendaItem }

func (s *Server) putMeetingItem(ctx context.Context, in *putMeetingItemInput) (*meetingItemOutput, error) {
	if err := sameAs("id", in.Item, &in.Body.ID); err != nil {
		return nil, err
	}
	item, err := s.service.PutMeetingItem(ctx, actorOf(ctx), in.Meeting, in.Body)
	return &meetingItemOutput{Body: item}, err
}

type removeMeetingItemInput struct {
	Meeting  string `path:"meeting"`
	Item     string `path:"item"`
	Revision int64  `query:"revision" required:"true" doc:"Of the version that is to go."`
}

func (s *Server) removeMeetingItem(ctx context.Context, in *removeMeetingItemInput) (*nothing, error) {
	return &nothing{}, s.service.RemoveMeetingItem(ctx, actorOf(ctx), in.Meeting, in.Item, in.Revision)
}

type packOutput struct{ Body annotate.Pack }

func (s *Server) composePack(ctx context.Context, in *itemPath) (*packOutput, error) {
	pack, err := s.service.ComposePack(ctx, actorOf(ctx), in.Meeting, in.Item)
	return &packOutput{Body: pack}, err
}

type putItemRecordInput struct {
	Meeting string `path:"meeting"`
	Item    string `path:"item"`
	Body    annotate.ItemRecord
}

type itemRecordOutput struct{ Body annotate.ItemRecord }

func (s *Server) putItemRecord(ctx context.Context, in *putItemRecordInput) (*itemRecordOutput, error) {
	record, err := s.service.PutItemRecord(ctx, actorOf(ctx), in.Meeting, in.Item, in.Body)
	return &itemRecordOutput{Body: record}, err
}

type putVoteInput struct {
	Meeting string `path:"meeting"`
	Item    string `path:"item"`
	Body    struct {
		Question annotate.VoteQuestion `json:"question"`
		Value    string                `json:"value"`
	}
}

type voteOutput struct{ Body annotate.ItemVote }

func (s *Server) putVote(ctx context.Context, in *putVoteInput) (*voteOutput, error) {
	vote, err := s.service.Vote(ctx, actorOf(ctx), in.Meeting, in.Item, in.Body.Question, in.Body.Value)
	return &voteOutput{Body: vote}, err
}

type putVotingInput struct {
	Meeting string `path:"meeting"`
	Item    string `path:"item"`
	Body    struct {
		Question annotate.VoteQuestion `json:"question"`
		Open     bool                  `json:"open"`
	}
}

func (s *Server) putVoting(ctx context.Context, in *putVotingInput) (*voteOutput, error) {
	vote, err := s.service.SetVoting(ctx, actorOf(ctx), in.Meeting, in.Item, in.Body.Question, in.Body.Open)
	return &voteOutput{Body: vote}, err
}

type putRemarkInput struct {
	Meeting string `path:"meeting"`
	Remark  string `path:"remark"`
	Body    annotate.Remark
}

type remarkOutput struct{ Body annotate.Remark }

func (s *Server) putRemark(ctx context.Context, in *putRemarkInput) (*remarkOutput, error) {
	if err := sameAs("id", in.Remark, &in.Body.ID); err != nil {
		return nil, err
	}
	remark, err := s.service.PutRemark(ctx, actorOf(ctx), in.Meeting, in.Body)
	return &remarkOutput{Body: remark}, err
}
