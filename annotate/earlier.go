package annotate

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"zonule/timeline/cohort"
)

// EarlierCases is a case beside earlier operations on the same patient.
type EarlierCases struct {
	Here    BesideCase   `json:"here"`
	Earlier []BesideCase `json:"earlier"` // the latest first
}

// BesideCase is one operation with the figures that are set beside those of another. Nil is not known.
type BesideCase struct {
	CaseID        string    `json:"caseId"`
	Date          string    `json:"date"`
	Eye           Eye       `json:"eye"`
	SameEye       bool      `json:"sameEye"` // as the case that is asked about
	Technique     Technique `json:"technique"`
	NuclearGrade  *int      `json:"nuclearGrade"`
	Operation     *int64    `json:"operation"` // ms
	Nucleus       *int64    `json:"nucleus"`   // ms in the nucleus stage
	CDE           *float64  `json:"cde"`
	DensityBefore *float64  `json:"densityBefore"` // cells/mm2
	DensityAfter  *float64  `json:"densityAfter"`  // at the latest visit with a count
	Window        Window    `json:"window"`        // of that visit, "" without one
	Complications []string  `json:"complications"` // names
	// Report is the latest signed one; nil when none is signed.
	Report *SignedReport `json:"report"`
}

// Earlier gives the case beside earlier operations, on the same eye or the fellow eye, of the patient with its pseudonym, as far as
// the actor may see their reports.
func (s *Service) Earlier(ctx context.Context, actor Actor, caseID string) (EarlierCases, error) {
	answer := EarlierCases{Earlier: []BesideCase{}}
	err := s.onCase(ctx, actor, caseID, ReportView, func(tx Tx, c seen) error {
		all, err := s.snapshot.cohort(ctx, tx)
		if err != nil {
			return err
		}
		if answer.Here, err = besideCase(ctx, tx, all, c.Case, c.Case); err != nil {
			return err
		}
		ids, err := tx.CasesNamed(ctx, []string{strings.ToLower(c.Pseudonym)})
		if err != nil {
			return err
		}
		others, err := tx.Cases(ctx, ids)
		if err != nil {
			return err
		}
		for _, other := range others {
			if other.ID == c.ID || other.Date > c.Date {
				continue
			}
			if _, err := see(actor, other, nil, ReportView); err != nil {
				continue // not theirs to see
			}
			beside, err := besideCase(ctx, tx, all, other, c.Case)
			if err != nil {
				return err
			}
			answer.Earlier = append(answer.Earlier, beside)
		}
		return nil
	})
	slices.SortFunc(answer.Earlier, func(a, b BesideCase) int {
		return cmp.Or(cmp.Compare(b.Date, a.Date), cmp.Compare(a.CaseID, b.CaseID))
	})
	return answer, err
}

func besideCase(ctx context.Context, tx Tx, all *cohort.Cohort, c, here Case) (BesideCase, error) {
	beside := BesideCase{
		CaseID: c.ID, Date: c.Date, Eye: c.Eye, SameEye: c.Eye == here.Eye, Technique: c.Operation.TechniquePerformed,
		NuclearGrade: c.Before.NuclearGrade, Complications: []string{},
	}
	reports, err := tx.Reports(ctx, c.ID)
	if err != nil {
		return beside, err
	}
	if n := len(reports); n > 0 {
		beside.Report = &reports[n-1]
	}
	row := all.Row(c.Date, c.ID)
	if row == nil {
		return beside, nil
	}
	beside.Operation, beside.CDE = row.Time, row.Operation.CDE
	for _, stage := range row.Stages {
		if stage.Code == "nucleus" {
			beside.Nucleus = stage.Total
		}
	}
	if row.Before.Count != nil {
		beside.DensityBefore = &row.Before.Count.Density
	}
	for _, visit := range row.After {
		if visit.Count != nil {
			beside.DensityAfter, beside.Window = &visit.Count.Density, Window(visit.Window)
		}
	}
	for _, mishap := range row.Complications {
		if kind, known := kindNamed(mishap.Kind); known && !slices.Contains(beside.Complications, kind.Name) {
			beside.Complications = append(beside.Complications, kind.Name)
		}
	}
	return beside, nil
}
