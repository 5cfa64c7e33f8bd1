package store

import (
	"context"

	"zonule/annotate"
)

type meetingActionRow struct {
	Body text[annotate.MeetingAction]
}

const selectMeetingAction = "SELECT body FROM meeting_actions "

func (t *tx) MeetingAction(ctx context.Context, id string) (annotate.MeetingAction, error) {
	var row meetingActionRow
	err := t.get(ctx, &row, selectMeetingAction+"WHERE id = ?", id)
	return row.Body.value, err
}

func (t *tx) ActionsOf(ctx context.Context, meetingID string) ([]annotate.MeetingAction, error) {
	return t.meetingActions(ctx, "WHERE meeting_id = ? ORDER BY due_on, id", meetingID)
}

func (t *tx) ActionsOwned(ctx context.Context, ownerID string) ([]annotate.MeetingAction, error) {
	return t.meetingActions(ctx, "WHERE owner_id = ? ORDER BY due_on, id", ownerID)
}

func (t *tx) Actions(ctx context.Context) ([]annotate.MeetingAction, error) {
	return t.meetingActions(ctx, "ORDER BY due_on, id")
}

func (t *tx) meetingActions(ctx context.Context, which string, args ...any) ([]annotate.MeetingAction, error) {
	var rows []meetingActionRow
	err := t.list(ctx, &rows, selectMeetingAction+which, args...)
	actions := make([]annotate.MeetingAction, len(rows))
	for i, row := range rows {
		actions[i] = row.Body.value
	}
	return actions, err
}

func (t *tx) InsertMeetingAction(ctx context.Context, a annotate.MeetingAction) error {
	return t.insert(ctx, "meeting_actions", "id, revision, meeting_id, owner_id, state, due_on, body",
		[]any{a.ID, a.Revision, a.MeetingID, a.OwnerID, a.State, a.DueOn, asText(a)})
}

func (t *tx) UpdateMeetingAction(ctx context.Context, a annotate.MeetingAction) error {
	return t.one(ctx, "UPDATE meeting_actions SET revision = ?, owner_id = ?, state = ?, due_on = ?, body = ? WHERE id = ? AND revision = ?",
		a.Revision, a.OwnerID, a.State, a.DueOn, asText(a), a.ID, a.Revision-1)
}
