package annotate_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// deepVisit is a visit with every field filled in. It is invented.
func deepVisit(u *annotatetest.Unit, caseID string, window annotate.Window, date string) annotate.Visit {
	return annotate.Visit{
		ID: u.NewID(), CaseID: caseID, Window: window, Date: date, Acuity: "6/7.5", UncorrectedAcuity: "6/12",
		Refraction: &annotate.Refraction{Sphere: pointerTo(-0.25), Cylinder: pointerTo(-0.5), Axis: pointerTo(10.0)},
		Exam:       &annotate.EndothelialExam{ImageCounts: []annotate.ImageCount{{Density: 2300, Cells: 100, CV: pointerTo(0.3)}}},
		Medication: "steroid drops four times a day",
	}
}

func TestADeepRecordComesBackAsItWent(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t, func(c *annotate.Case) {
			c.Before.LOCS = &annotate.LOCS{Cortical: pointerTo(2.5)}
			c.Before.FellowEye = &annotate.FellowEye{Operated: annotate.No, Exam: &annotate.EndothelialExam{Density: 2400}}
			c.Operation.OVDs = []string{"dispersive"}
			c.Operation.Settings = []annotate.StageSettings{{Stage: "nucleus", Vacuum: pointerTo(350.0)}}
			c.LostToFollowUp = &annotate.LostToFollowUp{On: "2026-06-01", Reason: "Lives abroad."}
		})
		stored, err := u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, c, stored)
		back := stored
		back.LostToFollowUp = nil
		back, err = u.PutCase(t.Context(), u.Surgeon, back)
		require.NoError(t, err)
		history, err := u.CaseHistory(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, `[{"field":"lostToFollowUp.on","before":"2026-06-01","after":null},`+
			`{"field":"lostToFollowUp.reason","before":"Lives abroad.","after":null}]`, history[0].Detail)
		stored, err = u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Nil(t, stored.LostToFollowUp)
		require.Equal(t, back.Operation, stored.Operation)

		visit, err := u.PutVisit(t.Context(), u.Clinic, deepVisit(u, c.ID, annotate.WindowDay1, "2026-05-05"))
		require.NoError(t, err)
		require.InDelta(t, 2300, visit.Exam.Density, 0)
		visit.Medication = "none"
		visit, err = u.PutVisit(t.Context(), u.Clinic, visit)
		require.NoError(t, err)
		visits, err := u.Visits(t.Context(), u.Clinic, c.ID)
		require.NoError(t, err)
		require.Equal(t, []annotate.Visit{visit}, visits)

		found := annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: "corneal-oedema", OnDate: "2026-05-05", VisitID: visit.ID}
		found, err = u.PutComplication(t.Context(), u.Clinic, found)
		require.NoError(t, err)
		require.Equal(t, visit.ID, found.VisitID)
		require.Equal(t, "id", refused(t, annotate.CodeInvalid, u.RemoveVisit(t.Context(), u.Clinic, c.ID, visit.ID, visit.Revision)).Fields[0].Field)
		elsewhere := found
		elsewhere.ID, elsewhere.Revision, elsewhere.VisitID = u.NewID(), 0, u.NewID()
		_, err = u.PutComplication(t.Context(), u.Clinic, elsewhere)
		require.Equal(t, "visitId", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		during := annotate.Complication{ID: u.NewID(), CaseID: c.ID, Kind: "vitreous-loss", VisitID: visit.ID}
		_, err = u.PutComplication(t.Context(), u.Surgeon, during)
		require.Equal(t, "visitId", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
		verified(t, u)

		var bundle bytes.Buffer
		require.NoError(t, u.Export(t.Context(), annotate.House(), c.ID, &bundle))
		other := annotatetest.NewUnit(t, annotatetest.SQLiteAddress(t))
		require.NoError(t, other.Import(t.Context(), annotate.House(), &bundle))
		copied, err := other.Visits(t.Context(), annotate.House(), c.ID)
		require.NoError(t, err)
		require.Equal(t, visits, copied)
	})
}

