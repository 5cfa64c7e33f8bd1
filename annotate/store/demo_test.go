package store_test

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
	"zonule/annotate/demo"
)

// demoBundle is the invented unit as a bundle.
func demoBundle(t testing.TB, cases int) []byte {
	t.Helper()
	today := time.Date(2026, 6, 15, 0, 0, 0, 0, time.UTC)
	unit := demo.Invent(demo.Options{Seed: 1, Today: today, Cases: cases})
	bundle := annotate.Bundle{BundleHead: annotate.BundleHead{
		Format: annotate.BundleFormat, Version: annotate.BundleVersion, MadeAt: today.UnixMilli(),
		Unit: &annotate.Unit{Name: unit.Name, Revision: 1, LossLimitPercent: 20, DensityLimit: 1000, Invented: true},
	}}
	for _, user := range unit.Users {
		bundle.Users = append(bundle.Users, annotate.Account{User: user, PasswordHash: "plain:" + annotatetest.Password})
	}
	for _, record := range unit.Records {
		r := annotate.CaseRecord{Case: record.Case, Parts: record.Parts, Complications: record.Complications, Visits: record.Visits}
		if record.Reading != nil {
			r.Readings = append(r.Readings, annotate.ReadingRecord{Reading: *record.Reading, Edits: record.Edits})
		}
		bundle.Cases = append(bundle.Cases, r)
	}
	text, err := json.Marshal(bundle)
	require.NoError(t, err)
	return text
}

// TestDemoUnit takes the invented unit in by the way of any other unit, verifies what came of it and looks at what
// waits for people.
func TestDemoUnit(t *testing.T) {
	const cases = 80
	text := demoBundle(t, cases)
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.EmptyUnit(t, address)
		require.NoError(t, u.Import(t.Context(), annotate.House(), bytes.NewReader(text)))
		report, err := u.Verify(t.Context())
		require.NoError(t, err)
		require.Empty(t, report.Mismatches)
		require.Equal(t, cases, report.Cases)
		people, err := u.People(t.Context(), annotate.House())
		require.NoError(t, err)
		toSign, followUp := 0, 0
		for _, person := range people {
			user, err := u.UserByID(t.Context(), person.ID)
			require.NoError(t, err)
			today, err := u.Today(t.Context(), annotate.Actor{User: user})
			require.NoError(t, err)
			toSign += len(today.ToSign)
			if user.Has(annotate.RoleClinic) {
				followUp = len(today.FollowUpDue)
			}
		}
		require.Positive(t, toSign, "most of the invented cases are tagged and followed up")
		require.Positive(t, followUp)
	})
}
