package annotate

import (
	"context"
	"errors"
	"slices"
)

// Findings gives the findings of a case and then its learning points, each in their order.
func (s *Service) Findings(ctx context.Context, actor Actor, caseID string) ([]Finding, error) {
	var list []Finding
	err := s.onCase(ctx, actor, caseID, ReportView, func(tx Tx, _ seen) (err error) {
		list, err = findingsOf(ctx, tx, caseID)
		return err
	})
	return list, err
}

func findingsOf(ctx context.Context, tx Tx, caseID string) ([]Finding, error) {
	list, err := tx.Findings(ctx, caseID)
	slices.SortStableFunc(list, func(a, b Finding) int { return learns(a) - learns(b) })
	return list, err
}

func learns(f Finding) int {
	if f.Kind == FindingLearning {
		return 1
	}
	return 0
}

// PutFinding records a finding (revision 0) or changes it.
func (s *Service) PutFinding(ctx context.Context, actor Actor, finding Finding) (Finding, error) {
	if err := finding.validate(); err != nil {
		return Finding{}, err
	}
	err := s.changeCase(ctx, actor, finding.CaseID, FindingEdit, func(w *work) error {
		stored, err := w.tx.Finding(ctx, finding.ID)
		if errors.Is(err, ErrNoRow) && finding.Revision == 0 {
			return w.addFinding(ctx, &finding)
		}
		if stored, err = found(stored, err, stored.CaseID == finding.CaseID, "finding"); err != nil {
			return err
		}
		finding.AuthorID = stored.AuthorID
		differences := Differences(stored, finding)
		if len(differences) == 0 {
			finding = stored
			return nil
		}
		if finding.Revision != stored.Revision {
			return stale("The text", finding, stored)
		}
		finding.Revision++
		if err := w.tx.UpdateFinding(ctx, finding); err != nil {
			return err
		}
		w.note("finding.change", finding.ID, differences)
		return nil
	})
	if err != nil {
		return Finding{}, err
	}
	return finding, nil
}

func (w *work) addFinding(ctx context.Context, finding *Finding) error {
	others, err := w.tx.Findings(ctx, w.ID)
	if err != nil {
		return err
	}
	if len(others) >= mostFindings {
		var p problems
		p.add("id", "would be one more than the %d texts that a case may have", mostFindings)
		return p.err("The text")
	}
	finding.Revision, finding.AuthorID = 1, w.actor.ID
	if err := w.tx.InsertFinding(ctx, *finding); errors.Is(err, ErrDuplicate) {
		return Refuse(CodeTaken, "The id of the new text is in use; make another.")
	} else if err != nil {
		return err
	}
	w.note("finding.add", finding.ID, Differences(nil, *finding))
	return nil
}

// RemoveFinding takes a finding off the case.
func (s *Service) RemoveFinding(ctx context.Context, actor Actor, caseID, findingID string, revision int64) error {
	return s.changeCase(ctx, actor, caseID, FindingEdit, func(w *work) error {
		stored, err := w.tx.Finding(ctx, findingID)
		if stored, err = found(stored, err, stored.CaseID == caseID, "finding"); err != nil {
			return err
		}
		if stored.Revision != revision {
			return stale("The text", nil, stored)
		}
		if err := w.tx.DeleteFinding(ctx, findingID); err != nil {
			return err
		}
		w.note("finding.remove", findingID, Differences(stored, nil))
		return nil
	})
}

// takeFindings stores the findings of a case in a bundle.
func (b *bundleReader) takeFindings(ctx context.Context, w *work, findings []Finding) error {
	for _, finding := range findings {
		if err := finding.validate(); err != nil {
			return err
		}
		if finding.CaseID != w.ID {
			return badBundle("a finding belongs to another case")
		}
		finding.Revision = max(1, finding.Revision)
		if err := b.tx.InsertFinding(ctx, finding); err != nil {
			return err
		}
	}
	return nil
}
