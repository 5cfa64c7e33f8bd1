package annotate

import (
	"context"
	"errors"
	"fmt"
)

// takeCase checks and stores one case of a bundle, and makes anew what follows from it.
func (b *bundleReader) takeCase(ctx context.Context, r CaseRecord) error {
	b.cases++
	if b.head.Unit == nil && b.cases > 1 {
		return badBundle("a bundle without a unit holds one case")
	}
	r.Case.normalise()
	if r.Case.Revision < 1 || r.Case.Change < 1 {
		r.Case.Revision, r.Case.Change = max(1, r.Case.Revision), max(1, r.Case.Change)
	}
	if err := b.check(r); err != nil {
		return inCase(r.Case.Pseudonym, err)
	}
	if _, err := b.tx.Case(ctx, r.Case.ID); err == nil {
		return Refuse(CodeTaken, "The bundle was not taken: the case %s is in this unit already.", r.Case.Pseudonym)
	} else if !errors.Is(err, ErrNoRow) {
		return err
	}
	if err := b.store(ctx, r); err != nil {
		return inCase(r.Case.Pseudonym, err)
	}
	return keepFacts(ctx, b.tx, r.Case.ID, nil)
}

// inCase says in which case of the bundle something is wrong.
func inCase(pseudonym string, err error) error {
	var refusal *Error
	if errors.As(err, &refusal) {
		return &Error{
			Code: refusal.Code, Fields: refusal.Fields, cause: err,
			Message: fmt.Sprintf("The bundle was not taken: in the case %s: %s", pseudonym, refusal.Message),
		}
	}
	return fmt.Errorf("case %s: %w", pseudonym, err)
}

// check asks the rules that the page's own saving asks.
func (b *bundleReader) check(r CaseRecord) error {
	today := b.service.today()
	if err := r.Case.validate(today); err != nil {
		return err
	}
	for i := range r.Parts {
		r.Parts[i].normalise()
		if err := r.Parts[i].validate(); err != nil {
			return err
		}
		if r.Parts[i].CaseID != r.Case.ID {
			return badBundle("a recording belongs to another case")
		}
	}
	if err := checkClock(r.Parts); err != nil {
		return err
	}
	for _, complication := range r.Complications {
		if err := complication.validate(r.Case.Date, today); err != nil {
			return err
		}
		if complication.CaseID != r.Case.ID {
			return badBundle("a complication belongs to another case")
		}
	}
	for i := range r.Visits {
		r.Visits[i].Exam, r.Visits[i].FellowExam = normalisedExam(r.Visits[i].Exam), normalisedExam(r.Visits[i].FellowExam)
		if err := r.Visits[i].validate(r.Case.Date, today); err != nil {
			return err
		}
		if r.Visits[i].CaseID != r.Case.ID {
			return badBundle("a visit belongs to another case")
		}
	}
	return nil
}

func (b *bundleReader) store(ctx context.Context, r CaseRecord) error {
	if err := b.tx.InsertCase(ctx, r.Case); err != nil {
		return err
	}
	for _, part := range r.Parts {
		if err := b.tx.InsertPart(ctx, part); err != nil {
			return err
		}
	}
	w := &work{seen: seen{Case: r.Case, actor: b.actor}, tx: b.tx, now: b.service.nowMs()}
	for _, reading := range r.Readings {
		if err := b.takeReading(ctx, w, reading); err != nil {
			return err
		}
	}
	for _, visit := range r.Visits {
		visit.Revision = max(1, visit.Revision)
		if err := b.tx.InsertVisit(ctx, visit); err != nil {
			return err
		}
	}
	for _, complication := range r.Complications {
		if err := w.onPart(ctx, complication); err != nil {
			return err
		}
		if err := w.atVisit(ctx, complication); err != nil {
			return err
		}
		complication.Revision = max(1, complication.Revision)
		if err := b.tx.InsertComplication(ctx, complication); err != nil {
			return err
		}
	}
	for i, report := range r.Reports {
		if err := b.takeReport(ctx, w, report, i+1); err != nil {
			return err
		}
	}
	if err := b.takeFindings(ctx, w, r.Findings); err != nil {
		return err
	}
	if err := b.takeInbox(ctx, w, r.Inbox); err != nil {
		return err
	}
	return b.takeAssessments(ctx, w, r.Assessments)
}

// takeReading stores a journal as it is and makes its fold. What stands at the end must keep the rules of marking.
func (b *bundleReader) takeReading(ctx context.Context, w *work, r ReadingRecord) error {
	if r.CaseID != w.ID {
		return badBundle("a reading belongs to another case")
	}
	all := items{}
	for i, edit := range r.Edits {
		if edit.Seq != int64(i)+1 {
			return badBundle("the journal of reading %s does not count 1, 2, 3 and so on", r.ID)
		}
		var p problems
		for n, change := range edit.Changes {
			change.validateShape(&p, fmt.Sprintf("edits[%d].changes[%d].", i, n))
			if now := all[change.key()]; now.Base != change.Base {
				return badBundle("edit %d of reading %s builds on another version than stood before it", edit.Seq, r.ID)
			}
			r.Edits[i].Changes[n] = change.numbered(edit.Seq)
			all.put(change, edit.Seq)
		}
		if err := p.err("The marking"); err != nil {
			return err
		}
	}
	r.Seq = int64(len(r.Edits))
	marking, err := newMarkContext(ctx, w, r.Reading, all)
	if err != nil {
		return err
	}
	if err := b.tx.InsertReading(ctx, r.Reading); err != nil {
		return err
	}
	var p problems
	rows := make([]Change, 0, len(all))
	for _, change := range all {
		if err := marking.validate(ctx, &p, "reading "+r.ID+" "+change.ID+" ", change); err != nil {
			return err
		}
		rows = append(rows, change)
	}
	if err := p.err("The marking"); err != nil {
		return err
	}
	if len(r.Edits) == 0 {
		return nil
	}
	if err := b.tx.AppendEdits(ctx, r.ID, r.Edits); err != nil {
		return err
	}
	b.entries = append(b.entries, AuditEntry{
		Action: "reading.import", CaseID: w.ID, ThingID: r.ID, Detail: jsonText(journalSeal{From: 1, To: r.Seq, Hash: hashOf(r.Edits)}),
	})
	return b.tx.PutItems(ctx, r.ID, rows)
}

func (b *bundleReader) takeReport(ctx context.Context, w *work, r ReportRecord, number int) error {
	if r.CaseID != w.ID || r.Number != number || hashOfBytes(r.Content.JSON) != r.Hash {
		return badBundle("its signed report %d is not what was signed", number)
	}
	if err := b.tx.InsertReport(ctx, r.SignedReport, r.Content); err != nil {
		return err
	}
	before := r.Hash
	for i, addendum := range r.Addenda {
		if addendum.Hash != addendum.chained(before) || addendum.ReportID != r.ID {
			return badBundle("an addendum of its signed report %d was changed", number)
		}
		before = addendum.Hash
		if err := b.tx.InsertAddendum(ctx, addendum, i+1); err != nil {
			return err
		}
	}
	b.entries = append(b.entries, AuditEntry{
		Action: "report.import", CaseID: w.ID, ThingID: r.ID, Detail: jsonText(signatureOf(r.SignedReport, r.Content)),
	})
	return nil
}
