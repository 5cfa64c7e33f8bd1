package server

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/annotate/store"
	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// lossQuestion asks whether the loss at three months goes with the time of the nucleus stage.
func lossQuestion(exposures ...outcome.Exposure) outcome.Definition {
	if len(exposures) == 0 {
		exposures = []outcome.Exposure{{Kind: outcome.StageTime, Code: "nucleus", Scale: outcome.PerUnit}}
	}
	return outcome.Definition{Outcome: outcome.Outcome{Kind: outcome.Loss, Window: "month-3"}, Exposures: exposures}
}

// operated gives a store n cases of the operators in turn, with times, counts and a rupture in every seventh. All is invented.
func operated(t testing.TB, s *store.Store, n int, operators ...string) {
	t.Helper()
	const minute = 60_000
	rows := make([]cohort.Row, n)
	require.NoError(t, s.Write(t.Context(), func(tx annotate.Tx) error {
		for i := range rows {
			// The golden ratio spreads values evenly without a pattern that lines up with the operators.
			turn := func(k int) float64 { return math.Mod(float64(i*k+1)*0.6180339887498949, 1) }
			lead := operators[i%len(operators)]
			c := annotate.Case{
				ID: fmt.Sprintf("studied-%06d", i), Revision: 1, Pseudonym: fmt.Sprintf("Egret %d", i), Eye: annotate.RightEye,
				Date:      time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i%700).Format(time.DateOnly),
				Operators: []annotate.Operator{{UserID: lead, Role: annotate.OperatorLead, Grade: annotate.GradeConsultant}},
				CreatedBy: lead, SharedWith: []string{},
				Operation: annotate.Operation{TechniquePlanned: annotate.TechniquePhaco, TechniquePerformed: annotate.TechniquePhaco},
			}
			if err := tx.InsertCase(t.Context(), c); err != nil {
				return err
			}
			grade, age, cells, cv := 1+i%5, 60+i%29, 80+i%60, 0.3
			minutes := 3 + 4*turn(1) + 0.5*float64(grade)
			total, whole := int64(minutes*minute), int64((minutes+6)*minute)
			before := 2300 + 400*turn(2)
			after := before * math.Exp(-(0.03*float64(grade) + 0.01*minutes + 0.06*turn(3)))
			rows[i] = cohort.Row{
				CaseID: c.ID, Date: c.Date, Technique: "phaco", Operator: lead, Grade: "consultant", StepList: "phaco", Tagged: true, Measured: true, Time: &whole,
				Before: cohort.Before{Age: &age, NuclearGrade: &grade, Pupil: "large", Pseudoexfoliation: timeline.No, Count: &cohort.Count{Density: before, Cells: &cells, CV: &cv}},
				Stages: []cohort.Part{{Code: "nucleus", Total: &total, Quality: timeline.Measured, Episodes: 1}},
				Steps:  []cohort.Part{{Code: "removal", Total: &whole, Quality: timeline.Measured, Episodes: 1}},
				After:  []cohort.Seen{{Window: "month-3", Days: 90, Count: &cohort.Count{Density: after, Cells: &cells, CV: &cv}}},
				Events: map[string]int{"fragment-contact": i % 3, "ovd-top-up": i % 4}, CapsuleRupture: i%7 == 3,
			}
		}
		return tx.PutCaseRows(t.Context(), 1, rows...)
	}))
}

// askStudy sends a question and gives the last line of the answer.
func (c *client) askStudy(d outcome.Definition) studyLine {
	c.house.t.Helper()
	w := c.send("POST", "/outcomes/answers", d)
	require.Equal(c.house.t, http.StatusOK, w.Code, w.Body)
	require.Equal(c.house.t, linesType, w.Header().Get("Content-Type"))
	lines := strings.Split(strings.TrimSpace(w.Body.String()), "\n")
	var last studyLine
	require.NoError(c.house.t, json.Unmarshal([]byte(lines[len(lines)-1]), &last))
	return last
}

