package server

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/table"
	"zonule/timeline/cohort"
)

// TestComparisonAndItsFiles asks for the page's numbers and for the same as files.
func TestComparisonAndItsFiles(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	surgeon := h.as("sol")
	markTheRest(t, surgeon)
	var comparison cohort.Comparison
	surgeon.must("GET", "/compare?technique=phaco&gradeFrom=0&part=all&items=operation,step:ovd", nil, &comparison)
	require.Equal(t, 1, comparison.N.Cases)
	require.Equal(t, []cohort.Kind{cohort.OfOperation, cohort.OfStep}, []cohort.Kind{comparison.Rows[0].Kind, comparison.Rows[1].Kind})
	require.Nil(t, comparison.Rows[0].Group, "one case hides nobody")
	lane := comparison.Rows[1].Lanes[0]
	require.Equal(t, "You", lane.Name)
	require.Len(t, lane.Points, 1)
	require.Equal(t, flowCase, lane.Points[0].CaseID)
	require.Equal(t, flowPart, lane.Points[0].At.Part)

	w := surgeon.send("GET", "/compare.csv?technique=phaco&items=operation,step:ovd", nil)
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	rows, err := csv.NewReader(strings.NewReader(w.Body.String())).ReadAll()
	require.NoError(t, err)
	require.Equal(t, compareHeader, rows[0])
	points := 0
	for _, row := range rows[1:] {
		require.Len(t, row, len(compareHeader))
		if row[0] == "case" && row[2] == "ovd" {
			points++
			require.Equal(t, flowCase, row[10])
		}
	}
	require.Equal(t, 1, points)

	w = surgeon.send("GET", "/compare.xlsx?technique=phaco&items=operation,step:ovd", nil)
	require.Equal(t, http.StatusOK, w.Code)
	require.Equal(t, xlsxType, w.Header().Get("Content-Type"))
	inBook := 0
	for _, sheet := range []string{"Summary", "Cases", "Notes"} {
		reader, err := table.Open(w.Body.Bytes(), sheet)
		require.NoError(t, err)
		sheetRows, err := reader.All()
		require.NoError(t, err)
		require.NoError(t, reader.Close())
		inBook += len(sheetRows) - 1
	}
	require.Equal(t, len(rows)-1, inBook)

	var learning cohort.Learning
	surgeon.must("GET", "/compare/learning?step=ovd&operator=me", nil, &learning)
	require.Equal(t, 1, learning.N)
	surgeon.must("GET", "/compare/learning?kind=operation", nil, &learning)
	surgeon.refused("GET", "/compare/learning?step=ovd&operator=somebody", nil, http.StatusNotFound, annotate.CodeNotFound)
	surgeon.refused("GET", "/compare?technique=magic", nil, http.StatusUnprocessableEntity, annotate.CodeInvalid)
	surgeon.refused("GET", "/compare?items=step:nothing", nil, http.StatusUnprocessableEntity, annotate.CodeInvalid)
}

// markTheRest marks the required steps that tell left out, since only a reading that is complete is compared.
func markTheRest(t *testing.T, c *client) {
	t.Helper()
	var state annotate.ReadingState
	c.must("GET", "/readings/"+flowReading, nil, &state)
	var list annotate.StepList
	c.must("GET", "/step-lists/phaco/1", nil, &list)
	var edits []any
	for i, step := range list.Steps {
		marked := slices.ContainsFunc(state.Markers, func(m annotate.Marker) bool { return m.Step == step.Code })
		if step.Required && !marked {
			name := fmt.Sprintf("rest-%d", i)
			edits = append(edits, addMarker("edit-"+name, marker(name, step.Code, flowPart, 250_000+int64(i)*1000, 250_900+int64(i)*1000)))
		}
	}
	if len(edits) > 0 {
		c.must("POST", "/readings/"+flowReading+"/edits", map[string]any{"edits": edits}, nil)
	}
}

func TestChartsOverTheInterface(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	surgeon, chair := h.as("sol"), h.hire("noor", annotate.RoleChair)
	var chart cohort.Monitoring
	surgeon.must("GET", "/compare/monitoring?kind=capsule-rupture&operator=me", nil, &chart)
	require.Equal(t, 1, chart.N)
	surgeon.refused("GET", "/compare/monitoring?kind=capsule-rupture", nil, http.StatusForbidden, annotate.CodeForbidden)
	surgeon.refused("GET", "/compare/monitoring?operator=me", nil, http.StatusUnprocessableEntity, annotate.CodeInvalid)
	var review annotate.MonitoringReview
	chair.must("PUT", "/compare/monitoring/reviews/review-1", map[string]any{
		"operator": "", "kind": "capsule-rupture", "date": "2026-02-03", "reason": "All looked at.",
	}, &review)
	require.Equal(t, "review-1", review.ID)
	chair.must("GET", "/compare/monitoring?kind=capsule-rupture&technique=phaco", nil, &chart)
	require.Equal(t, []cohort.Restart{{Date: "2026-02-03", Reason: "All looked at."}}, chart.Question.Restarts)
	var funnel cohort.Funnel
	surgeon.must("GET", "/compare/funnel?kind=vitreous-loss&against=published", nil, &funnel)
	surgeon.refused("GET", "/compare/funnel?kind=bad-luck", nil, http.StatusUnprocessableEntity, annotate.CodeInvalid)
}
