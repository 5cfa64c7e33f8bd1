package server

import (
	"context"
	"net/http"

	"zonule/server/report"
)

// minutesRoutes is the part of the table for the minutes of meetings, which are written as the meeting goes.
func (s *Server) minutesRoutes() []route {
	return []route{
		{"GET", "/meetings/{meeting}/minutes.html", colleague, "get-minutes-html", answer(s.minutes(formHTML), slow, gives("text/html"))},
		{"GET", "/meetings/{meeting}/minutes.pdf", colleague, "get-minutes-pdf", answer(s.minutes(formPDF), slow, gives("application/pdf"))},
	}
}

// minutes writes the minutes for one member, whose name stands on them, and notes who took them.
func (s *Server) minutes(form reportForm) func(context.Context, *meetingPath) (*fileOutput, error) {
	write, noted := report.MinutesPDF, "meeting.download"
	if form == formHTML {
		write, noted = report.MinutesHTML, "meeting.view"
	}
	return func(ctx context.Context, in *meetingPath) (*fileOutput, error) {
		actor := actorOf(ctx)
		var m report.Minutes
		var err error
		if m.MeetingSheet, err = s.service.Meeting(ctx, actor, in.Meeting); err != nil {
			return nil, err
		}
		if m.Denominators, err = s.service.MeetingDenominators(ctx, actor, in.Meeting); err != nil {
			return nil, err
		}
		unit, err := s.service.Unit(ctx)
		if err != nil {
			return nil, err
		}
		people, err := s.service.People(ctx, actor)
		if err != nil {
			return nil, err
		}
		names := map[string]string{}
		for _, person := range people {
			names[person.ID] = person.Name
		}
		content, err := write(m, report.MinutesEdition{
			Unit: unit.Name, Invented: unit.Invented, Name: func(id string) string { return names[id] }, Reader: actor.Name, Made: s.now(),
		})
		if err != nil {
			return nil, err
		}
		if err := s.service.NoteMeeting(ctx, actor, noted, in.Meeting, "minutes, "+form.ending); err != nil {
			return nil, err
		}
		return &fileOutput{
			Status: http.StatusOK, ContentType: form.contentType, Disposition: form.disposition("minutes-" + slug(m.Date)),
			Policy: reportPolicy + report.StyleSource(), CacheControl: "no-store", Body: content,
		}, nil
	}
}
