package report

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/timeline/cohort"
)

func TestProgressDocument(t *testing.T) {
	median := 61_500.0
	p := annotate.Progress{
		Person: annotate.Person{ID: "e", Name: "Eleni"}, From: "2026-01-01", To: "2026-06-30", MadeOn: "2026-07-01",
		Cases: cohort.Tally{Led: 7, Shared: 2, Assisted: 1, Complications: []cohort.CodeCount{{Code: "vitreous-loss", Name: "Vitreous loss", Times: 1, Cases: 1}}},
		Steps: []annotate.ProgressStep{
			{Item: cohort.Item{Kind: cohort.OfStep, Code: "capsulorhexis", Name: "Capsulorhexis"}, N: 7, Median: &median, Group: &median, Against: &cohort.Ratio{Ratio: 1.21, Low: 1.02, High: 1.43}},
			{Item: cohort.Item{Kind: cohort.OfStep, Code: "cortex", Name: "Cortex removal"}, N: 2, Why: "2 cases: too few for a summary (at least 5)."},
		},
		Comments: annotate.ProgressComments{Received: 1, Open: 1, Latest: []annotate.Feedback{{AuthorID: "m", MadeAt: 1_780_000_000_000, Date: "2026-02-02", Text: "Tip deep here."}}},
		Assessments: []annotate.ProgressAssessment{{
			Assessment: annotate.Assessment{AssessorID: "e", SubjectID: "e", Remark: "Calm today."}, Date: "2026-02-02", FormName: "How the steps went",
			Lines: []annotate.AssessedLine{{Text: "The nucleus is free", Value: 3, Label: "With a word"}},
		}},
		Goals: []annotate.Goal{{Text: "No refolding", AuthorID: "m", AgreedOn: "2026-06-01", DueOn: "2026-09-01", State: annotate.GoalOpen}},
	}
	e := ProgressEdition{Unit: "A unit", Invented: true, Name: func(id string) string { return map[string]string{"m": "Mara", "e": "Eleni"}[id] }, Made: time.UnixMilli(1_782_000_000_000).UTC()}
	d, err := progressDocument(p, e)
	require.NoError(t, err)
	html, err := d.HTML()
	require.NoError(t, err)
	for _, said := range []string{"7 cases operated alone, 2 in part", "1.21 (1.02 to 1.43)", "too few for a summary", "1:02", "Eleni (self)", "Mara", "Tip deep here.", "Calm today.", "Open, due 1 Sep", "Vitreous loss", inventedNotice, "not, alone, a judgement"} {
		require.Contains(t, string(html), said)
	}
	first, err := ProgressPDF(p, e)
	require.NoError(t, err)
	second, err := ProgressPDF(p, e)
	require.NoError(t, err)
	require.Equal(t, first, second)
	_, err = ProgressPDF(annotate.Progress{}, ProgressEdition{Name: func(string) string { return "" }})
	require.NoError(t, err, "an empty period is told, not refused")
}
