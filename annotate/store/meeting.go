package store

import (
	"context"

	"zonule/annotate"
)

type meetingRow struct {
	ID     string
	Change int64
	Body   text[annotate.Meeting]
}

const selectMeeting = "SELECT m.id, m.change, m.body FROM meetings m "

func (t *tx) Meeting(ctx context.Context, id string) (annotate.KeptMeeting, error) {
	return t.readMeeting(ctx, id, "")
}

func (t *tx) LockMeeting(ctx context.Context, id string) (annotate.KeptMeeting, error) {
	return t.readMeeting(ctx, id, t.dialect.forUpdate)
}

func (t *tx) readMeeting(ctx context.Context, id, lock string) (annotate.KeptMeeting, error) {
	var row meetingRow
	if err := t.get(ctx, &row, selectMeeting+"WHERE m.id = ?"+lock, id); err != nil {
		return annotate.KeptMeeting{}, err
	}
	meetings, err := t.meetings(ctx, []meetingRow{row})
	if err != nil {
		return annotate.KeptMeeting{}, err
	}
	return meetings[0], nil
}

func (t *tx) Meetings(ctx context.Context) ([]annotate.KeptMeeting, error) {
	var rows []meetingRow
	if err := t.list(ctx, &rows, selectMeeting+"ORDER BY m.date, m.id"); err != nil {
		return nil, err
	}
	return t.meetings(ctx, rows)
}

func (t *tx) MeetingsOf(ctx context.Context, userID string) ([]annotate.KeptMeeting, error) {
	var rows []meetingRow
	err := t.list(ctx, &rows, selectMeeting+`WHERE m.chair_id = ? OR m.id IN (SELECT a.meeting_id FROM meeting_attendees a WHERE a.user_id = ?)
		ORDER BY m.date, m.id`, userID, userID)
	if err != nil {
		return nil, err
	}
	return t.meetings(ctx, rows)
}

// meetings adds the attendees, in the order in which they were invited.
func (t *tx) meetings(ctx context.Context, rows []meetingRow) ([]annotate.KeptMeeting, error) {
	list, ids, at := make([]annotate.KeptMeeting, len(rows)), make([]string, len(rows)), map[string]int{}
	for i, row := range rows {
		list[i] = annotate.KeptMeeting{Meeting: row.Body.value, Change: row.Change}
		list[i].Attendees = []annotate.Attendee{}
		ids[i], at[row.ID] = row.ID, i
	}
	var attendees []struct {
		MeetingID string `db:"meeting_id"`
		UserID    string `db:"user_id"`
		Present   bool
		Apology   bool
	}
	err := t.listIn(ctx, &attendees, "SELECT meeting_id, user_id, present, apology FROM meeting_attendees WHERE meeting_id IN (?) ORDER BY meeting_id, place", ids)
	for _, a := range attendees {
		m := &list[at[a.MeetingID]]
		m.Attendees = append(m.Attendees, annotate.Attendee{UserID: a.UserID, Present: a.Present, Apology: a.Apology})
	}
	return list, err
}

// meetingBody leaves out what has rows of its own.
func meetingBody(m annotate.Meeting) text[annotate.Meeting] {
	m.Attendees = nil
	return asText(m)
}

func (t *tx) InsertMeeting(ctx context.Context, m annotate.KeptMeeting) error {
	err := t.insert(ctx, "meetings", "id, revision, date, state, opens_on, closes_on, chair_id, change, body",
		[]any{m.ID, m.Revision, m.Date, m.State, m.OpensOn, m.ClosesOn, m.ChairID, m.Change, meetingBody(m.Meeting)})
	if err != nil {
		return err
	}
	return t.putAttendees(ctx, m.Meeting)
}

func (t *tx) UpdateMeeting(ctx context.Context, m annotate.Meeting) error {
	err := t.one(ctx, `UPDATE meetings SET revision = ?, date = ?, state = ?, opens_on = ?, closes_on = ?, chair_id = ?, body = ?
		WHERE id = ?`, m.Revision, m.Date, m.State, m.OpensOn, m.ClosesOn, m.ChairID, meetingBody(m), m.ID)
	if err != nil {
		return err
	}
	return t.putAttendees(ctx, m)
}

func (t *tx) putAttendees(ctx context.Context, m annotate.Meeting) error {
	if _, err := t.exec(ctx, "DELETE FROM meeting_attendees WHERE meeting_id = ?", m.ID); err != nil || len(m.Attendees) == 0 {
		return err
	}
	rows := make([][]any, len(m.Attendees))
	for i, a := range m.Attendees {
		rows[i] = []any{m.ID, a.UserID, i + 1, a.Present, a.Apology}
	}
	return t.insert(ctx, "meeting_attendees", "meeting_id, user_id, place, present, apology", rows...)
}

func (t *tx) TouchMeeting(ctx context.Context, id string) error {
	return t.one(ctx, "UPDATE meetings SET change = change + 1 WHERE id = ?", id)
}

func (t *tx) DeleteMeeting(ctx context.Context, id string) error {
	const items = "item_id IN (SELECT id FROM meeting_items WHERE meeting_id = ?)"
	for _, statement := range []string{
		"DELETE FROM meeting_votings WHERE " + items, "DELETE FROM meeting_votes WHERE " + items, "DELETE FROM meeting_voters WHERE " + items,
		"DELETE FROM meeting_remarks WHERE meeting_id = ?", "DELETE FROM meeting_actions WHERE meeting_id = ?",
		"DELETE FROM meeting_items WHERE meeting_id = ?", "DELETE FROM meeting_attendees WHERE meeting_id = ?",
		"DELETE FROM meeting_places WHERE meeting_id = ?",
	} {
		if _, err := t.exec(ctx, statement, id); err != nil {
			return err
		}
	}
	return t.one(ctx, "DELETE FROM meetings WHERE id = ?", id)
}

func (t *tx) MeetingPlace(ctx context.Context, meetingID string) (annotate.LivePlace, error) {
	var row struct {
		State  annotate.MeetingState
		Change int64
		Seq    int64
		Body   text[annotate.Place]
	}
	err := t.get(ctx, &row, `SELECT m.state, m.change, COALESCE(p.seq, 0) AS seq, COALESCE(p.body, '') AS body
		FROM meetings m LEFT JOIN meeting_places p ON p.meeting_id = m.id WHERE m.id = ?`, meetingID)
	row.Body.value.Seq = row.Seq
	return annotate.LivePlace{Place: row.Body.value, State: row.State, Change: row.Change}, err
}

func (t *tx) PutMeetingPlace(ctx context.Context, meetingID string, place annotate.Place) error {
	return t.put(ctx, "meeting_places", "meeting_id", "seq, body", []any{meetingID, place.Seq, asText(place)})
}
