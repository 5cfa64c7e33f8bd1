package store

import (
	"context"

	"zonule/annotate"
)

func (t *tx) AssessmentForms(ctx context.Context) ([]annotate.AssessmentForm, error) {
	var rows []struct {
		Body text[annotate.AssessmentForm]
	}
	err := t.list(ctx, &rows, "SELECT body FROM assessment_forms ORDER BY id, version")
	forms := make([]annotate.AssessmentForm, len(rows))
	for i, row := range rows {
		forms[i] = row.Body.value
	}
	return forms, err
}

func (t *tx) AssessmentForm(ctx context.Context, ref annotate.AssessmentFormRef) (annotate.AssessmentForm, error) {
	var row struct {
		Body text[annotate.AssessmentForm]
	}
	err := t.get(ctx, &row, "SELECT body FROM assessment_forms WHERE id = ? AND version = ?", ref.ID, ref.Version)
	return row.Body.value, err
}

func (t *tx) InsertAssessmentForm(ctx context.Context, f annotate.AssessmentForm) error {
	return t.insert(ctx, "assessment_forms", "id, version, body", []any{f.ID, f.Version, asText(f)})
}

type assessmentRow struct {
	Body text[annotate.Assessment]
}

func assessments(rows []assessmentRow) []annotate.Assessment {
	list := make([]annotate.Assessment, len(rows))
	for i, row := range rows {
		list[i] = row.Body.value
	}
	return list
}

func (t *tx) Assessments(ctx context.Context, caseID string) ([]annotate.Assessment, error) {
	var rows []assessmentRow
	err := t.list(ctx, &rows, "SELECT body FROM assessments WHERE case_id = ? ORDER BY id", caseID)
	return assessments(rows), err
}

func (t *tx) AssessmentsOf(ctx context.Context, subjectID string) ([]annotate.Assessment, error) {
	var rows []assessmentRow
	err := t.list(ctx, &rows, "SELECT body FROM assessments WHERE subject_id = ? ORDER BY id", subjectID)
	return assessments(rows), err
}

func (t *tx) Assessment(ctx context.Context, id string) (annotate.Assessment, error) {
	var row assessmentRow
	err := t.get(ctx, &row, "SELECT body FROM assessments WHERE id = ?", id)
	return row.Body.value, err
}

func (t *tx) InsertAssessment(ctx context.Context, a annotate.Assessment) error {
	return t.insert(ctx, "assessments", "id, case_id, revision, form_id, form_version, subject_id, assessor_id, body",
		[]any{a.ID, a.CaseID, a.Revision, a.Form.ID, a.Form.Version, a.SubjectID, a.AssessorID, asText(a)})
}

func (t *tx) UpdateAssessment(ctx context.Context, a annotate.Assessment) error {
	return t.one(ctx, "UPDATE assessments SET revision = ?, form_id = ?, form_version = ?, body = ? WHERE id = ?",
		a.Revision, a.Form.ID, a.Form.Version, asText(a), a.ID)
}

type goalRow struct {
	Body text[annotate.Goal]
}

func (t *tx) Goals(ctx context.Context, traineeID string) ([]annotate.Goal, error) {
	var rows []goalRow
	err := t.list(ctx, &rows, "SELECT body FROM goals WHERE trainee_id = ? ORDER BY id", traineeID)
	goals := make([]annotate.Goal, len(rows))
	for i, row := range rows {
		goals[i] = row.Body.value
	}
	return goals, err
}

func (t *tx) Goal(ctx context.Context, id string) (annotate.Goal, error) {
	var row goalRow
	err := t.get(ctx, &row, "SELECT body FROM goals WHERE id = ?", id)
	return row.Body.value, err
}

func (t *tx) InsertGoal(ctx context.Context, g annotate.Goal) error {
	return t.insert(ctx, "goals", "id, revision, trainee_id, author_id, body", []any{g.ID, g.Revision, g.TraineeID, g.AuthorID, asText(g)})
}