// studied is a unit of three operators with cases, on a store.
func studied(t *testing.T, address string, n int) (*house, *client) {
	t.Helper()
	s := annotatetest.Open(t, address)
	h := newHouse(t, s)
	for _, login := range []string{"sol", "mona", "ines"} {
		h.hire(login, annotate.RoleSurgeon)
	}
	operated(t, s, n, "sol", "mona", "ines")
	return h, h.as("sol")
}

// TestAStudyFromTheQuestionToTheFrozenReport goes the whole way on both databases. Freezing the same definition on the same
// data twice gives the same bytes, and so do both databases.
func TestAStudyFromTheQuestionToTheFrozenReport(t *testing.T) {
	kept := map[string][]byte{}
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		h, sol := studied(t, address, 150)
		var choices annotate.StudyChoices
		sol.must("GET", "/outcomes/choices", nil, &choices)
		require.Equal(t, 150, choices.Cases)
		require.Equal(t, 3, choices.SmallestGroup)
		require.Equal(t, []annotate.OperatorChoice{{ID: "sol", Name: "You", Own: true}}, choices.Operators)

		found := sol.askStudy(lossQuestion())
		require.NotNil(t, found.Answer)
		require.Empty(t, found.Answer.Why)
		require.Equal(t, 129, found.Answer.N)
		require.InDelta(t, 1, found.Answer.Relations[0].Adjusted.Value, 0.3, "a minute goes with 1 % of the cells, as planted")

		for _, id := range []string{"study-1", "study-2"} {
			var study annotate.Study
			sol.must("PUT", "/studies/"+id, map[string]any{"revision": 0, "name": "Nucleus and loss", "question": "Does it pay to be slow?", "definition": lossQuestion(), "shared": false}, &study)
			require.Equal(t, "sol", study.OwnerID)
			sol.refused("POST", "/studies/"+id+"/frozen", map[string]any{"hash": found.Hash, "dataHash": "00"}, http.StatusConflict, annotate.CodeStale)
			var frozen, again annotate.FrozenStudy
			sol.must("POST", "/studies/"+id+"/frozen", map[string]any{"hash": found.Hash, "dataHash": found.DataHash}, &frozen)
			require.Equal(t, 1, frozen.Number)
			require.Equal(t, 3, frozen.Operators)
			sol.must("POST", "/studies/"+id+"/frozen", map[string]any{"hash": found.Hash, "dataHash": found.DataHash}, &again)
			require.Equal(t, frozen, again, "sent twice it is frozen once")
			for _, form := range []string{"json", "csv", "xlsx", "html", "pdf"} {
				w := sol.send("GET", "/frozen-studies/"+frozen.ID+"/content."+form, nil)
				require.Equal(t, http.StatusOK, w.Code, form)
				require.NotContains(t, w.Body.String(), "Egret")
				require.NotContains(t, w.Body.String(), "studied-0")
				if kept[form] == nil {
					kept[form] = w.Body.Bytes()
				}
				if form == "json" || form == "csv" || form == "xlsx" {
					require.True(t, bytes.Equal(kept[form], w.Body.Bytes()), "%s of the same definition and data", form)
				}
				sol.headers = map[string]string{"If-None-Match": w.Header().Get("ETag")}
				require.Equal(t, http.StatusNotModified, sol.send("GET", "/frozen-studies/"+frozen.ID+"/content."+form, nil).Code)
				sol.headers = nil
			}
		}
		sol.must("DELETE", "/studies/study-2?revision=1", nil, nil)
		sol.refused("GET", "/studies/study-2", nil, http.StatusNotFound, annotate.CodeNotFound)
		var all []annotate.FrozenStudy
		sol.must("GET", "/frozen-studies", nil, &all)
		require.Len(t, all, 2, "what was frozen stays")
		verified, err := h.service.Verify(t.Context())
		require.NoError(t, err)
		require.Equal(t, 2, verified.Frozen)
		for _, m := range verified.Mismatches {
			require.NotEqual(t, "study", m.Subject, m.String())
		}
	})
}

