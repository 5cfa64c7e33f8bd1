package annotate

import "context"

// StudyRecord is a study in a bundle; a removed one is there because of what was frozen of it.
type StudyRecord struct {
	Study
	RemovedAt int64 `json:"removedAt,omitempty"`
}

// FrozenRecord is a frozen study with its content.
type FrozenRecord struct {
	FrozenStudy
	Content FrozenContent `json:"content"`
}

func studyRecords(ctx context.Context, tx Tx) ([]StudyRecord, error) {
	studies, err := tx.Studies(ctx)
	records := make([]StudyRecord, len(studies))
	for i, study := range studies {
		records[i] = StudyRecord{Study: study, RemovedAt: study.RemovedAt}
	}
	return records, err
}

// frozenStudies writes what was frozen, one at a time.
func (b *bundleWriter) frozenStudies(ctx context.Context, tx Tx) error {
	all, err := tx.FrozenStudies(ctx)
	if err != nil || len(all) == 0 {
		return err
	}
	b.text("],\"frozenStudies\":[\n")
	for i, frozen := range all {
		if i > 0 {
			b.text(",\n")
		}
		content, err := tx.FrozenContent(ctx, frozen.ID)
		if err != nil {
			return err
		}
		b.value(FrozenRecord{FrozenStudy: frozen, Content: content})
	}
	return nil
}

func (b *bundleReader) takeStudies(ctx context.Context) error {
	for _, record := range b.head.Studies {
		study := record.Study
		study.RemovedAt = record.RemovedAt
		if err := study.validate(); err != nil {
			return err
		}
		study.Revision = max(1, study.Revision)
		if err := b.tx.InsertStudy(ctx, study); err != nil {
			return err
		}
	}
	return nil
}

// takeFrozen takes a frozen study of a unit. Whether the log holds it is for Verify to say.
func (b *bundleReader) takeFrozen(ctx context.Context, record FrozenRecord) error {
	if b.head.Unit == nil || !b.begun {
		return badBundle("frozen studies belong after the cases of a whole unit")
	}
	if !record.holds(record.Content) {
		return badBundle("the content of a frozen study is not what was frozen")
	}
	return b.tx.InsertFrozenStudy(ctx, record.FrozenStudy, record.Content)
}
