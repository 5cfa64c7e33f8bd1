package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestEarlierOperationsOfTheSamePatient(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		grade := 3
		add := func(pseudonym, date string, eye annotate.Eye) annotate.Case {
			return u.AddCase(t, func(c *annotate.Case) {
				c.Pseudonym, c.Date, c.Eye, c.Before.NuclearGrade = pseudonym, date, eye, &grade
			})
		}
		first := add("TIDE-7", "2025-03-04", annotate.LeftEye)
		second := add("tide-7", "2025-09-10", annotate.RightEye)
		now := add("TIDE-7", "2026-01-20", annotate.RightEye)
		add("TIDE-7", "2026-02-20", annotate.RightEye)  // later
		add("TIDE-77", "2025-01-01", annotate.RightEye) // somebody else
		hidden := add("TIDE-7", "2024-01-01", annotate.RightEye)
		stored, err := u.Case(t.Context(), u.Surgeon, hidden.ID)
		require.NoError(t, err)
		stored.Operators = []annotate.Operator{{UserID: u.Stranger.ID, Role: annotate.OperatorLead, Grade: annotate.GradeConsultant}}
		_, err = u.PutCase(t.Context(), u.Surgeon, stored)
		require.NoError(t, err)
		report := signed(t, u, first.ID)

		earlier, err := u.Earlier(t.Context(), u.Surgeon, now.ID)
		require.NoError(t, err)
		require.Equal(t, now.ID, earlier.Here.CaseID)
		require.Len(t, earlier.Earlier, 2, "neither a later one, nor another patient's, nor one that is not theirs to see")
		require.Equal(t, second.ID, earlier.Earlier[0].CaseID)
		require.True(t, earlier.Earlier[0].SameEye)
		require.Nil(t, earlier.Earlier[0].Report)
		require.Equal(t, first.ID, earlier.Earlier[1].CaseID)
		require.False(t, earlier.Earlier[1].SameEye)
		require.Equal(t, report.ID, earlier.Earlier[1].Report.ID)
		require.Equal(t, grade, *earlier.Earlier[1].NuclearGrade)

		_, err = u.Earlier(t.Context(), u.Stranger, now.ID)
		refused(t, annotate.CodeNotFound, err)
		_, err = u.Earlier(t.Context(), u.Clinic, now.ID)
		refused(t, annotate.CodeForbidden, err)
	})
}
