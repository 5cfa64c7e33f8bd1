package annotate_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

// everyFactor answers every factor of the published risk at its reference level.
func everyFactor(c *annotate.Case) {
	c.Before.Age, c.Before.Sex, c.Before.Pupil, c.Before.AxialLength = pointerTo(55), "female", "large", pointerTo(23.5)
	b := &c.Before
	for _, answer := range []*annotate.Answer{
		&b.Glaucoma, &b.DiabeticRetinopathy, &b.BrunescentOrWhite, &b.NoFundalView, &b.Pseudoexfoliation, &b.AlphaBlocker, &b.CannotLieFlat,
	} {
		*answer = annotate.No
	}
}

func complicate(t *testing.T, u *annotatetest.Unit, caseID string, kinds ...string) {
	t.Helper()
	for _, kind := range kinds {
		_, err := u.PutComplication(t.Context(), u.Surgeon, annotate.Complication{ID: u.NewID(), CaseID: caseID, Kind: kind})
		require.NoError(t, err)
	}
}

func TestUnitRecord(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		var ids []string
		for i := range 12 {
			c := u.AddCase(t, everyFactor, func(c *annotate.Case) {
				c.Date = fmt.Sprintf("2026-02-%02d", i+1)
				c.SharedWith = []string{u.Chair.ID}
				if i == 0 {
					c.Before.Glaucoma, c.SharedWith = annotate.Unknown, nil
				}
				if i == 11 {
					c.LostToFollowUp = &annotate.LostToFollowUp{On: "2026-03-01", Reason: "Lives abroad."}
				}
			})
			ids = append(ids, c.ID)
		}
		u.AddCase(t, func(c *annotate.Case) { c.Date = "2026-06-14" })
		u.AddCase(t, func(c *annotate.Case) { c.Date = "2026-08-01" }) // lies ahead
		complicate(t, u, ids[0], "posterior-capsule-rupture", "vitreous-loss", "zonular-dialysis")
		complicate(t, u, ids[1], "vitreous-loss", "vitreous-loss")
		complicate(t, u, ids[2], "zonular-dialysis")
		_, err := u.PutVisit(t.Context(), u.Clinic, annotate.Visit{ID: u.NewID(), CaseID: ids[3], Window: annotate.WindowWeek1, Date: "2026-02-14", Acuity: "6/6"})
		require.NoError(t, err)
		_, err = u.PutComplication(t.Context(), u.Clinic, annotate.Complication{ID: u.NewID(), CaseID: ids[4], Kind: "uveitis", OnDate: "2026-02-07"})
		require.NoError(t, err)

		got, err := u.UnitRecord(t.Context(), u.Chair, annotate.UnitFilter{})
		require.NoError(t, err)
		require.Equal(t, annotate.ScopeUnit, got.Scope)
		require.Equal(t, 13, got.Operations, "the one that lies ahead has not happened")
		require.Equal(t, 1, got.LostToFollowUp)
		require.Equal(t, 12, got.Owing)
		require.Equal(t, 11, got.Overdue, "the one of yesterday is not")

		require.Equal(t, 2, got.Rupture.Events, "each operation once; the dialysis does not count")
		// Wilson's interval of 2/13: 4.326 to 42.235 %. Source: R 4.2.2, prop.test(2, 13, correct = FALSE).
		require.InDelta(t, 15.385, *got.Rupture.Rate.Percent, 0.001)
		require.InDelta(t, 4.326, *got.Rupture.Rate.Low, 0.001)
		require.InDelta(t, 42.235, *got.Rupture.Rate.High, 0.001)
		require.Equal(t, []annotate.KindCount{{Code: "posterior-capsule-rupture", Name: "Posterior capsule rupture", Count: 1}, {Code: "vitreous-loss", Name: "Vitreous loss", Count: 2}}, got.Rupture.Kinds)
		require.Equal(t, 11, got.Rupture.ExpectedOf, "one lacks a factor, one lacks them all")
		require.Equal(t, 1, got.Rupture.ObservedOf)
		require.InDelta(t, 0.736, *got.Rupture.ExpectedPercent, 1e-9, "check value 33: the baseline; from memory")
		require.Less(t, *got.Rupture.ExpectedLowPercent, *got.Rupture.ExpectedHighPercent)

		of := map[string]annotate.KindRate{}
		for _, rate := range got.Complications {
			of[rate.Kind] = rate
		}
		require.Equal(t, 2, of["zonular-dialysis"].Count)
		require.Equal(t, 13, of["zonular-dialysis"].Of)
		require.Equal(t, 2, of["uveitis"].Of, "the one that was seen again, and the one that has it")
		require.Nil(t, of["uveitis"].Percent, "no percentage of fewer than five")

		items := map[string]annotate.UnitItem{}
		for _, item := range got.Completeness.Items {
			items[item.Item] = item
		}
		require.Equal(t, 11, items["glaucoma"].Have)
		require.Equal(t, 13, items["glaucoma"].Of)
		require.Empty(t, items["glaucoma"].Lacking, "neither is the chair's to see")
		require.Equal(t, 12, items["corrected acuity after"].Of, "of the one of yesterday it is not expected yet")
		require.Equal(t, 1, items["corrected acuity after"].Have)
		require.Len(t, items["corrected acuity after"].Lacking, 10)
		require.Equal(t, ids[11], items["corrected acuity after"].Lacking[0].ID, "the newest first")

		whole, err := u.UnitRecord(t.Context(), u.Clinic, annotate.UnitFilter{From: "2026-02-01", To: "2026-02-02"})
		require.NoError(t, err)
		require.Equal(t, annotate.ScopeUnit, whole.Scope, "the clinic sees every case")
		require.Equal(t, 2, whole.Operations)
		require.Nil(t, whole.Rupture.Rate.Percent)
		require.Nil(t, whole.Rupture.ExpectedPercent)
		lacking := whole.Completeness.Items[8].Lacking
		require.Len(t, lacking, 1)
		require.Equal(t, ids[0], lacking[0].ID)
		named, err := u.Case(t.Context(), u.Clinic, ids[0])
		require.NoError(t, err)
		require.Equal(t, annotate.LackingCase{ID: ids[0], Pseudonym: named.Pseudonym, Eye: named.Eye}, lacking[0])
		verified(t, u)
	})
}

