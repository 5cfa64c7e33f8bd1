package server

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

func TestFollowUpAsATable(t *testing.T) {
	h := sqliteHouse(t)
	surgeon := h.hire("sol", annotate.RoleSurgeon)
	clinic := h.hire("cleo", annotate.RoleClinic)
	fresh := newCase("case-9", "sol")
	fresh["pseudonym"] = "=Heron"
	surgeon.must("PUT", "/cases/case-9", fresh, nil)
	w := clinic.send("GET", "/follow-up.csv", nil)
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	require.Equal(t, "text/csv; charset=utf-8", w.Header().Get("Content-Type"))
	// Days 1 and 7 after 2 February 2026; counted on a calendar.
	require.Equal(t, "case,eye,operated_on,operators,visit,due_on,overdue_after,overdue\r\n"+
		"'=Heron,OD,2026-02-02,Person sol,day-1,2026-02-03,2026-02-09,yes\r\n", w.Body.String())
	var page annotate.FollowUpPage
	clinic.must("GET", "/follow-up?overdue=true&window=day-1", nil, &page)
	require.Len(t, page.Items, 1)
	require.True(t, page.Items[0].Overdue)
	clinic.refused("GET", "/follow-up?window=other", nil, http.StatusUnprocessableEntity, annotate.CodeInvalid)
	stranger := h.hire("stranger", annotate.RoleSurgeon)
	require.NotContains(t, stranger.send("GET", "/follow-up.csv", nil).Body.String(), "Heron")
}

func TestClinicSeesTheRecordOfACase(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	var record annotate.Record
	h.hire("cleo", annotate.RoleClinic).must("GET", "/cases/"+flowCase+"/record", nil, &record)
	require.Len(t, record.Endothelium, 3)
	require.InDelta(t, 10, *record.Endothelium[1].Loss.LossPercent, 1e-9, "2500 to 2250 cells/mm² (arithmetic)")
	require.NotEmpty(t, record.Completeness.Missing)
}
