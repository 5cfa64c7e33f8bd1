package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestFirst(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		c, part, reading := u.Marked(t)
		m := u.Marker(part.ID, "capsulorhexis", 1000, 61000)
		answers, err := u.AddEdits(t.Context(), u.Surgeon, reading.ID, []annotate.Edit{u.Add(m)})
		require.NoError(t, err)
		t.Log(answers)
		page, err := u.Cases(t.Context(), u.Surgeon, annotate.CaseFilter{})
		require.NoError(t, err)
		require.Len(t, page.Cases, 1)
		t.Logf("%+v", page)
		_, err = u.Case(t.Context(), u.Surgeon, c.ID)
		require.NoError(t, err)
		r, err := u.Verify(t.Context())
		require.NoError(t, err)
		require.Empty(t, r.Mismatches)
		t.Log(u.Today(t.Context(), u.Surgeon))
	})
}
