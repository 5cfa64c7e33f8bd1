package annotate_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/timeline"
	"zonule/timeline/cohort"
)

// theatre is a unit in which several people operate; everybody's removal takes another time.
type theatre struct {
	*annotatetest.Unit
	pupil  annotate.Actor // in training, supervised by the trainer
	others []annotate.Actor
}

// timed registers cases of an operator and gives them a row with a measured step.
func (u theatre) timed(t *testing.T, n int, lead annotate.Actor, supervisor string, total int64) []string {
	t.Helper()
	var ids []string
	for i := range n {
		c := u.NewCase()
		c.Date = fmt.Sprintf("2026-03-%02d", i%28+1)
		c.Before.NuclearGrade = pointerTo(i%4 + 1)
		c.Operators = []annotate.Operator{{UserID: lead.ID, Role: annotate.OperatorLead, Grade: lead.Grade}}
		if supervisor != "" {
			c.Operators = append(c.Operators, annotate.Operator{UserID: supervisor, Role: annotate.OperatorSupervisor, Grade: annotate.GradeConsultant})
		}
		_, err := u.PutCase(t.Context(), lead, c)
		require.NoError(t, err)
		row := rowOf(t, u.Unit, c.ID)
		time := total + int64(i)*1000
		row.StepList, row.Tagged, row.Time, row.Measured = "phaco", true, pointerTo(5*time), true
		row.Steps = []cohort.Part{{Code: "removal", Total: &time, Episodes: 1, Quality: timeline.Measured, At: &timeline.Instant{Part: "part-" + c.ID, Ms: 1234}}}
		require.NoError(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error { return tx.PutCaseRows(t.Context(), 1, row) }))
		ids = append(ids, c.ID)
	}
	return ids
}

func newTheatre(t *testing.T, address string) theatre {
	t.Helper()
	u := theatre{Unit: annotatetest.NewUnit(t, address)}
	for i, person := range []annotate.User{
		{Login: "pupil", Name: "Ada Pupil", Grade: annotate.GradeSeniorTrainee, Roles: []annotate.Role{annotate.RoleTrainee}},
		{Login: "one", Name: "Other One", Grade: annotate.GradeConsultant, Roles: []annotate.Role{annotate.RoleSurgeon}},
		{Login: "two", Name: "Other Two", Grade: annotate.GradeConsultant, Roles: []annotate.Role{annotate.RoleSurgeon}},
		{Login: "three", Name: "Other Three", Grade: annotate.GradeSeniorTrainee, Roles: []annotate.Role{annotate.RoleTrainee}},
	} {
		person.ID, person.Revision, person.Active = u.NewID(), 1, true
		require.NoError(t, u.Store.Write(t.Context(), func(tx annotate.Tx) error {
			return tx.InsertUser(t.Context(), annotate.Account{User: person})
		}))
		if i == 0 {
			u.pupil = annotate.Actor{User: person}
		} else {
			u.others = append(u.others, annotate.Actor{User: person})
		}
	}
	u.timed(t, 6, u.Surgeon, "", 60_000)
	u.timed(t, 7, u.Trainer, "", 50_000)
	u.timed(t, 8, u.Trainee, u.Trainer.ID, 160_000)
	u.timed(t, 3, u.pupil, u.Trainer.ID, 90_000)
	u.timed(t, 4, u.pupil, u.Surgeon.ID, 91_000)
	for i, other := range u.others {
		u.timed(t, 6, other, u.Surgeon.ID, 70_000+int64(i)*10_000)
	}
	return u
}

