package server

import (
	"encoding/csv"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

func TestTheRecordOfTheUnit(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	clinic := h.hire("cleo", annotate.RoleClinic)
	var record annotate.UnitRecord
	clinic.must("GET", "/unit/record?technique=phaco", nil, &record)
	require.Equal(t, 1, record.Operations)
	require.Equal(t, 1, record.Rupture.Events)
	require.Nil(t, record.Rupture.Rate.Percent, "no percentage of fewer than five")
	require.NotEmpty(t, record.Rupture.Source)
	require.Equal(t, 3, len(record.Completeness.Sets))

	w := clinic.send("GET", "/unit/record.csv?from=2026-01-01&to=2026-12-31", nil)
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	require.Equal(t, "text/csv; charset=utf-8", w.Header().Get("Content-Type"))
	rows, err := csv.NewReader(strings.NewReader(w.Body.String())).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"section", "code", "name", "count", "of", "percent", "low", "high", "text"}, rows[0])
	require.Equal(t, []string{"rupture", "observed", "Capsule rupture in audit", "1", "1", "", "", ""}, rows[6][:8])

	chair := h.hire("noor", annotate.RoleChair)
	chair.must("GET", "/unit/record", nil, &record)
	require.Equal(t, annotate.ScopeSeen, record.Scope, "one operation of the unit is too few to stay unnamed")
	require.Zero(t, record.Operations)
	clinic.refused("GET", "/unit/record?technique=laser", nil, http.StatusUnprocessableEntity, annotate.CodeInvalid)
	clinic.refused("GET", "/unit/record?from=yesterday", nil, http.StatusUnprocessableEntity, annotate.CodeInvalid)
	h.hire("office", annotate.RoleAdministrator).refused("GET", "/unit/record", nil, http.StatusForbidden, annotate.CodeForbidden)
	require.Equal(t, http.StatusForbidden, h.hire("office-2", annotate.RoleAdministrator).send("GET", "/unit/record.csv", nil).Code)
}

func TestTheFitOfTheRiskIsAskedForByTheAdministrator(t *testing.T) {
	h := sqliteHouse(t)
	tell(t, h)
	office := h.hire("office", annotate.RoleAdministrator)
	var unit map[string]any
	office.must("GET", "/unit", nil, &unit)
	require.Nil(t, unit["recalibration"])
	unit["recalibration"] = map[string]any{"on": true, "from": "2026-01-01", "to": "2026-12-31"}
	w := office.send("PUT", "/unit", unit)
	require.Equal(t, http.StatusUnprocessableEntity, w.Code, w.Body)
	require.Contains(t, w.Body.String(), "needs at least 200 operations with every factor of the risk known")
	unit["recalibration"] = map[string]any{"on": false, "from": "2026-01-01", "to": "2026-12-31"}
	office.must("PUT", "/unit", unit, &unit)
	require.Equal(t, false, unit["recalibration"].(map[string]any)["on"])
}
