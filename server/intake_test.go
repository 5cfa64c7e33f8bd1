package server

import (
	"encoding/csv"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

type importAnswer struct {
	Import annotate.Intake        `json:"import"`
	Rows   []annotate.IntakeRow   `json:"rows"`
	Fields []annotate.IntakeField `json:"fields"`
}

// begin uploads a file as a browser does.
func (c *client) begin(content string) annotate.Intake {
	c.house.t.Helper()
	var intake annotate.Intake
	c.must("POST", "/imports?name=visits.csv", []byte(content), &intake)
	return intake
}

func TestImportOfVisits(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		h := newHouse(t, annotatetest.Open(t, address))
		sol, clinic := h.hire("sol", annotate.RoleSurgeon), h.hire("cleo", annotate.RoleClinic)
		sol.must("PUT", "/cases/"+flowCase, newCase(flowCase, "sol"), nil)
		var c annotate.Case
		sol.must("GET", "/cases/"+flowCase, nil, &c)
		content := "\xef\xbb\xbfwho;Auge;Datum;IOP;Bemerkung\r\n" +
			c.Pseudonym + ";" + string(c.Eye) + ";03.02.2026;17,5;\"=zwei\r\nZeilen\"\r\n" +
			"NOBODY;OD;03.02.2026;17,5;\r\n"
		intake := clinic.begin(content)
		require.Equal(t, annotate.IntakeToMatch, intake.State)
		require.Equal(t, ";", intake.File.Separator)
		path := "/imports/" + intake.ID
		clinic.refused("POST", path+"/check", nil, 422, annotate.CodeInvalid)
		clinic.must("PUT", path+"/matching", annotate.IntakeMatching{Fields: []string{"pseudonym", "eye", "date", "pressure", "note"}, Dates: "day-first"}, nil)
		clinic.must("POST", path+"/check", nil, &intake)
		require.Equal(t, annotate.IntakeChecked, intake.State)
		var answer importAnswer
		clinic.must("GET", path+"?verdict=new", nil, &answer)
		require.Len(t, answer.Rows, 1)
		require.Equal(t, 2, answer.Rows[0].Number)
		require.NotEmpty(t, answer.Fields)
		clinic.refused("POST", path+"/apply", map[string]any{"whole": true}, 422, annotate.CodeInvalid)
		clinic.must("POST", path+"/apply", map[string]any{"whole": false}, &intake)
		require.Equal(t, annotate.IntakeApplied, intake.State)
		require.Equal(t, 1, intake.Written)
		var visits []annotate.Visit
		sol.must("GET", "/cases/"+flowCase+"/visits", nil, &visits)
		require.Len(t, visits, 1)
		require.InDelta(t, 17.5, *visits[0].Pressure, 1e-12)

		w := clinic.send("GET", path+"/report.csv", nil)
		require.Equal(t, http.StatusOK, w.Code)
		lines, err := csv.NewReader(w.Body).ReadAll()
		require.NoError(t, err)
		require.Equal(t, []string{"2", "new", "yes", "", "", ""}, lines[1][:6])
		require.Equal(t, "'=zwei\nZeilen", lines[1][10])
		require.Equal(t, []string{"4", "no-case", "no", "pseudonym"}, lines[2][:4])

		// Nobody else sees it, and the same file again changes nothing.
		sol.refused("GET", path, nil, 404, annotate.CodeNotFound)
		intake = clinic.begin(content)
		require.True(t, intake.Remembered)
		clinic.must("POST", "/imports/"+intake.ID+"/check", nil, &intake)
		require.Equal(t, 1, intake.Counts[annotate.VerdictSame])
		clinic.must("POST", "/imports/"+intake.ID+"/cancel", nil, &intake)
		require.Equal(t, annotate.IntakeCancelled, intake.State)
	})
}

func TestImportRefusesFiles(t *testing.T) {
	h := sqliteHouse(t)
	clinic := h.hire("cleo", annotate.RoleClinic)
	for content, words := range map[string]string{
		"PK\x03\x04":        "XLSX",
		"a,b\n\"x":          "line 2",
		"a,b\n":             "no rows",
		"a\x00b":            "not text",
		"a,b\n1,\"x\n\n\n,": "line 2",
	} {
		p := clinic.refused("POST", "/imports?name=x", []byte(content), 422, annotate.CodeInvalid)
		require.Contains(t, p.Detail, words)
	}
	clinic.refused("POST", "/imports?name=x", []byte(strings.Repeat("a", importBodyLimit+1)), http.StatusRequestEntityTooLarge, "too-large")
	h.admin.refused("POST", "/imports?name=x", []byte("a,b\n1,2\n"), 403, annotate.CodeForbidden)
}
