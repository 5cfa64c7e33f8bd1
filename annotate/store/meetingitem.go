package store

import (
	"context"

	"zonule/annotate"
)

type meetingItemRow struct {
	ID        string
	MeetingID string  `db:"meeting_id"`
	CaseID    *string `db:"case_id"`
	Place     int
	Revision  int64
	Body      text[annotate.KeptItem]
	Record    text[annotate.ItemRecord]
}

const selectMeetingItem = "SELECT id, meeting_id, case_id, place, revision, body, record FROM meeting_items "

func (r meetingItemRow) item() annotate.KeptItem {
	item := r.Body.value
	item.ID, item.MeetingID, item.Place, item.Revision, item.Record = r.ID, r.MeetingID, r.Place, r.Revision, r.Record.value
	if r.CaseID != nil {
		item.CaseID = *r.CaseID
	}
	return item
}

// itemBody leaves out what has columns of its own.
func itemBody(item annotate.KeptItem) text[annotate.KeptItem] {
	item.CaseID, item.Record = "", annotate.ItemRecord{}
	return asText(item)
}

func (t *tx) MeetingItems(ctx context.Context, meetingID string) ([]annotate.KeptItem, error) {
	var rows []meetingItemRow
	err := t.list(ctx, &rows, selectMeetingItem+"WHERE meeting_id = ? ORDER BY meeting_id, place", meetingID)
	items := make([]annotate.KeptItem, len(rows))
	for i, row := range rows {
		items[i] = row.item()
	}
	return items, err
}

func (t *tx) MeetingItem(ctx context.Context, id string) (annotate.KeptItem, error) {
	var row meetingItemRow
	err := t.get(ctx, &row, selectMeetingItem+"WHERE id = ?", id)
	return row.item(), err
}

func (t *tx) InsertMeetingItem(ctx context.Context, item annotate.KeptItem) error {
	var caseID *string
	if item.CaseID != "" {
		caseID = &item.CaseID
	}
	return t.insert(ctx, "meeting_items", "id, meeting_id, case_id, place, revision, body, record",
		[]any{item.ID, item.MeetingID, caseID, item.Place, item.Revision, itemBody(item), asText(item.Record)})
}

func (t *tx) UpdateMeetingItem(ctx context.Context, item annotate.KeptItem) error {
	return t.one(ctx, "UPDATE meeting_items SET revision = ?, body = ? WHERE id = ?", item.Revision, itemBody(item), item.ID)
}

func (t *tx) UpdateItemRecord(ctx context.Context, itemID string, record annotate.ItemRecord) error {
	return t.one(ctx, "UPDATE meeting_items SET record = ? WHERE id = ?", asText(record), itemID)
}

func (t *tx) PlaceMeetingItems(ctx context.Context, ids []string) error {
	for i, id := range ids {
		if err := t.one(ctx, "UPDATE meeting_items SET place = ? WHERE id = ?", i+1, id); err != nil {
			return err
		}
	}
	return nil
}

func (t *tx) DeleteMeetingItem(ctx context.Context, id string) error {
	for _, table := range []string{"meeting_votings", "meeting_votes", "meeting_voters", "meeting_remarks"} {
		if _, err := t.exec(ctx, "DELETE FROM "+table+" WHERE item_id = ?", id); err != nil {
			return err
		}
	}
	return t.one(ctx, "DELETE FROM meeting_items WHERE id = ?", id)
}

func (t *tx) Votings(ctx context.Context, meetingID string) ([]annotate.KeptVoting, error) {
	type key struct {
		ItemID   string `db:"item_id"`
		Question annotate.VoteQuestion
	}
	var votings []struct {
		key
		Open bool
	}
	const ofMeeting = "WHERE item_id IN (SELECT id FROM meeting_items WHERE meeting_id = ?) "
	if err := t.list(ctx, &votings, "SELECT item_id, question, open FROM meeting_votings "+ofMeeting+"ORDER BY item_id, question", meetingID); err != nil {
		return nil, err
	}
	var counts []struct {
		key
		Value string
		Votes int
	}
	if err := t.list(ctx, &counts, "SELECT item_id, question, value, votes FROM meeting_votes "+ofMeeting+"ORDER BY item_id, question, value", meetingID); err != nil {
		return nil, err
	}
	var voters []struct {
		key
		UserID string `db:"user_id"`
	}
	if err := t.list(ctx, &voters, "SELECT item_id, question, user_id FROM meeting_voters "+ofMeeting+"ORDER BY item_id, question, user_id", meetingID); err != nil {
		return nil, err
	}
	list, at := make([]annotate.KeptVoting, len(votings)), map[key]int{}
	for i, v := range votings {
		list[i] = annotate.KeptVoting{ItemID: v.ItemID, Question: v.Question, Open: v.Open, Counts: []annotate.VoteCount{}, Voters: []string{}}
		at[v.key] = i
	}
	for _, c := range counts {
		v := &list[at[c.key]]
		v.Counts = append(v.Counts, annotate.VoteCount{Value: c.Value, Count: c.Votes})
	}
	for _, voter := range voters {
		v := &list[at[voter.key]]
		v.Voters = append(v.Voters, voter.UserID)
	}
	return list, nil
}

func (t *tx) PutVoting(ctx context.Context, itemID string, question annotate.VoteQuestion, open bool) error {
	return t.put(ctx, "meeting_votings", "item_id, question", "open", []any{itemID, question, open})
}

func (t *tx) InsertVote(ctx context.Context, itemID string, question annotate.VoteQuestion, value, userID string) error {
	if err := t.insert(ctx, "meeting_voters", "item_id, question, user_id", []any{itemID, question, userID}); err != nil {
		return err
	}
	n, err := t.exec(ctx, "UPDATE meeting_votes SET votes = votes + 1 WHERE item_id = ? AND question = ? AND value = ?", itemID, question, value)
	if err != nil || n == 1 {
		return err
	}
	return t.insert(ctx, "meeting_votes", "item_id, question, value, votes", []any{itemID, question, value, 1})
}

func (t *tx) InsertVoting(ctx context.Context, v annotate.KeptVoting) error {
	if err := t.PutVoting(ctx, v.ItemID, v.Question, v.Open); err != nil {
		return err
	}
	for _, c := range v.Counts {
		if err := t.insert(ctx, "meeting_votes", "item_id, question, value, votes", []any{v.ItemID, v.Question, c.Value, c.Count}); err != nil {
			return err
		}
	}
	for _, voter := range v.Voters {
		if err := t.insert(ctx, "meeting_voters", "item_id, question, user_id", []any{v.ItemID, v.Question, voter}); err != nil {
			return err
		}
	}
	return nil
}