// TestWhoSeesWhom asks as everybody and lists who is named, and how many points lead to a case.
func TestWhoSeesWhom(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := newTheatre(t, address)
		both := u.Trainer
		both.Roles = []annotate.Role{annotate.RoleAdministrator, annotate.RoleTrainer}
		for name, row := range map[string]struct {
			actor annotate.Actor
			lanes []string // name, cases, of which lead to the case
		}{
			"surgeon":       {u.Surgeon, []string{"You 6 6"}},
			"trainee":       {u.Trainee, []string{"You 8 8"}},
			"pupil":         {u.pupil, []string{"You 7 7"}},
			"trainer":       {u.Trainer, []string{"You 7 7", "Ada Pupil 7 3", "The trainee 8 8"}},
			"both roles":    {both, []string{"You 7 7", "Ada Pupil 7 3", "The trainee 8 8"}},
			"other trainee": {u.others[2], []string{"You 6 6"}},
			"without cases": {u.Stranger, []string{"You 0 0"}},
			"chair":         {u.Chair, []string{"You 0 0"}},
			"clinic":        {u.Clinic, []string{}},
		} {
			t.Run(name, func(t *testing.T) {
				answer, err := u.Comparison(t.Context(), row.actor, annotate.CompareQuestion{
					Question: cohort.Question{Technique: "phaco"}, Items: []string{"step:removal", "operation"},
				})
				require.NoError(t, err)
				require.Len(t, answer.Rows, 2)
				removal := answer.Rows[0]
				require.NotNil(t, removal.Group)
				require.Equal(t, 46, removal.Group.N)
				require.Equal(t, 7, removal.Group.Operators)
				lanes := []string{}
				for _, lane := range removal.Lanes {
					linked := 0
					for _, point := range lane.Points {
						require.Equal(t, point.CaseID == "", point.At == nil, "the moment leads to the case")
						if point.CaseID != "" {
							linked++
							_, err := u.Case(t.Context(), row.actor, point.CaseID)
							require.NoError(t, err)
						}
					}
					lanes = append(lanes, fmt.Sprintf("%s %d %d", lane.Name, lane.N, linked))
				}
				require.Equal(t, row.lanes, lanes)
				text, err := json.Marshal(answer)
				require.NoError(t, err)
				named := []string{}
				for _, lane := range removal.Lanes {
					named = append(named, lane.Operator)
				}
				for _, person := range append([]annotate.Actor{u.Surgeon, u.Trainer, u.Trainee, u.pupil}, u.others...) {
					if !slices.Contains(named, person.ID) {
						require.NotContains(t, string(text), person.ID)
						require.NotContains(t, string(text), person.Name)
					}
				}
			})
		}
		_, err := u.Comparison(t.Context(), u.Admin, annotate.CompareQuestion{})
		require.Equal(t, annotate.CodeForbidden, annotate.CodeOf(err), "an administrator sees no results")
		_, err = u.Comparison(t.Context(), annotate.Actor{}, annotate.CompareQuestion{})
		require.Equal(t, annotate.CodeSignedOut, annotate.CodeOf(err))
	})
}

// TestNobodySeesARanking: the trainee is the slowest and the pupil quicker, and the order is that of their names, whatever
// the times are.
func TestNobodySeesARanking(t *testing.T) {
	u := newTheatre(t, annotatetest.SQLiteAddress(t))
	order := func() []string {
		answer, err := u.Comparison(t.Context(), u.Trainer, annotate.CompareQuestion{Items: []string{"step:removal"}})
		require.NoError(t, err)
		var names []string
		for _, lane := range answer.Rows[0].Lanes {
			names = append(names, lane.Name)
		}
		return names
	}
	before := order()
	u.timed(t, 9, u.pupil, u.Trainer.ID, 900_000)
	require.Equal(t, before, order())
	require.True(t, slices.IsSorted(before[1:]))
}

