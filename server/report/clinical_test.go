package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/report"
)

func text(t *testing.T, file annotate.CaseFile, options report.Options) string {
	t.Helper()
	return string(forms(t, report.Build(file, options), report.Edition{})["html"])
}

// TestTheRiskFittedToTheUnit: odds of 0.736 % times 0.5. Arithmetic.
func TestTheRiskFittedToTheUnit(t *testing.T) {
	file := bare(t)
	file.Case.Before = annotate.EyeBefore{
		Age: ptr(55), Sex: "female", Pupil: "large", AxialLength: ptr(23.0), Glaucoma: annotate.No, DiabeticRetinopathy: annotate.No,
		BrunescentOrWhite: annotate.No, NoFundalView: annotate.No, Pseudoexfoliation: annotate.No, AlphaBlocker: annotate.No, CannotLieFlat: annotate.No,
	}
	file.Case.Operators = []annotate.Operator{{UserID: "u-samir", Role: annotate.OperatorLead, Grade: annotate.GradeConsultant}}
	fit := &annotate.Recalibration{
		On: true, From: "2025-01-01", To: "2025-12-31", OddsMultiplier: ptr(0.5), Operations: 900, InWindow: 1200, Observed: 6, ExpectedPercent: ptr(1.32),
	}
	r := report.Build(file, report.Options{Recalibration: fit})
	require.InDelta(t, 0.736, *r.RiskPublished.Percent, 1e-9)
	require.InDelta(t, 100*0.5*0.736/(99.264+0.5*0.736), *r.Risk.Percent, 1e-9)
	require.Equal(t, fit, r.Recalibration)
	page := text(t, file, report.Options{Recalibration: fit})
	require.Contains(t, page, "Fitted to the unit: the odds are multiplied by 0.50")
	require.Contains(t, page, "It rests on 900 of the 1200 operations from 1 January 2025 to 31 December 2025")
	require.Contains(t, page, "6 operations with capsule rupture (0.67 %), where 1.32 % were expected as published. As published the chance here is 0.7 %.")
	written := string(forms(t, r, report.Edition{})["csv"])
	require.Contains(t, written, "odds-multiplier")
	require.Contains(t, written, "expected-as-published")

	off := &annotate.Recalibration{From: "2025-01-01", To: "2025-12-31"}
	r = report.Build(file, report.Options{Recalibration: off})
	require.Nil(t, r.RiskPublished)
	require.Nil(t, r.Recalibration, "nothing is told of what is off")
	require.NotContains(t, text(t, file, report.Options{Recalibration: off}), "Fitted to the unit")
}

func TestCountsAcrossInstrumentsAreToldInWords(t *testing.T) {
	file := converted(t)
	page := text(t, file, report.Options{})
	require.Contains(t, page, "The two counts come from different instruments or methods and are not compared; published systematic differences are 184 to 228 cells/mm²")
	file.Case.CompareInstruments = true
	r := report.Build(file, report.Options{})
	require.InDelta(t, 100*(2210-940)/2210.0, *r.FollowUp.Visits[1].Loss.LossPercent, 1e-9)
	require.Equal(t, []string{"density under 1000 cells/mm²", "loss over 20 %"}, r.FollowUp.Visits[1].Flags)
	require.Contains(t, text(t, file, report.Options{}), "are compared on request; published systematic differences are 184 to 228 cells/mm²")
}

func TestTheFellowEyeAndTheMachineAreInTheReport(t *testing.T) {
	file := eventful(t)
	r := report.Build(file, report.Options{})
	require.InDelta(t, 100*(2310-2290)/2310.0, *r.FollowUp.Visits[1].FellowLoss.LossPercent, 1e-9)
	page := text(t, file, report.Options{})
	require.Contains(t, page, "Month 1, fellow eye")
	require.Contains(t, page, "Settings of the machine")
	require.Contains(t, page, "14.2; 14.13 follows from times and powers")
	require.Contains(t, page, "Month 1, fellow exam, cells is unusual: 60 lies outside 75 to 2000 cells; please check it.")
	file.Case.Operation.CDE = ptr(20.0)
	require.Contains(t, text(t, file, report.Options{}), "20; 14.13 follows from times and powers, which differs by more than 5 %")
	written := string(forms(t, r, report.Edition{})["csv"])
	require.Contains(t, written, "K-017,setting,nucleus,vacuum,")
}