func TestStudyFiles(t *testing.T) {
	_, sol := studied(t, annotatetest.SQLiteAddress(t), 60)
	sol.must("PUT", "/studies/study-1", map[string]any{"revision": 0, "name": "Nucleus / loss", "question": "", "definition": lossQuestion(), "shared": true}, nil)
	for _, tt := range []struct{ path, kind, begins, how string }{
		{"report.html", "text/html; charset=utf-8", "<!", "inline"},
		{"report.pdf", "application/pdf", "%PDF-", "attachment"},
		{"table.csv", "text/csv; charset=utf-8", "", "attachment"},
		{"table.xlsx", xlsxType, "PK", "attachment"},
	} {
		w := sol.send("GET", "/studies/study-1/"+tt.path, nil)
		require.Equal(t, http.StatusOK, w.Code, w.Body)
		require.Equal(t, tt.kind, w.Header().Get("Content-Type"))
		ending := tt.path[strings.Index(tt.path, "."):]
		require.Equal(t, tt.how+`; filename="study-nucleus-loss-2026-03-02`+ending+`"`, w.Header().Get("Content-Disposition"))
		require.True(t, bytes.HasPrefix(w.Body.Bytes(), []byte(tt.begins)), tt.path)
		require.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'")
		require.NotContains(t, w.Body.String(), "Egret")
	}
}

// TestWhatCannotBeAsked is refused in the ordinary way, before any line of an answer.
func TestWhatCannotBeAsked(t *testing.T) {
	h, sol := studied(t, annotatetest.SQLiteAddress(t), 30)
	without := lossQuestion()
	without.Exposures = []outcome.Exposure{}
	sol.refused("POST", "/outcomes/answers", without, http.StatusUnprocessableEntity, annotate.CodeInvalid)
	other := lossQuestion()
	other.Population.Operator = "mona"
	sol.refused("POST", "/outcomes/answers", other, http.StatusNotFound, annotate.CodeNotFound)
	h.admin.refused("POST", "/outcomes/answers", lossQuestion(), http.StatusForbidden, annotate.CodeForbidden)
	own := lossQuestion()
	own.Population.Operator = annotate.Myself
	found := sol.askStudy(own)
	require.Equal(t, "sol", found.Answer.Definition.Population.Operator)
	require.Contains(t, found.Answer.Why, "nothing is modelled", "ten cases are too few")
	usual, none := lossQuestion(), lossQuestion()
	none.Adjust = []string{}
	require.NotEqual(t, sol.askStudy(usual).Hash, sol.askStudy(none).Hash, "null is the usual set, empty is none")
}

// TestWhatIsWithheld: two people operate. The report says so, the table is not given out, and nothing is frozen.
func TestWhatIsWithheld(t *testing.T) {
	s := annotatetest.Open(t, annotatetest.SQLiteAddress(t))
	h := newHouse(t, s)
	sol := h.hire("sol", annotate.RoleSurgeon)
	h.hire("mona", annotate.RoleSurgeon)
	operated(t, s, 80, "sol", "mona")
	found := sol.askStudy(lossQuestion())
	require.Contains(t, found.Answer.Why, "2 people led the cases chosen.")
	sol.must("PUT", "/studies/study-1", map[string]any{"revision": 0, "name": "N", "question": "", "definition": lossQuestion(), "shared": true}, nil)
	report := sol.send("GET", "/studies/study-1/report.html", nil)
	require.Equal(t, http.StatusOK, report.Code)
	require.Contains(t, report.Body.String(), "2 people led the cases chosen.")
	for _, path := range []string{"/studies/study-1/table.csv", "/studies/study-1/table.xlsx"} {
		sol.refused("GET", path, nil, http.StatusForbidden, annotate.CodeForbidden)
	}
	refusal := sol.refused("POST", "/studies/study-1/frozen", map[string]any{"hash": found.Hash, "dataHash": found.DataHash}, http.StatusForbidden, annotate.CodeForbidden)
	require.Contains(t, refusal.Detail, "Nothing was frozen.")
	chair := h.hire("noor", annotate.RoleChair)
	told := chair.askStudy(lossQuestion())
	require.Empty(t, told.Answer.Why)
	var frozen annotate.FrozenStudy
	chair.must("POST", "/studies/study-1/frozen", map[string]any{"hash": told.Hash, "dataHash": told.DataHash}, &frozen)
	chair.must("GET", "/frozen-studies/"+frozen.ID, nil, nil)
	for _, path := range []string{"", "/content.csv", "/content.html"} {
		sol.refused("GET", "/frozen-studies/"+frozen.ID+path, nil, http.StatusNotFound, annotate.CodeNotFound)
	}
}