func TestAnotherPlanOfFollowUp(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t)
		_, err := u.PutVisit(t.Context(), u.Surgeon, deepVisit(u, c.ID, annotate.WindowDay1, "2026-05-05"))
		require.NoError(t, err)
		unit, err := u.Unit(t.Context())
		require.NoError(t, err)
		require.Len(t, unit.Windows, 5, "the usual plan")

		changed := unit
		changed.Windows = []annotate.WindowPlan{{Window: annotate.WindowWeek1, DueDays: 5, LateDays: 10, Required: true}}
		changed, err = u.PutUnit(t.Context(), u.Admin, changed)
		require.NoError(t, err)
		today, err := u.Today(t.Context(), u.Clinic)
		require.NoError(t, err)
		require.Len(t, today.FollowUpDue, 1)
		require.Equal(t, annotate.WindowWeek1, today.FollowUpDue[0].Window)
		require.Equal(t, "2026-05-09", today.FollowUpDue[0].DueOn)
		verified(t, u)

		named := annotate.Unit{Name: "Another name", Revision: changed.Revision, LossLimitPercent: 20, DensityLimit: 1000}
		named, err = u.PutUnit(t.Context(), u.Admin, named)
		require.NoError(t, err)
		require.Equal(t, changed.Windows, named.Windows, "a change that leaves the plan out keeps it")
		named.Windows = []annotate.WindowPlan{}
		_, err = u.PutUnit(t.Context(), u.Admin, named)
		require.NoError(t, err)
		today, err = u.Today(t.Context(), u.Clinic)
		require.NoError(t, err)
		require.Empty(t, today.FollowUpDue, "no visit is required")
		verified(t, u)
	})
}

func TestFollowUpList(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		late := u.AddCase(t, func(c *annotate.Case) { c.Pseudonym, c.Date = "LATE", "2026-03-02" })
		later := u.AddCase(t, func(c *annotate.Case) { c.Pseudonym, c.Date = "LATER", "2026-04-01" })
		soon := u.AddCase(t, func(c *annotate.Case) { c.Pseudonym, c.Date = "SOON", "2026-06-14" })
		u.AddCase(t, func(c *annotate.Case) {
			c.Pseudonym, c.LostToFollowUp = "GONE", &annotate.LostToFollowUp{On: "2026-06-01", Reason: "Moved away."}
		})
		_, err := u.PutVisit(t.Context(), u.Clinic, deepVisit(u, later.ID, annotate.WindowDay1, "2026-04-02"))
		require.NoError(t, err)
		list := func(actor annotate.Actor, filter annotate.FollowUpFilter) []string {
			page, err := u.FollowUp(t.Context(), actor, filter)
			require.NoError(t, err)
			require.Equal(t, len(page.Items), page.Total)
			names := []string{}
			for _, item := range page.Items {
				names = append(names, item.Case.Pseudonym)
			}
			return names
		}
		require.Equal(t, []string{"LATE", "LATER", "SOON"}, list(u.Clinic, annotate.FollowUpFilter{}), "the longest overdue first, the lost not at all")
		require.Equal(t, []string{"LATE", "LATER"}, list(u.Clinic, annotate.FollowUpFilter{Overdue: true}))
		require.Equal(t, []string{"LATER"}, list(u.Clinic, annotate.FollowUpFilter{Window: annotate.WindowMonth1}))
		require.Equal(t, []string{"SOON"}, list(u.Clinic, annotate.FollowUpFilter{Query: "soon"}))
		require.Len(t, list(u.Surgeon, annotate.FollowUpFilter{Operator: u.Surgeon.ID}), 3)
		require.Empty(t, list(u.Stranger, annotate.FollowUpFilter{}))
		require.Empty(t, list(u.Clinic, annotate.FollowUpFilter{Operator: u.Stranger.ID}))

		first, err := u.FollowUp(t.Context(), u.Clinic, annotate.FollowUpFilter{Limit: 2})
		require.NoError(t, err)
		require.Equal(t, 3, first.Total)
		require.Equal(t, annotate.WindowDay1, first.Items[0].Window)
		// Days 1 and 7 after 2 March, days 28 and 56 after 1 April; counted on a calendar.
		require.Equal(t, []string{"2026-03-03", "2026-03-09", "2026-04-29", "2026-05-27"},
			[]string{first.Items[0].DueOn, first.Items[0].LateOn, first.Items[1].DueOn, first.Items[1].LateOn})
		require.Equal(t, late.ID, first.Items[0].Case.ID)
		second, err := u.FollowUp(t.Context(), u.Clinic, annotate.FollowUpFilter{Limit: 2, Cursor: first.Next})
		require.NoError(t, err)
		require.Len(t, second.Items, 1)
		require.Equal(t, soon.ID, second.Items[0].Case.ID)
		require.False(t, second.Items[0].Overdue)
		require.Empty(t, second.Next)
		all, err := u.AllFollowUp(t.Context(), u.Clinic, annotate.FollowUpFilter{})
		require.NoError(t, err)
		require.Equal(t, append(first.Items, second.Items...), all)

		for _, bad := range []annotate.FollowUpFilter{{Window: annotate.WindowOther}, {Limit: 201}} {
			_, err = u.FollowUp(t.Context(), u.Clinic, bad)
			refused(t, annotate.CodeInvalid, err)
		}
		_, err = u.AllFollowUp(t.Context(), annotate.Actor{}, annotate.FollowUpFilter{})
		refused(t, annotate.CodeSignedOut, err)
		verified(t, u)
	})
}