// TestAGroupTooSmallToStayUnnamed: with the surgeon gone from the question there is nobody to hide among.
func TestAGroupTooSmallToStayUnnamed(t *testing.T) {
	u := theatre{Unit: annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))}
	u.timed(t, 12, u.Surgeon, "", 60_000)
	u.timed(t, 12, u.Trainee, u.Trainer.ID, 100_000)
	answer, err := u.Comparison(t.Context(), u.Trainee, annotate.CompareQuestion{Items: []string{"step:removal"}})
	require.NoError(t, err)
	require.Nil(t, answer.Rows[0].Group)
	require.NotEmpty(t, answer.Rows[0].Why)
	require.Nil(t, answer.Rows[0].Lanes[0].Raw)
	require.Nil(t, answer.Rows[0].Lanes[0].Adjusted)
	require.Equal(t, 12, answer.Rows[0].Lanes[0].N, "one's own times are one's own")
}

func TestComparisonQuestions(t *testing.T) {
	u := newTheatre(t, annotatetest.SQLiteAddress(t))
	for name, q := range map[string]annotate.CompareQuestion{
		"list":      {Question: cohort.Question{List: "nowhere"}},
		"technique": {Question: cohort.Question{Technique: "magic"}},
		"part":      {Question: cohort.Question{Part: "half"}},
		"from":      {Question: cohort.Question{From: "May"}},
		"to":        {Question: cohort.Question{From: "2026-05-01", To: "2026-04-01"}},
		"gradeFrom": {Question: cohort.Question{GradeFrom: 6}},
		"gradeTo":   {Question: cohort.Question{GradeFrom: 3, GradeTo: 2}},
		"items":     {Items: []string{"step:nothing"}},
	} {
		_, err := u.Comparison(t.Context(), u.Trainer, q)
		require.Equal(t, annotate.CodeInvalid, annotate.CodeOf(err), name)
		require.ErrorContains(t, err, name)
	}
	all, err := u.Comparison(t.Context(), u.Trainer, annotate.CompareQuestion{Question: cohort.Question{List: "phaco"}})
	require.NoError(t, err)
	require.Equal(t, cohort.OfOperation, all.Rows[0].Kind)
	require.Equal(t, cohort.OfStage, all.Rows[1].Kind)
	require.Equal(t, cohort.OfStep, all.Rows[len(all.Rows)-1].Kind)
	narrowed, err := u.Comparison(t.Context(), u.Trainer, annotate.CompareQuestion{Question: cohort.Question{GradeFrom: 1, GradeTo: 1}, Items: []string{"step:removal"}})
	require.NoError(t, err)
	require.Less(t, narrowed.N.Cases, all.N.Cases)
}

// TestLearningIsForOneselfAndOnesTrainees asks for the curve of everybody as everybody.
func TestLearningIsForOneselfAndOnesTrainees(t *testing.T) {
	u := newTheatre(t, annotatetest.SQLiteAddress(t))
	for _, row := range []struct {
		actor    annotate.Actor
		operator string
		cases    int // -1: not found
		linked   int
	}{
		{u.Trainee, annotate.Myself, 8, 8}, {u.Trainee, u.Trainee.ID, 8, 8}, {u.Trainee, u.pupil.ID, -1, 0}, {u.Trainee, u.Trainer.ID, -1, 0},
		{u.Trainer, u.Trainee.ID, 8, 8}, {u.Trainer, u.pupil.ID, 7, 3}, {u.Trainer, u.Surgeon.ID, -1, 0}, {u.Trainer, u.others[2].ID, -1, 0},
		{u.Surgeon, u.pupil.ID, -1, 0}, {u.Chair, u.Surgeon.ID, -1, 0}, {u.Clinic, annotate.Myself, -1, 0},
	} {
		answer, err := u.Learning(t.Context(), row.actor, annotate.LearningQuestion{Item: "step:removal", Operator: row.operator})
		if row.cases < 0 {
			require.Equal(t, annotate.CodeNotFound, annotate.CodeOf(err), "%s of %s", row.actor.Login, row.operator)
			continue
		}
		require.NoError(t, err)
		require.Len(t, answer.Points, row.cases)
		linked := 0
		for _, point := range answer.Points {
			if point.CaseID != "" {
				linked++
			}
		}
		require.Equal(t, row.linked, linked)
	}
}