// TestWhatIsFrozenForAll: a chair, to whom everything is told, freezes a study of four people in which two alone operated the
// hard eyes. Shared, what it would tell of those two is left out of it; kept private, nobody else reads it, then or later.
func TestWhatIsFrozenForAll(t *testing.T) {
	s := annotatetest.Open(t, annotatetest.SQLiteAddress(t))
	h := newHouse(t, s)
	sol := h.hire("sol", annotate.RoleSurgeon)
	chair := h.hire("noor", annotate.RoleChair)
	for _, login := range []string{"mona", "tom", "ann"} {
		h.hire(login, annotate.RoleSurgeon)
	}
	operated(t, s, 200, "sol", "mona", "tom", "ann", "mona") // the grade goes by fives: the fifth place has the hard nuclei
	const stratum, alone = `"name":"within nuclear grade 4 to 5"`, "led these cases. Under 3 nothing is told"
	freeze := func(shared bool, revision int) annotate.FrozenStudy {
		chair.must("PUT", "/studies/study-1", map[string]any{"revision": revision, "name": "N", "question": "", "definition": lossQuestion(), "shared": shared}, nil)
		told := chair.askStudy(lossQuestion())
		var frozen annotate.FrozenStudy
		chair.must("POST", "/studies/study-1/frozen", map[string]any{"hash": told.Hash, "dataHash": told.DataHash}, &frozen)
		return frozen
	}
	private := freeze(false, 0)
	content := chair.send("GET", "/frozen-studies/"+private.ID+"/content.json", nil).Body.String()
	require.Contains(t, content, stratum)
	require.NotContains(t, content, alone)
	require.Contains(t, chair.send("GET", "/frozen-studies/"+private.ID+"/content.csv", nil).Body.String(), "Operator 1")

	shared := freeze(true, 1)
	require.NotEqual(t, private.Hash, shared.Hash)
	sol.refused("GET", "/frozen-studies/"+private.ID, nil, http.StatusNotFound, annotate.CodeNotFound)
	for path, must := range map[string]string{"content.json": alone, "content.html": alone, "content.csv": "nuclear grade"} {
		got := sol.send("GET", "/frozen-studies/"+shared.ID+"/"+path, nil)
		require.Equal(t, http.StatusOK, got.Code, path)
		require.Contains(t, got.Body.String(), must, path)
		require.NotContains(t, got.Body.String(), "Operator 1", path)
	}
}

// slowQuestion takes the engine seconds: a penalised model with a profile for each of several exposures.
func slowQuestion() outcome.Definition {
	d := lossQuestion()
	d.Outcome = outcome.Outcome{Kind: outcome.Complication, Complication: cohort.CapsuleRupture}
	d.Exposures = []outcome.Exposure{
		{Kind: outcome.StageTime, Code: "nucleus"}, {Kind: outcome.StageTime, Code: "nucleus", Scale: outcome.PerDoubling}, {Kind: outcome.StepTime, Code: "removal"},
		{Kind: outcome.OperationTime}, {Kind: outcome.OperationTime, Scale: outcome.PerDoubling}, {Kind: outcome.OVDTopUps}, {Kind: outcome.Contacts},
		{Kind: outcome.StepTime, Code: "removal", Scale: outcome.PerDoubling},
	}
	for i, e := range d.Exposures {
		if e.Scale == "" {
			d.Exposures[i].Scale = outcome.PerUnit
		}
	}
	return d
}

