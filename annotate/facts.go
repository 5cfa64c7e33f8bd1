package annotate

import (
	"context"
	"fmt"
	"slices"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// keepFacts makes the facts and the flat row of a case anew and stores them. It comes just before the audit log, because
// changes to rows wait for each other. Who has the accepted reading at hand gives it, else nil.
func keepFacts(ctx context.Context, tx Tx, caseID string, accepted *ReadingState) error {
	facts, row, err := caseFacts(ctx, tx, caseID, accepted)
	if err != nil {
		return fmt.Errorf("facts of case %s: %w", caseID, err)
	}
	if err := tx.PutCaseFacts(ctx, facts); err != nil {
		return err
	}
	return tx.PutCaseRows(ctx, rowForm, row)
}

// caseFacts makes the facts and the flat row of a case from what is stored.
func caseFacts(ctx context.Context, tx Tx, caseID string, accepted *ReadingState) (CaseFacts, cohort.Row, error) {
	file, err := caseFile(ctx, tx, caseID, accepted)
	if err != nil {
		return CaseFacts{}, cohort.Row{}, err
	}
	reports, err := tx.Reports(ctx, caseID)
	if err != nil {
		return CaseFacts{}, cohort.Row{}, err
	}
	facts := CaseFacts{CaseID: caseID, Recorded: len(file.Parts) > 0, Signed: len(reports) > 0, Times: []TimeFact{}, Items: itemFactsOf(file.Case, file.Visits)}
	unit, err := unitOf(ctx, tx)
	if err != nil {
		return CaseFacts{}, cohort.Row{}, err
	}
	facts.Due, facts.DueOn, facts.LateOn = nextVisit(unit.Windows, file.Case, file.Visits)
	in, err := Intervals(file)
	if err != nil {
		return CaseFacts{}, cohort.Row{}, err
	}
	if file.Reading == nil {
		return facts, rowOf(file, in, nil, false), nil
	}
	for _, comment := range file.Reading.Comments {
		if comment.ReplyTo == "" && !comment.Settled {
			facts.OpenComments++
		}
	}
	result := timeline.Durations(in)
	facts.time(result, *file.Reading)
	return facts, rowOf(file, in, &result, facts.Tagged), nil
}

// time takes over the times of the accepted reading. A case counts as tagged once the operation has a time and every
// required step is marked, or somebody said why it is not.
func (f *CaseFacts) time(result timeline.Result, reading ReadingState) {
	operation := result.Operation
	f.Operation = operation.Time
	f.Times = append(f.Times, TimeFact{FactOperation, "", operation.Time, 1, operation.Quality})
	for _, stage := range result.Stages {
		f.Times = append(f.Times, TimeFact{FactStage, stage.Stage, stage.Total, stage.Episodes, stage.Quality})
	}
	for _, step := range result.Steps {
		f.Times = append(f.Times, TimeFact{FactStep, step.Code, step.Total, step.Episodes, step.Quality})
	}
	f.Tagged = operation.Time != nil
	for _, warning := range result.Warnings {
		accepted := slices.ContainsFunc(reading.Acceptances, func(a Acceptance) bool { return a.ID == warning.Key })
		if warning.Code == timeline.WarnAbsent && !accepted {
			f.Tagged = false
		}
	}
}

// caseFile reads what facts and reports are made of; People, UnitName and Group are left empty. Who has the accepted
// reading at hand gives it, else nil.
func caseFile(ctx context.Context, tx Tx, caseID string, accepted *ReadingState) (CaseFile, error) {
	var file CaseFile
	var err error
	if file.Case, err = tx.Case(ctx, caseID); err != nil {
		return CaseFile{}, err
	}
	if file.Parts, err = tx.Parts(ctx, caseID); err != nil {
		return CaseFile{}, err
	}
	if file.Complications, err = tx.Complications(ctx, caseID); err != nil {
		return CaseFile{}, err
	}
	if file.Visits, err = tx.Visits(ctx, caseID); err != nil {
		return CaseFile{}, err
	}
	file.StepLists = []StepList{}
	if file.Reading, err = acceptedReading(ctx, tx, caseID, accepted); err != nil || file.Reading == nil {
		return file, err
	}
	file.StepLists, err = listsOf(ctx, tx, *file.Reading)
	return file, err
}

// acceptedReading gives the accepted reading of a case; nil when there is none.
func acceptedReading(ctx context.Context, tx Tx, caseID string, known *ReadingState) (*ReadingState, error) {
	if known != nil {
		return known, nil
	}
	readings, err := tx.Readings(ctx, caseID)
	if err != nil {
		return nil, err
	}
	at := slices.IndexFunc(readings, func(r Reading) bool { return r.Accepted })
	if at < 0 {
		return nil, nil
	}
	state, err := tx.ReadingState(ctx, readings[at].ID)
	return &state, err
}
