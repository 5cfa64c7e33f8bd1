package annotate_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestShowable(t *testing.T) {
	for _, row := range []struct {
		consent annotate.Consent
		want    bool
	}{
		{annotate.Consent{}, false},
		{annotate.Consent{Review: annotate.Yes}, true},
		{annotate.Consent{Recording: annotate.Yes, Review: annotate.Yes}, true},
		{annotate.Consent{Recording: annotate.Yes}, false},
		{annotate.Consent{Recording: annotate.Yes, Review: annotate.No}, false},
		{annotate.Consent{Recording: annotate.No, Review: annotate.Yes}, false},
		{annotate.Consent{Recording: annotate.Yes, Review: annotate.Yes, WithdrawnOn: "2026-06-01"}, false},
	} {
		require.Equal(t, row.want, annotate.Case{Consent: row.consent}.Showable(), "%v", row.consent)
	}
}

func TestConsentIsKept(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c := u.AddCase(t)
		require.Equal(t, annotate.Consent{}, c.Consent)
		c.Consent = annotate.Consent{Recording: annotate.Yes, Review: annotate.Yes, Note: "Form 3."}
		c, err := u.PutCase(t.Context(), u.Surgeon, c)
		require.NoError(t, err)
		stored, err := u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		require.Equal(t, c, stored)
		require.True(t, stored.Showable())

		// A patient who takes the consent back often says so at the clinic.
		c.Consent.WithdrawnOn = "2026-06-15"
		c, err = u.PutCase(t.Context(), u.Clinic, c)
		require.NoError(t, err)
		require.False(t, c.Showable())
		meddled := c
		meddled.Consent.WithdrawnOn, meddled.Before.Pupil = "", "small"
		refused(t, annotate.CodeForbidden, second(u.PutCase(t.Context(), u.Clinic, meddled)))

		history, err := u.CaseHistory(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		changes := ""
		for _, entry := range history {
			changes += entry.Detail
		}
		require.Contains(t, changes, `{"field":"consent.withdrawnOn","before":null,"after":"2026-06-15"}`)

		for field, change := range map[string]func(*annotate.Consent){
			"consent.recording":   func(c *annotate.Consent) { c.Recording = "perhaps" },
			"consent.review":      func(c *annotate.Consent) { c.Review = "perhaps" },
			"consent.withdrawnOn": func(c *annotate.Consent) { c.WithdrawnOn = "2026-06-16" },
			"consent.note":        func(c *annotate.Consent) { c.Note = strings.Repeat("n", 1001) },
		} {
			wrong := c
			change(&wrong.Consent)
			require.Equal(t, field, refused(t, annotate.CodeInvalid, second(u.PutCase(t.Context(), u.Surgeon, wrong))).Fields[0].Field)
		}
	})
}