// slowCases is enough for an answer that takes much longer than the test needs to leave; the full size is asked for by
// ZONULE_STUDY_CASES=100000.
func slowCases(t *testing.T) int {
	n := 4000
	if asked := os.Getenv("ZONULE_STUDY_CASES"); asked != "" {
		_, err := fmt.Sscan(asked, &n)
		require.NoError(t, err)
	}
	return n
}

// TestProgressIsToldAndLeavingEndsTheWork asks over a real connection: a caller who stays reads how far it is, then the
// answer; for one who leaves the work stops, which the log tells.
func TestProgressIsToldAndLeavingEndsTheWork(t *testing.T) {
	h, sol := studied(t, annotatetest.SQLiteAddress(t), slowCases(t))
	door := httptest.NewServer(h)
	defer door.Close()
	body, err := json.Marshal(slowQuestion())
	require.NoError(t, err)
	post := func(ctx context.Context) (*http.Response, error) {
		r, err := http.NewRequestWithContext(ctx, "POST", door.URL+prefix+"/outcomes/answers", bytes.NewReader(body))
		require.NoError(t, err)
		r.Header.Set("Content-Type", "application/json")
		r.AddCookie(sol.cookie)
		return door.Client().Do(r)
	}
	began := time.Now()
	response, err := post(t.Context())
	require.NoError(t, err)
	lines := bufio.NewScanner(response.Body)
	lines.Buffer(nil, 64<<20)
	var told []studyLine
	for lines.Scan() {
		var line studyLine
		require.NoError(t, json.Unmarshal(lines.Bytes(), &line))
		told = append(told, line)
	}
	require.NoError(t, lines.Err())
	require.NoError(t, response.Body.Close())
	whole := time.Since(began)
	t.Logf("the whole answer took %v in %d lines", whole, len(told))
	require.NotNil(t, told[len(told)-1].Answer)
	if whole > 4*quiet {
		require.Greater(t, len(told), 1, "a long answer tells how far it is")
	}
	for _, line := range told[:len(told)-1] {
		require.Equal(t, 8, line.Of)
	}

	h.log.Reset()
	ctx, leave := context.WithTimeout(t.Context(), whole/4)
	defer leave()
	response, err = post(ctx)
	if err == nil { // it had begun to answer
		require.NoError(t, response.Body.Close())
	}
	door.Close() // waits until every request is done with
	require.Contains(t, h.log.String(), `"code":"left"`, "the work went on to its end")
	require.NotContains(t, h.log.String(), `"level":"ERROR"`)
}

// BenchmarkStudy answers a question about the loss in 100,000 cases: the hashes of answer and table are part of it.
func BenchmarkStudy(b *testing.B) {
	s := annotatetest.Open(b, annotatetest.SQLiteAddress(b))
	people := []annotate.Actor{}
	require.NoError(b, s.Write(b.Context(), func(tx annotate.Tx) error {
		for _, id := range []string{"sol", "mona", "ines"} {
			user := annotate.User{ID: id, Revision: 1, Login: id, Name: id, Roles: []annotate.Role{annotate.RoleSurgeon}, Active: true}
			people = append(people, annotate.Actor{User: user})
			if err := tx.InsertUser(b.Context(), annotate.Account{User: user}); err != nil {
				return err
			}
		}
		return nil
	}))
	operated(b, s, 100_000, "sol", "mona", "ines")
	service := annotate.NewService(annotate.Options{Store: s, Now: time.Now})
	ask := func() found {
		inquiry, err := service.Inquire(b.Context(), people[0], lossQuestion())
		require.NoError(b, err)
		f, err := answered(b.Context(), inquiry, nil)
		require.NoError(b, err)
		require.NotEmpty(b, f.Result.Answer)
		return f
	}
	first := ask() // reads the rows
	b.ReportAllocs()
	for b.Loop() {
		require.Equal(b, first.hash, ask().hash)
	}
	b.ReportMetric(float64(len(first.content.CSV))/(1<<20), "MB-table")
}
