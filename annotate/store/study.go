package store

import (
	"context"

	"zonule/annotate"
)

type studyRow struct {
	RemovedAt int64 `db:"removed_at"`
	Body      text[annotate.Study]
}

func (r studyRow) study() annotate.Study {
	study := r.Body.value
	study.RemovedAt = r.RemovedAt
	return study
}

const selectStudies = "SELECT removed_at, body FROM studies "

func (t *tx) Studies(ctx context.Context) ([]annotate.Study, error) {
	var rows []studyRow
	err := t.list(ctx, &rows, selectStudies+"ORDER BY id")
	studies := make([]annotate.Study, len(rows))
	for i, row := range rows {
		studies[i] = row.study()
	}
	return studies, err
}

func (t *tx) Study(ctx context.Context, id string) (annotate.Study, error) {
	var row studyRow
	err := t.get(ctx, &row, selectStudies+"WHERE id = ?", id)
	return row.study(), err
}

func (t *tx) LockStudy(ctx context.Context, id string) (annotate.Study, error) {
	var row studyRow
	err := t.get(ctx, &row, selectStudies+"WHERE id = ?"+t.dialect.forUpdate, id)
	return row.study(), err
}

func (t *tx) InsertStudy(ctx context.Context, s annotate.Study) error {
	return t.insert(ctx, "studies", "id, revision, owner_id, removed_at, body", []any{s.ID, s.Revision, s.OwnerID, s.RemovedAt, asText(s)})
}

func (t *tx) UpdateStudy(ctx context.Context, s annotate.Study) error {
	return t.one(ctx, "UPDATE studies SET revision = ?, removed_at = ?, body = ? WHERE id = ? AND revision = ?",
		s.Revision, s.RemovedAt, asText(s), s.ID, s.Revision-1)
}

type frozenRow struct {
	Body text[annotate.FrozenStudy]
}

func (t *tx) frozen(ctx context.Context, which string, args ...any) ([]annotate.FrozenStudy, error) {
	var rows []frozenRow
	err := t.list(ctx, &rows, "SELECT body FROM frozen_studies "+which, args...)
	list := make([]annotate.FrozenStudy, len(rows))
	for i, row := range rows {
		list[i] = row.Body.value
	}
	return list, err
}

func (t *tx) FrozenStudies(ctx context.Context) ([]annotate.FrozenStudy, error) {
	return t.frozen(ctx, "ORDER BY id")
}

func (t *tx) FrozenStudiesOf(ctx context.Context, studyID string) ([]annotate.FrozenStudy, error) {
	return t.frozen(ctx, "WHERE study_id = ? ORDER BY number", studyID)
}

func (t *tx) FrozenStudy(ctx context.Context, id string) (annotate.FrozenStudy, error) {
	var row frozenRow
	err := t.get(ctx, &row, "SELECT body FROM frozen_studies WHERE id = ?", id)
	return row.Body.value, err
}

func (t *tx) FrozenContent(ctx context.Context, id string) (annotate.FrozenContent, error) {
	var row struct {
		JSON []byte `db:"content_json"`
		HTML []byte `db:"content_html"`
		PDF  []byte `db:"content_pdf"`
		CSV  []byte `db:"content_csv"`
		XLSX []byte `db:"content_xlsx"`
	}
	err := t.get(ctx, &row, "SELECT content_json, content_html, content_pdf, content_csv, content_xlsx FROM frozen_studies WHERE id = ?", id)
	return annotate.FrozenContent(row), err
}

func (t *tx) InsertFrozenStudy(ctx context.Context, f annotate.FrozenStudy, c annotate.FrozenContent) error {
	return t.insert(ctx, "frozen_studies",
		"id, study_id, number, frozen_by, body, content_json, content_html, content_pdf, content_csv, content_xlsx", []any{
			f.ID, f.StudyID, f.Number, f.FrozenBy, asText(f),
			notNil(c.JSON), notNil(c.HTML), notNil(c.PDF), notNil(c.CSV), notNil(c.XLSX),
		})
}