func (t *tx) UpdateGoal(ctx context.Context, g annotate.Goal) error {
	return t.one(ctx, "UPDATE goals SET revision = ?, body = ? WHERE id = ? AND revision = ?", g.Revision, asText(g), g.ID, g.Revision-1)
}

func (t *tx) Supervises(ctx context.Context, trainerID, traineeID string) (bool, error) {
	var row struct{ N int }
	err := t.get(ctx, &row, `SELECT COUNT(*) AS n FROM case_operators s JOIN case_operators o ON o.case_id = s.case_id
		WHERE s.user_id = ? AND s.role = 'supervisor' AND o.user_id = ? AND o.role <> 'supervisor'`, trainerID, traineeID)
	return row.N > 0, err
}

type feedbackRow struct {
	CaseID    string `db:"case_id"`
	Pseudonym string
	Eye       annotate.Eye
	Date      string
	ReadingID string  `db:"reading_id"`
	CommentID string  `db:"comment_id"`
	ReplyTo   string  `db:"reply_to"`
	AuthorID  string  `db:"author_id"`
	MadeAt    int64   `db:"made_at"`
	AtPart    *string `db:"at_part"`
	AtMs      *int64  `db:"at_ms"`
	EndPart   *string `db:"end_part"`
	EndMs     *int64  `db:"end_ms"`
	Body      string
	Settled   bool
	Seen      bool
}

func (t *tx) FeedbackTo(ctx context.Context, userID string, limit int) ([]annotate.Feedback, error) {
	var rows []feedbackRow
	err := t.list(ctx, &rows, `SELECT r.case_id, k.pseudonym, k.eye, k.date, c.reading_id, c.id AS comment_id, c.reply_to, c.author_id,
			c.made_at, c.at_part, c.at_ms, c.end_part, c.end_ms, c.body,
			CASE WHEN c.reply_to = '' THEN c.settled ELSE COALESCE(first.settled, c.settled) END AS settled,
			s.comment_id IS NOT NULL AS seen
		FROM comments c JOIN readings r ON r.id = c.reading_id JOIN cases k ON k.id = r.case_id
		LEFT JOIN comments first ON first.reading_id = c.reading_id AND first.id = c.reply_to
		LEFT JOIN comments_seen s ON s.user_id = ? AND s.reading_id = c.reading_id AND s.comment_id = c.id
		WHERE r.accepted AND c.author_id <> ?
		AND (EXISTS (SELECT 1 FROM case_operators o WHERE o.case_id = r.case_id AND o.user_id = ?)
			OR EXISTS (SELECT 1 FROM comments m WHERE m.reading_id = c.reading_id AND m.author_id = ? AND (m.id = c.reply_to OR m.reply_to = c.reply_to AND c.reply_to <> '')))
		ORDER BY CASE WHEN s.comment_id IS NULL THEN 0 ELSE 1 END, c.made_at DESC, c.id LIMIT ?`, userID, userID, userID, userID, limit)
	list := make([]annotate.Feedback, len(rows))
	for i, row := range rows {
		list[i] = annotate.Feedback{
			CaseID: row.CaseID, Pseudonym: row.Pseudonym, Eye: row.Eye, Date: row.Date, ReadingID: row.ReadingID, CommentID: row.CommentID,
			ReplyTo: row.ReplyTo, AuthorID: row.AuthorID, MadeAt: row.MadeAt, End: instant(row.EndPart, row.EndMs), Text: row.Body,
			Settled: row.Settled, Seen: row.Seen,
		}
		if at := instant(row.AtPart, row.AtMs); at != nil {
			list[i].At = *at
		}
	}
	return list, err
}

func (t *tx) PutCommentsSeen(ctx context.Context, userID, readingID string, commentIDs []string, at int64) error {
	rows := make([][]any, len(commentIDs))
	for i, id := range commentIDs {
		rows[i] = []any{userID, readingID, id, at}
	}
	return t.put(ctx, "comments_seen", "user_id, reading_id, comment_id", "seen_at", rows...)
}
