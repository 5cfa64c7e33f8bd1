package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/report"
)

func missingCodes(r report.Report) []string {
	var codes []string
	for _, m := range r.Missing {
		codes = append(codes, m.Code)
	}
	return codes
}

func TestMissingVisitsAreThoseOfThePlan(t *testing.T) {
	usual := missingCodes(report.Build(bare(t), report.Options{}))
	require.Subset(t, usual, []string{"visit-day-1", "visit-month-1"})
	require.NotContains(t, usual, "visit-week-1")
	own := missingCodes(report.Build(bare(t), report.Options{Windows: []annotate.WindowPlan{
		{Window: annotate.WindowDay1, DueDays: 1, LateDays: 2}, {Window: annotate.WindowYear1, DueDays: 365, LateDays: 400, Required: true},
	}}))
	require.NotContains(t, own, "visit-day-1")
	require.Contains(t, own, "visit-year-1")
}

func TestALostEyeIsTold(t *testing.T) {
	file := bare(t)
	file.Case.LostToFollowUp = &annotate.LostToFollowUp{On: "2026-06-01", Reason: "Moved to another country."}
	r := report.Build(file, report.Options{})
	require.Contains(t, missingCodes(r), "lost-to-follow-up")
	require.NotContains(t, missingCodes(r), "visit-day-1")
	page, err := report.HTML(r, report.Edition{})
	require.NoError(t, err)
	require.Contains(t, string(page), "Lost to follow-up since 1 June 2026: Moved to another country.")
}
