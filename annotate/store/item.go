package store

import (
	"context"
	"slices"

	"github.com/jmoiron/sqlx"

	"zonule/annotate"
	"zonule/timeline"
)

type markerRow struct {
	ID              string
	Seq             int64
	Step            string
	StepListID      string  `db:"step_list_id"`
	StepListVersion int     `db:"step_list_version"`
	StartPart       string  `db:"start_part"`
	StartMs         int64   `db:"start_ms"`
	EndPart         *string `db:"end_part"`
	EndMs           *int64  `db:"end_ms"`
	OperatorID      string  `db:"operator_id"`
	Note            string
}

type eventRow struct {
	ID              string
	Seq             int64
	Kind            string
	AtPart          string `db:"at_part"`
	AtMs            int64  `db:"at_ms"`
	Note            string
	StepListID      *string `db:"step_list_id"`
	StepListVersion *int    `db:"step_list_version"`
}

type commentRow struct {
	ID       string
	Seq      int64
	AuthorID string  `db:"author_id"`
	MadeAt   int64   `db:"made_at"`
	AtPart   string  `db:"at_part"`
	AtMs     int64   `db:"at_ms"`
	EndPart  *string `db:"end_part"`
	EndMs    *int64  `db:"end_ms"`
	Body     string
	ReplyTo  string `db:"reply_to"`
	Shape    text[*annotate.Shape]
	Settled  bool
}

type acceptanceRow struct {
	ID       string
	Seq      int64
	Reason   string
	AuthorID string `db:"author_id"`
}

// The columns after reading_id and id.
const (
	markerColumns     = "seq, step, step_list_id, step_list_version, start_part, start_ms, end_part, end_ms, operator_id, note"
	eventColumns      = "seq, kind, at_part, at_ms, note, step_list_id, step_list_version"
	commentColumns    = "seq, author_id, made_at, at_part, at_ms, end_part, end_ms, body, reply_to, shape, settled"
	acceptanceColumns = "seq, reason, author_id"
)

func (r markerRow) marker() annotate.Marker {
	return annotate.Marker{
		ID: r.ID, Seq: r.Seq, Step: r.Step, StepList: annotate.StepListRef{ID: r.StepListID, Version: r.StepListVersion},
		Start: timeline.Instant{Part: r.StartPart, Ms: r.StartMs}, End: instant(r.EndPart, r.EndMs), OperatorID: r.OperatorID, Note: r.Note,
	}
}

func (r eventRow) event() annotate.Event {
	e := annotate.Event{ID: r.ID, Seq: r.Seq, Kind: r.Kind, At: timeline.Instant{Part: r.AtPart, Ms: r.AtMs}, Note: r.Note}
	if r.StepListID != nil && r.StepListVersion != nil {
		e.StepList = &annotate.StepListRef{ID: *r.StepListID, Version: *r.StepListVersion}
	}
	return e
}

func (r commentRow) comment() annotate.Comment {
	return annotate.Comment{
		ID: r.ID, Seq: r.Seq, AuthorID: r.AuthorID, MadeAt: r.MadeAt, At: timeline.Instant{Part: r.AtPart, Ms: r.AtMs},
		End: instant(r.EndPart, r.EndMs), Text: r.Body, ReplyTo: r.ReplyTo, Shape: r.Shape.value, Settled: r.Settled,
	}
}

