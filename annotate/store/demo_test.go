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

// TestDemoUnit takes the invented unit in by the way of any other unit, and verifies what came of it.
func TestDemoUnit(t *testing.T) {
	text := demoBundle(t, 240)
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.EmptyUnit(t, address)
		began := time.Now()
		require.NoError(t, u.Import(t.Context(), annotate.House(), bytes.NewReader(text)))
		t.Logf("%d bytes in %v", len(text), time.Since(began))
		report, err := u.Verify(t.Context())
		require.NoError(t, err)
		require.Empty(t, report.Mismatches)
		require.Equal(t, 240, report.Cases)
		began = time.Now()
		t.Log(report, time.Since(began))
		people, err := u.People(t.Context(), annotate.House())
		require.NoError(t, err)
		for _, p := range people {
			user, err := u.UserByID(t.Context(), p.ID)
			require.NoError(t, err)
			today, err := u.Today(t.Context(), annotate.Actor{User: user})
			require.NoError(t, err)
			t.Logf("%-20s %v record %d tag %d follow %d comments %d sign %d", p.Name, p.Roles, len(today.ToRecord), len(today.ToTag), len(today.FollowUpDue), len(today.CommentsToAnswer), len(today.ToSign))
		}
	})
}