func TestWhoseUnitRecord(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		for i := range 9 {
			u.AddCase(t, func(c *annotate.Case) {
				if i < 2 {
					c.SharedWith = []string{u.Chair.ID}
				}
			})
		}
		read := func(actor annotate.Actor, filter annotate.UnitFilter) annotate.UnitRecord {
			record, err := u.UnitRecord(t.Context(), actor, filter)
			require.NoError(t, err)
			return record
		}
		few := read(u.Chair, annotate.UnitFilter{})
		require.Equal(t, annotate.ScopeSeen, few.Scope)
		require.Equal(t, 2, few.Operations)
		require.Contains(t, few.Notes[0], "too few to stay unnamed")
		u.AddCase(t)
		require.Equal(t, 10, read(u.Chair, annotate.UnitFilter{}).Operations)
		require.Equal(t, 2, read(u.Chair, annotate.UnitFilter{Operator: u.Surgeon.ID}).Operations, "of one person only what is theirs to see")
		require.Equal(t, annotate.ScopeSeen, read(u.Surgeon, annotate.UnitFilter{}).Scope)
		require.Equal(t, 10, read(u.Surgeon, annotate.UnitFilter{}).Operations)
		require.Zero(t, read(u.Stranger, annotate.UnitFilter{}).Operations)
		require.Zero(t, read(u.Clinic, annotate.UnitFilter{Technique: annotate.TechniqueECCE}).Operations)
		_, err := u.UnitRecord(t.Context(), u.Admin, annotate.UnitFilter{})
		refused(t, annotate.CodeForbidden, err)
		_, err = u.UnitRecord(t.Context(), annotate.Actor{}, annotate.UnitFilter{})
		refused(t, annotate.CodeSignedOut, err)
		_, err = u.UnitRecord(t.Context(), u.Chair, annotate.UnitFilter{From: "yesterday"})
		require.Equal(t, "from", refused(t, annotate.CodeInvalid, err).Fields[0].Field)
	})
}