func (t *tx) ReadingState(ctx context.Context, id string) (annotate.ReadingState, error) {
	reading, err := t.Reading(ctx, id)
	if err != nil {
		return annotate.ReadingState{}, err
	}
	state := annotate.ReadingState{
		Reading: reading, Markers: []annotate.Marker{}, Events: []annotate.Event{}, Comments: []annotate.Comment{}, Acceptances: []annotate.Acceptance{},
	}
	var markers []markerRow
	if err := t.list(ctx, &markers, itemsQuery("markers", markerColumns), id); err != nil {
		return annotate.ReadingState{}, err
	}
	for _, row := range markers {
		state.Markers = append(state.Markers, row.marker())
	}
	var events []eventRow
	if err := t.list(ctx, &events, itemsQuery("events", eventColumns), id); err != nil {
		return annotate.ReadingState{}, err
	}
	for _, row := range events {
		state.Events = append(state.Events, row.event())
	}
	var comments []commentRow
	if err := t.list(ctx, &comments, itemsQuery("comments", commentColumns), id); err != nil {
		return annotate.ReadingState{}, err
	}
	for _, row := range comments {
		state.Comments = append(state.Comments, row.comment())
	}
	var acceptances []acceptanceRow
	if err := t.list(ctx, &acceptances, itemsQuery("acceptances", acceptanceColumns), id); err != nil {
		return annotate.ReadingState{}, err
	}
	for _, row := range acceptances {
		state.Acceptances = append(state.Acceptances, annotate.Acceptance(row))
	}
	return state, nil
}

func itemsQuery(table, columns string) string {
	return "SELECT id, " + columns + " FROM " + table + " WHERE reading_id = ? ORDER BY id"
}

func (t *tx) PutItems(ctx context.Context, readingID string, changes []annotate.Change) error {
	gone := map[annotate.Thing][]string{}
	rows := map[annotate.Thing][][]any{}
	for _, change := range changes {
		if change.Removes() {
			gone[change.Thing] = append(gone[change.Thing], change.ID)
			continue
		}
		rows[change.Thing] = append(rows[change.Thing], append([]any{readingID, change.ID}, itemValues(change)...))
	}
	for thing, table := range itemTables {
		if err := t.put(ctx, table.name, "reading_id, id", table.columns, rows[thing]...); err != nil {
			return err
		}
		if err := t.deleteItems(ctx, table.name, readingID, gone[thing]); err != nil {
			return err
		}
	}
	return nil
}

// deleteItems: an item that was made and removed within one call has no row, which is no error.
func (t *tx) deleteItems(ctx context.Context, table, readingID string, ids []string) error {
	for chunk := range slices.Chunk(ids, rowsAtOnce) {
		query, args, err := sqlx.In("DELETE FROM "+table+" WHERE reading_id = ? AND id IN (?)", readingID, chunk)
		if err != nil {
			return err
		}
		if _, err := t.exec(ctx, query, args...); err != nil {
			return err
		}
	}
	return nil
}

// itemTables names for each thing its table and the columns after reading_id and id.
var itemTables = map[annotate.Thing]struct{ name, columns string }{
	annotate.ThingMarker:     {"markers", markerColumns},
	annotate.ThingEvent:      {"events", eventColumns},
	annotate.ThingComment:    {"comments", commentColumns},
	annotate.ThingAcceptance: {"acceptances", acceptanceColumns},
}

// itemValues gives the values of those columns.
func itemValues(change annotate.Change) []any {
	switch {
	case change.Marker != nil:
		m := change.Marker
		endPart, endMs := place(m.End)
		return []any{m.Seq, m.Step, m.StepList.ID, m.StepList.Version, m.Start.Part, m.Start.Ms, endPart, endMs, m.OperatorID, m.Note}
	case change.Event != nil:
		e := change.Event
		var list *string
		var version *int
		if e.StepList != nil {
			list, version = &e.StepList.ID, &e.StepList.Version
		}
		return []any{e.Seq, e.Kind, e.At.Part, e.At.Ms, e.Note, list, version}
	case change.Comment != nil:
		c := change.Comment
		endPart, endMs := place(c.End)
		return []any{
			c.Seq, c.AuthorID, c.MadeAt, c.At.Part, c.At.Ms, endPart, endMs, c.Text, c.ReplyTo, asText(c.Shape), c.Settled,
		}
	}
	a := change.Acceptance
	return []any{a.Seq, a.Reason, a.AuthorID}
}
