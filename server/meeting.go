package server

import (
	"context"

	"zonule/annotate"
)

// meetingRoutes is the part of the table for meetings. What a meeting holds is its members' alone: the domain asks at each
// request whether the caller is one and whether the meeting is open to them.
func (s *Server) meetingRoutes() []route {
	const item = "/meetings/{meeting}/items/{item}"
	return []route{
		{"GET", "/meetings", colleague, "list-meetings", answer(s.meetings)},
		{"GET", "/meetings/{meeting}", colleague, "get-meeting", answer(s.meeting)},
		{"PUT", "/meetings/{meeting}", may(annotate.MeetingPlan), "put-meeting", answer(s.putMeeting)},
		{"DELETE", "/meetings/{meeting}", colleague, "remove-meeting", answer(s.removeMeeting)},
		{"POST", "/meetings/{meeting}/state", colleague, "set-meeting-state", answer(s.setMeetingState)},
		{"PUT", "/meetings/{meeting}/attendance", colleague, "put-attendance", answer(s.putAttendance)},
		{"GET", "/meetings/{meeting}/denominators", colleague, "get-denominators", answer(s.denominators, slow)},
		{"PUT", item, colleague, "put-meeting-item", answer(s.putMeetingItem)},
		{"DELETE", item, colleague, "remove-meeting-item", answer(s.removeMeetingItem)},
		{"POST", item + "/compose", colleague, "compose-pack", answer(s.composePack)},
		{"PUT", item + "/record", colleague, "put-item-record", answer(s.putItemRecord)},
		{"PUT", item + "/vote", colleague, "put-vote", answer(s.putVote)},
		{"PUT", item + "/voting", colleague, "put-voting", answer(s.putVoting)},
		{"PUT", "/meetings/{meeting}/remarks/{remark}", colleague, "put-remark", answer(s.putRemark)},
		{"GET", item + "/media/{number}", colleague, "play-meeting-part", answer(s.playMeetingPart, gives("video/*"))},
		{"HEAD", item + "/media/{number}", colleague, "look-at-meeting-part", answer(s.lookAtMeetingPart)},
		{"GET", item + "/stills/{moment}", colleague, "get-meeting-still", answer(s.meetingStill, slow, gives("image/jpeg"))},
		{"GET", "/meetings/{meeting}/live", colleague, "follow-meeting", answer(s.followMeeting, endless, gives("text/event-stream"))},
		{"POST", "/meetings/{meeting}/live", colleague, "lead-meeting", answer(s.leadMeeting)},
		{"GET", "/actions", colleague, "list-actions", answer(s.meetingActions)},
		{"PUT", "/actions/{action}", colleague, "put-action", answer(s.putMeetingAction)},
	}
}

type meetingsOutput struct{ Body []annotate.MeetingLine }

func (s *Server) meetings(ctx context.Context, _ *struct{}) (*meetingsOutput, error) {
	lines, err := s.service.Meetings(ctx, actorOf(ctx))
	return &meetingsOutput{Body: lines}, err
}

type meetingPath struct {
	Meeting string `path:"meeting"`
}

type meetingOutput struct{ Body annotate.MeetingSheet }

func (s *Server) meeting(ctx context.Context, in *meetingPath) (*meetingOutput, error) {
	sheet, err := s.service.Meeting(ctx, actorOf(ctx), in.Meeting)
	if err == nil {
		err = s.noteMeetingView(ctx, in.Meeting, "agenda")
	}
	return &meetingOutput{Body: sheet}, err
}

// noteMeetingView writes who looked at what of a meeting, not at each of the requests that one look is made of.
func (s *Server) noteMeetingView(ctx context.Context, meetingID, what string) error {
	actor, now := actorOf(ctx), s.now()
	key := "meeting " + meetingID + " " + what
	if s.viewings.fresh(actor.ID, key, now) {
		return nil
	}
	if err := s.service.NoteMeeting(ctx, actor, "meeting.view", meetingID, what); err != nil {
		return err
	}
	s.viewings.keep(actor.ID, key, now)
	return nil
}

type putMeetingInput struct {
	Meeting string `path:"meeting"`
	Body    annotate.Meeting
}

func (s *Server) putMeeting(ctx context.Context, in *putMeetingInput) (*meetingOutput, error) {
	if err := sameAs("id", in.Meeting, &in.Body.ID); err != nil {
		return nil, err
	}
	sheet, err := s.service.PutMeeting(ctx, actorOf(ctx), in.Body)
	return &meetingOutput{Body: sheet}, err
}

type removeMeetingInput struct {
	Meeting  string `path:"meeting"`
	Revision int64  `query:"revision" required:"true" doc:"Of the version that is to go."`
}

func (s *Server) removeMeeting(ctx context.Context, in *removeMeetingInput) (*nothing, error) {
	return &nothing{}, s.service.RemoveMeeting(ctx, actorOf(ctx), in.Meeting, in.Revision)
}

type setMeetingStateInput struct {
	Meeting string `path:"meeting"`
	Body    struct {
		State annotate.MeetingState `json:"state"`
	}
}

func (s *Server) setMeetingState(ctx context.Context, in *setMeetingStateInput) (*meetingOutput, error) {
	sheet, err := s.service.SetMeetingState(ctx, actorOf(ctx), in.Meeting, in.Body.State)
	s.hub.Wake(in.Meeting)
	return &meetingOutput{Body: sheet}, err
}

type putAttendanceInput struct {
	Meeting string `path:"meeting"`
	Body    annotate.Attendee
}

func (s *Server) putAttendance(ctx context.Context, in *putAttendanceInput) (*meetingOutput, error) {
	sheet, err := s.service.Attend(ctx, actorOf(ctx), in.Meeting, in.Body)
	return &meetingOutput{Body: sheet}, err
}

type denominatorsOutput struct{ Body annotate.MeetingDenominators }

func (s *Server) denominators(ctx context.Context, in *meetingPath) (*denominatorsOutput, error) {
	answer, err := s.service.MeetingDenominators(ctx, actorOf(ctx), in.Meeting)
	return &denominatorsOutput{Body: answer}, err
}

type actionsOutput struct{ Body []annotate.MeetingAction }

func (s *Server) meetingActions(ctx context.Context, _ *struct{}) (*actionsOutput, error) {
	actions, err := s.service.MeetingActions(ctx, actorOf(ctx))
	return &actionsOutput{Body: actions}, err
}

type putActionInput struct {
	Action string `path:"action"`
	Body   annotate.MeetingAction
}

type actionOutput struct{ Body annotate.MeetingAction }

func (s *Server) putMeetingAction(ctx context.Context, in *putActionInput) (*actionOutput, error) {
	if err := sameAs("id", in.Action, &in.Body.ID); err != nil {
		return nil, err
	}
	action, err := s.service.PutMeetingAction(ctx, actorOf(ctx), in.Body)
	return &actionOutput{Body: action}, err
}
