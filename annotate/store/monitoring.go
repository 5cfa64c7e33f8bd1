package store

import (
	"context"

	"zonule/annotate"
)

type reviewRow struct {
	ID         string
	OperatorID string `db:"operator_id"`
	Kind       string
	Date       string
	Reason     string
	AuthorID   string `db:"author_id"`
	MadeAt     int64  `db:"made_at"`
}

const selectReviews = `SELECT id, COALESCE(operator_id, '') AS operator_id, kind, date, reason, author_id, made_at
	FROM monitoring_reviews `

func (r reviewRow) review() annotate.MonitoringReview {
	return annotate.MonitoringReview{
		ID: r.ID, Operator: r.OperatorID, Kind: r.Kind, Date: r.Date, Reason: r.Reason, AuthorID: r.AuthorID, MadeAt: r.MadeAt,
	}
}

func (t *tx) MonitoringReview(ctx context.Context, id string) (annotate.MonitoringReview, error) {
	var row reviewRow
	err := t.get(ctx, &row, selectReviews+"WHERE id = ?", id)
	return row.review(), err
}

func (t *tx) MonitoringReviews(ctx context.Context, operator, kind string) ([]annotate.MonitoringReview, error) {
	return t.reviews(ctx, "WHERE COALESCE(operator_id, '') = ? AND kind = ? ORDER BY date, id", operator, kind)
}

func (t *tx) AllMonitoringReviews(ctx context.Context) ([]annotate.MonitoringReview, error) {
	return t.reviews(ctx, "ORDER BY id")
}

func (t *tx) reviews(ctx context.Context, which string, args ...any) ([]annotate.MonitoringReview, error) {
	var rows []reviewRow
	err := t.list(ctx, &rows, selectReviews+which, args...)
	reviews := make([]annotate.MonitoringReview, len(rows))
	for i, row := range rows {
		reviews[i] = row.review()
	}
	return reviews, err
}

func (t *tx) InsertMonitoringReview(ctx context.Context, r annotate.MonitoringReview) error {
	var operator *string
	if r.Operator != "" {
		operator = &r.Operator
	}
	return t.insert(ctx, "monitoring_reviews", "id, operator_id, kind, date, reason, author_id, made_at",
		[]any{r.ID, operator, r.Kind, r.Date, r.Reason, r.AuthorID, r.MadeAt})
}
